package bank

import (
	"fmt"
	"math/big"
	"regexp"
	"strings"

	"gopkg.in/yaml.v3"
)

func (b *book) readRecipe(n *yaml.Node) (*recipe, error) {
	r := &recipe{name: text(n, "recipe"), also: words(child(n, "also")), makes: text(n, "makes"), share: whole(1),
		keeps: words(child(n, "keeps")), pours: text(n, "pours") == "true", season: text(n, "season"), basedOn: text(n, "based on"),
		shared: words(child(n, "made with shared")), instead: map[string]string{}}
	if c := child(n, "suits"); c != nil {
		r.suits, r.suitsSet = words(c), true
	}
	if c := child(n, "instead"); c != nil {
		for _, m := range c.Content {
			for _, p := range pairs(m) {
				r.instead[p.key.Value] = p.value.Value
			}
		}
	}
	if l := text(n, "loss"); strings.HasSuffix(l, "%") {
		r.share = minus(whole(1), hundredth(rat(strings.TrimSpace(strings.TrimSuffix(l, "%")))))
	} else if l != "" {
		a, err := readAmount(l, b.spoons)
		if err != nil {
			return nil, err
		}
		r.lossMass = a.value
	}
	if err := b.readMakes(r); err != nil {
		return nil, err
	}
	list := child(n, "ingredients")
	if p := child(n, "plate"); p != nil {
		list, r.dish = p, true
	}
	for _, l := range list.Content {
		ln, err := b.readLine(l)
		if err != nil {
			return nil, err
		}
		r.lines = append(r.lines, ln)
	}
	if m := child(n, "method"); m != nil {
		for _, s := range m.Content {
			r.steps = append(r.steps, readStep(s))
		}
	}
	return r, nil
}

func (b *book) readLine(n *yaml.Node) (line, error) {
	p := pairs(n)[0]
	l := line{name: p.key.Value}
	if rest, ok := strings.CutPrefix(l.name, "bought "); ok {
		l.name, l.bought = rest, true
	}
	written := p.value.Value
	if p.value.Kind == yaml.MappingNode {
		written, l.part = text(p.value, "amount"), text(p.value, "part")
	}
	a, err := readAmount(written, b.spoons)
	l.amount = a
	return l, err
}

func readStep(n *yaml.Node) step {
	s := step{keys: map[string]string{}}
	for i, p := range pairs(n) {
		if i == 0 {
			s.verb, s.words = p.key.Value, p.value.Value
			continue
		}
		if p.value.Kind == yaml.ScalarNode {
			s.keys[p.key.Value] = p.value.Value
		}
		if p.key.Value == "of" {
			s.of = words(p.value)
		}
	}
	return s
}

var (
	makesFill   = regexp.MustCompile(`^fill (\d+) of ([^(]+?)(?: around .*)?$`)
	makesFrame  = regexp.MustCompile(`^(\d+) frames? of ([\d.]+) x ([\d.]+) x ([\d.]+) cm$`)
	makesPieces = regexp.MustCompile(`^(\d+) ([\pL]+)(?: of (.+))?$`)
)

func (b *book) readMakes(r *recipe) error {
	switch m := r.makes; {
	case m == "":
	case makesFill.MatchString(m):
		g := makesFill.FindStringSubmatch(m)
		if _, ok := b.moulds[g[2]]; !ok {
			return fmt.Errorf("no mould %q", g[2])
		}
		r.count, r.countWord = rat(g[1]), "piece"
	case makesFrame.MatchString(m):
		r.frame = makesFrame.FindStringSubmatch(m)[1:]
		r.count, r.countWord = rat(r.frame[0]), "frame"
	default:
		if a, err := readAmount(m, b.spoons); err == nil && a.form == byMass {
			r.mass = a.value
			return nil
		}
		g := makesPieces.FindStringSubmatch(m)
		if g == nil {
			return fmt.Errorf("makes %q", m)
		}
		r.count, r.countWord = rat(g[1]), single(g[2])
		if g[3] != "" {
			a, err := readAmount(g[3], b.spoons)
			if err != nil {
				return err
			}
			r.mass = mul(a.value, r.count)
		}
	}
	return nil
}

