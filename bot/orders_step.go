package bot

import (
	"errors"
	"regexp"
	"slices"
	"strings"

	"tamis/bot/answer"
	"tamis/bot/question"
	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/name"
	"tamis/kb/recipe"
)

// mood is how a line says that the book is to change, beside its words.
type mood struct {
	firm    bool // "now", "from today", "for good"
	lasting bool // "from now on", "for good": not of this batch alone
	writes  bool // who wrote may change the book
}

// valueLast cuts a line at the figure it ends in: "bake the tuile at 155 not 160".
var (
	figure    = `[0-9][0-9.,/]*(?: ?(?:°|º)? ?[a-z°]+\.?)?(?: [0-9]+ ?(?:min|mins|minutes|s|sec))?`
	valueLast = regexp.MustCompile(`(?is)^(.+?)[\s:,=]+(?:(?:now )?(?:(down|up|back) )?(to|at|for) )?(` + figure + `)(?:,? (?:and )?(?:not|instead of|rather than|no longer|was) (?:at |for |the )?(` + figure + `))?$`)
	valueMore = regexp.MustCompile(`(?is)^(.+?)[\s:,]+(?:for |by )?(?:a |an |another )?(` + figure + `) (longer|more|hotter|higher|warmer|extra|shorter|less|cooler|colder|lower)$`)
	valueFrom = regexp.MustCompile(`(?is)^(.+?)[\s:,]+(?:(?:down|up) )?from (` + figure + `) (?:down |up )?(to) (` + figure + `)$`)
)

// bareDegrees is a temperature without its sign: "195 c".
var bareDegrees = regexp.MustCompile(`(?i)^\s*([0-9.,]+) ?([cf])\s*$`)

// seen is what an oven or a probe shows just now, which is no change of the book.
var seen = regexp.MustCompile(`(?i)\b(?:is|are|reads|shows|measures) (?:now )?(?:at )?-?[0-9]+(?: ?(?:°|º|degrees|c\b|f\b|celsius))*(?: (?:just |right )?now)?[ .!]*$`)

// loose are words of a line about a step that name neither recipe nor verb.
var loose = []string{"the", "our", "now", "new", "goes", "go", "gets", "get", "takes", "take", "needs", "need", "is", "are", "in", "of", "for", "on", "at", "to", "time", "times", "temp", "temperature",
	"oven", "should", "must", "be", "set", "change", "make", "bring", "put", "drop", "lower", "raise", "has", "have", "stays", "stay", "becomes", "down", "up", "step", "correct", "update"}

