// Package question understands what a cook writes: a message's text, the
// lexicon of one snapshot and what was said before flow in, ranked readings
// ([Question]) flow out.
//
// It knows no clock, no disk and no model; the same text, lexicon and context
// give the same readings.
package question
