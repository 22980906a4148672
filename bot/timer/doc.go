// Package timer keeps running work: what was set, when it is due, what was said
// of it. Timers, corrections and the moment flow in, synced to one file before
// they are acknowledged; notices flow out to a [Speaker], each once.
package timer