// stepOrder reads a time or temperature of a step: "the tuile goes 11 min now",
// "the domes freeze 8 h now", "bake the tuile at 155 not 160", "new bake time for
// the tuile: 11 min". Another value that is said to be the old one must be.
func stepSaid(b *answer.Book, bare string, is mood) (o order, ok bool) {
	var head, prep, value, old, goes string
	by := 0
	if f := valueMore.FindStringSubmatch(bare); f != nil {
		if head, value, by = f[1], f[2], 1; slices.Contains(append([]string{"lower"}, question.ShorterWords...), strings.ToLower(f[3])) {
			by = -1
		}
	} else if f := valueFrom.FindStringSubmatch(bare); f != nil {
		head, old, prep, value = f[1], f[2], f[3], f[4]
	} else if f := valueLast.FindStringSubmatch(bare); f != nil {
		head, goes, prep, value, old = f[1], strings.ToLower(f[2]), f[3], f[4], f[5]
	} else {
		return o, false
	}
	read := func(s string) (quantity.Quantity, bool) {
		s = bareDegrees.ReplaceAllString(s, "$1 °$2") // of a step it is no cup
		q, err := quantity.ParseQuantity(strings.TrimSpace(s), b.Snap.House.Spoons, quantity.Book)
		return q, err == nil && (q.Unit.Dim == quantity.Temperature || q.Unit.Dim == quantity.Time || q.Unit.Dim == quantity.None)
	}
	q, ok := read(value)
	if !ok {
		return o, false
	}
	was, hasOld := quantity.Quantity{}, old != ""
	if hasOld {
		if was, ok = read(old); !ok {
			return o, false
		}
		if was.Unit.Dim == quantity.None {
			was.Unit = q.Unit
		} else if q.Unit.Dim == quantity.None {
			q.Unit = was.Unit
		}
	}
	words := strings.Fields(strings.ToLower(head))
	r, verb, at := recipeAndVerb(b, words)
	if r == nil {
		return o, false
	}
	if at >= 0 && strings.HasSuffix(words[at], "ed") && name.Fold(words[at]) != verb { // "baked at 155": it has happened
		return o, false
	}
	says := func(list ...string) bool {
		return slices.ContainsFunc(words, func(w string) bool { return slices.Contains(list, w) })
	}
	hot := prep == "at" || prep == "to" && !says("time") || says("oven", "temp", "temperature")
	bareTime := q.Unit.Dim == quantity.None && goes != "" && says("time", "times") // "bake time down to 11": in the unit that it has
	if bareTime {
		q.Unit = quantity.Minute
	}
	order := slices.Contains([]string{"set", "change", "make", "bring", "put", "drop", "lower", "raise", "correct", "update"}, words[0])
	put := order && verb != "" && at == len(words)-1 && at > 0 && prep == "" // "set sablé bake 150 c"
	if put && q.Unit.Dim == quantity.None && quantity.Int(100).Less(q.N) {   // no minutes, and no timer
		hot = true
	}
	if q.Unit.Dim == quantity.None && !hot && !hasOld {
		return o, false
	}
	o.recipe = r
	o.edit = question.Edit{Kind: question.EditStep, Amount: q, By: by, Words: []string{prep}}
	if verb != "" {
		o.edit.Words = append(o.edit.Words, verb)
	}
	p, found, _ := stepPlace(r, o.edit)
	if bareTime && found {
		q.Unit = p.unit
		o.edit.Amount = q
	}
	named := says("time", "times", "temp", "temperature", "oven")
	switch {
	case hasOld && found && !p.holds(was):
		if was.Unit.Dim == quantity.None {
			was.Unit = p.unit
		}
		o.own = func(*recipe.Text, *kb.Recipe) error { return say("change other", p.text, was.String()) }
		return o, true
	case hasOld && found: // the old value is right: the new one is meant
	case is.lasting:
	case found && by == 0 && at != 0 && p.span != nil && p.goes(goes, q) && !says("is", "are", "was", "were", "has", "have", "had", "left", "still", "already", "timer", "cool", "cooled", "just"): // "tuile down to 11 min"
	case says("is", "are", "has", "have", "needs", "need") && !says("time", "times", "new"), verb == "" && !named && !says("goes", "go", "takes", "take", "gets", "get"):
		return o, false // "the tuile is at 150 now" is seen, not wanted
	case named && (is.firm || order || words[0] == "new" || slices.Contains(words[:min(2, len(words))], "new")):
	case at == 0 && verb != "" && len(words) > 1 && !third(words[0], verb): // "chill the crumble for 30 min now" is a task
		return o, false
	case is.firm:
	case put && found && !p.holds(q) && (hot || q.Unit.Dim == quantity.Temperature || words[0] != "set" && words[0] != "put"): // "set … 40 min" is a timer
	case is.writes && found && by == 0 && !p.holds(q) && verb != "" && at == len(words)-1 && third(words[at], verb): // "the base rests 12 h"
	default:
		return o, false
	}
	return o, true
}

// recipeAndVerb parts words into a recipe and the verb of one of its steps; at
// is where the verb stands, -1 without one.
func recipeAndVerb(b *answer.Book, words []string) (r *kb.Recipe, verb string, at int) {
	kept := func(drop int, all bool) string {
		var out []string
		for i, w := range words {
			if i != drop && (all || !slices.Contains(loose, w)) {
				out = append(out, w)
			}
		}
		return strings.Join(out, " ")
	}
	for i := len(words) - 1; i >= 0; i-- {
		for _, all := range []bool{true, false} {
			found, ok := recipeFound(b, strings.TrimPrefix(kept(i, all), "the "))
			if !ok {
				continue
			}
			for _, st := range found.Method {
				if r == nil && verbSaid(st.Verb, []string{name.Fold(words[i]), words[i]}) {
					r, verb, at = found, name.Fold(st.Verb), i
				}
			}
		}
	}
	if r != nil {
		return r, verb, at
	}
	for _, all := range []bool{true, false} {
		if found, ok := recipeFound(b, strings.TrimPrefix(kept(-1, all), "the ")); ok {
			return found, "", -1
		}
	}
	return nil, "", -1
}

// third reports whether a word is a verb as one says it of a recipe: bakes, not bake.
func third(word, verb string) bool { return word != verb && strings.HasSuffix(word, "s") }

// place is where a step has a value.
type place struct {
	step int
	key  string
	unit quantity.Unit
	text string
	span *recipe.Span
	temp *quantity.Quantity
	hot  bool // the step has a temperature to be at
}

// holds reports whether a value is the one that stands there, or an end of its range.
func (p *place) holds(q quantity.Quantity) bool {
	if q.Unit.Dim == quantity.None {
		q.Unit = p.unit
	}
	if p.span == nil {
		x, err := q.In(p.temp.Unit)
		return err == nil && x.N.Equal(p.temp.N)
	}
	x, err := q.In(quantity.Minute)
	return err == nil && slices.ContainsFunc([]*quantity.Number{p.span.Exact, p.span.Min, p.span.Max}, func(n *quantity.Number) bool { return n != nil && n.Equal(x.N) })
}

// goes reports whether a time is down or up, as it is said, from the one that stands there.
func (p *place) goes(way string, q quantity.Quantity) bool {
	i := slices.IndexFunc([]*quantity.Number{p.span.Exact, p.span.Min, p.span.Max}, func(n *quantity.Number) bool { return n != nil })
	x, err := q.In(quantity.Minute)
	if err != nil || i < 0 || p.span.Min != nil && p.span.Max != nil {
		return false
	}
	c := x.N.Cmp(*[]*quantity.Number{p.span.Exact, p.span.Min, p.span.Max}[i])
	return way == "down" && c < 0 || way == "up" && c > 0
}

