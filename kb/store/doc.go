// Package store keeps the books of houses: files or the embedded demo book flow
// in, immutable snapshots by house and revision flow out.
package store
