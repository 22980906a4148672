package swap

import (
	"errors"
	"fmt"
)

// Errors of this package. Test with errors.Is.
var (
	// ErrLocked: food safety rests on the ingredient; the error is a [*LockedError] with the reason.
	ErrLocked = errors.New("never swapped: food safety rests on it")
	// ErrNothing: nothing is missing.
	ErrNothing = errors.New("nothing is missing")
	// ErrLine: no such line, or it is named as missing twice.
	ErrLine = errors.New("no such line")
	// ErrMass: a mass or share is out of range.
	ErrMass = errors.New("mass out of range")
	// ErrTwice: two candidates have one name.
	ErrTwice = errors.New("two candidates of one name")
	// ErrWish: a function that does not exist, twice, or a weight or tolerance below zero.
	ErrWish = errors.New("bad wish")
	// ErrTooMany: more lines or candidates than are looked at.
	ErrTooMany = errors.New("too many ingredients")
	// ErrUnknown: of what is missing nothing is known that was asked to be kept.
	ErrUnknown = errors.New("composition not known")
	// ErrProblem: a least-squares problem whose parts do not fit together.
	ErrProblem = errors.New("bad least-squares problem")
	// ErrNoRoom: the bounds leave no room for the total.
	ErrNoRoom = errors.New("bounds leave no room")
	// ErrNotSolved: the solver gave up.
	ErrNotSolved = errors.New("not solved")
	// ErrNotEquivalent: the exchange is not possible with these two: a share, strength or composition does not allow it.
	ErrNotEquivalent = errors.New("no exchange between these two")
	// ErrData: a data file does not hold what it must.
	ErrData = errors.New("bad data of swaps")
)

// Lock is why a line is never swapped: a code that bot words. "" is no lock.
type Lock string

// The locks.
const (
	Unlocked       Lock = ""
	CuringSalt     Lock = "curing salt"         // nitrite or nitrate of a cure
	PreserveAcid   Lock = "acid of a preserve"  // what keeps a preserve's pH down
	PreserveSugar  Lock = "sugar of a preserve" // what binds a preserve's water
	FermentSalt    Lock = "salt of a ferment"   // what holds the wrong microbes back
	HeatStep       Lock = "heat step"           // a step that makes it safe
	PasteurisedEgg Lock = "pasteurised egg"     // of a dish that stays raw
)

// Locks returns all locks.
//
//   - Errors: none.
func Locks() []Lock {
	return []Lock{CuringSalt, PreserveAcid, PreserveSugar, FermentSalt, HeatStep, PasteurisedEgg}
}

// LockedError tells which line is locked and why.
type LockedError struct {
	Line   string
	Reason Lock
}

// Error says it in English for the log; bot words it for a cook.
func (e *LockedError) Error() string { return fmt.Sprintf("%v: %s (%s)", ErrLocked, e.Line, e.Reason) }

// Is makes errors.Is(err, ErrLocked) true.
func (e *LockedError) Is(target error) bool { return target == ErrLocked }
