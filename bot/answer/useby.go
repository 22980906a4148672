package answer

import (
	"slices"
	"strings"
	"time"

	"tamis/bot/question"
	"tamis/calc/foodcode"
	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/recipe"
)

// useBy: the date for the label. The book's own is told with what ends earlier:
// a part's, or the limit of the house's code; the earliest stands first.
func useBy(b *Book, a *Answer, q *question.Question, now time.Time) {
	a.Form = FormLines
	r := q.Targets[0].Recipe
	made, thawed := now, thawing(q)
	place := q.Place
	if thawed && b.isFreezer(place) { // where it came out of
		place = ""
	}
	switch {
	case q.Ago != nil:
		made = ago(now, *q.Ago)
	case q.Clock != nil && (q.Clock.HasTime || q.Clock.HasDay):
		made, _ = b.moment(q.Clock, now, true)
		if c := q.Clock; c.HasTime && c.HasDay && c.Half && made.Hour() >= 12 && c.Hour < 12 { // "made sunday at 9": the safe end
			made = made.Add(-12 * time.Hour)
		}
		if q.Work.Morning {
			made = b.dayBegins(made)
		}
		if thawed && !q.Clock.HasTime { // nobody said at what time: from the start of that day's work
			made = b.dayBegins(made)
			a.assume("thawed from", showMoment(made, now))
		}
	}
	several, ofPart := false, false
	opened := wasOpened(r, q)
	for _, k := range r.Keeps {
		if opened != isOpening(k.After) {
			continue
		}
		if k.Time == nil || place != "" && !b.isPlace(k.Where, place) || (k.After != "" && !opened) != thawed {
			continue
		}
		ends := b.ends(r, k, made, now)
		several = several || len(ends) > 1
		ofPart = ofPart || slices.ContainsFunc(ends, func(f Fact) bool { return f.Of != "" && f.Of != r.Name })
		a.add(ends...)
	}
	if len(a.Facts) == 0 {
		if thawed && len(r.Keeps) > 0 {
			a.unknown("no keeps thawed", r.Name)
			return
		}
		if place != "" && slices.ContainsFunc(r.Keeps, func(k recipe.Keep) bool { return k.Time != nil }) {
			a.unknown("no keeps there", r.Name, place)
			return
		}
		a.unknown("no keeps", r.Name)
		return
	}
	if passed := slices.DeleteFunc(slices.Clone(a.Facts), func(f Fact) bool { return now.Before(*f.Time) }); len(passed) == len(a.Facts) {
		a.note("past all")
	} else {
		for _, f := range passed {
			a.note("past at", f.At)
		}
	}
	switch {
	case ofPart:
		a.note("earliest part")
	case several:
		a.note("earliest counts")
	}
	if slices.ContainsFunc(a.Facts, func(f Fact) bool { return f.What == "limit" }) {
		a.note("quality and safety")
		a.bySource()
	}
	if thawed {
		a.note("thaw clock")
	}
	a.Title = Title{Recipe: r.Name}
	a.caution("keeps")
}

// ago is so long before a moment; whole days keep the hour of the day.
func ago(now time.Time, q quantity.Quantity) time.Time {
	m := q.Base()
	if d, ok := m.Div(quantity.Int(24 * 60)).Int64(); ok {
		return now.AddDate(0, 0, -int(d))
	}
	return now.Add(-minutes(m))
}

// thawing reports whether the message says that it was taken out of the freezer.
func thawing(q *question.Question) bool {
	say := strings.ToLower(q.Say)
	return q.Has("verb_thaw") || slices.ContainsFunc([]string{"thaw", "defrost", "out of the freezer", "out the freezer", "out of freezer"}, func(w string) bool { return strings.Contains(say, w) })
}

// wasOpened reports whether it is said that something was opened of which the book
// says how long it keeps from then: "opened the jar today, use by".
func wasOpened(r *kb.Recipe, q *question.Question) bool {
	return saysAny(q.Say, " opened ", " open ") && slices.ContainsFunc(r.Keeps, func(k recipe.Keep) bool { return k.Time != nil && isOpening(k.After) })
}

func isOpening(after string) bool { return strings.HasPrefix(after, "open") }

