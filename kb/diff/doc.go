// Package diff compares revisions of recipes: two snapshots' recipes flow in, what
// changed by line, step and key flows out as data; it words and rounds nothing.
package diff
