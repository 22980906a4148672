package diff

import (
	"slices"
	"strings"

	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/name"
	"tamis/kb/recipe"
)

// Recipe is what differs between two revisions of one recipe.
type Recipe struct {
	Was, Now *kb.Recipe // nil: it was not there, it is off
	Lines    []Line     // in the order of the new revision; what went, where it was
	Steps    []Step
	Keys     []Key
}

// Line is one line that changed. Was nil: it is new; Now nil: it is gone.
type Line struct {
	Name, Part string // as the newest of the two has them
	Was, Now   *kb.Line
}

// Amount reports whether the amount is another; else only what stands beside it is.
func (l *Line) Amount() bool {
	return l.Was == nil || l.Now == nil || l.Was.Amount.Text != l.Now.Amount.Text
}

// Step is one value of a step that changed, as the book writes it; "" where it
// is not written. Key "" is the step itself: it is new, or gone.
type Step struct {
	Number   int // from 1, in the newest revision that has it
	Verb     string
	Key      string // "to", "at", "for"…; "words" are those behind the verb
	Was, Now string
}

// Key is one key of the recipe itself that changed, as the book writes it.
type Key struct{ Key, Was, Now string }

// Empty reports whether nothing differs.
func (r *Recipe) Empty() bool {
	return (r.Was == nil) == (r.Now == nil) && len(r.Lines)+len(r.Steps)+len(r.Keys) == 0
}

// Name is the newest name.
func (r *Recipe) Name() string {
	switch {
	case r.Now != nil:
		return r.Now.Name
	case r.Was != nil:
		return r.Was.Name
	}
	return ""
}

// Of compares two revisions; either may be nil.
func Of(was, now *kb.Recipe) Recipe {
	r := Recipe{Was: was, Now: now}
	var old, fresh kb.Recipe
	empty := &recipe.Recipe{}
	old.Recipe, fresh.Recipe = empty, empty
	if was != nil {
		old = *was
	}
	if now != nil {
		fresh = *now
	}
	r.Lines = lines(old.Lines, fresh.Lines)
	r.Steps = steps(old.Method, fresh.Method)
	if was != nil && now != nil {
		r.Keys = keys(was.Recipe, now.Recipe)
	}
	return r
}

// lines matches lines by name and part, then by name alone, each once.
func lines(was, now []kb.Line) []Line {
	partner := make([]int, len(now)) // of the new lines: the old one's index
	taken := make([]bool, len(was))
	for i := range partner {
		partner[i] = -1
	}
	match := func(same func(a, b *kb.Line) bool) {
		for i := range now {
			for j := range was {
				if partner[i] < 0 && !taken[j] && same(&was[j], &now[i]) {
					partner[i], taken[j] = j, true
				}
			}
		}
	}
	match(func(a, b *kb.Line) bool {
		return sameLine(a, b) && a.Amount.Text == b.Amount.Text // of several alike, those that stayed
	})
	match(sameLine)
	match(func(a, b *kb.Line) bool { return a.Fold == b.Fold })
	var out []Line
	gone := func(to int) { // the old lines before it that went
		for j := range to {
			if !taken[j] {
				taken[j] = true
				out = append(out, Line{Name: was[j].Name, Part: was[j].Part, Was: &was[j]})
			}
		}
	}
	for i := range now {
		l := Line{Name: now[i].Name, Part: now[i].Part, Now: &now[i]}
		next := len(was) // the old line of this or the next one that has one
		for _, j := range partner[i:] {
			if j >= 0 {
				next = j
				break
			}
		}
		gone(next)
		if j := partner[i]; j >= 0 {
			if l.Was = &was[j]; beside(l.Was) == beside(l.Now) && !l.Amount() {
				continue
			}
		}
		out = append(out, l)
	}
	gone(len(was))
	return out
}

func sameLine(a, b *kb.Line) bool { return a.Fold == b.Fold && name.Fold(a.Part) == name.Fold(b.Part) }

// beside is what a line says besides its amount.
func beside(l *kb.Line) string {
	out := ""
	if l.Out != nil {
		out = l.Out.Text
	}
	bought := ""
	if l.Bought {
		bought = "bought"
	}
	return strings.Join([]string{l.Name, l.Part, l.Note, l.Prep, l.As, l.On, out, bought}, "\x00")
}

// steps matches steps by verb in order: the longest run of verbs both have.
func steps(was, now []recipe.Step) []Step {
	const most = 400 // of a file; more are matched by number
	var pairs [][2]int
	if len(was) <= most && len(now) <= most {
		pairs = common(was, now)
	} else {
		for i := range min(len(was), len(now)) {
			pairs = append(pairs, [2]int{i, i})
		}
	}
	var out []Step
	i, j := 0, 0
	flush := func(a, b int) {
		for ; i < a; i++ {
			out = append(out, Step{Number: i + 1, Verb: was[i].Verb, Was: whole(&was[i])})
		}
		for ; j < b; j++ {
			out = append(out, Step{Number: j + 1, Verb: now[j].Verb, Now: whole(&now[j])})
		}
	}
	for _, p := range pairs {
		flush(p[0], p[1])
		a, b := values(&was[i]), values(&now[j])
		for k, key := range stepKeys {
			if a[k] != b[k] {
				out = append(out, Step{Number: j + 1, Verb: now[j].Verb, Key: key, Was: a[k], Now: b[k]})
			}
		}
		i, j = i+1, j+1
	}
	flush(len(was), len(now))
	return out
}

