package bot

import (
	"context"
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
	"tamis/kb/store"
)

// Orders are changes whose every part is named in full: a recipe of the book, a
// line of it, an amount. Names may be of any words ("set cream"), so no reading by
// known words may cut them up; what is not named in full is left to the frames.

// order is one change read from a line of a message.
type order struct {
	recipe *kb.Recipe // nil: of the larder
	edit   question.Edit
	own    func(t *recipe.Text, r *kb.Recipe) error // in place of edit
	larder larderEdit
}

var (
	polite = regexp.MustCompile(`(?i)^(?:(?:please|chef|hey|ok|okay|let's|let’s|lets|can you|could you|would you|from (?:today|now on|tomorrow)(?: on)?|as of (?:today|now|tomorrow)|going forward)[,:]?\s+)+`)
	firmly = regexp.MustCompile(`(?i)[,\s]+(?:from (?:today|tonight|tomorrow|now|here)(?: on(?:wards)?)?|now|today|as of (?:now|today|tomorrow)|for good|permanently|going forward|in the book|in the recipe)$`)
	lasts  = regexp.MustCompile(`(?i)\b(?:from (?:today|tonight|tomorrow|now on|here on)|now on|as of (?:now|today|tomorrow)|for good|permanently|going forward|in the book|in the recipe)\b`)
	isNow  = regexp.MustCompile(`(?i)\b(?:is|are|goes|gets|bakes|has|costs?|to) now\b|\bnow (?:is|are|gets|has|costs?)\b`)

	mishap = regexp.MustCompile(`(?i)\b(?:mistake|accident|accidentally|oops|forgot|too much|too many|too little|save it|saved?)\b`)
	other  = regexp.MustCompile(`(?i)\b(?:instead|rather than|not)\b`)

	renameOrder = regexp.MustCompile(`(?is)^rename (?:the |our )?(.+?) (?:to|into|as) (.+)$`)
	calledOrder = regexp.MustCompile(`(?is)^(?:the |our )?(.+?) is (?:now )?(?:called|named|to be called) (.+)$`)
	callOrder   = regexp.MustCompile(`(?is)^call (?:the |our )?(.+)$`)
	moreThere   = regexp.MustCompile(`(?i)(^)(?:another|an extra|an additional|extra|a further) |( )(?:more|extra) `)
	putFirst    = regexp.MustCompile(`(?i)^put `)
	addOrder    = regexp.MustCompile(`(?is)^(?:add|put) (.+) (?:to|into|in) (?:the |our )?(.+)$`)
	setOrder    = regexp.MustCompile(`(?is)^(?:set|change|correct|update|put|make|raise|lower|increase|decrease|reduce|cut|bring|up|bump|drop|push|take) (?:up |down )?(?:the )?(.+?) (?:in|of|for) (?:the |our )?(.+?) (?:up |down )?(?:to|at) (.+)$`)
	toInOrder   = regexp.MustCompile(`(?is)^(?:set|change|correct|update) (?:the )?(.+?) to (.+?) in (?:the |our )?(.+)$`)
	becomesIn   = regexp.MustCompile(`(?is)^(?:the )?(.+?) (?:becomes?|changes to|turns into) (?:now )?(.+?) (?:in|for) (?:the |our )?(.+)$`)
	lineIsOrder = regexp.MustCompile(`(?is)^(?:the )?(.+?) (?:in|of) (?:the |our )?(.+?) (is|are|should be|must be|becomes|goes to|goes up to|goes down to) (?:now )?(.+)$`)
	getsOrder   = regexp.MustCompile(`(?is)^(?:the |our )?(.+?) (gets|takes|has|uses|wants|needs) (?:now )?(.+)$`)
	takeOrder   = regexp.MustCompile(`(?is)^(?:take|remove|cut|drop) (.+) (?:out of|from) (?:the |our )?(.+)$`)
	outOrder    = regexp.MustCompile(`(?is)^(?:remove|delete|drop|scrap|take|strike) (?:the )?(.+?) (?:from|out of|off) (?:the |our )?(.+)$`)
	leaveOrder  = regexp.MustCompile(`(?is)^(?:leave (?:the )?(.+?) out of|no (?:more )?(.+?) in) (?:the |our )?(.+)$`)
	moreOrder   = regexp.MustCompile(`(?is)^(.+?) (more|less) (.+?) in (?:the |our )?(.+)$`)
)

