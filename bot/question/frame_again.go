package question

import "slices"

// frameClockAgain: another time for what was just asked of a time: "and if I put
// 12:10" after "oat pots in at 11:30, set when".
func frameClockAgain(s *sense) []reading {
	if s.ctx == nil || s.ctx.Last == nil || len(s.l.tokens) > 10 || len(s.quant)+len(s.units)+len(s.allergens) > 0 || len(s.clock) == 0 {
		return nil
	}
	last := s.ctx.Last
	started := last.Want == WantStarted && s.saysOf("if") && len(last.Targets) == 1 // it runs, and another time is only supposed
	if last.Want != WantReady && last.Want != WantLatest && !started || !last.namesRecipe() || last.Clock == nil && last.Ago == nil && !last.Has("went") && !started || last.Missing != MissingNothing {
		return nil
	}
	marked := s.any(cueWhatabout, cueSame, cueAnd, cueNo) || s.saysOf("if", "sorry", "no", "rather", "actually")
	if !marked && len(s.l.tokens) > 3 {
		return nil
	}
	switch { // the other end of the time is another question
	case (last.Want == WantReady || started) && (s.clockBy() || s.saysOf("out", "ready", "done", "finished", "by", "for")):
		return nil
	case last.Want == WantLatest && (s.startsThere() || s.saysOf("in", "into", "put", "went", "start", "begin", "since", "from")):
		return nil
	}
	r := s.reading(last.Want, last.About)
	r.q = *last
	r.q.Assumed, r.q.Unused, r.q.Strange, r.q.Lost, r.q.Choices, r.q.Also, r.q.Ago = nil, nil, nil, false, nil, nil, nil
	r.q.Targets = slices.Clone(last.Targets)
	r.q.Say, r.q.cues, r.q.FromTalk = s.l.text, last.cues.or(s.cues), true
	if started {
		r.q.Want, r.q.Work = WantReady, Work{}
	}
	r.consumes = plainCues.or(followCues).with(cueWent, cueSetready, cueLatest, cueIn, cueOven, cueWhen, cueVerbFreeze, cueVerbChill, cueHouseService)
	s.clockGiven(&r)
	c := r.q.Clock
	if old := last.Clock; old != nil {
		if !c.HasTime && c.Service == "" && old.HasTime {
			c.Hour, c.Min, c.Half, c.HasTime = old.Hour, old.Min, old.Half, true
		}
		if !c.HasDay && c.Month == 0 {
			c.HasDay, c.Day, c.Weekday, c.Date, c.Month = old.HasDay, old.Day, old.Weekday, old.Date, old.Month
		}
	}
	if !c.HasTime && c.Service == "" {
		return nil
	}
	for i := range s.p.spans {
		switch sp := s.span(i); sp.kind {
		case spanCue:
			if !sp.cues.meets(r.consumes) {
				return nil
			}
		case spanUnused:
			if sp.food || sp.strange || !marked && len(s.text(i)) > 3 { // "meeting at 16:00"
				return nil
			}
			r.used[i] = true
		}
	}
	r.extra = -s.p.cost - 2 // it goes on from what was just asked
	if len(s.names) == 0 {
		return []reading{r}
	}
	var out []reading
	for _, p := range s.picks() { // "and the hojicha ones at 12:10"
		if p.talk || len(p.targets) != 1 {
			continue
		}
		one := r.clone()
		one.q.Targets, one.q.FromTalk = slices.Clone(p.targets), false
		for _, i := range p.spans {
			one.used[i] = true
		}
		one.targets = slices.Clone(p.spans)
		one.extra += p.cost
		out = append(out, one)
	}
	return out
}