// isFreezer reports whether a word of place names a freezer.
func (b *Book) isFreezer(place string) bool {
	return strings.Contains(place, "freezer") || b.isPlace(place, "freezer")
}

// dayBegins is when work begins on a day: the first shift's start, else 06:00.
func (b *Book) dayBegins(day time.Time) time.Time {
	first := 6 * 60
	for i, s := range b.Snap.House.Shifts {
		if from := int(s.From); (i == 0 || from < first) && (len(s.Days) == 0 || slices.Contains(s.Days, day.Format("Mon"))) && s.From < s.To {
			first = from
		}
	}
	return time.Date(day.Year(), day.Month(), day.Day(), first/60, first%60, 0, 0, b.Zone)
}

// NextMorning is when the next day's work begins after a moment.
func (b *Book) NextMorning(now time.Time) time.Time {
	now = now.In(b.Zone)
	at := b.dayBegins(now)
	if !at.After(now) {
		at = b.dayBegins(now.AddDate(0, 0, 1))
	}
	return at
}

// ends are the book's end of one `keeps`, and those of its parts and of the
// code's date mark that lie before it, the earliest first.
func (b *Book) ends(r *kb.Recipe, k recipe.Keep, made, now time.Time) []Fact {
	end := func(of string, k recipe.Keep, at time.Time) Fact {
		f := momentFact("use by", at, now)
		f.Shown = f.Time.Format("Mon 2 Jan 15:04")
		f.Of, f.At, f.How = of, strings.TrimSpace(k.Where+after(k.After)), k.Text
		return f
	}
	own := made.Add(minutes(k.Time.Base()))
	out := []Fact{end(r.Name, k, own)}
	if k.After == "" {
		for _, p := range b.shortest(r, k.Where) {
			if at := made.Add(minutes(p.keep.Time.Base())); at.Before(own) {
				f := end(p.of.Name, p.keep, at)
				f.What = "part ends" // the recipe's own is what the book says of it
				out = append(out, f)
			}
		}
	}
	if f, ok := b.dated(k, made, own); ok {
		out = append(out, f)
	}
	slices.SortStableFunc(out, func(x, y Fact) int { return x.Time.Compare(*y.Time) })
	return out
}

// dated is the last moment that the code's date mark allows in the fridge, where
// it is before the book's own.
func (b *Book) dated(k recipe.Keep, made, own time.Time) (Fact, bool) {
	c, err := foodcode.Named(b.Snap.House.FoodCode)
	if err != nil || !b.isPlace(k.Where, "fridge") || own.Sub(made) <= 24*time.Hour {
		return Fact{}, false
	}
	day, l, err := c.LastDay(made.In(b.Zone))
	last := time.Date(day.Year(), day.Month(), day.Day(), 23, 59, 0, 0, b.Zone)
	if err != nil || !last.Before(own) {
		return Fact{}, false
	}
	return Fact{What: "limit", Time: &last, Unit: "time", Shown: last.Format("Mon 2 Jan 15:04"), At: "date mark, " + k.Where, From: FromReference, Source: authority(l)}, true
}

// kept is a `keeps` of a part.
type kept struct {
	of   *kb.Recipe
	keep recipe.Keep
}

// shortest is what ends first of all that a recipe is made from, kept in the
// same kind of place.
func (b *Book) shortest(r *kb.Recipe, where string) []kept {
	kind := func(w string) string {
		for _, p := range []string{"freezer", "fridge"} {
			if b.isPlace(w, p) {
				return p
			}
		}
		return strings.ToLower(w)
	}
	var best *kept
	seen := map[*kb.Recipe]bool{r: true}
	var walk func(r *kb.Recipe)
	walk = func(r *kb.Recipe) {
		for i := range r.Lines {
			p := r.Lines[i].Link
			if p == nil || seen[p] {
				continue
			}
			seen[p] = true
			for _, k := range p.Keeps {
				if k.Time != nil && k.After == "" && kind(k.Where) == kind(where) && (best == nil || k.Time.Base().Less(best.keep.Time.Base())) {
					best = &kept{p, k}
				}
			}
			walk(p)
		}
	}
	walk(r)
	if best == nil {
		return nil
	}
	return []kept{*best}
}
