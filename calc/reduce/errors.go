package reduce

import "errors"

// Errors of this package. Test with errors.Is.
var (
	// ErrNegative: a mass, volume or time is below zero.
	ErrNegative = errors.New("below zero")
	// ErrBelowTare: the scale reads less than the empty pan.
	ErrBelowTare = errors.New("reading below the empty pan")
	// ErrUnknownStart: what was in the pan before is not known.
	ErrUnknownStart = errors.New("start of the reduction not known")
	// ErrTarget: no target above zero is known.
	ErrTarget = errors.New("no target above zero")
	// ErrAboveStart: the target weighs more than the start: boiling cannot get there.
	ErrAboveStart = errors.New("target above the start")
	// ErrShare: a share or °Bx is outside 0 to 100, or what it stands for outweighs the whole.
	ErrShare = errors.New("share outside 0 to 100 %")
	// ErrNoPan: no pan of known capacity.
	ErrNoPan = errors.New("no pan of known capacity")
	// ErrTooMuch: all pans together do not hold it; see [TooMuchError].
	ErrTooMuch = errors.New("more than the pans hold")
	// ErrDensity: a density that no kitchen liquid has.
	ErrDensity = errors.New("density outside 0.5 to 2 g/ml")
	// ErrBoiledDry: as much or more is to boil off than water and alcohol are there.
	ErrBoiledDry = errors.New("nothing would be left to boil")
	// ErrStrength: a strength outside the range of the table.
	ErrStrength = errors.New("alcoholic strength outside the table")
	// ErrNotPublished: the table has no value for this method and time.
	ErrNotPublished = errors.New("no published retention for this")
	// ErrFewWeights: fewer than two weights at different times.
	ErrFewWeights = errors.New("at least two weights needed")
	// ErrOrder: the weights are not in order of time.
	ErrOrder = errors.New("weights not in order of time")
	// ErrReached: the last weight is at or below the target.
	ErrReached = errors.New("target already reached")
	// ErrRises: the pan got heavier: something was added, or the lid or a spoon lay on it.
	ErrRises = errors.New("the pan got heavier")
	// ErrNotLosing: the weights do not show that the pan loses anything.
	ErrNotLosing = errors.New("the pan is not losing weight")
	// ErrSolver: the integration did not reach its accuracy.
	ErrSolver = errors.New("integration did not converge")
)
