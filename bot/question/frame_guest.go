package question

import (
	"slices"
	"strings"
	"sync"
	"unicode/utf8"

	"tamis/calc/quantity"
	"tamis/kb"
)

// guestKinds are who a dish may be a risk for, in the order they are told.
var guestKinds = []string{"pregnancy", "child", "old", "dry"}

// guests are those that the message speaks of.
func (s *sense) guests() []string {
	var out []string
	for _, g := range guestKinds {
		if s.safetyPhrase("guest " + g) {
			out = append(out, g)
		}
	}
	return out
}

// frameGuest: whether a dish is for a pregnant guest, a child, an old or ill one
// or one who doesn't drink, and whether its egg is raw: "can a pregnant guest
// have the parfait, is the yolk raw?"
func frameGuest(s *sense) []reading {
	if len(s.l.tokens) > 26 || s.any(cueHowmuch, cueHowmany, cueCost, cueAllergen, cueRescue, cueChange, cueSwap, cueKeeps, cueHowlong) || len(s.allergens) > 0 && !s.safetyPhrase("guest egg") {
		return nil
	}
	s = s.guestSlips()
	if s.any(cueMenu, cueUses) {
		return nil // "what can she eat": of the whole book
	}
	who := s.guests()
	plain := s.saysOf("raw", "uncooked", "undercooked", "runny")
	raw := plain || s.safetyPhrase("guest raw") && s.safetyPhrase("guest egg")
	drink := s.safetyPhrase("guest drink")
	if len(who) == 0 && !(raw && s.isAsked()) || len(who) > 0 && !s.safetyPhrase("guest ask") && !raw && !drink {
		return nil
	}
	var out []reading
	for _, p := range s.picks() {
		if len(p.targets) != 1 || p.targets[0].Part && len(s.l.tokens) > 1 && p.cost > costPartHead+costPartWord {
			continue
		}
		if p.talk && !s.any(cueWhatabout) && !s.saysOf("it", "that", "this", "they", "them", "those") {
			continue
		}
		r := s.start(WantGuest, "safety", p)
		r.q.Assumed = append(r.q.Assumed, s.slips...)
		for i := range s.p.spans {
			switch sp := s.span(i); sp.kind {
			case spanCue, spanClock, spanAllergen:
				r.used[i] = true
			case spanUnused: // a food that the book lacks is no part of the question
				r.used[i] = r.used[i] || !sp.food && !s.l.tokens[sp.from].number || s.guestWord(sp)
			case spanName:
				r.used[i] = r.used[i] || s.guestWord(sp)
			case spanQuantity: // "a 5 year old", "2 kids"
				r.used[i] = r.used[i] || s.guestCount(i)
			}
		}
		r.q.Foods = who
		switch {
		case len(who) > 0 && drink:
			r.q.Foods = append(who[:len(who):len(who)], "drink")
		case len(who) == 0 && s.safetyPhrase("guest egg"):
			r.q.Foods = []string{"egg"}
		case len(who) == 0:
			r.q.Foods = []string{"old"} // all that is raw
		}
		r.extra = p.cost - s.p.cost - 4
		if p.talk {
			for _, i := range s.names { // another food is asked about
				if !r.used[i] {
					r.extra += costLostName
				}
			}
		}
		out = append(out, r)
	}
	return out
}

// isAsked reports whether the message is a question by its first word or a mark.
func (s *sense) isAsked() bool {
	switch s.l.tokens[0].plain {
	case "is", "are", "does", "do", "has", "have", "was", "were", "any":
		return true
	}
	for k := range s.l.tokens {
		if s.l.tokens[k].question {
			return true
		}
	}
	return false
}

// guestWord reports whether a span's words say who is to eat it or what of it is
// asked about, and nothing else.
func (s *sense) guestWord(sp *span) bool {
	words := make([]string, 0, sp.to-sp.from)
	for k := sp.from; k < sp.to; k++ {
		words = append(words, s.l.tokens[k].plain)
	}
	for _, role := range []workRole{"guest pregnancy", "guest child", "guest old", "guest dry", "guest raw", "guest egg", "guest drink"} {
		if n, _ := safetyWords().longest(words, []workRole{role}); n == len(words) {
			return true
		}
	}
	return false
}

// guestCount reports whether a number tells how old or how many the guests are.
func (s *sense) guestCount(i int) bool {
	sp := s.span(i)
	if sp.q.Q.Unit.Dim == quantity.Time {
		w := s.after(i)
		return w == "old" || w == "olds"
	}
	if sp.q.Q.Unit.Dim != quantity.None || sp.to >= len(s.l.tokens) {
		return false
	}
	for _, g := range guestKinds {
		words := make([]string, 0, 4)
		for k := sp.to; k < min(len(s.l.tokens), sp.to+4); k++ {
			words = append(words, s.l.tokens[k].plain)
		}
		if n, _ := safetyWords().longest(words, []workRole{workRole("guest " + g)}); n > 0 {
			return true
		}
	}
	return false
}

// guestList are the longer words for guests, in order.
var guestList = sync.OnceValue(func() []string {
	var out []string
	for _, list := range safetyWords().phrases {
		for _, p := range list {
			for _, g := range guestKinds {
				for _, w := range p.words {
					if p.roles[workRole("guest "+g)] && utf8.RuneCountInString(w) >= 6 {
						out = append(out, w)
					}
				}
			}
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
})

// guestSlips is the message with the slips in its words for guests put right.
func (s *sense) guestSlips() *sense {
	return s.putRight(guestList(), func(w string) bool { return len(safetyWords().phrases[w]) > 0 })
}

// namesOil reports whether a recipe that the message names is an oil with herbs,
// garlic or the like in it, by what the book makes it from.
func (s *sense) namesOil() bool {
	return slices.ContainsFunc(s.names, func(i int) bool {
		o := s.recipesOf(i, 1)
		return len(o) > 0 && infusedOil(o[0].recipe)
	})
}

// infusedOil reports whether a recipe is mostly oil, with a herb, a vegetable, a
// spice or a fruit in it.
func infusedOil(r *kb.Recipe) bool {
	var oil, all quantity.Number
	plant := false
	for i := range r.Lines {
		l := &r.Lines[i]
		if !l.HasGrams {
			continue
		}
		all = all.Add(l.Grams)
		if l.Item == nil {
			continue
		}
		switch l.Item.Category {
		case "fat":
			if strings.Contains(l.Item.Name, "oil") {
				oil = oil.Add(l.Grams)
			}
		case "herb", "vegetable", "spice", "fruit":
			plant = true
		}
	}
	return plant && all.Less(oil.Add(oil))
}
