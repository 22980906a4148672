package bot

import (
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

// Orders that say no more than what moves and where to: "salt 4 to 5 g in the
// crumble", "tuile down to 11 min", "take the note off the crumble". What they say
// was so must be so in the book; what they say moves up or down must do that.

var (
	mass = `([0-9][0-9.,/]*(?: ?[a-z%]+)?)`
	to   = `(?:up |down )?(?:to|into)`

	moveVerb   = regexp.MustCompile(`(?i)^(?:set|change|move|bring|take|put|push|raise|lower|increase|decrease|reduce|cut|drop|bump|up|correct|update|make|turn|get) (?:(?:up|down) )?(?:the )?`)
	movedLast  = regexp.MustCompile(`(?is)^(.+?)[\s:,]+(?:(?:goes|go|comes|moves) )?(?:up |down )?(from )?` + mass + ` ` + to + ` ` + mass + ` (?:in|of|for|on) (?:the |our )?(.+)$`)
	movedBare  = regexp.MustCompile(`(?is)^(.+?)[\s:,]+(?:(?:goes|go|comes|moves) )?(?:up |down )?(from )?` + mass + ` ` + to + ` ` + mass + `$`)
	movedTo    = regexp.MustCompile(`(?is)^(.+?)[\s:,]+(?:(?:goes|go|comes) )?(?:(up|down) )?to ` + mass + ` (?:in|of|for|on) (?:the |our )?(.+)$`)
	movedFirst = regexp.MustCompile(`(?is)^(?:in|for) (?:the |our )?(.+?)[,:]? (?:the )?(\S.*?) (?:(?:goes|go|comes) )?(?:(up|down) )?to ` + mass + `$`)
	inBrix     = regexp.MustCompile(`(?i)[0-9 °](?:brix|bx)\b`) // no amount of a line: "reduce 500 g syrup from 20 to 60 brix"
	arrow      = regexp.MustCompile(`\s*(?:->|=>|→|⇒)\s*`)

	noteOff  = regexp.MustCompile(`(?is)^(?:(?:remove|delete|clear|strike|scrap|erase|wipe|cut|lose)(?: (?:away|out|off))? (?:the |its |our |all |any )?|drop (?:the |its |our |all )|get rid of (?:the |its |our |all )?)(?:notes?|remarks?) (?:from|off|on|of|to|for|in|under) (?:the |our )?(.+)$`)
	noteTake = regexp.MustCompile(`(?is)^(?:take|pull|get) (?:the |its |our |all )?(?:notes?|remarks?) (?:off|from|out of|away from) (?:the |our )?(.+)$`)
	noteOf   = regexp.MustCompile(`(?is)^(?:remove|delete|clear|strike|scrap|erase|wipe|drop|lose|take off|take out) (?:the |our )?(.+?)(?:'s|’s)? (?:notes?|remarks?)(?: off| out)?$`)
	noteLast = regexp.MustCompile(`(?is)^(?:the |our )?(.+?)[:,] (?:remove|delete|clear|strike|scrap|drop|take off|take out|lose) (?:the |its |all )?(?:notes?|remarks?)$`)
	noteGoes = regexp.MustCompile(`(?is)^(?:the )?(?:notes?|remarks?) (?:comes?|goes|go) (?:off|out of|from) (?:the |our )?(.+)$`)
	noteOnly = regexp.MustCompile(`(?is)^(?:(?:remove|delete|clear|strike|scrap|erase|wipe|lose)|(?:drop|take|pull)) (?:off |out )?(?:the |its |that |all )(?:notes?|remarks?)(?: off| out| away| again)?$`)

	nameIt   = regexp.MustCompile(`(?is)^(?:rename|call) (?:it|this|that|this one|that one) (?:to |into |as )?(.+)$`)
	nameBare = regexp.MustCompile(`(?is)^rename (?:the |our )?(.+)$`)
	nameOf   = regexp.MustCompile(`(?is)^(?:change|set|correct|update) (?:the )?name (?:of|for|on) (?:the |our )?(.+?) (?:to|into) (.+)$`)
	nameNew  = regexp.MustCompile(`(?is)^(?:the )?new name (?:for|of) (?:the |our )?(.+?)(?: is|:) (.+)$`)
	nameBe   = regexp.MustCompile(`(?is)^(?:the |our )?(.+?) (?:should be|shall be|is to be|must be|gets|will be|wants to be) (?:called|named|renamed(?: to| as)?) (.+)$`)
	nameGive = regexp.MustCompile(`(?is)^give (?:the |our )?(.+?) the name (.+)$`)
)

// noName are words behind "rename the tuile" that are no name of it.
var noName = []string{"later", "soon", "tomorrow", "today", "tonight", "now", "again", "back", "please", "somehow", "something", "else", "better", "properly", "first", "instead", "sometime", "too", "also", "asap",
	"then", "next", "week", "when", "once", "after", "before", "until", "and", "or", "because", "so", "for", "in", "on", "at", "the", "with", "this", "that", "it", "please", "chef", "already", "yet", "yesterday"}

// moreSaid reads such an order; of is the recipe that was spoken of last, nil if none.
func moreSaid(b *answer.Book, bare string, of *kb.Recipe) (order, bool) {
	for _, read := range []func(*answer.Book, string, *kb.Recipe) (order, bool){noteGone, renamed, moved} {
		if o, ok := read(b, bare, of); ok {
			return o, true
		}
	}
	return order{}, false
}

// noteGone reads "take the note off the crumble".
func noteGone(b *answer.Book, bare string, of *kb.Recipe) (o order, ok bool) {
	for _, re := range []*regexp.Regexp{noteOff, noteTake, noteLast, noteGoes, noteOf} {
		f := re.FindStringSubmatch(bare)
		if f == nil {
			continue
		}
		r, ok := recipeFound(b, strings.TrimSpace(f[1]))
		if !ok {
			continue
		}
		return withoutNote(r), true
	}
	if of != nil && noteOnly.MatchString(bare) {
		return withoutNote(of), true
	}
	return o, false
}

func withoutNote(r *kb.Recipe) order {
	return order{recipe: r, own: func(t *recipe.Text, r *kb.Recipe) error {
		err := t.RemoveKey("notes")
		switch {
		case err == nil:
			return nil
		case strings.TrimSpace(r.Recipe.Notes) == "":
			return say("change no note", r.Name)
		case r.BasedOn != "":
			return say("change note of base", r.Name, r.BasedOn)
		}
		return err
	}}
}

// renamed reads another name for a recipe where no "to" stands before it: "rename
// the tuile wafer". The name that is there must be written out.
func renamed(b *answer.Book, bare string, of *kb.Recipe) (o order, ok bool) {
	o.edit.Kind = question.EditRename
	if f := nameIt.FindStringSubmatch(bare); f != nil {
		o.recipe, o.edit.Name = of, unquoted(f[1])
		return o, of != nil && isName(o.edit.Name)
	}
	for _, re := range []*regexp.Regexp{nameOf, nameNew, nameBe, nameGive} {
		f := re.FindStringSubmatch(bare)
		if f == nil {
			continue
		}
		r, ok := recipeFound(b, strings.TrimSpace(f[1]))
		if !ok {
			continue
		}
		o.recipe, o.edit.Name = r, unquoted(f[2])
		return o, isName(o.edit.Name)
	}
	f := nameBare.FindStringSubmatch(bare)
	if f == nil {
		return o, false
	}
	if cut, _, ok := strings.Cut(f[1], ":"); ok {
		if r, found := b.Snap.RecipeNamed(strings.TrimSpace(cut)); found {
			o.recipe, o.edit.Name = r, unquoted(f[1][len(cut)+1:])
			return o, isName(o.edit.Name)
		}
	}
	words := strings.Fields(f[1])
	for n := len(words) - 1; n > 0; n-- { // the longest that is a name as it is
		r, ok := b.Snap.RecipeNamed(strings.Trim(strings.Join(words[:n], " "), `"'“”`))
		if !ok {
			continue
		}
		if words[n] == "to" || words[n] == "into" || words[n] == "as" {
			return o, false // another form
		}
		o.recipe, o.edit.Name = r, unquoted(strings.Join(words[n:], " "))
		return o, isName(o.edit.Name)
	}
	return o, false
}

// isName reports whether words may be a recipe's name: not one of them says when
// or how, and there are no more than a name has.
func isName(s string) bool {
	words := name.Words(s)
	return len(words) > 0 && len(words) <= 8 && !slices.Contains(noName, words[0]) && !slices.Contains(noName, words[len(words)-1])
}

// moved reads a line's amount that goes from one figure to another, or up or down to one.
func moved(b *answer.Book, bare string, of *kb.Recipe) (o order, ok bool) {
	verb := moveVerb.FindString(bare)
	rest := strings.TrimPrefix(strings.TrimPrefix(bare, verb), "the ")
	o.edit.Kind = question.EditAmount
	both := func(item, of string) bool {
		if o.recipe, ok = recipeFound(b, strings.TrimSpace(of)); !ok {
			return false
		}
		o.edit.Name, ok = lineNamed(b, o.recipe, item)
		return ok
	}
	amount := func(s string) (quantity.Quantity, bool) {
		q, err := quantity.ParseQuantity(strings.TrimSpace(s), b.Snap.House.Spoons, quantity.Book)
		return q, err == nil && q.Unit.Dim != quantity.Temperature && q.Unit.Dim != quantity.Time
	}
	if f := movedLast.FindStringSubmatch(rest); f != nil && both(f[1], f[5]) {
		return o.from(f[2] != "" || verb != "", f[3], f[4], amount)
	}
	if f := movedBare.FindStringSubmatch(rest); f != nil {
		words := strings.Fields(strings.TrimRight(f[1], ":,"))
		for n := len(words) - 1; n > 0; n-- {
			first, last := strings.TrimRight(strings.Join(words[:n], " "), ":,"), strings.TrimPrefix(strings.TrimPrefix(strings.Join(words[n:], " "), "in "), "the ")
			if both(last, first) || both(first, last) {
				return o.from(f[2] != "" || verb != "", f[3], f[4], amount)
			}
		}
		if of != nil && both(f[1], of.Name) {
			return o.from(f[2] != "" || verb != "", f[3], f[4], amount)
		}
		return o, false
	}
	if f := movedTo.FindStringSubmatch(rest); f != nil && both(f[1], f[4]) {
		o, ok := o.move(way(f[2], verb), f[3], amount)
		return o, ok && !strings.HasPrefix(strings.ToLower(verb), "reduce") && (verb != "" || o.near())
	}
	if f := movedFirst.FindStringSubmatch(rest); f != nil {
		verb := moveVerb.FindString(f[2])
		if both(strings.TrimPrefix(f[2], verb), f[1]) {
			o, ok := o.move(way(f[3], verb), f[4], amount)
			return o, ok && (verb != "" || o.near())
		}
	}
	if of != nil {
		if f := movedTo.FindStringSubmatch(rest + " in it"); f != nil && (verb != "" || f[2] != "") && both(f[1], of.Name) {
			o, ok := o.move(way(f[2], verb), f[3], amount)
			return o, ok && (verb != "" || !o.drawsOn())
		}
	}
	return o, false
}

// way is where a line is said to go: 1 up, -1 down, 0 not said.
func way(word, verb string) int {
	first, _, _ := strings.Cut(strings.ToLower(strings.TrimSpace(verb)), " ")
	switch {
	case strings.EqualFold(word, "up"), slices.Contains([]string{"raise", "increase", "bump", "up"}, first):
		return 1
	case strings.EqualFold(word, "down"), slices.Contains([]string{"lower", "decrease", "reduce", "cut", "drop"}, first):
		return -1
	}
	return 0
}

// from makes an order of "4 to 5 g". Where no word says that it moves, it is one
// only if the first figure stands in the book: else two figures are meant.
func (o order) from(said bool, was, now string, amount func(string) (quantity.Quantity, bool)) (order, bool) {
	old, ok := amount(was)
	q, ok2 := amount(now)
	if !ok || !ok2 {
		return o, false
	}
	if old.Unit.Dim == quantity.None {
		old.Unit = q.Unit
	}
	o.edit.Amount = q
	if !said && !lineHolds(o.recipe, o.edit, old) {
		return o, false
	}
	e := o.edit
	o.own = func(t *recipe.Text, r *kb.Recipe) error { return fromLine(t, r, e, old) }
	return o, true
}

// move makes an order of "down to 3 g".
func (o order) move(way int, now string, amount func(string) (quantity.Quantity, bool)) (order, bool) {
	q, ok := amount(now)
	if !ok {
		return o, false
	}
	o.edit.Amount = q
	if way != 0 {
		e := o.edit
		o.own = func(t *recipe.Text, r *kb.Recipe) error { return moveLine(t, r, e, way) }
	}
	return o, true
}

// near reports whether an amount that is said without a verb is one that its line
// may come to: of no recipe, and not three times more or less. "Stock to 3 kg for
// the jus" is reduced.
func (o *order) near() bool {
	i, err := findLine(o.recipe, o.edit)
	if err != nil || i < 0 || o.drawsOn() {
		return false
	}
	a, q := &o.recipe.Lines[i].Amount, o.edit.Amount
	if q.Unit.Dim == quantity.None {
		q.Unit = a.Unit
	}
	x, err := q.In(a.Unit)
	three := quantity.Int(3)
	return err == nil && !a.IsRange() && x.N.Cmp(a.Lo.Mul(three)) <= 0 && a.Lo.Cmp(x.N.Mul(three)) <= 0
}

// drawsOn reports whether the line is a recipe of its own.
func (o *order) drawsOn() bool {
	i, err := findLine(o.recipe, o.edit)
	return err == nil && i >= 0 && o.recipe.Lines[i].Link != nil
}

// lineHolds reports whether a line has an amount.
func lineHolds(r *kb.Recipe, e question.Edit, was quantity.Quantity) bool {
	i, err := findLine(r, e)
	if err != nil || i < 0 {
		return false
	}
	a := &r.Lines[i].Amount
	if was.Unit.Dim == quantity.None {
		was.Unit = a.Unit
	}
	x, err := was.In(a.Unit)
	return a.Kind == recipe.Measured && !a.IsRange() && err == nil && x.N.Equal(a.Lo)
}

// inWhich asks for the recipe of "salt from 4 to 5 g" where none is named and none
// was spoken of: one of those that have it so. Nil where the message is no such order.
func (k *Asker) inWhich(b *answer.Book, m Message, of *kb.Recipe) *answer.Answer {
	text := strings.TrimRight(strings.TrimSpace(m.Text), " .!")
	if of != nil || len(text) > 400 || strings.Contains(text, "\n") || asks(text) || mishap.MatchString(text) || other.MatchString(text) || inBrix.MatchString(text) || k.may(b, m) != nil {
		return nil
	}
	bare := arrow.ReplaceAllString(polite.ReplaceAllString(text, ""), " to ")
	verb := moveVerb.FindString(bare)
	f := movedBare.FindStringSubmatch(strings.TrimPrefix(strings.TrimPrefix(bare, verb), "the "))
	if f == nil {
		return nil
	}
	q := &question.Question{Want: question.WantChange, About: "change", Say: m.Text}
	a := &answer.Answer{Status: answer.StatusAsk, About: "change", Question: q, Form: answer.FormTalk, Ask: &answer.Phrase{Code: "ask recipe"}}
	for _, r := range b.Snap.Recipes {
		line, ok := lineNamed(b, r, f[1])
		if !ok {
			continue
		}
		say := "change " + line + " from " + f[3] + " to " + f[4] + " in the " + r.Name
		o, ok := moved(b, say, nil)
		if !ok || o.recipe != r || o.own == nil || !fromHolds(b, &o, f[3]) {
			continue
		}
		a.Choices = append(a.Choices, r.Name)
		a.Pending = append(a.Pending, question.Choice{Label: r.Name, Question: &question.Question{Want: question.WantChange, About: "change", Say: say}})
	}
	const most = 8
	if n := len(a.Choices); n == 0 || n > most {
		if f[2] == "" && verb == "" {
			return nil
		}
		return &answer.Answer{Status: answer.StatusUnknown, About: "change", Question: q, Form: answer.FormTalk, Why: &answer.Phrase{Code: "change what"}}
	}
	return a
}

// fromHolds reports whether what an order says was so is so.
func fromHolds(b *answer.Book, o *order, was string) bool {
	q, err := quantity.ParseQuantity(strings.TrimSpace(was), b.Snap.House.Spoons, quantity.Book)
	if q.Unit.Dim == quantity.None {
		q.Unit = o.edit.Amount.Unit
	}
	return err == nil && lineHolds(o.recipe, o.edit, q)
}
