package answer

import (
	"errors"
	"strings"
	"time"

	"tamis/bot/question"
	"tamis/calc/foodcode"
	"tamis/calc/quantity"
)

// unsafe: food in doubt is refused, whatever the question, with what the house's
// code or the book says of it.
func unsafe(b *Book, a *Answer, q *question.Question, now time.Time) {
	if q.Stood.Kind == "" && len(q.Targets) > 0 && q.Targets[0].Recipe != nil && b.standsByBook(a, q, now) {
		return
	}
	a.Form = FormTalk
	switch q.Stood.Kind {
	case question.StoodCore:
		b.notCooked(a, q)
		return
	case question.StoodDelivery, question.StoodCold:
		if b.coldEnough(q.Stood.Celsius) { // the rule alone: what is met is no leave
			ask := *q
			ask.Foods, ask.Targets = []string{"cold"}, nil
			a.Recipe = nil
			rules(b, a, &ask, now)
			return
		}
		if q.Stood.Kind == question.StoodDelivery {
			b.notTaken(a)
			return
		}
	case question.StoodHot:
		if b.heldLonger(a, q) {
			return
		}
		if b.hotEnough(q.Stood.Celsius) {
			ask := *q
			ask.Foods, ask.Targets = []string{"hot"}, nil
			a.Recipe = nil
			rules(b, a, &ask, now)
			return
		}
	case question.StoodReheated, question.StoodRefrozen, question.StoodSpoilt, question.StoodPast, question.StoodNose:
		a.Recipe = nil
		a.refuse("unsafe " + string(q.Stood.Kind))
		return
	}
	b.stoodOut(a)
}

// coldEnough reports whether a temperature told is within the code's limit for
// cold food.
func (b *Book) coldEnough(c *quantity.Number) bool {
	l, ok := b.coldLimit()
	return c != nil && ok && l.AtMost(c.Float())
}

// hotEnough reports whether a temperature told is that of the code for food held hot.
func (b *Book) hotEnough(t *quantity.Number) bool {
	c, err := foodcode.Named(b.Snap.House.FoodCode)
	if err != nil || t == nil {
		return false
	}
	l, ok := row(c, foodcode.HotHold, nil)
	return ok && l.AtLeast(t.Float())
}

// coldLimit is the code's limit for cold food; false where the house has no code.
func (b *Book) coldLimit() (foodcode.Limit, bool) {
	c, err := foodcode.Named(b.Snap.House.FoodCode)
	if err != nil {
		return foodcode.Limit{}, false
	}
	return row(c, foodcode.ColdHold, func(l foodcode.Limit) bool { return !strings.Contains(l.Rule, "egg") })
}

// notTaken refuses goods that came in warm.
func (b *Book) notTaken(a *Answer) {
	a.Recipe = nil
	l, ok := b.coldLimit()
	if !ok {
		a.refuse("unsafe delivery no code")
		return
	}
	a.add(rule(decimal(l.C), "°C", degreesOf(l.C), true, "cold", authority(l)))
	a.refuse("unsafe delivery", degreesOf(l.C), strings.Join(a.sources(), "; "))
}

// notCooked refuses what did not reach the temperature that the book gives it.
func (b *Book) notCooked(a *Answer, q *question.Question) {
	if len(q.Targets) == 0 || q.Targets[0].Recipe == nil {
		a.refuse("unsafe core", "")
		return
	}
	r := q.Targets[0].Recipe
	ask := *q
	for _, ask.Core = range []bool{true, false} {
		for i := range r.Method {
			st := &r.Method[i]
			if !ask.Core && (st.To == nil || st.To.Temperature == nil || st.At != nil) {
				continue
			}
			for _, f := range b.tempFacts(a, &ask, st) {
				f.Of = r.Name
				a.add(f)
			}
		}
		if len(a.Facts) > 0 {
			break
		}
	}
	if len(a.Facts) == 0 {
		a.refuse("unsafe core", "")
		return
	}
	a.refuse("unsafe core book", a.Facts[0].Shown, r.Name)
}

// stoodOut refuses food that stood too long, with the rule of the house's code.
func (b *Book) stoodOut(a *Answer) {
	a.Status, a.Recipe = StatusRefused, nil
	name := b.Snap.House.FoodCode
	c, err := foodcode.Named(name)
	switch {
	case errors.Is(err, foodcode.ErrNoCode):
		a.Why = phrase("unsafe no code")
		return
	case err != nil:
		a.Why = phrase("unsafe", name)
		return
	}
	cold, _ := row(c, foodcode.ColdHold, func(l foodcode.Limit) bool { return !strings.Contains(l.Rule, "egg") })
	hot, _ := row(c, foodcode.HotHold, nil)
	hours := func(l foodcode.Limit) string {
		return quantity.ShowTime(quantity.RoundTime(quantity.Int(int64(l.Time / time.Minute))))
	}
	span := func(l foodcode.Limit, at string) Fact {
		return rule(quantity.Int(int64(l.Time/time.Minute)), "min", hours(l), true, at, authority(l))
	}
	a.add(rule(decimal(cold.C), "°C", degreesOf(cold.C), true, "cold", authority(cold)), rule(decimal(hot.C), "°C", degreesOf(hot.C), false, "hot", authority(hot)))
	if falls, err := c.Limits(foodcode.Cool); err == nil {
		a.add(span(falls[0], fall(falls[0])), span(falls[1], fall(falls[1])))
		a.Why = phrase("unsafe cooling", degreesOf(cold.C), degreesOf(hot.C), fall(falls[0]), hours(falls[0]), hours(falls[1]), strings.Join(a.sources(), "; "))
		return
	}
	warm, _ := row(c, foodcode.ColdTolerance, nil)
	cooled, _ := row(c, foodcode.HotTolerance, nil)
	a.add(span(warm, "once above "+degreesOf(warm.C)+", for service"), span(cooled, "once below "+degreesOf(cooled.C)+", for service"))
	a.Why = phrase("unsafe tolerance", degreesOf(cold.C), hours(warm), degreesOf(hot.C), hours(cooled), strings.Join(a.sources(), "; "))
}
