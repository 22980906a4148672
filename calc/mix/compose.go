package mix

import (
	"fmt"

	"tamis/calc/quantity"
)

// Node is an ingredient (no Lines) or one batch of a recipe. Nodes may be shared
// between recipes; nothing changes a node while it is in use. Masses in g.
type Node struct {
	Name string

	// An ingredient:
	Comp   Composition
	Milk   Milk
	Energy *quantity.Number // stated, kJ per 100 g

	// A recipe:
	Lines     []Line
	Losses    []Loss          // in order of the method
	LossShare quantity.Number // of the mass before loss, 0 to under 1
	LossMass  quantity.Number
	// Finished is the mass that the book states (makes); HasFinished false: what the lines come to.
	Finished    quantity.Number
	HasFinished bool
	// NoMass says why the finished mass cannot be known; "" if it can.
	NoMass string
}

// Line is what a recipe uses of a node.
type Line struct {
	Of *Node
	// Mass of it in g, of a recipe its finished mass; HasMass false: to taste, a pinch, a count without piece mass.
	Mass    quantity.Number
	HasMass bool
	// Batches of a recipe, where the line draws on pieces: 1/20 for one of 20; it brings the cores of the pieces
	// too. Greater than 0 it stands in place of Mass.
	Batches quantity.Number
	// Core: set into the filling (`around` in makes), in no mass of it.
	Core bool
}

// LossKind says what leaves the pan in a step.
type LossKind uint8

// What may leave a pan.
const (
	WaterLoss   LossKind = iota // boiled or dried away: water, and the alcohol that goes with it
	MixtureLoss                 // of the mixture alike
	LeftBehind                  // strained, trimmed, drained: of unknown composition
)

// Loss is what one step takes away.
type Loss struct {
	Step string // how it is named in Missing: "reduce"
	Kind LossKind
	Mass quantity.Number // g
	// Pan says which lines are in the pan; nil: not known.
	Pan []InPan
}

// InPan is a line in a pan: its index in Lines and the share of it, 0 to 1; a share of 0 is all.
type InPan struct {
	Line  int
	Share quantity.Number
}

// Split tells how many of the lost g that boil off a pan are alcohol; ok false: not known.
type Split func(pan Mixture, lost quantity.Number) (alcohol quantity.Number, ok bool)

// Doubt is a step that could not be taken off as the book has it; the composition is then
// within bounds only.
type Doubt struct {
	Recipe, Step string
	Err          error // ErrNotEnough, ErrUnknown, often a LossError
}

// Whole is the roll-up of one batch.
type Whole struct {
	Mixture         // the finished mass
	Cores   Mixture // set into it, in none of its mass
	Doubts  []Doubt // of it and all below, each once
}

// WithCores is the finished mass and its cores together.
func (w Whole) WithCores() Mixture { return Blend(w.Mixture, w.Cores) }

// Compose rolls one batch up through all levels; a shared node is worked out once.
//
//	finished = (sum of lines − losses) × (1 − LossShare) − LossMass, or what the book states
//
// What a stated mass lies below the sum is mixture lost alike, never water. What it lies above the sum is a gain that
// nobody wrote down: an unknown part. Split may be nil: then alcohol and water of a pan that may hold
// alcohol stay within bounds.
//
//   - Units: g.
//   - Errors: [ErrCircle]; [ErrNoMass] if a line draws on a recipe whose mass cannot be known; [ErrMass].
func Compose(n *Node, split Split) (Whole, error) {
	c := composer{split: split, done: map[*Node]*Whole{}}
	w, err := c.whole(n)
	if err != nil {
		return Whole{}, err
	}
	out := *w
	out.Doubts = c.doubts
	return out, nil
}

type composer struct {
	split  Split
	done   map[*Node]*Whole // nil while a node is being worked out
	doubts []Doubt
}

func (c *composer) whole(n *Node) (*Whole, error) {
	if w, ok := c.done[n]; ok {
		if w == nil {
			return nil, fmt.Errorf("%w: %s", ErrCircle, n.Name)
		}
		return w, nil
	}
	c.done[n] = nil
	var w *Whole
	var err error
	if len(n.Lines) == 0 {
		w = &Whole{Mixture: Part{Name: n.Name, Comp: n.Comp, Milk: n.Milk, Energy: n.Energy}.hundred()}
	} else if w, err = c.recipe(n); err != nil {
		return nil, err
	}
	c.done[n] = w
	return w, nil
}

// recipe works out one batch.
func (c *composer) recipe(n *Node) (*Whole, error) {
	pots := make([]pot, 0, len(n.Lines))
	var cores []Mixture
	for i, l := range n.Lines {
		m, core, err := c.line(l)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", n.Name, err)
		}
		if l.Core {
			cores = append(cores, m, core)
			continue
		}
		if !core.mass.IsZero() {
			cores = append(cores, core)
		}
		pots = append(pots, pot{lines: []int{i}, share: one, fresh: true, m: m})
	}
	for _, l := range n.Losses {
		var err error
		if pots, err = c.lose(n, pots, l); err != nil {
			return nil, fmt.Errorf("%s: %w", n.Name, err)
		}
	}
	m, err := n.finish(blendPots(pots))
	if err != nil {
		return nil, fmt.Errorf("%s: %w", n.Name, err)
	}
	return &Whole{Mixture: m, Cores: Blend(cores...)}, nil
}

// line returns what a line brings, and the cores that come with pieces.
func (c *composer) line(l Line) (m, core Mixture, err error) {
	w, err := c.whole(l.Of)
	if err != nil {
		return m, core, err
	}
	switch {
	case l.Batches.Sign() != 0:
		if m, err = w.Scale(l.Batches); err == nil {
			core, err = w.Cores.Scale(l.Batches)
		}
	case !l.HasMass:
		m = w.toTaste(l.Of.Name)
	case l.Of.NoMass != "":
		err = fmt.Errorf("%w: %s", ErrNoMass, l.Of.NoMass)
	default:
		m, err = w.Take(l.Mass)
	}
	if err != nil {
		err = fmt.Errorf("%s: %w", l.Of.Name, err)
	}
	return m, core, err
}

// finish takes the loss of the whole off and fits the stated mass.
func (n *Node) finish(m Mixture) (Mixture, error) {
	target := n.Finished
	if !n.HasFinished {
		target = m.mass.Mul(one.Sub(n.LossShare)).Sub(n.LossMass)
	}
	if target.Sign() < 0 {
		return Mixture{}, fmt.Errorf("%w: %s g left", ErrMass, target)
	}
	if !m.mass.Less(target) {
		return m.LoseMixture(m.mass.Sub(target))
	}
	gain, err := Unknown(n.Name+": more than its lines", target.Sub(m.mass))
	if err != nil {
		return Mixture{}, err
	}
	return Blend(m, gain), nil
}
