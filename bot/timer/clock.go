package timer

import "time"

// Clock tells the time and waits.
type Clock interface {
	Now() time.Time
	// After delivers once when d has passed.
	After(d time.Duration) <-chan time.Time
}

// Wall is the clock of the machine.
type Wall struct{}

// Now is the wall clock's time, without the reading that a changed clock would not move.
func (Wall) Now() time.Time { return time.Now().Round(0) }

// After implements [Clock].
func (Wall) After(d time.Duration) <-chan time.Time { return time.After(d) }