// frameStillToGo: "how much still" after a pan's reading was told.
func frameStillToGo(s *sense) []reading {
	if s.ctx == nil || s.ctx.Last == nil || len(s.l.tokens) > 6 || len(s.quant)+len(s.units)+len(s.names)+len(s.allergens) > 0 {
		return nil
	}
	last := s.ctx.Last
	if last.Want != WantNow && (last.Want != WantReading || !last.HasQty) || last.Missing != MissingNothing {
		return nil
	}
	if !s.saysOf("much", "far", "long") || !s.saysOf("still", "left", "more", "go", "lose") || s.any(cueHowlong, cueKeeps, cueCost) {
		return nil
	}
	r := s.again(last)
	for i := range s.p.spans {
		switch sp := s.span(i); sp.kind {
		case spanCue:
			r.consumes = r.consumes.or(sp.cues)
		case spanUnused:
			if sp.food || sp.strange {
				return nil
			}
			r.used[i] = true
		}
	}
	r.extra = -s.p.cost - 2
	return []reading{r}
}

// frameTimeLeft reads "how much left" right after a timer as the time that is left.
func frameTimeLeft(s *sense) []reading {
	if s.ctx == nil || s.ctx.Last == nil || len(s.l.tokens) > 6 || len(s.quant)+len(s.units)+len(s.names)+len(s.allergens)+len(s.clock) > 0 {
		return nil
	}
	switch last := s.ctx.Last; last.Want {
	case WantTimer, WantStarted, WantLeft, WantSnooze:
	case WantReady:
		if last.Clock == nil && last.Ago == nil {
			return nil
		}
	default:
		return nil
	}
	if !s.saysOf("much") || !s.saysOf("left", "longer", "remaining", "more", "go") || s.any(cueCost, cueKeeps) {
		return nil
	}
	p, ok := s.workParts()
	if !ok {
		return nil
	}
	r := s.work(WantLeft, "timer", p, map[workRole]string{"left": "how much left"})
	r.q.Work.Verb = ""
	return []reading{r}
}

// frameSpareToo reads "with the spare?", "without spare" of what was just asked.
func frameSpareToo(s *sense) []reading {
	if s.ctx == nil || s.ctx.Last == nil || len(s.names)+len(s.quant)+len(s.clock)+len(s.allergens) > 0 || !s.saysOf("spare", "buffer", "overage") {
		return nil
	}
	last := s.ctx.Last
	if last.Want != WantAmount && last.Want != WantCard && last.Want != WantMakes && last.Want != WantMoulds || !last.namesRecipe() || last.Missing != MissingNothing {
		return nil
	}
	r := s.again(last)
	for k := range r.q.Targets {
		r.q.Targets[k].Scale.Spare = !s.any(cueWithout, cueNot, cueNo)
	}
	r.consumes = plainCues.or(followCues).with(cueExtra, cueWithout, cueNot, cueNo)
	r.extra = -2
	return []reading{r}
}

// again begins a reading that asks the last question once more.
func (s *sense) again(last *Question) reading {
	r := s.reading(last.Want, last.About)
	r.q = *last
	r.q.Assumed, r.q.Unused, r.q.Strange, r.q.Lost, r.q.Choices, r.q.Also = nil, nil, nil, false, nil, nil
	r.q.Targets = slices.Clone(last.Targets)
	r.q.Say, r.q.cues, r.q.FromTalk = s.l.text, last.cues.or(s.cues), true
	return r
}

// sinceTold lets "when can i churn" count from when it was told to have begun.
func (s *sense) sinceTold(r *reading) {
	if s.ctx == nil || s.ctx.Last == nil || r.q.Clock != nil || r.q.Ago != nil || len(s.clock)+len(s.quant) > 0 || s.any(cueWent, cueTimer) || len(r.q.Targets) != 1 {
		return
	}
	last := s.ctx.Last
	if last.Want != WantReady && last.Want != WantStarted || len(last.Targets) != 1 || last.Targets[0].Recipe != r.q.Targets[0].Recipe || last.Clock == nil && last.Ago == nil || len(last.Goal.After) > 0 {
		return
	}
	r.q.Clock, r.q.Ago = last.Clock, last.Ago
	if len(r.q.Verbs) == 0 {
		r.q.Verbs, r.q.Place, r.q.Oven = last.Verbs, last.Place, last.Oven
	}
}
