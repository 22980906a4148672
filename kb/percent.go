package kb

import (
	"fmt"
	"slices"
	"strings"

	"tamis/calc/quantity"
	"tamis/kb/recipe"
)

// percents works out the lines of one recipe that are a % of others.
type percents struct {
	b      *builder
	e      *entry
	byName map[string][]int // lines by folded name
	sums   map[string]*term // what % lines are of, by part and names
}

func (b *builder) percents(e *entry) {
	p := &percents{b: b, e: e, byName: map[string][]int{}, sums: map[string]*term{}}
	for i := range e.lines {
		f := b.word(e.lines[i].Name).fold
		p.byName[f] = append(p.byName[f], i)
	}
	for i := range e.lines {
		if e.out {
			return
		}
		p.line(i, 0)
	}
}

// line works out line i if it is a % line, the lines it is of first.
func (p *percents) line(i, deep int) {
	t, l := &p.e.terms[i], &p.e.lines[i]
	switch {
	case t.done || p.e.out:
		return
	case t.doing:
		p.e.fault(l.Pos, codePercent, quote(l.Name)+" is a % of itself.", "a mass for one of the lines")
		return
	case deep > maxPercentChain:
		p.e.fault(l.Pos, codePercent, fmt.Sprintf("More than %d lines are each a %% of the next.", maxPercentChain), "a mass for one of the lines")
		return
	}
	t.doing = true
	base := p.base(l, deep)
	if p.e.out {
		return
	}
	a := l.written()
	share := middle(a).Div(hundred)
	t.parts, t.grams, t.from = base.parts.Mul(share), base.grams.Mul(share), fromCalculated
	t.known = base.known && t.parts.IsZero()
	t.stretch(a)
	t.done, t.doing = true, false
}

// base adds up the lines that % line l is of: those of its part, else of the
// recipe. If one of them has no mass, the sum has none.
func (p *percents) base(l *Line, deep int) *term {
	key := p.b.word(l.Part).fold + "\x00" + strings.Join(l.written().Of, "\x00")
	if t, ok := p.sums[key]; ok {
		return t
	}
	of := p.of(l)
	if len(of) == 0 {
		text, write := "No line is named "+list(l.written().Of)+".", "the name of a line of this recipe"
		if isLiquids(l.written().Of) {
			text, write = "No line of the recipe is liquid.", "the names of lines in place of liquids, or pours: true in larder.yaml"
		}
		p.e.fault(l.Pos, codePercent, text, write)
		return nil
	}
	var parts, grams []quantity.Number
	t := &term{known: true}
	for _, j := range of {
		p.line(j, deep+1)
		o := &p.e.terms[j]
		parts, grams = append(parts, o.parts), append(grams, o.grams)
		t.known = t.known && (o.known || !o.parts.IsZero())
	}
	if p.e.out {
		return nil
	}
	var fine, fine2 bool
	t.parts, fine = sumOf(parts)
	t.grams, fine2 = sumOf(grams)
	if !fine || !fine2 {
		p.e.fault(l.Pos, codeFine, "The amounts are fractions too fine to add up.", "decimals")
		return nil
	}
	if !t.known {
		t = &term{}
	}
	p.sums[key] = t
	return t
}

func isLiquids(of []string) bool { return len(of) == 1 && of[0] == "liquids" }

// of returns the lines that % line l is of, in order.
func (p *percents) of(l *Line) []int {
	part := p.b.word(l.Part).fold
	inPart := func(j int) bool { return p.b.word(p.e.lines[j].Part).fold == part }
	pick := func(all []int) []int {
		var mine []int
		for _, j := range all {
			if inPart(j) {
				mine = append(mine, j)
			}
		}
		if len(mine) == 0 {
			return all
		}
		return mine
	}
	if isLiquids(l.written().Of) {
		var all []int
		for j := range p.e.lines {
			o := &p.e.lines[j]
			if a := o.written(); o.IsLiquid && !(a.Kind == recipe.PercentOf && isLiquids(a.Of)) {
				all = append(all, j)
			}
		}
		return pick(all)
	}
	var all []int
	for _, name := range l.written().Of {
		all = append(all, pick(p.byName[p.b.word(name).fold])...)
	}
	slices.Sort(all)
	return slices.Compact(all)
}
