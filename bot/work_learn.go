package bot

import (
	"math"
	"slices"

	"tamis/bot/answer"
	"tamis/bot/question"
	"tamis/bot/timer"
	"tamis/calc/learn"
	"tamis/calc/lethality"
	"tamis/calc/quantity"
)

// learned adds what this house found, place by place, where there are trials
// enough, to an answer with a time of the book. The book is left as it is.
func learned(b *answer.Book, a *answer.Answer, trials []timer.Trial) {
	type step struct{ of, verb string }
	seen := map[step]bool{}
	for _, f := range slices.Clone(a.Facts) {
		s := step{f.Of, f.What}
		if f.Unit != "min" || f.Of == "" || seen[s] || f.Group == answer.GroupNote {
			continue
		}
		seen[s] = true
		took := map[string][]quantity.Number{}
		var places []string
		for _, t := range trials {
			if t.Recipe != f.Of || t.Verb != f.What {
				continue
			}
			if !slices.Contains(places, t.Where) {
				places = append(places, t.Where)
			}
			took[t.Where] = append(took[t.Where], quantity.Int(int64(math.Round(t.Took.Minutes()))))
		}
		for _, where := range places {
			sum, err := learn.Of(took[where])
			if err != nil {
				continue // too few to be told
			}
			tell(b, a, sum, f.Of, f.What, where)
		}
	}
}

// tell adds one summary: how long it took, in how many trials, and how that
// stands to the book.
func tell(b *answer.Book, a *answer.Answer, sum learn.Summary, of, verb, where string) {
	n, lo, hi := quantity.Int(int64(sum.N)), sum.Least, sum.Longest
	r := answer.Fact{What: verb, Min: &lo, Max: &hi, Unit: "min", Of: of, At: where, From: answer.FromHouse, How: n.String() + " trials", Group: answer.GroupNote}
	show := func(n quantity.Number) string { return quantity.ShowTime(quantity.RoundTime(n)) }
	if r.Shown = show(lo) + " to " + show(hi); lo.Equal(hi) {
		r.Min, r.Max, r.Value, r.Shown = nil, nil, &lo, show(lo)
	}
	a.Facts = append(a.Facts, r, answer.Fact{What: "trials", Value: &n, Unit: "each", Of: of, Shown: n.String(), From: answer.FromHouse, Group: answer.GroupNote})
	if where == "" {
		where = "kitchen"
	}
	note(a, "house trials", where, r.Shown, n.String())
	st, _, ok := b.TimedStep(of, []string{verb})
	if !ok {
		return
	}
	least, most := st.For.Min, st.For.Max
	if st.For.Exact != nil {
		least, most = st.For.Exact, st.For.Exact
	}
	switch sum.Against(least, most) {
	case learn.Quicker:
		note(a, "trials quicker")
	case learn.Slower:
		note(a, "trials slower")
	}
}

// fitted answers from the house's own trials what no method is made for: a mix
// rich in sugar, fat or spirit, or one of unknown make-up.
func (k *Asker) fitted(b *answer.Book, a *answer.Answer) *answer.Answer {
	q := a.Question
	if k.timers == nil || q == nil || q.Want != question.WantHeat || a.Why == nil || a.Why.Code != "heat rich" && a.Why.Code != "heat dry" && a.Why.Code != "heat composition" {
		return a
	}
	trials, err := k.timers.Trials(k.house)
	if err != nil {
		return a
	}
	var own []answer.HeatTrial
	for _, t := range trials {
		if t.Recipe == q.Targets[0].Recipe.Name {
			own = append(own, answer.HeatTrial{Verb: t.Verb, Where: t.Where, Minutes: t.Took.Minutes(), Thick: t.Thick})
		}
	}
	if f, ok := b.FromTrials(q, own); ok {
		return f
	}
	return a
}

// warmed lets a cooling start at the last temperature that was told of the thing.
func (k *Asker) warmed(q *question.Question, m Message) {
	if k.timers == nil || q.Want != question.WantHeat || q.Heat.From != nil || q.Heat.Op != "cool" || len(q.Targets) == 0 || q.Targets[0].Recipe == nil {
		return
	}
	rs, err := k.standing()
	if err != nil {
		return
	}
	for _, r := range slices.Backward(rs) {
		if r.Channel == m.Channel && r.Recipe == q.Targets[0].Recipe.Name && m.At.Sub(r.At) < sameLog && !r.At.After(m.At) {
			c := quantity.Frac(int64(math.Round(r.Celsius*10)), 10)
			q.Heat.From, q.Heat.Told = &c, true
			return
		}
	}
}

// killed adds up what a logged run of heat did to an organism with a published
// row, as information.
func (k *Asker) killed(b *answer.Book, m Message, w *answer.Answer) error {
	q := w.Question
	run := k.lastRun(q, m)
	what := ""
	if len(run) > 0 {
		what = run[0].Recipe
	}
	names := q.Foods
	if len(names) == 0 {
		names = []string{"Clostridium botulinum"}
	}
	var log []lethality.Reading
	for _, r := range run {
		log = append(log, lethality.Reading{At: r.At, Celsius: r.Celsius})
	}
	w.Form, w.Title = answer.FormLines, answer.Title{Recipe: what}
	for _, name := range names {
		res, err := lethality.Organism(name)
		if err != nil {
			note(w, "no organism", name)
			continue
		}
		f, falls, err := res.Run(log)
		if err != nil {
			unknownWork(w, "lethality readings")
			return nil
		}
		w.Facts = append(w.Facts, small("log reductions", falls, "", name, what), small("equivalent time", f, "min", name, what))
		d, ref, z := decimals(res.D), decimals(res.Ref), decimals(res.Z)
		w.Facts = append(w.Facts, given("D", d, "min", name), given("reference temperature", ref, "°C", name), given("z", z, "°C", name))
		note(w, "lethality how", name, d.Fixed(2)+" min", ref.Fixed(1)+" °C", z.Fixed(1)+" °C")
	}
	if len(w.Facts) == 0 {
		unknownWork(w, "no organism", names[0])
		return nil
	}
	n := quantity.Int(int64(len(run)))
	w.Facts = append(w.Facts, answer.Fact{What: "temperatures", Value: &n, Unit: "each", Shown: n.String(), Of: what, From: answer.FromClock, Group: answer.GroupNote})
	note(w, "lethality from", n.String())
	note(w, "lethality info")
	w.Cautions = append(w.Cautions, answer.Phrase{Code: "code first"})
	return nil
}

func decimals(v float64) quantity.Number { return quantity.Frac(int64(math.Round(v*1e6)), 1000000) }

// small is a figure that may be next to nothing.
func small(what string, v float64, unit, name, of string) answer.Fact {
	n := quantity.Frac(int64(math.Round(min(v, 1e6)*1e9)), 1000000000)
	shown := n.Fixed(2)
	if v < 0.01 {
		shown = "under 0.01"
	}
	f := answer.Fact{What: what, Value: &n, Unit: "each", Shown: shown, Of: of, At: name, From: answer.FromCalculated, Source: answer.Citation("S-813")}
	if unit != "" {
		f.Unit, f.Shown = unit, shown+" "+unit
	}
	return f
}

func given(what string, n quantity.Number, unit, name string) answer.Fact {
	return answer.Fact{What: what, Value: &n, Unit: unit, Shown: n.Fixed(2) + " " + unit, At: name, From: answer.FromReference, Source: answer.Citation("S-813"), Group: answer.GroupNote}
}
