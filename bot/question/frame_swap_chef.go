package question

import (
	"slices"

	"tamis/kb"
	"tamis/kb/name"
	"tamis/kb/recipe"
)

// chefsChoice is a line of a recipe and what the chef lets stand in for it.
type chefsChoice struct {
	line string
	to   Item
	at   []int // the spans that name what comes in
}

// chefsChoices finds what the message names that is on no line of a recipe and that
// the chef lets stand in for exactly one of them.
func (s *sense) chefsChoices(r *kb.Recipe, p pick) (c chefsChoice, ok bool) {
	for _, i := range s.names {
		if slices.Contains(p.spans, i) {
			continue
		}
		it, is := s.item(i)
		if !is || it.Part && it.Larder == nil {
			return c, false
		}
		if m, _ := it.match(r); m == exactMatch { // "with apple for the plum"
			if len(c.at) > 0 && (it.Is(c.line, s.larderItem(name.Fold(c.line)).Larder)) {
				c.at = append(c.at, i)
				continue
			}
			return c, false
		}
		var lines []string
		for k := range r.Instead {
			in := &r.Instead[k]
			if in.NotPossible {
				continue
			}
			if it.Is(in.Name, s.larderItem(name.Fold(in.Name)).Larder) && !slices.Contains(lines, in.Line) {
				lines = append(lines, in.Line)
				if n := name.Fold(in.Name); !slices.Contains(it.Names, n) {
					it.Names = append(it.Names, n)
				}
			}
		}
		if len(lines) != 1 || c.line != "" && c.line != lines[0] {
			return c, false
		}
		if c.line == "" {
			c.to = it
		}
		c.line, c.at = lines[0], append(c.at, i)
	}
	return c, c.line != ""
}

// frameChefs: a recipe made with what the chef lets stand in for a line, without a
// word of exchange: "focaccia 6 trays with instant yeast how much", "allergens of
// the plum tart if we do it with apple".
func frameChefs(s *sense) []reading {
	if s.any(cueSwap, cueWithout, cueNot, cueNo, cueRescue, cueChange, cueCost, cueUses, cueWhy) || s.hears("put", "went", "used", "poured", "added", "mistake", "accidentally") {
		return nil
	}
	lists := s.any(cueAllergen, cueShared)
	if !lists && (s.any(cueHowlong, cueTemp, cueWhen, cueKeeps, cueFree, cueDiet, cueContain) || len(s.allergens) > 0) {
		return nil
	}
	var out []reading
	for _, p := range s.picksOfOne() {
		rec := p.targets[0].Recipe
		c, ok := s.chefsChoices(rec, p)
		if !ok {
			continue
		}
		with := slices.ContainsFunc(c.at, func(i int) bool {
			switch s.leadOf(i) {
			case "with", "w", "using", "use", "w/", "mit", "avec", "con", "com":
				return true
			}
			return false
		})
		if !with && (lists || !s.any(cueHowmuch, cueHowmany)) {
			continue
		}
		want, about := WantSwap, "swap"
		if lists {
			want, about = WantAllergens, "allergen"
		}
		base := s.start(want, about, p)
		to := c.to
		base.q.Items, base.q.To = []Item{s.itemOfLine(c.line)}, &to
		for _, i := range c.at {
			base.used[i] = true
		}
		base.consumes = base.consumes.or(sizeCues).with(cueHowmuch, cueHowmany, cueWeigh, cueYes)
		if lists {
			s.takeAllergens(&base)
			base.consumes = base.consumes.with(cueAllergen, cueShared, cueContain, cueIn, cueAll, cueIngredients)
			out = append(out, base)
			continue
		}
		out = append(out, s.sizedOn(base, p)...)
	}
	return out
}

// itemOfLine is a line's name as an ingredient.
func (s *sense) itemOfLine(line string) Item {
	it := s.larderItem(name.Fold(line))
	it.Text = line
	if n := name.Fold(line); !slices.Contains(it.Names, n) {
		it.Names = append(it.Names, n)
	}
	return it
}

// InsteadOf is the chef's word by which what a question has coming in stands for its
// line in a recipe; nil where there is none.
func (q *Question) InsteadOf(r *kb.Recipe) *recipe.Instead {
	if q.To == nil || len(q.Items) != 1 {
		return nil
	}
	for k := range r.Instead {
		in := &r.Instead[k]
		if !in.NotPossible && slices.Contains(q.To.Names, name.Fold(in.Name)) && slices.Contains(q.Items[0].Names, name.Fold(in.Line)) {
			return in
		}
	}
	return nil
}
