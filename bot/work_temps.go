package bot

import (
	"cmp"
	"slices"
	"strings"
	"time"
	"unicode"

	"tamis/bot/answer"
	"tamis/bot/question"
	"tamis/bot/timer"
	"tamis/calc/quantity"
	"tamis/kb/recipe"
)

// placeKey is the same for a cold place however it is written: "walk-in", "Walkin".
func placeKey(place string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			return unicode.ToLower(r)
		}
		return -1
	}, place)
}

// placeName is what a cold place is called from now on: as the house has it, else
// as it was called last.
func (k *Asker) placeName(b *answer.Book, place string) string {
	if place == "" {
		return ""
	}
	for _, c := range b.Snap.House.Cold {
		if placeKey(c.Name) == placeKey(place) {
			return c.Name
		}
	}
	all, err := k.standing()
	if err != nil {
		return place
	}
	for _, r := range slices.Backward(all) {
		if r.Place != "" && placeKey(r.Place) == placeKey(place) {
			return r.Place
		}
	}
	return place
}

// places reports whether one of the temperatures is of a cold place.
func places(rs []timer.Reading) bool {
	return slices.ContainsFunc(rs, func(r timer.Reading) bool { return r.Place != "" })
}

// frozen reports whether a place is a freezer: by the house's own figure for it,
// else by its name.
func frozen(b *answer.Book, place string) bool {
	if _, ok := b.Snap.Cold(place); ok {
		return b.IsPlace(place, "freezer")
	}
	for _, w := range []string{"freezer", "freeze"} {
		if strings.Contains(strings.ToLower(place), w) {
			return true
		}
	}
	return false
}

// meaning is one thing that a bare figure may mean.
type meaning struct {
	label   string
	celsius quantity.Number
}

// warmest is the highest bare figure, in °C, that is taken for a fridge's without asking.
var warmest = quantity.Int(25)

// meantBy are what the bare figure of a place may mean, where that is not plain:
// "freezer 18", "walk-in 38", and "fridge 2" where that may be its number.
func (k *Asker) meantBy(b *answer.Book, t *question.Told, r timer.Reading) []meaning {
	if r.Place == "" || !t.Bare {
		return nil
	}
	n := t.Celsius
	c := meaning{n.String() + " °C", n}
	minus := meaning{"-" + n.String() + " °C", n.Neg()}
	f := meaning{n.String() + " °F", n}
	if q, err := (quantity.Quantity{N: n, Unit: quantity.Fahrenheit}).In(quantity.Celsius); err == nil {
		f.celsius = q.N
	}
	switch {
	case frozen(b, r.Place) && n.IsZero():
		return []meaning{c, f}
	case frozen(b, r.Place):
		return []meaning{minus, c, f}
	case warmest.Less(n):
		return []meaning{f, c}
	case t.Label && k.numbered(b, r.Place):
		return []meaning{c}
	}
	return nil
}

// numbered reports whether a figure behind a place may be its number: the house
// or what was told has such a place, or neither has the place by its bare name.
func (k *Asker) numbered(b *answer.Book, place string) bool {
	with := func(name string) bool {
		rest, ok := strings.CutPrefix(placeKey(name), placeKey(place))
		return ok && rest != "" && strings.Trim(rest, "0123456789") == ""
	}
	if slices.ContainsFunc(b.Snap.House.Cold, func(c recipe.Cold) bool { return with(c.Name) }) {
		return true
	}
	all, err := k.standing()
	if err == nil && slices.ContainsFunc(all, func(r timer.Reading) bool { return with(r.Place) }) {
		return true
	}
	if _, ok := b.Snap.Cold(place); ok {
		return false
	}
	return placeKey(place) == "fridge" || placeKey(place) == "freezer"
}

