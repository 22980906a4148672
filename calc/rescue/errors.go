package rescue

import "errors"

// Errors of this package. Test with errors.Is.
var (
	// ErrMass: a mass, share or capacity is out of range.
	ErrMass = errors.New("mass out of range")
	// ErrNoLine: the recipe has no line of that name, or none at all.
	ErrNoLine = errors.New("no such line")
	// ErrTwice: two lines of one name; name their parts.
	ErrTwice = errors.New("two lines of one name")
	// ErrForeign: what was poured is no line of the recipe.
	ErrForeign = errors.New("not in the recipe")
	// ErrNotOver: nothing is over, there is nothing to take out.
	ErrNotOver = errors.New("nothing is over")
	// ErrNever: adding that never gets there.
	ErrNever = errors.New("adding that never gets there")
	// ErrNoRemedy: nothing is known of that.
	ErrNoRemedy = errors.New("no remedy known")
	// ErrData: a data file does not hold what it must.
	ErrData = errors.New("bad data of rescues")
)
