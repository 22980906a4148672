// Package socket lets other programs of the same machine and person talk with
// the one that keeps a book: lines flow in through a socket in the data folder,
// one line flows out for each.
package socket