// placesKept answers a message with temperatures of cold places: how each stands
// to the code's limit, what the house itself has for it, and what is done above.
func (k *Asker) placesKept(b *answer.Book, m Message, w *answer.Answer, rs, all []timer.Reading) {
	w.Form = answer.FormWork
	for _, r := range rs {
		w.Facts = append(w.Facts, k.told(b, m, r, "temps kept")...)
	}
	seen := map[string]bool{}
	for _, r := range rs {
		if r.Place == "" || seen[placeKey(r.Place)] {
			continue
		}
		seen[placeKey(r.Place)] = true
		if c, ok := b.Snap.Cold(r.Place); ok {
			n := c.At.Base()
			w.Facts = append(w.Facts, answer.Fact{What: "temperature", Value: &n, Unit: "°C", Shown: n.Fixed(1) + " °C", At: c.Name, From: answer.FromHouse, Group: "temps house"})
		}
	}
	k.coldLimits(b, w, rs, func(r timer.Reading) { // when it was last told right
		var right *timer.Reading
		for i := range all {
			o := &all[i]
			if placeKey(o.Place) == placeKey(r.Place) && o.At.Before(r.At) && r.At.Sub(o.At) < sameLog && answer.ColdRight(b.Snap.House.FoodCode, o.Celsius) && (right == nil || o.At.After(right.At)) {
				right = o
			}
		}
		if right == nil {
			note(w, "place never right", r.Place)
			return
		}
		w.Facts = append(w.Facts, momentAt("told", right.At, m.At, b, answer.FromAsked))
		note(w, "place last right", r.Place, when(right.At, m.At, b), tenths(right.Celsius).Fixed(1)+" °C")
	})
	var foods []timer.Reading // beside them, each by itself
	for _, r := range rs {
		if r.Place == "" {
			foods = append(foods, r)
		}
	}
	if len(foods) == 0 {
		return
	}
	one := &answer.Answer{}
	for _, r := range foods {
		k.limits(b, m, one, runOf(all, r))
		naming(one.Notes, r.Recipe)
		naming(one.Cautions, r.Recipe)
		for _, f := range one.Facts {
			if f.Group == "" {
				f.Group, f.Of = "temps limit", r.Recipe
			}
			w.Facts = append(w.Facts, f)
		}
		w.Notes, w.Cautions = append(w.Notes, one.Notes...), append(w.Cautions, one.Cautions...)
		one = &answer.Answer{}
	}
}

// coldLimits adds the code's limit for fridges, and of each that is above it what
// is done; above is called for those.
func (k *Asker) coldLimits(b *answer.Book, w *answer.Answer, rs []timer.Reading, above func(timer.Reading)) {
	var fridges, freezers []timer.Reading
	for _, r := range rs {
		switch {
		case r.Place == "":
		case frozen(b, r.Place):
			freezers = append(freezers, r)
		default:
			fridges = append(fridges, r)
		}
	}
	code := b.Snap.House.FoodCode
	if len(fridges) > 0 {
		var warm []timer.Reading
		for _, r := range fridges {
			if !answer.ColdRight(code, r.Celsius) {
				warm = append(warm, r)
			}
		}
		if !answer.ColdLimit(w, code, len(warm) > 0, "temps limit") {
			note(w, "no food code")
			warm = nil
		}
		var names []string
		for _, r := range warm {
			names = append(names, r.Place+" "+tenths(r.Celsius).Fixed(1)+" °C")
			if above != nil {
				above(r)
			}
		}
		if len(names) > 0 {
			w.Cautions = append(w.Cautions, answer.Phrase{Code: "place warm", Args: []string{strings.Join(names, ", ")}})
		}
	}
	if len(freezers) > 0 {
		note(w, "freezer no figure")
		var names []string
		for _, r := range freezers {
			if c, ok := b.Snap.Cold(r.Place); ok && c.At.Base().Float() < r.Celsius {
				names = append(names, r.Place+" "+tenths(r.Celsius).Fixed(1)+" °C")
			}
		}
		if len(names) > 0 {
			note(w, "warmer than set", strings.Join(names, ", "))
		}
	}
	w.Cautions = append(w.Cautions, answer.Phrase{Code: "code first"})
}

// told are the facts of one temperature in a list.
func (k *Asker) told(b *answer.Book, m Message, r timer.Reading, group string) []answer.Fact {
	n := tenths(r.Celsius)
	of := r.Place
	if of == "" {
		of = r.Recipe
	}
	f := answer.Fact{What: "temperature", Value: &n, Unit: "°C", Shown: n.Fixed(1) + " °C", Of: of, At: when(r.At, m.At, b), From: answer.FromAsked, Group: group}
	at := momentAt("told", r.At, m.At, b, answer.FromAsked)
	at.Of, at.Group = of, answer.GroupNote
	return []answer.Fact{f, at}
}

// ofDay are the temperatures of a day, or of one day and all that was told since
// midnight where the message names none, that a question asks for.
func (k *Asker) ofDay(b *answer.Book, q *question.Question, now time.Time, all []timer.Reading) []timer.Reading {
	day := b.Day(q.Clock, now)
	var out []timer.Reading
	for _, r := range all {
		at := r.At.In(b.Zone)
		if at.Before(day) || !at.Before(day.AddDate(0, 0, 1)) || !k.askedOf(b, q, r) {
			continue
		}
		out = append(out, r)
	}
	slices.SortStableFunc(out, func(x, y timer.Reading) int {
		food := func(r timer.Reading) int { // places first
			if r.Place == "" {
				return 1
			}
			return 0
		}
		return cmp.Or(food(x)-food(y), strings.Compare(placeKey(x.Place), placeKey(y.Place)), strings.Compare(x.Recipe, y.Recipe), x.At.Compare(y.At))
	})
	return out
}

