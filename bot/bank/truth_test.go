package bank

import (
	"encoding/json"
	"fmt"
	"math"
	"math/big"
	"regexp"
	"slices"
	"strings"
)

// truth is what is known to hold for a generated question: everything a reply may say about it follows from this.
type truth struct {
	b     *book
	r     *recipe  // nil where the question is about none
	k     *big.Rat // batches
	asked []measure
	want  []wanted
	due   []string // statuses
	not   string   // an ingredient that must not be named
	lists []string // allergens: exactly these are contained
	all   []string // lines that are all named, or it is asked which
	more  []truth  // what else was asked
}

// exact is how far a fact may be from the truth: four digits at least are given.
const exact = 0.0006

// want makes a wanted value out of exact ones; the first is the main form, the others are as good.
func want(name string, forms ...quantity) wanted {
	w := wanted{What: "^" + regexp.QuoteMeta(plain(name)) + "$"}
	for i, q := range forms {
		n, _ := json.Marshal(float(q.value))
		if i == 0 {
			w.Value, w.Unit, w.Tol = n, q.unit, json.RawMessage(fmt.Sprint(exact))
			continue
		}
		w.Or = append(w.Or, wanted{Value: n, Unit: q.unit})
	}
	return w
}

// quantity is an exact number with a unit.
type quantity struct {
	value *big.Rat
	unit  string
}

// amountsOf lists the ways to say k batches' worth of one ingredient's lines in a recipe; none where it is to taste.
func (b *book) amountsOf(r *recipe, name, part string, k *big.Rat) []quantity {
	var forms []quantity
	mass, count, volume := new(big.Rat), new(big.Rat), new(big.Rat)
	massKnown, counted, poured, any := true, true, true, false
	for _, l := range r.lines {
		if folded(l.name) != folded(name) || part != "" && l.part != part || l.amount.form == byNothing {
			continue
		}
		any = true
		if g, ok := b.grams(r, l); ok {
			mass.Add(mass, g)
		} else {
			massKnown = false
		}
		counted = counted && l.amount.form == byPiece
		poured = poured && l.amount.form == byVolume
		if l.amount.form == byPiece {
			count.Add(count, l.amount.value)
		}
		if l.amount.form == byVolume {
			volume.Add(volume, l.amount.value)
		}
	}
	if !any {
		return nil
	}
	if counted {
		forms = append(forms, quantity{mul(count, k), "each"})
	}
	if poured {
		forms = append(forms, quantity{mul(volume, k), "ml"})
	}
	if massKnown {
		forms = append(forms, quantity{mul(mass, k), "g"})
	}
	return forms
}

// explains says whether a fact of a reply follows from the truth; a fact without a number always does.
func (tr truth) explains(f fact) bool {
	nums := f.numbers()
	if len(nums) == 0 || slices.ContainsFunc(tr.more, func(o truth) bool { return o.explains(f) }) {
		return true
	}
	all := func(forms ...quantity) bool {
		for _, n := range nums {
			got := measured(n, f.Unit, tr.b.spoons)
			if !slices.ContainsFunc(forms, func(q quantity) bool { return got.near(measured(float(q.value), q.unit, tr.b.spoons), exact) }) {
				return false
			}
		}
		return true
	}
	for _, w := range tr.want {
		for _, alt := range append([]wanted{w}, w.Or...) {
			alt.What, alt.Tol = w.What, w.Tol
			if ok, _ := alt.fits(f, tr.b.spoons); ok && matches(w.What, f.What) && len(nums) == 1 {
				return true
			}
		}
	}
	if f.From == "asked" {
		for _, n := range nums {
			got := measured(n, f.Unit, tr.b.spoons)
			if !slices.ContainsFunc(tr.asked, func(m measure) bool { return got.near(m, exact) || math.Abs(n-m.value) < 1e-9 }) {
				return false
			}
		}
		return true
	}
	r := tr.r
	if f.Of != "" && (r == nil || folded(f.Of) != folded(r.name)) {
		if of := tr.b.recipe(f.Of); of != nil {
			return tr.explainsOther(f, of)
		}
	}
	if r == nil {
		return tr.explainsItem(f, all)
	}
	k := tr.k
	if k == nil {
		k = whole(1)
	}
	switch f.What {
	case "factor":
		return all(quantity{k, "each"})
	case "total":
		m, ok := tr.b.finished(r)
		return ok && all(quantity{mul(m, k), "g"})
	case "pieces", "moulds", "trays", "covers", "plates":
		if r.count == nil {
			return false
		}
		n := mul(r.count, k)
		return all(quantity{n, "each"}, quantity{roundUp(n), "each"}, quantity{roundDown(n), "each"})
	case "batches":
		return all(quantity{roundUp(k), "each"})
	case "cost", "cost per piece", "cost per portion", "cost per cover":
		c, ok := tr.b.cost(r)
		if !ok {
			return false
		}
		if f.What != "cost" && r.count != nil {
			return all(quantity{quo(c, r.count), tr.b.currency})
		}
		return all(quantity{mul(c, k), tr.b.currency})
	case "keeps":
		return tr.explainsKeep(f)
	}
	if forms := tr.b.amountsOf(r, f.What, f.Part, k); len(forms) > 0 {
		if all(forms...) || tr.explainsRange(f, r, k) {
			return true
		}
	}
	if g, known, found := tr.b.rolled(r, f.What, k); found && known && all(quantity{g, "g"}) {
		return true
	}
	return tr.explainsStep(f, r)
}

