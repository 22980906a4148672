// Package speedpeers times what other searches need on the made recipes of
// kb/index's benchmarks: raw bleve and SQLite FTS5, beside kb/index itself in one
// run. It is a module of its own, so that SQLite is no dependency of tamis.
//
// From this folder:
//
//	go test -bench . -benchmem
//	go test -bench . -benchmem -recipes 10000
package speedpeers