// askedOf reports whether a temperature is of what a question names.
func (k *Asker) askedOf(b *answer.Book, q *question.Question, r timer.Reading) bool {
	switch {
	case len(q.Targets) > 0 && q.Targets[0].Recipe != nil:
		return r.Recipe == q.Targets[0].Recipe.Name
	case q.Place != "":
		return placeKey(r.Place) == placeKey(q.Place)
	case len(q.Foods) > 0:
		kind := "fridge"
		if frozen(b, r.Place) {
			kind = "freezer"
		}
		return r.Place != "" && slices.Contains(q.Foods, kind)
	}
	return true
}

// nothingTold reports whether nothing was ever told of the food that a question
// names: "log" may then be a shape.
func (k *Asker) nothingTold(q *question.Question) bool {
	if len(q.Targets) == 0 || q.Targets[0].Recipe == nil || k.timers == nil {
		return false
	}
	all, err := k.timers.Readings(k.house)
	if err != nil {
		return false // who asks is told that they can't be read
	}
	return !slices.ContainsFunc(all, func(r timer.Reading) bool { return r.Recipe == q.Targets[0].Recipe.Name })
}

// temperatures lists what was told of temperatures on a day.
func (k *Asker) temperatures(b *answer.Book, m Message, w *answer.Answer) error {
	all, err := k.timers.Readings(k.house)
	if err != nil {
		return err
	}
	var out []timer.Reading
	for _, r := range k.ofDay(b, w.Question, m.At, all) {
		if !r.Struck.IsZero() {
			out = append(out, r)
		}
	}
	rs := k.ofDay(b, w.Question, m.At, lastTold(standing(all)))
	k.tellStruck(b, m, w, out)
	if len(rs) == 0 && len(out) > 0 {
		return nil
	}
	if len(rs) == 0 {
		unknownWork(w, "no temperatures", b.Day(w.Question.Clock, m.At).Format("Mon 2 Jan"))
		return nil
	}
	for _, r := range rs[:min(len(rs), mostLines)] {
		group := "temps cold"
		if r.Place == "" {
			group = "temps food"
		}
		w.Facts = append(w.Facts, k.told(b, m, r, group)...)
	}
	if n := len(rs) - mostLines; n > 0 {
		left := quantity.Int(int64(n))
		w.Facts = append(w.Facts, answer.Fact{What: "more timers", Value: &left, Unit: "each", Shown: left.String(), From: answer.FromCalculated})
	}
	if places(rs) {
		k.coldLimits(b, w, rs, nil)
		return nil
	}
	w.Cautions = append(w.Cautions, answer.Phrase{Code: "code first"})
	return nil
}

// should says where a logged thing should be by now: the next limits of the
// house's code with what is left until them. No curve between them is made up.
func (k *Asker) should(b *answer.Book, m Message, w *answer.Answer) error {
	run := k.lastRun(w.Question, m)
	if len(run) == 0 {
		unknownWork(w, "nothing to mean")
		return nil
	}
	last := run[len(run)-1]
	w.Form, w.Title = answer.FormLines, answer.Title{Recipe: last.Recipe}
	var logged []answer.Logged
	for _, r := range run {
		logged = append(logged, answer.Logged{At: r.At.In(b.Zone), Celsius: r.Celsius})
	}
	n := tenths(last.Celsius)
	w.Facts = append(w.Facts, answer.Fact{What: "temperature", Value: &n, Unit: "°C", Shown: n.Fixed(1) + " °C", Of: last.Recipe, At: when(last.At, m.At, b), From: answer.FromAsked},
		momentAt("told", last.At, m.At, b, answer.FromAsked))
	if !answer.ByNow(w, b.Snap.House.FoodCode, useOf(run), logged, m.At.In(b.Zone)) {
		unknownWork(w, "no food code")
		return nil
	}
	note(w, "told last", n.Fixed(1)+" °C", when(last.At, m.At, b))
	return nil
}

// toldOfPlace adds what was last told of a cold place to what the house has of it.
func (k *Asker) toldOfPlace(b *answer.Book, m Message, a *answer.Answer) {
	if !slices.ContainsFunc(a.Facts, func(f answer.Fact) bool { return f.What == "temperature" }) {
		return
	}
	all, err := k.standing()
	if err != nil {
		return // the house's own figure stands without it
	}
	var last *timer.Reading
	for i := range all {
		if r := &all[i]; placeKey(r.Place) == placeKey(a.Question.Thing.Text) && m.At.Sub(r.At) < sameLog && !r.At.After(m.At) && (last == nil || !r.At.Before(last.At)) {
			last = r
		}
	}
	if last == nil {
		return
	}
	for _, f := range k.told(b, m, *last, answer.GroupNote) {
		f.Group = answer.GroupNote
		a.Facts = append(a.Facts, f)
	}
	note(a, "told last", tenths(last.Celsius).Fixed(1)+" °C", when(last.At, m.At, b))
}
