package question

import (
	"tamis/calc/quantity"
)

// workStrike: a temperature that was told is taken back: "that 57 was wrong, delete
// it", "scrap the last reading".
func (s *sense) workStrike(p *workParts) []reading {
	if p.asks || len(p.times)+len(p.amounts)+len(p.batches) > 0 || len(p.temps)+len(p.numbers) > 1 {
		return nil
	}
	one := *p
	met, place, kinds, ok := s.coversPlaces(&one, "strike", "strike what")
	if !ok || len(one.names) > 1 {
		return nil
	}
	if place == "" && len(kinds) == 1 {
		place = kinds[0]
	}
	at := append(append([]int{}, p.temps...), p.numbers...)
	talk := s.ctx != nil && s.ctx.Last != nil && (s.ctx.Last.Want == WantLogTemp || s.ctx.Last.Want == WantTempLog || s.ctx.Last.Want == WantStrike)
	said := s.saysOf("reading", "readings", "temp", "temperature", "log", "logged", "figure", "entry", "degrees", "probe")
	unsure := false
	switch {
	case met["strike"] != "" && (said || talk || len(at) == 1 || place != ""):
	case met["strike"] == "" && len(at) == 1 && len(p.clocks) == 0 && s.wrongBehind(s.span(at[0]).to):
		unsure = true
	default:
		return nil
	}
	r := s.work(WantStrike, "log", &one, met)
	r.q.Place, r.q.Work.Unsure = place, unsure
	r.q.Work.OfLog = said || talk
	r.q.Work.Last = s.saysOf("last", "latest")
	for _, i := range at {
		c := s.span(i).q.Q
		if c.Unit.Dim == quantity.Temperature {
			q, err := c.In(quantity.Celsius)
			if err != nil {
				return nil
			}
			c = q
		}
		r.q.Work.Celsius = &c.N
	}
	return s.eachRecipe(r, &one)
}

// wrongBehind reports whether what ends at token k is called wrong.
func (s *sense) wrongBehind(k int) bool {
	for j := k; j < len(s.l.tokens); j++ {
		switch s.l.tokens[j].plain {
		case "wrong", "mistake", "misread", "typo":
			return true
		}
	}
	return false
}

// workNudge: the cook's own nudges for something that runs: "stir the jus every 20 min".
func (s *sense) workNudge(p *workParts) []reading {
	met, ok := s.covers(p, false, "nudge", "nudge off")
	if !ok || p.asks || len(p.names) > 1 || len(p.clocks)+len(p.times)+len(p.temps)+len(p.numbers)+len(p.amounts) > 0 {
		return nil
	}
	off := met["nudge off"] != "" && p.every < 0
	if !off && (p.every < 0 || met["nudge"] == "" || !s.saysNudge()) {
		return nil
	}
	r := s.work(WantNudge, "timer", p, met)
	if !off {
		n := s.span(p.every).q.Q.Base()
		r.q.Work.Every = &n
	}
	out := []reading{r}
	if len(p.names) == 1 && !off { // "tuile in the oven, turn every 4 min": it may go in now
		for _, one := range s.workStarted(p) {
			one.extra++
			out = append(out, one)
		}
	}
	return out
}

// saysNudge reports whether the message says what is done every so often.
func (s *sense) saysNudge() bool {
	return s.saysOf("stir", "stirring", "turn", "turning", "baste", "whisk", "skim", "shake", "toss", "flip", "rotate", "check", "look", "nudge", "remind", "poke", "ping", "ring", "buzz", "tell", "shout")
}

// everySo reports whether a time is told as one that comes again and again.
func (s *sense) everySo() bool {
	for _, i := range s.quant {
		if sp := s.span(i); sp.kind == spanQuantity && sp.q.Q.Unit.Dim == quantity.Time && (s.before(i) == "every" || s.before(i) == "each") {
			return true
		}
	}
	return false
}
