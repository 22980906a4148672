// Package reftable reads the small tables of published values that the
// calculations stand on: the text of a data file flows in, its header notes,
// columns and rows flow out.
package reftable