// readOrder reads one line; ok is false where it is no order in full. of is the
// recipe that was spoken of last, nil if none.
func (k *Asker) readOrder(b *answer.Book, m Message, line string, of *kb.Recipe) (o order, ok bool) {
	text := strings.TrimRight(strings.TrimSpace(line), " .!")
	if text == "" || len(text) > 400 || mishap.MatchString(text) {
		return o, false
	}
	if o, ok := noteSaid(b, polite.ReplaceAllString(text, "")); ok { // a note may ask and suppose
		return o, true
	}
	if asks(text) {
		return o, false
	}
	text = strings.TrimRight(text, "?")
	bare := arrow.ReplaceAllString(polite.ReplaceAllString(text, ""), " to ")
	firm := len(polite.FindString(text)) > 0 && lasts.MatchString(polite.FindString(text)) || isNow.MatchString(bare)
	for cut := firmly.ReplaceAllString(bare, ""); cut != bare; cut = firmly.ReplaceAllString(bare, "") {
		bare, firm = cut, true
	}
	is := mood{firm: firm, lasting: lasts.MatchString(text), writes: k.can(b, m, Push)}
	for _, read := range []func(*answer.Book, string, mood) (order, bool){k.swapSaid, stepSaid} {
		if o, ok := read(b, bare, is); ok {
			o.edit.Words = append(o.edit.Words, question.Words(text)...)
			return o, true
		}
	}
	if other.MatchString(bare) {
		return o, false
	}
	o.edit.Words = question.Words(text)
	find := func(s string) bool {
		o.recipe, ok = recipeFound(b, strings.TrimSuffix(strings.TrimSpace(s), " recipe"))
		return ok
	}
	amount := func(s string) bool {
		q, err := quantity.ParseQuantity(strings.TrimSpace(s), b.Snap.House.Spoons, quantity.Book)
		o.edit.Amount = q
		return err == nil && q.Unit.Dim != quantity.Temperature && q.Unit.Dim != quantity.Time
	}
	line1 := func(s string) bool { // the line that is named
		o.edit.Name, ok = lineNamed(b, o.recipe, s)
		return ok
	}
	if f := renameOrder.FindStringSubmatch(bare); f != nil && find(f[1]) {
		o.edit.Kind, o.edit.Name = question.EditRename, unquoted(f[2])
		return o, o.edit.Name != ""
	}
	if f := calledOrder.FindStringSubmatch(bare); f != nil && find(f[1]) {
		o.edit.Kind, o.edit.Name = question.EditRename, unquoted(f[2])
		return o, o.edit.Name != ""
	}
	if f := callOrder.FindStringSubmatch(bare); f != nil {
		words := strings.Fields(f[1])
		for n := len(words) - 1; n > 0; n-- {
			if find(strings.Join(words[:n], " ")) {
				o.edit.Kind, o.edit.Name = question.EditRename, unquoted(strings.Join(words[n:], " "))
				return o, o.edit.Name != ""
			}
		}
	}
	if f := moreOrder.FindStringSubmatch(bare); f != nil && find(f[4]) && amount(strings.TrimPrefix(strings.TrimPrefix(f[1], "add "), "put ")) && line1(f[3]) {
		o.edit.Kind, o.edit.By = question.EditAmount, 1
		if strings.EqualFold(f[2], "less") {
			o.edit.By = -1
		}
		return o, true
	}
	if f := addOrder.FindStringSubmatch(bare); f != nil && find(f[2]) {
		a, ingredient := cutAmount(moreThere.ReplaceAllString(f[1], "$1$2"))
		if ingredient != "" && amount(a) {
			o.edit.Kind, o.edit.By, o.edit.Name = question.EditAdd, 1, strings.TrimPrefix(ingredient, "of ")
			if n, there := lineNamed(b, o.recipe, o.edit.Name); there {
				o.edit.Name = n
				if is.lasting && putFirst.MatchString(bare) && !moreThere.MatchString(f[1]) { // "put 90 g butter in the crisp in the book": what the line becomes
					o.edit.Kind, o.edit.By = question.EditAmount, 0
				}
			}
			return o, true
		}
	}
	for _, p := range []struct {
		re                   *regexp.Regexp
		item, recipe, amount int
	}{{setOrder, 1, 2, 3}, {toInOrder, 1, 3, 2}, {becomesIn, 1, 3, 2}, {lineIsOrder, 1, 2, 4}} {
		f := p.re.FindStringSubmatch(bare)
		if f == nil || p.re == lineIsOrder && !firm && (f[3] == "is" || f[3] == "are") {
			continue
		}
		if find(f[p.recipe]) && amount(f[p.amount]) && line1(f[p.item]) {
			o.edit.Kind = question.EditAmount
			return o, true
		}
	}
	if f := takeOrder.FindStringSubmatch(bare); f != nil && find(f[2]) {
		if a, ingredient := cutAmount(f[1]); ingredient != "" && amount(a) && line1(ingredient) {
			o.edit.Kind, o.edit.By = question.EditAmount, -1
			return o, true
		}
	}
	if f := outOrder.FindStringSubmatch(bare); f != nil && find(f[2]) && line1(f[1]) {
		o.edit.Kind = question.EditRemove
		return o, true
	}
	if f := leaveOrder.FindStringSubmatch(bare); f != nil && is.lasting && find(f[3]) && line1(f[1]+f[2]) {
		o.edit.Kind = question.EditRemove
		return o, true
	}
	if f := getsOrder.FindStringSubmatch(bare); f != nil && find(f[1]) {
		rest := f[3]
		by := 0
		for _, w := range []string{" more ", " less "} {
			if strings.Contains(rest, w) {
				rest = strings.Replace(rest, w, " ", 1)
				by = map[string]int{" more ": 1, " less ": -1}[w]
			}
		}
		if a, ingredient := cutAmount(rest); ingredient != "" && (is.lasting || by != 0 || firm && !observed(f[2])) && amount(a) && line1(ingredient) {
			o.edit.Kind, o.edit.By = question.EditAmount, by
			return o, true
		}
	}
	for _, read := range []func(*answer.Book, string, mood) (order, bool){keySaid, lineSaid} {
		if o, ok := read(b, bare, is); ok {
			o.edit.Words = append(o.edit.Words, question.Words(text)...)
			return o, true
		}
	}
	if o, ok := moreSaid(b, bare, of); ok {
		o.edit.Words = append(o.edit.Words, question.Words(text)...)
		return o, true
	}
	return k.larderOrder(b, bare, firm)
}