// common is the longest common run of verbs; of equal ones that with more words alike.
func common(was, now []recipe.Step) [][2]int {
	score := make([][]int, len(was)+1)
	for i := range score {
		score[i] = make([]int, len(now)+1)
	}
	worth := func(i, j int) int {
		switch {
		case name.Fold(was[i].Verb) != name.Fold(now[j].Verb):
			return 0
		case was[i].Words == now[j].Words:
			return 3
		}
		return 2
	}
	for i := len(was) - 1; i >= 0; i-- {
		for j := len(now) - 1; j >= 0; j-- {
			score[i][j] = max(score[i+1][j], score[i][j+1])
			if w := worth(i, j); w > 0 {
				score[i][j] = max(score[i][j], score[i+1][j+1]+w)
			}
		}
	}
	var out [][2]int
	for i, j := 0, 0; i < len(was) && j < len(now); {
		switch w := worth(i, j); {
		case w > 0 && score[i][j] == score[i+1][j+1]+w:
			out = append(out, [2]int{i, j})
			i, j = i+1, j+1
		case score[i][j] == score[i+1][j]:
			i++
		default:
			j++
		}
	}
	return out
}

var stepKeys = []string{"words", "to", "from", "of", "at", "for", "hold", "until", "where", "in", "hands", "stir every", "uses", "ahead", "caution", "with", "speed", "humidity"}

// values are a step's values as written, in the order of stepKeys.
func values(s *recipe.Step) []string {
	var uses []string
	for _, u := range s.Uses {
		if u.Mass != nil {
			uses = append(uses, u.Name+" "+u.Mass.String())
		} else {
			uses = append(uses, u.Name+" "+u.Share.String())
		}
	}
	to, at := "", ""
	if s.To != nil {
		to = s.To.Text
	}
	if s.At != nil {
		at = s.At.Text
	}
	return []string{s.Words, to, shown(s.From), strings.Join(s.Of, ", "), at, span(s.For), span(s.Hold), s.Until, s.Where, s.In, shown(s.Hands),
		shown(s.StirEvery), strings.Join(uses, ", "), span(s.Ahead), s.Caution, s.With, s.Speed, s.Humidity}
}

func span(s *recipe.Span) string {
	if s == nil {
		return ""
	}
	return s.Text
}

func shown(q *quantity.Quantity) string {
	if q == nil {
		return ""
	}
	return q.String()
}

// whole is a step in one line.
func whole(s *recipe.Step) string {
	out := s.Verb
	for i, v := range values(s) {
		switch {
		case v == "":
		case i == 0:
			out += ": " + v
		default:
			out += ", " + stepKeys[i] + " " + v
		}
	}
	return out
}

// keys compares what a recipe says of itself.
func keys(was, now *recipe.Recipe) []Key {
	a, b := said(was), said(now)
	var out []Key
	for i := range a {
		if a[i].Now != b[i].Now {
			out = append(out, Key{a[i].Key, a[i].Now, b[i].Now})
		}
	}
	return out
}

// said are a recipe's own keys and their values, in the book's order.
func said(r *recipe.Recipe) []Key {
	var keeps, instead, remedies, shared []string
	for _, k := range r.Keeps {
		keeps = append(keeps, k.Text)
	}
	for _, i := range r.Instead {
		instead = append(instead, i.Line+": "+i.Text)
	}
	for _, f := range r.If {
		remedies = append(remedies, f.Fault+": "+f.Words)
	}
	for _, a := range r.SharedWith {
		shared = append(shared, a.String())
	}
	makes, season, suits, pours, loss, spare := "", "", "", "", "", ""
	if r.Makes != nil {
		makes = r.Makes.Text
	}
	if r.Season != nil {
		season = r.Season.Text
	}
	if r.SuitsStated {
		suits = "[" + strings.Join(r.Suits, ", ") + "]"
	}
	if r.Pours != nil {
		pours = map[bool]string{true: "true", false: "false"}[*r.Pours]
	}
	if !r.Loss.N.IsZero() {
		loss = r.Loss.String()
	}
	if !r.Spare.N.IsZero() {
		spare = r.Spare.String()
	}
	list := func(s []string) string { return strings.Join(s, ", ") }
	return []Key{{"recipe", "", r.Name}, {"also", "", list(sorted(r.Also))}, {"section", "", r.Section}, {"makes", "", makes}, {"loss", "", loss},
		{"keeps", "", list(keeps)}, {"cautions", "", list(r.Cautions)}, {"notes", "", r.Notes}, {"based on", "", r.BasedOn}, {"season", "", season},
		{"instead", "", strings.Join(instead, "; ")}, {"spare", "", spare}, {"density", "", shown(r.Density)}, {"overrun", "", shown(r.Overrun)},
		{"made with shared", "", list(shared)}, {"suits", "", suits}, {"if", "", strings.Join(remedies, "; ")}, {"pours", "", pours}, {"picture", "", r.Picture}}
}

func sorted(s []string) []string {
	s = slices.Clone(s)
	slices.Sort(s)
	return s
}
