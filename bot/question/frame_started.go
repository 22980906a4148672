package question

import (
	"slices"
	"strings"

	"tamis/kb"
)

// workStarted: "domes in the freezer 22:40", "base resting since 9 last night, 3 tubs".
func (s *sense) workStarted(p *workParts) []reading {
	roles := []workRole{"went", "tell"}
	if p.every >= 0 { // "jus on now, stir every 20 min"
		roles = append(roles, "nudge")
	}
	met, ok := s.covers(p, true, roles...)
	talk := len(p.names) == 0 && s.saysOf("now", "just") && s.ctx != nil && len(s.ctx.Targets) == 1 && s.ctx.Targets[0].Recipe != nil // "in the oven now", of what was spoken of
	if !ok || p.asks || len(p.names) != 1 && !talk || met["went"] == "" && met["tell"] == "" || len(p.temps) > 0 || len(p.numbers)+len(p.amounts) > 1 || len(p.batches) > 1 {
		return nil
	}
	if _, back := s.goesInFor(); back { // "must be out at 11, oven in at?"
		return nil
	}
	if slices.ContainsFunc(p.numbers, func(i int) bool {
		return s.l.pointed(s.span(i).from) && (s.before(i) == "on" || s.l.isHour(s.span(i).from))
	}) {
		return nil // "stock on 7.30", "started the soup 8.50": an hour
	}
	for _, i := range p.numbers { // "soup holding at 61"
		switch s.before(i) {
		case "at", "to", "is":
			return nil
		}
	}
	ago, long := s.spans()
	if p.every >= 0 { // how often, not how long
		every := &s.span(p.every).q.Q
		if long == every {
			long = nil
		}
		if len(p.times) == 1 && ago == nil {
			long = &s.span(p.times[0]).q.Q
		}
	}
	if i := s.soFar(); i >= 0 && ago == nil && p.every < 0 { // "baking for 5 min, when done": it has run so long
		ago, long = &s.span(i).q.Q, nil
	}
	if !talk && len(s.recipesOf(p.names[0], 1)) == 0 || len(p.times) > 1 {
		return nil
	}
	if strings.Contains(met["went"], "oven") && met["tell"] == "" && p.every < 0 && len(p.clocks) == 0 && ago == nil && !s.saysOf("now", "just") {
		return nil // "the tuile in the oven" may ask at what
	}
	if met["tell"] == "" && len(p.clocks) == 0 && ago == nil && s.ctx != nil && s.ctx.Last != nil && !s.ctx.Last.IsWork() && s.goesOn() {
		return nil // "and the curd in the freezer", of what was asked
	}
	if s.saysAbout() || strings.HasPrefix(met["tell"], "time ") && !s.opensWith("time") && !s.timesMe() {
		return nil
	}
	if met["tell"] == "" && len(p.clocks) == 0 && ago == nil && met["went"] == "in" && len(p.places) == 0 && p.machine < 0 && s.place() == "" && !s.ends("in") {
		return nil
	}
	if s.place() != "" && s.placeIn() == "" && !s.any(cueVerbThaw, cueVerbOut) {
		return nil // "out of the freezer at 9" is in no freezer
	}
	r := s.work(WantStarted, "timer", p, met)
	if c := r.q.Clock; c != nil && c.HasDay && c.Day > 0 {
		return nil // "remind me tomorrow at 9" is no start
	}
	r.q.Verbs = s.verbs()
	r.q.Oven = s.any(cueOven)
	if r.q.Thing = s.written(kb.MachineName); r.q.Thing != nil {
		r.q.Oven = false
	}
	r.q.Ago = ago
	if long != nil && ago == nil {
		r.q.Want, r.q.Ago = WantTimer, long
	}
	r.q.Work.Much = s.workMuch(p)
	if p.every >= 0 {
		n := s.span(p.every).q.Q.Base()
		r.q.Work.Every = &n
	}
	if len(p.batches) > 0 {
		r.q.Work.Much = strings.TrimSuffix(s.text(p.batches[0])+", "+r.q.Work.Much, ", ")
	}
	if talk {
		r.q.Targets, r.q.FromTalk = []Target{{Recipe: s.ctx.Targets[0].Recipe, Part: s.ctx.Targets[0].Part}}, true
	}
	return s.eachRecipe(r, p)
}

// saysOf reports whether one of the words stands in the message.
func (s *sense) saysOf(words ...string) bool {
	return slices.ContainsFunc(s.l.tokens, func(t token) bool { return slices.Contains(words, t.plain) })
}

// written is the thing of the house of a kind that the message writes out, whatever
// way through it was taken; nil if it writes none.
func (s *sense) written(kind kb.NameKind) *kb.Name {
	for _, spans := range s.l.starts {
		for i := range spans {
			for _, h := range spans[i].names {
				if e := &s.l.x.entries[h.id]; e.Kind == kind && !h.part {
					return &e.Name
				}
			}
		}
	}
	return nil
}

// opensWith reports whether a word is the first that says something.
func (s *sense) opensWith(word string) bool {
	for k := range s.l.tokens {
		switch w := s.l.tokens[k].plain; w {
		case "can", "could", "you", "u", "pls", "please", "chef", "hey", "ok":
		default:
			return w == word
		}
	}
	return false
}

// goesOn reports whether the message begins as one that goes on from the last.
func (s *sense) goesOn() bool {
	switch s.l.tokens[0].plain {
	case "and", "what", "how", "or", "whatabout":
		return true
	}
	return false
}

// saysAbout reports whether it is asked to be told about something: "ring me
// about the domes" sets no timer.
func (s *sense) saysAbout() bool {
	for k := 1; k < len(s.l.tokens); k++ {
		if w := s.l.tokens[k-1].plain; s.l.tokens[k].plain == "about" && !s.l.tokens[k].breaks && (w == "me" || w == "us") {
			return true
		}
	}
	return false
}

// timesMe reports whether somebody is told to time what went in: "time me", "time
// them", not "time the".
func (s *sense) timesMe() bool {
	for k := 1; k < len(s.l.tokens); k++ {
		if s.l.tokens[k-1].plain == "time" && !s.l.tokens[k].breaks && slices.Contains([]string{"me", "us", "them", "it"}, s.l.tokens[k].plain) {
			return true
		}
	}
	return false
}

// workMuch is the amount as written, with the word that it counts.
func (s *sense) workMuch(p *workParts) string {
	list := p.amounts
	if len(list) == 0 {
		list = p.numbers
	}
	if len(list) == 0 {
		return ""
	}
	sp := s.span(list[0])
	to := sp.to
	if sp.from > 0 && p.word[sp.from-1] && s.numberAfter(p, sp.from-1) {
		return s.l.text[s.l.tokens[sp.from-1].start:s.l.tokens[to-1].end]
	}
	if to < len(s.l.tokens) && p.word[to] && !s.l.tokens[to].breaks {
		if n, _ := workWords().longest([]string{s.l.tokens[to].plain}, []workRole{"filler", "went", "tell"}); n == 0 {
			to++
		}
	}
	return s.l.text[s.l.tokens[sp.from].start:s.l.tokens[to-1].end]
}