// observed reports whether a verb may say what a batch has just now.
func observed(verb string) bool {
	return slices.Contains([]string{"has", "wants", "needs"}, strings.ToLower(verb))
}

// recipeFound is the recipe of a name, or the only one whose name has its words.
func recipeFound(b *answer.Book, text string) (*kb.Recipe, bool) {
	if r, ok := b.Snap.RecipeNamed(text); ok {
		return r, true
	}
	words := name.Words(text)
	var found *kb.Recipe
	for _, r := range b.Snap.Recipes {
		if !slices.ContainsFunc(append([]string{r.Name}, r.Also...), func(n string) bool { return allIn(name.Words(n), words) }) {
			continue
		}
		if found != nil {
			return nil, false
		}
		found = r
	}
	return found, found != nil
}

func unquoted(s string) string { return strings.Trim(strings.TrimSpace(s), ` "'“”‘’`+"`") }

// lineNamed is the name of the one line of a recipe that words name: as it is
// written, as the larder knows it, or by a part of its name that no other line has.
func lineNamed(b *answer.Book, r *kb.Recipe, text string) (string, bool) {
	text = strings.TrimPrefix(strings.TrimSpace(text), "the ")
	fold := name.Fold(text)
	var part []string
	for i := range r.Lines {
		l := &r.Lines[i]
		switch {
		case name.Fold(l.Name) == fold, l.Item != nil && b.Snap.Larder.Find(text) == l.Item,
			l.Link != nil && slices.ContainsFunc(append([]string{l.Link.Name}, l.Link.Also...), func(s string) bool { return name.Fold(s) == fold }):
			return l.Name, true
		}
		if of := name.Words(l.Name); allIn(of, name.Words(text)) && !slices.Contains(part, l.Name) {
			part = append(part, l.Name)
		}
	}
	if len(part) == 1 && fold != "" {
		return part[0], true
	}
	return "", false
}

// allIn reports whether all words are among those of a name.
func allIn(of, words []string) bool {
	for _, w := range words {
		if !slices.Contains(of, w) {
			return false
		}
	}
	return len(words) > 0
}

// ordered offers the changes that a message orders, one a line; nil where it is
// no order.
func (k *Asker) ordered(ctx context.Context, b *answer.Book, before *question.Context, m Message) *answer.Answer {
	var of *kb.Recipe
	if before != nil && len(before.Targets) == 1 {
		of = before.Targets[0].Recipe
	}
	var os []order
	unread := ""
	for line := range strings.Lines(m.Text) {
		if line = strings.TrimSpace(line); line == "" {
			continue
		}
		o, ok := k.readOrder(b, m, line, of)
		switch {
		case !ok && unread == "", len(os) == mostPasted:
			unread = line
		case ok:
			os = append(os, o)
		}
	}
	if len(os) == 0 {
		return k.inWhich(b, m, of)
	}
	if unread != "" { // a part of it is never made
		return &answer.Answer{Status: answer.StatusUnknown, About: "change", Question: &question.Question{Want: question.WantChange, About: "change"}, Form: answer.FormTalk,
			Why: &answer.Phrase{Code: "change unread", Args: []string{unread}}}
	}
	if refused := k.may(b, m); refused != nil {
		return refused
	}
	if len(os) == 1 && os[0].recipe != nil && os[0].own == nil {
		q := &question.Question{Want: question.WantChange, About: "change", Say: m.Text, Targets: []question.Target{{Recipe: os[0].recipe}}}
		return k.offerEdit(ctx, b, m, q, os[0].edit)
	}
	return k.offerOrders(ctx, b, m, os)
}