// grams is the mass of a line in one batch; false where the book does not say it.
func (b *book) grams(r *recipe, l line) (*big.Rat, bool) {
	a := l.amount
	switch a.form {
	case byNothing:
		return nil, false
	case byMass:
		return a.value, true
	case byShare:
		if len(a.of) == 1 && a.of[0] == "liquids" {
			base, ok := b.liquids(r, l.part)
			return mul(base, a.value), ok
		}
		base := new(big.Rat)
		for _, name := range a.of {
			found := false
			for _, same := range []bool{true, false} {
				for _, o := range r.lines {
					if o.name == name && o.amount.form != byShare && (!same || o.part == l.part) {
						g, ok := b.grams(r, o)
						if !ok {
							return nil, false
						}
						base.Add(base, g)
						found = true
					}
				}
				if found {
					break
				}
			}
			if !found {
				return nil, false
			}
		}
		return mul(base, a.value), true
	case byVolume:
		if it := b.item(l.name); it != nil && it.density != nil {
			return mul(a.value, it.density), true
		}
		return nil, false
	case byPart:
		return b.partGrams(r, a)
	}
	if a.grams != nil {
		return a.grams, true
	}
	if to := b.link(l); to != nil {
		if to.count == nil {
			return nil, false
		}
		m, ok := b.finished(to)
		if !ok {
			return nil, false
		}
		return mul(a.value, quo(m, to.count)), true
	}
	if it := b.item(l.name); it != nil {
		if g, ok := it.piece[single(a.unit)]; ok {
			return mul(a.value, g), true
		}
		if g, ok := it.piece[""]; ok {
			return mul(a.value, g), true
		}
	}
	return nil, false
}

// liquids is the mass of the lines that pour.
func (b *book) liquids(r *recipe, part string) (*big.Rat, bool) {
	total := new(big.Rat)
	for _, l := range r.lines {
		it, to := b.item(l.name), b.link(l)
		if l.part != part || !(l.amount.form == byVolume || it != nil && it.pours || to != nil && to.pours) {
			continue
		}
		g, ok := b.grams(r, l)
		if !ok {
			return nil, false
		}
		total.Add(total, g)
	}
	return total, true
}

func (b *book) partGrams(r *recipe, a amount) (*big.Rat, bool) {
	if r.mass == nil {
		return nil, false
	}
	parts := new(big.Rat)
	for _, l := range r.lines {
		switch l.amount.form {
		case byPart:
			parts.Add(parts, l.amount.value)
		case byShare:
			p := new(big.Rat)
			for _, name := range l.amount.of {
				for _, o := range r.lines {
					if o.name == name {
						p.Add(p, o.amount.value)
					}
				}
			}
			parts.Add(parts, mul(p, l.amount.value))
		default:
			return nil, false
		}
	}
	return mul(quo(quo(r.mass, r.share), parts), a.value), true
}

// finished is the mass a batch ends with, by the formula of the book format.
func (b *book) finished(r *recipe) (*big.Rat, bool) {
	if r.mass != nil {
		return r.mass, true
	}
	total := new(big.Rat)
	for _, l := range r.lines {
		if l.amount.form == byNothing {
			continue
		}
		g, ok := b.grams(r, l)
		if !ok {
			return nil, false
		}
		total.Add(total, g)
	}
	for _, s := range r.steps {
		if from, to, ok := b.drop(s); ok {
			total.Sub(total, minus(from, to))
		}
	}
	total = mul(total, r.share)
	if r.lossMass != nil {
		total = minus(total, r.lossMass)
	}
	return total, true
}

// drop returns the masses of a step that takes mass away.
func (b *book) drop(s step) (from, to *big.Rat, ok bool) {
	f, err := readAmount(s.keys["from"], b.spoons)
	if s.keys["from"] == "" || err != nil || f.form != byMass {
		return nil, nil, false
	}
	if s.keys["to"] == "half" {
		return f.value, quo(f.value, whole(2)), true
	}
	t, err := readAmount(s.keys["to"], b.spoons)
	if err != nil || t.form != byMass {
		return nil, nil, false
	}
	return f.value, t.value, true
}

// drawn is how many batches of the linked recipe one batch's line takes.
func (b *book) drawn(r *recipe, l line) (*big.Rat, bool) {
	to := b.link(l)
	if to == nil {
		return nil, false
	}
	if l.amount.form == byPiece && l.amount.grams == nil && to.count != nil {
		return quo(l.amount.value, to.count), true
	}
	g, ok := b.grams(r, l)
	if !ok {
		return nil, false
	}
	m, ok := b.finished(to)
	if !ok || m.Sign() == 0 {
		return nil, false
	}
	return quo(g, m), true
}

// rolled is the mass of one ingredient through every level of k batches.
func (b *book) rolled(r *recipe, name string, k *big.Rat) (total *big.Rat, known, found bool) {
	total, known = new(big.Rat), true
	for _, l := range r.lines {
		if to := b.link(l); to != nil && folded(to.name) != folded(name) {
			n, ok := b.drawn(r, l)
			if !ok {
				if _, _, f := b.rolled(to, name, k); f {
					known, found = false, true
				}
				continue
			}
			g, ok, f := b.rolled(to, name, mul(k, n))
			if f {
				total.Add(total, g)
				known, found = known && ok, true
			}
			continue
		}
		if folded(l.name) != folded(name) {
			continue
		}
		found = true
		g, ok := b.grams(r, l)
		if !ok {
			known = false
			continue
		}
		total.Add(total, mul(g, k))
	}
	return total, known, found
}
