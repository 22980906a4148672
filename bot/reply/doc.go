// Package reply puts facts into words: an answer and the channel's limits flow
// in, text made from the message catalogue flows out. It adds no number that is
// not a fact.
package reply