// offerOrders offers several orders as one change: each is made on what those
// before it left.
func (k *Asker) offerOrders(ctx context.Context, b *answer.Book, m Message, os []order) *answer.Answer {
	q := &question.Question{Want: question.WantChange, About: "change", Say: m.Text}
	unknown := func(p answer.Phrase) *answer.Answer {
		return &answer.Answer{Status: answer.StatusUnknown, About: "change", Question: q, Form: answer.FormTalk, Why: &p}
	}
	c := store.Change{Why: m.Text, How: k.came(m), Base: b.Snap.Revision}
	source := func(path string) (string, bool) {
		for _, f := range c.Files {
			if f.Path == path {
				return f.Content, !f.Deleted
			}
		}
		return k.keeper.Source(path)
	}
	var id kb.RecipeID
	for i, o := range os {
		var fs []store.FileChange
		var err error
		if o.recipe == nil {
			fs, err = o.larder.edited(source)
		} else {
			r := o.recipe
			if i > 0 {
				plan, terr := k.keeper.Try(ctx, c)
				if terr != nil && !errors.Is(terr, store.ErrNothing) {
					return k.failed(q, terr)
				} else if terr == nil {
					if now, ok := plan.After.Recipe(r.ID); ok && r.ID != "" {
						r = now
					}
				}
			}
			id = r.ID
			fs, err = o.edited(k, r, source)
		}
		var why sayError
		switch {
		case errors.As(err, &why):
			return unknown(why.Phrase)
		case errors.Is(err, recipe.ErrSplice):
			what := "larder.yaml"
			if o.recipe != nil {
				what = o.recipe.Name
			}
			return unknown(answer.Phrase{Code: "change in place", Args: []string{what}})
		case err != nil:
			return unknown(answer.Phrase{Code: "change failed", Args: []string{err.Error()}})
		}
		for _, f := range fs {
			c.Files = slices.DeleteFunc(c.Files, func(o store.FileChange) bool { return o.Path == f.Path })
			c.Files = append(c.Files, f)
		}
	}
	return k.offer(ctx, b, m, id, c)
}

// takeOff offers to take a recipe off: "take the sorrel granita off".
func (k *Asker) takeOff(ctx context.Context, b *answer.Book, m Message) *answer.Answer {
	if asks(m.Text) {
		return nil
	}
	text := strings.ToLower(strings.Trim(strings.TrimSpace(m.Text), ".!"))
	text = polite.ReplaceAllString(text, "")
	text = firmly.ReplaceAllString(text, "")
	ends := []string{" off the menu", " off the book", " off the list", " out of the book", " off"}
	middle, ok := strings.CutPrefix(text, "take ")
	found := false
	if !ok {
		for _, end := range ends[:len(ends)-1] { // "the crumble is off" may be of its smell
			for _, is := range []string{" is", " are", " comes", " come", " goes", " go"} {
				if s, cut := strings.CutSuffix(text, is+end); cut && !found {
					middle, ok, found = s, true, true
				}
			}
		}
	}
	if !ok {
		return nil
	}
	for _, end := range ends {
		if s, ok := strings.CutSuffix(middle, end); ok && !found {
			middle, found = s, true
		}
	}
	if s, ok := strings.CutPrefix(middle, "off "); ok && !found {
		middle, found = s, true
	}
	r, named := recipeFound(b, strings.TrimPrefix(middle, "the "))
	if !found || !named {
		return nil
	}
	if refused := k.may(b, m); refused != nil {
		return refused
	}
	return k.offer(ctx, b, m, r.ID, store.Change{How: k.came(m), Why: m.Text, Files: []store.FileChange{{Path: r.Pos.File, Deleted: true}}})
}

// cutAmount parts "120 g flour" into the amount and the name.
func cutAmount(line string) (amount, ingredient string) {
	words := strings.Fields(line)
	for n := min(4, len(words)-1); n > 0; n-- {
		text := strings.Join(words[:n], " ")
		a, err := recipe.ParseAmount(text, quantity.Metric)
		if err != nil || a.Kind != recipe.Measured && !(a.Kind == recipe.Pieces && n == 1) {
			continue
		}
		return text, strings.TrimPrefix(strings.Join(words[n:], " "), "of ")
	}
	return "", ""
}
