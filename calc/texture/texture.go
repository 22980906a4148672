package texture

import (
	"slices"

	"tamis/calc/mix"
	"tamis/calc/quantity"
)

// Cause is a content that texture goes by.
type Cause uint8

// The causes, each with its unit in a Profile.
const (
	Gelatine    Cause = iota // % of the water phase, both profiles at one Bloom
	HardFat                  // milk fat and cocoa butter, g in 100 g: solid in the cold
	CocoaButter              // g in 100 g: the harder of the two
	Starch                   // g in 100 g of water
	Solids                   // g in 100 g
	Freezing                 // sugars, salt and alcohol as sucrose that lowers the freezing point as much, g in 100 g of water
	Alcohol                  // g in 100 g of water
	NumCauses

	Setters  // other gelling agents, thickeners and egg, whose strengths cannot be weighed against each other
	OtherFat // fats that are hard in the cold and neither of milk nor of cocoa
)

// String returns the cause as facts name it.
func (c Cause) String() string {
	return [...]string{"gelatine", "milk fat and cocoa butter", "cocoa butter", "starch", "solids", "freezing power", "alcohol", "",
		"other gelling agents, thickeners or egg", "other hard fat"}[c]
}

// Profile is what a mixture holds. Known says which contents are known; one that
// is known only within bounds is used as far as they go.
type Profile struct {
	Of    [NumCauses]mix.Content
	Known [NumCauses]bool
	// Others are what acts on texture beside them, by name: they tell no direction, but where one of them goes the other way none is told.
	Others map[string]Other
}

// Other is an ingredient that acts on texture in a way that no content shows.
type Other struct {
	Of   mix.Content // g in 100 g
	Sets bool        // one of Setters
	Fat  bool        // one of OtherFat
}

// Trait is a side of texture.
type Trait uint8

// The traits.
const (
	Set    Trait = iota // from the fridge: firmer or softer
	Melt                // in the warm: later or sooner
	Frozen              // from the freezer: harder or softer
	Flow                // poured or spooned: thicker or thinner
	NumTraits
)

// Change is which way a trait goes.
type Change struct {
	Trait Trait
	// Up: firmer, later, harder, thicker.
	Up     bool
	Causes []Cause // that pull this way, in order
	// Against: causes that pull the other way; then nothing is told of the trait.
	Against []Cause
}

type pull struct {
	cause Cause
	trait Trait
	up    bool // more of the cause brings more of the trait
}

// pulls are the directions that handbooks agree on.
var pulls = []pull{
	{Gelatine, Set, true}, {Gelatine, Melt, true},
	{HardFat, Set, true}, {HardFat, Melt, true},
	{CocoaButter, Set, true}, {CocoaButter, Melt, true},
	{Starch, Set, true}, {Starch, Flow, true},
	{Solids, Flow, true},
	{Freezing, Frozen, false}, {Freezing, Melt, false},
	{Alcohol, Set, false},
}

// floor is the least change that counts, beside a twentieth of what there was.
var floor = quantity.MustDecimal("0.1")

// Compare says which way the traits go from one mixture to another.
//
//   - Formula: a content counts as more where the least it can be now is above the most it can have been by a twentieth of that
//     and by 0.1; less likewise. A trait goes the way its causes pull where all of them pull one way.
//   - Range: mixtures of one kind, one the revision of the other. Melt by freezing power is that of frozen food.
//   - Uncertainty: directions only. Causes that pull apart are returned, and no direction is to be told of them; so is nothing
//     of a content that is not known of both. Setters pull on Set, Melt and Flow, other hard fat on Set and Melt, but only against.
//   - Errors: none.
//   - Source: S-738 (gelatine, fats, starch, solids), S-703 (freezing), S-601 (alcohol in a gel).
func Compare(was, now Profile) []Change {
	var out []Change
	for t := range NumTraits {
		var up, down []Cause
		for _, p := range pulls {
			if p.trait != t || !was.Known[p.cause] || !now.Known[p.cause] {
				continue
			}
			switch d := direction(was.Of[p.cause], now.Of[p.cause]); {
			case d == 0:
			case (d > 0) == p.up:
				up = append(up, p.cause)
			default:
				down = append(down, p.cause)
			}
		}
		more, less := others(was, now, t)
		switch {
		case len(up) > 0:
			out = append(out, Change{Trait: t, Up: true, Causes: up, Against: append(down, less...)})
		case len(down) > 0:
			out = append(out, Change{Trait: t, Causes: down, Against: more})
		}
	}
	return slices.Clip(out)
}

// others are the kinds of other ingredients that act on a trait and of which there is more, and of which there is less.
func others(was, now Profile, t Trait) (more, less []Cause) {
	for _, kind := range []Cause{Setters, OtherFat} {
		var up, down bool
		each := func(name string) {
			x, y := was.Others[name], now.Others[name]
			if o := (Other{Sets: x.Sets || y.Sets, Fat: x.Fat || y.Fat}); kind == Setters && o.Sets || kind == OtherFat && o.Fat {
				up, down = up || otherMore(x.Of, y.Of), down || otherMore(y.Of, x.Of)
			}
		}
		for name := range was.Others {
			each(name)
		}
		for name := range now.Others {
			each(name)
		}
		if t == Frozen || t == Flow && kind == OtherFat {
			continue
		}
		if up {
			more = append(more, kind)
		}
		if down {
			less = append(less, kind)
		}
	}
	return more, less
}

// otherMore reports whether there may be more than there was: by a twentieth, however little there is of it. What is not known of
// either is not said to have changed.
func otherMore(was, now mix.Content) bool {
	if was.Open && now.Open {
		return false
	}
	return now.Open || now.AtMost.Cmp(was.AtLeast.Mul(quantity.Frac(21, 20))) > 0
}

// direction is 1 where now is more than was, -1 where it is less, 0 where that is not certain or too little.
func direction(was, now mix.Content) int {
	switch {
	case !was.Open && more(was.AtMost, now.AtLeast):
		return 1
	case !now.Open && more(now.AtMost, was.AtLeast):
		return -1
	}
	return 0
}

func more(than, n quantity.Number) bool {
	d := n.Sub(than)
	return d.Cmp(floor) >= 0 && d.Cmp(than.Mul(quantity.Frac(1, 20))) >= 0
}
