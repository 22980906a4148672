// Package kb is the house book made whole: parsed files and the larder flow in,
// one immutable [Snapshot] with links resolved, masses fixed, faults and names
// flows out.
package kb