// moved is the value that stands there, more or less by another; of a range it is none.
func (p *place) moved(by quantity.Quantity, way int) (quantity.Quantity, error) {
	old := quantity.Quantity{}
	switch {
	case p.span == nil && (by.Unit.Equal(p.unit) || by.Unit.Dim == quantity.None):
		old = *p.temp // a step of degrees is no temperature: nothing is converted
		by.Unit = old.Unit
	case p.span == nil, p.span.Min != nil && p.span.Max != nil:
		return old, errRange
	default:
		i := slices.IndexFunc([]*quantity.Number{p.span.Exact, p.span.Min, p.span.Max}, func(n *quantity.Number) bool { return n != nil })
		if i < 0 {
			return old, errRange
		}
		var err error
		if old, err = quantity.Of(*[]*quantity.Number{p.span.Exact, p.span.Min, p.span.Max}[i], quantity.Minute).In(p.unit); err != nil {
			return old, err
		}
		if by, err = by.In(p.unit); err != nil {
			return old, err
		}
	}
	n := old.N.Add(by.N)
	if way < 0 {
		n = old.N.Sub(by.N)
	}
	if p.span != nil && n.Sign() <= 0 {
		return old, errRange
	}
	return quantity.Of(n, old.Unit), nil
}

var errRange = errors.New("not one value")

// stepPlace is the one place of a recipe's own steps that an edit of a time or
// temperature means: of the step whose verb is said, of the one that has such a
// value, or where no verb is said, of the one in the heat.
func stepPlace(r *kb.Recipe, e question.Edit) (p place, ok bool, several bool) {
	isTime := e.Amount.Unit.Dim == quantity.Time
	var all, named []place
	for i := range r.Recipe.Method {
		st := &r.Recipe.Method[i]
		if st.Pos.File != r.Pos.File { // of the base, not of this file
			continue
		}
		hot := st.At != nil && st.At.Temperature != nil
		var ps []place
		if isTime {
			if st.For != nil {
				ps = append(ps, place{i, "for", st.For.Unit, st.For.Text, st.For, nil, hot})
			}
		} else {
			if hot {
				ps = append(ps, place{i, "at", st.At.Temperature.Unit, st.At.Text, nil, st.At.Temperature, hot})
			}
			if st.To != nil && st.To.Temperature != nil {
				ps = append(ps, place{i, "to", st.To.Temperature.Unit, st.To.Text, nil, st.To.Temperature, hot})
			}
		}
		all = append(all, ps...)
		if verbSaid(st.Verb, e.Words) {
			named = append(named, ps...)
		}
	}
	if len(named) > 0 {
		all = named
	} else if isTime && len(all) > 1 {
		all = slices.DeleteFunc(all, func(p place) bool { return !p.hot })
	}
	if len(all) > 1 {
		all = slices.DeleteFunc(all, func(p place) bool { return !slices.Contains(e.Words, p.key) })
	}
	if len(all) != 1 {
		return place{}, false, len(all) > 1
	}
	return all[0], true, false
}

// editStep writes a temperature or time of the step that the message names, or
// of the only one that has such a value. A limit that is never to be passed stays.
func editStep(t *recipe.Text, r *kb.Recipe, e question.Edit) error {
	p, ok, several := stepPlace(r, e)
	if !ok {
		if r.BasedOn != "" && !several {
			return say("change of base", r.Name, r.BasedOn)
		}
		return say("change no step", r.Name)
	}
	q := e.Amount
	if q.Unit.Dim == quantity.None {
		q.Unit = p.unit
	}
	if e.By != 0 {
		var err error
		if q, err = p.moved(q, e.By); err != nil {
			return say("change by", strings.TrimSpace(r.Name+" "+r.Recipe.Method[p.step].Verb), p.text)
		}
	}
	text := q.String()
	for _, lead := range []string{"at least ", "at most "} {
		if strings.HasPrefix(p.text, lead) {
			text = lead + text
		}
	}
	if p.span != nil && p.span.Never != nil {
		if i := strings.Index(p.text, "never over"); i >= 0 {
			text += ", " + p.text[i:]
		}
		if x, err := q.In(quantity.Minute); err != nil || p.span.Never.Less(x.N) {
			return say("change never", r.Name, p.text)
		}
	}
	return t.SetStep(p.step, p.key, text)
}

// verbSaid reports whether a step's verb is among the words: bake, bakes, baked, baking.
func verbSaid(verb string, words []string) bool {
	v := name.Fold(verb)
	stem := strings.TrimSuffix(v, "e")
	for _, w := range words {
		if w == v || len(stem) > 2 && (w == stem+"ed" || w == stem+"ing" || w == stem+"es" || w == v+"s") {
			return true
		}
	}
	return false
}