// explainsOther takes a fact of a linked recipe: a roll-up of what the question needs of it.
func (tr truth) explainsOther(f fact, of *recipe) bool {
	if tr.r == nil {
		return false
	}
	k := tr.k
	if k == nil {
		k = whole(1)
	}
	n, ok := tr.b.batchesOf(tr.r, of, k)
	if !ok {
		return false
	}
	inner := truth{b: tr.b, r: of, k: n}
	return inner.explains(f)
}

// batchesOf is how many batches of an inner recipe k batches of r draw, through every level.
func (b *book) batchesOf(r, of *recipe, k *big.Rat) (*big.Rat, bool) {
	total, found := new(big.Rat), false
	for _, l := range r.lines {
		to := b.link(l)
		if to == nil {
			continue
		}
		n, ok := b.drawn(r, l)
		if !ok {
			continue
		}
		if to == of {
			total.Add(total, mul(n, k))
			found = true
			continue
		}
		if deep, ok := b.batchesOf(to, of, mul(n, k)); ok {
			total.Add(total, deep)
			found = true
		}
	}
	return total, found
}

// explainsRange takes a line that is written as a range.
func (tr truth) explainsRange(f fact, r *recipe, k *big.Rat) bool {
	for _, l := range r.lines {
		if folded(l.name) != folded(f.What) || l.amount.lo == nil {
			continue
		}
		lo, hi := float(mul(l.amount.lo, k)), float(mul(l.amount.hi, k))
		if f.Min != nil && f.Max != nil && math.Abs(*f.Min-lo) <= exact*lo && math.Abs(*f.Max-hi) <= exact*hi {
			return true
		}
		if g, ok := tr.b.grams(r, l); ok && f.Unit == "g" && f.Min != nil && f.Max != nil {
			each := float(quo(g, l.amount.value))
			return math.Abs(*f.Min-lo*each) <= exact*lo*each && math.Abs(*f.Max-hi*each) <= exact*hi*each
		}
	}
	return false
}

// explainsItem takes a fact of the larder: a density or a weight of a piece.
func (tr truth) explainsItem(f fact, all func(...quantity) bool) bool {
	for _, it := range tr.b.larder {
		if f.What == "density" && it.density != nil && all(quantity{it.density, "g/ml"}) {
			return true
		}
		for _, g := range it.piece {
			if f.From == "larder" && all(quantity{g, "g"}) {
				return true
			}
		}
	}
	return false
}

func roundUp(r *big.Rat) *big.Rat {
	f := roundDown(r)
	if f.Cmp(r) == 0 {
		return f
	}
	return sum(f, whole(1))
}

func roundDown(r *big.Rat) *big.Rat {
	return new(big.Rat).SetInt(new(big.Int).Div(r.Num(), r.Denom()))
}

// span is a time or temperature as the book writes it: one number, or least, most and never.
type span struct{ value, least, most, never *float64 }

