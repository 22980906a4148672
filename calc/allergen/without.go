package allergen

import "slices"

// Holding tells what a part holds of some excluded allergens, the worst first.
type Holding uint8

// From worst to best. NotListed is no promise: it says what the book lists.
const (
	Holds     Holding = iota // a line lists one of them
	MayHold                  // a label or shared equipment may bring one, or a class is listed without its kind
	NotKnown                 // an ingredient of unknown content is in it
	NotListed                // no line lists any
)

// PartReport is one part of a dish seen by somebody who leaves allergens out.
type PartReport struct {
	Name     string
	Holding  Holding
	Listed   []Found // of the excluded, ways from the part down
	May      []Found
	NotKnown []Way
}

// Match tells whether a listed allergen is one of the excluded, or may be: nuts without a kind may
// be walnuts, wheat is a cereal containing gluten.
func Match(listed Allergen, excluded []Allergen) (is, may bool) {
	for _, x := range excluded {
		if listed.Name != x.Name {
			continue
		}
		switch {
		case x.Kind == "" || x.Kind == listed.Kind || (x == Allergen{Gluten, "wheat"} && slices.Contains(wheats, listed.Kind)):
			is = true
		case listed.Kind == "":
			may = true
		}
	}
	return is, may
}

// PartsWithout returns every direct part of a dish with what it holds of the excluded
// allergens: what a guest can eat "without the crumble". A node without parts is its own only part. Where
// the dish itself names one (made with shared equipment), the dish comes first as a part of its own.
//
//   - Errors: [ErrCircle].
func PartsWithout(dish *Node, excluded []Allergen) ([]PartReport, error) {
	own := *dish
	own.Children, own.Known = nil, own.Known || len(dish.Children) > 0
	p, err := without(&own, excluded)
	if err != nil {
		return nil, err
	}
	var out []PartReport
	if len(dish.Children) == 0 || p.Holding <= MayHold {
		out = append(out, p)
	}
	for _, n := range dish.Children {
		p, err := without(n, excluded)
		if err != nil {
			return nil, err
		}
		out = append(out, p)
	}
	return out, nil
}

func without(n *Node, excluded []Allergen) (PartReport, error) {
	r, err := Roll(n)
	if err != nil {
		return PartReport{}, err
	}
	p := PartReport{Name: n.Name, NotKnown: r.NotKnown}
	for _, f := range r.Contains {
		switch is, may := Match(f.Allergen, excluded); {
		case is:
			p.Listed = append(p.Listed, f)
		case may:
			p.May = append(p.May, f)
		}
	}
	for _, f := range r.MayContain {
		if is, may := Match(f.Allergen, excluded); is || may {
			p.May = append(p.May, f)
		}
	}
	switch {
	case len(p.Listed) > 0:
		p.Holding = Holds
	case len(p.May) > 0:
		p.Holding = MayHold
	case len(p.NotKnown) > 0:
		p.Holding = NotKnown
	default:
		p.Holding = NotListed
	}
	return p, nil
}
