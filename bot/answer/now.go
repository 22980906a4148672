package answer

import (
	"errors"
	"time"

	"tamis/bot/question"
	"tamis/calc/quantity"
	"tamis/calc/reduce"
	"tamis/kb/recipe"
)

// readingNow: the pan reads so much now: what is still to lose and, from the
// readings told so far, when it will be there.
func readingNow(b *Book, a *Answer, q *question.Question, now time.Time) {
	a.Form = FormLines
	c, ok := b.cookingOf(a, q)
	if !ok {
		return
	}
	var st *recipe.Step
	if c.of != nil {
		st, _ = reductionOf(c.of, q)
	}
	ask := *q
	if q.Craft.Kind == "brix" {
		ask.Quantities = nil // these are its °Bx
	}
	tare, pan, from, ok := b.tare(&ask, st)
	if !ok {
		a.asks("ask pan", b.panChoices(q), c.name())
		return
	}
	full := tare.Add(c.target)
	told := q.Weighings(now)
	var ws []reduce.Weight
	for _, w := range told {
		ws = append(ws, reduce.Weight{Minute: minutesBetween(told[0].At, w.At), Mass: w.Reading.Sub(tare)})
	}
	read := q.Quantity.Base()
	level, err := reduce.StillToLose(read, tare, c.target)
	if err != nil || read.Equal(tare) {
		a.unknown("below tare", q.Quantity.String(), pan)
		return
	}
	lose := b.mass(a, "still to lose", level.ToLose).cite(FromCalculated, plain)
	lose.How = read.String() + " g − " + full.String() + " g"
	if c.of != nil {
		lose.Of = c.of.Name
	}
	var left []Fact
	if level.ToLose.Sign() > 0 && len(ws) > 1 {
		left = b.timeLeft(a, ws, c.target, told[0].At, now)
	}
	if q.Craft.Topic == "lose" || len(left) == 0 {
		a.add(lose)
		a.add(left...)
	} else {
		a.add(left...)
		a.add(lose)
	}
	goal := b.mass(a, "pan reading", full).cite(FromCalculated, plain)
	goal.At = pan
	empty := b.mass(a, "empty", tare)
	empty.Of, empty.From = pan, from
	a.add(goal, empty)
	if level.Over.Sign() > 0 {
		u := b.mass(a, "under", level.Over)
		u.From = FromCalculated
		a.note("gone too far", u.Shown)
		a.add(u)
	} else if level.ToLose.IsZero() {
		a.note("there")
	} else if len(ws) < 2 {
		a.note("weigh again")
	}
	asked := b.mass(a, "reading now", read)
	asked.From = FromAsked
	a.add(asked)
	a.add(c.size...)
	a.Title = c.title
}

func minutesBetween(from, to time.Time) quantity.Number {
	return quantity.Frac(to.Sub(from).Milliseconds(), 60000)
}

// timeLeft fits the weights told so far.
func (b *Book) timeLeft(a *Answer, ws []reduce.Weight, target quantity.Number, start, now time.Time) []Fact {
	step := quantity.Int(1)
	if s, ok := b.finest(ws[len(ws)-1].Mass); ok {
		step = s.Reads
	}
	f, err := reduce.TimeLeft(ws, target, step)
	switch {
	case errors.Is(err, reduce.ErrRises):
		a.note("got heavier")
		return nil
	case errors.Is(err, reduce.ErrNotLosing):
		a.note("not losing")
		return nil
	case errors.Is(err, reduce.ErrFewWeights), errors.Is(err, reduce.ErrOrder):
		a.note("weigh again")
		return nil
	case err != nil:
		return nil
	}
	elapsed := f.At.Sub(f.Left)
	lo, hi := f.Low.Sub(elapsed), f.High.Sub(elapsed)
	if lo.Sign() < 0 {
		lo = quantity.Number{}
	}
	left := f.Left
	t := Fact{What: "time left", Value: &left, Unit: "min"}
	t = t.cite(FromCalculated, "S-611")
	t.Min = &lo
	t.Shown = quantity.ShowTime(quantity.RoundTime(left))
	if f.HighOpen {
		a.note("may take longer")
	} else {
		t.Max = &hi
		l, h := quantity.ShowTime(quantity.RoundTime(lo)), quantity.ShowTime(quantity.RoundTime(hi))
		if l != h {
			t.Shown += " (" + l + " to " + h + ")"
		}
	}
	at := momentFact("ready at", start.Add(minutes(f.At)), now)
	rate := f.Rate
	r := Fact{What: "rate", Value: &rate, Unit: "g/min", Shown: rate.Fixed(1) + " g/min", From: FromCalculated}
	if f.RunsAway {
		a.caution("runs away")
	}
	if len(f.Doubtful) > 0 {
		a.note("doubtful weight")
	}
	return []Fact{t, at, r}
}