var spanPart = regexp.MustCompile(`([\d.]+) ?(°C|°F|[a-z]+)`)

// readSpan reads "12 min", "at least 8 h", "8 h to 24 h, never over 48 h" in minutes, degrees and days as written.
func readSpan(s string) (span, string, bool) {
	parts := spanPart.FindAllStringSubmatch(s, -1)
	if len(parts) == 0 {
		return span{}, "", false
	}
	var nums []float64
	kind := ""
	for _, p := range parts {
		m := measured(float(rat(p[1])), p[2], "metric")
		kind = m.kind
		nums = append(nums, m.value)
	}
	sp := span{}
	if i := strings.Index(s, "never over"); i >= 0 {
		sp.never = &nums[len(nums)-1]
		nums = nums[:len(nums)-1]
	}
	switch {
	case len(nums) == 0:
	case strings.Contains(s, "at least"):
		sp.least = &nums[0]
	case strings.Contains(s, "at most"):
		sp.most = &nums[0]
	case len(nums) == 2:
		sp.least, sp.most = &nums[0], &nums[1]
	default:
		sp.value = &nums[0]
	}
	return sp, kind, true
}

// gives says whether a fact carries just this span.
func (sp span) gives(f fact, kind, spoons string) bool {
	same := func(want *float64, got *float64) bool {
		if want == nil || got == nil {
			return want == nil && got == nil
		}
		return measured(*got, f.Unit, spoons).near(measure{kind, *want}, exact)
	}
	var value *float64
	if n, ok := f.number(); ok {
		value = &n
	}
	return same(sp.value, value) && same(sp.least, f.Min) && same(sp.most, f.Max) && same(sp.never, f.Never)
}

// explainsStep takes a time, a temperature or a reading of the method.
func (tr truth) explainsStep(f fact, r *recipe) bool {
	for _, s := range r.steps {
		if tr.explainsPan(f, s) {
			return true
		}
		for _, k := range []string{"for", "hold", "stir every", "hands", "at", "to", "from", "until", "ahead"} {
			written := s.keys[k]
			if k == "until" && !strings.HasPrefix(written, "core ") || written == "" {
				continue
			}
			sp, kind, ok := readSpan(written)
			if ok && sp.gives(f, kind, tr.b.spoons) && strings.Contains(s.verb+" "+k+" core", strings.Fields(f.What)[0]) {
				return true
			}
		}
	}
	return false
}

// explainsPan takes the readings of a step that boils down in a pan of the house.
func (tr truth) explainsPan(f fact, s step) bool {
	p, ok := tr.b.pans[s.keys["in"]]
	from, to, ok2 := tr.b.drop(s)
	n, ok3 := f.number()
	if !ok || !ok2 || !ok3 {
		return false
	}
	k := tr.k
	from, to = mul(from, k), mul(to, k)
	forms := map[string]*big.Rat{"pan reading": sum(p.empty, to), "empty": p.empty, "start": from, "evaporated": minus(from, to), s.verb + " to": to}
	v, ok := forms[f.What]
	return ok && measured(n, f.Unit, tr.b.spoons).near(measure{"mass", float(v)}, exact)
}

func (tr truth) explainsKeep(f fact) bool {
	for _, s := range tr.r.keeps {
		long, place, _ := strings.Cut(s, " in ")
		sp, kind, ok := readSpan(long)
		if ok && sp.gives(f, kind, tr.b.spoons) && (f.At == "" || strings.HasPrefix(place, f.At) || strings.HasPrefix(f.At, place)) {
			return true
		}
	}
	return false
}

// contains is the set of allergens of a recipe by every line and link; known is false where a leaf does not say.
func (b *book) contains(r *recipe) (set []string, known bool) {
	known = true
	for _, l := range r.lines {
		var more []string
		if to := b.link(l); to != nil {
			sub, ok := b.contains(to)
			more, known = sub, known && ok
		} else if it := b.item(l.name); it != nil && it.statesContent {
			for _, c := range it.contains {
				name, _, _ := strings.Cut(c, " (")
				more = append(more, name)
			}
		} else {
			known = false
		}
		set = append(set, more...)
	}
	slices.Sort(set)
	return slices.Compact(set), known
}
