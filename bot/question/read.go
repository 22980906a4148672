package question

import (
	"fmt"
	"slices"
	"strings"

	"tamis/calc/quantity"
)

// most coverings that are looked at, and most readings that are returned.
const (
	mostPaths    = 24
	mostReadings = 32
	// within is how much dearer than the best a reading may be to be looked at.
	within = 10
	// longWords: a message of more words is no question that anybody types; it is
	// read in fewer ways, so that its length costs no more than its reading.
	longWords = 150
	longPicks = 8
)

func (l *lattice) long() bool { return len(l.tokens) > longWords }

// Read returns the readings of a message, cheapest first. None means that
// nothing asked for was recognised.
func Read(x *Lexicon, text string, ctx *Context, m quantity.Measure) []Question {
	l := newLattice(x, text, m)
	if len(l.tokens) == 0 {
		return nil
	}
	var out []*Question
	all := frames()
	best := 1 << 30
	coverings := mostPaths
	if l.long() {
		coverings = 2
	}
	for _, p := range l.paths(coverings) {
		if p.cost > best+within {
			break // what comes costs more still
		}
		s := newSense(l, p, ctx)
		s.limit = best + within
		for _, f := range all {
			for _, r := range f(s) {
				if r.extra+p.cost > best+within {
					continue
				}
				if q := s.finish(r); q.Cost <= best+within {
					if !q.IsWork() { // what nothing runs for is dropped: the others stand then
						best = min(best, q.Cost)
					}
					out = append(out, q)
				}
			}
			s.limit = best + within
		}
	}
	slices.SortStableFunc(out, func(a, b *Question) int { return a.Cost - b.Cost })
	seen := map[string]bool{}
	var kept []Question
	for _, q := range out {
		if q.Cost > best+within || len(kept) == mostReadings {
			break
		}
		if k := q.same(); !seen[k] {
			seen[k] = true
			kept = append(kept, *q)
		}
	}
	return kept
}

// OutRecipe returns the name of a faulty recipe that the message writes out, "" if none.
func OutRecipe(x *Lexicon, text string) string {
	l := newLattice(x, text, quantity.Metric)
	for _, p := range l.paths(4) {
		if n := newSense(l, p, nil).outRecipe(); n != "" {
			return n
		}
	}
	return ""
}

// Leftover returns the words of a message that say what it is about and that
// no word file knows: what a search may look for.
func Leftover(x *Lexicon, text string) string {
	l := newLattice(x, text, quantity.Metric)
	var words []string
	for _, p := range l.paths(1) {
		for i := range p.spans {
			switch sp := &p.spans[i]; sp.kind {
			case spanUnused, spanName, spanAllergen:
				if !l.tokens[sp.from].number {
					words = append(words, l.text[l.tokens[sp.from].start:l.tokens[sp.to-1].end])
				}
			}
		}
	}
	return strings.Join(words, " ")
}

// same is equal for questions that ask the same.
func (q *Question) same() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%d|%d|%v%v%v%v%v|%s|%v|%v", q.Want, q.Per, q.Time, q.Temp, q.Core, q.Oven, q.Next, q.Place, q.Missing, q.HasUnit)
	fmt.Fprintf(&b, "w%v%v%v%v", q.Whole, q.Thawed, q.Stands, q.Shortest)
	fmt.Fprintf(&b, "s%d", q.Step)
	if q.HasUnit {
		b.WriteString(q.Unit.Symbol)
	}
	if q.HasQty {
		b.WriteString(q.Quantity.String())
	}
	for _, n := range q.Quantities {
		b.WriteString(";" + n.String())
	}
	if q.Thing != nil {
		b.WriteString("#" + q.Thing.Text)
	}
	for i := range q.Targets {
		t := &q.Targets[i]
		if t.Recipe != nil {
			b.WriteString("@" + t.Recipe.Name)
		}
		fmt.Fprintf(&b, ",%d,%s,%v,%v", t.Scale.Kind, t.Scale.N, t.Scale.All, t.Scale.Spare)
		if t.Scale.Mould != nil {
			b.WriteString(t.Scale.Mould.Text)
		}
		for _, n := range t.Scale.Sides {
			b.WriteString("/" + n.String())
		}
		for _, g := range t.Scale.Given {
			b.WriteString("<" + g.Item.Text + g.Q.String())
		}
	}
	for i := range q.Items {
		b.WriteString("+" + q.Items[i].Text)
	}
	if q.To != nil {
		b.WriteString(">" + q.To.Text)
	}
	if q.Have != nil {
		b.WriteString("=" + q.Have.Q.String())
	}
	for i := range q.Exclude {
		b.WriteString("-" + q.Exclude[i].Text)
	}
	for _, a := range q.Allergen {
		b.WriteString("!" + a.String())
	}
	for _, d := range q.Diet {
		b.WriteString("&" + d)
	}
	for _, c := range q.Content {
		b.WriteString("%" + c.Name)
	}
	b.WriteString("~" + q.AmongText)
	b.WriteString(strings.Join(q.Verbs, ","))
	b.WriteString(q.Goal.same() + heatedKey(q.Heated) + "<" + heatedKey(q.Before))
	b.WriteString(q.Work.same())
	if q.Want == WantCaution || q.Want == WantGuest || q.Want == WantLimit || q.Want == WantKilled || q.Want == WantTempLog {
		b.WriteString(strings.Join(q.Foods, ","))
	}
	if q.Want == WantUnsafe {
		b.WriteString(string(q.Stood.Kind))
	}
	if q.Want == WantUseBy && q.Ago != nil {
		b.WriteString(q.Ago.String())
	}
	b.WriteString(q.Heat.same())
	b.WriteString(q.Craft.same())
	b.WriteString(q.Modified)
	if q.Clock != nil {
		fmt.Fprintf(&b, "t%v", *q.Clock)
	}
	if q.Also != nil {
		b.WriteString("and " + q.Also.same())
	}
	return b.String()
}

// Key is equal for questions that ask the same.
func (q *Question) Key() string { return q.same() }
