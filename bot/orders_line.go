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
	"tamis/kb/store"
)

// edited is the recipe's file with the order in it.
func (o *order) edited(k *Asker, r *kb.Recipe, source func(path string) (string, bool)) ([]store.FileChange, error) {
	if o.own == nil {
		return k.edited(r, o.edit, source)
	}
	text, ok := source(r.Pos.File)
	if !ok {
		return nil, say("change failed", r.Pos.File)
	}
	t, err := recipe.NewText([]byte(text))
	if err != nil {
		return nil, err
	}
	if err := o.own(t, r); err != nil {
		return nil, err
	}
	return []store.FileChange{{Path: r.Pos.File, Content: string(t.Bytes())}}, nil
}

var (
	massLast   = regexp.MustCompile(`(?is)^(.+?)[\s:,=]+(?:(?:is|are|now|goes|go|comes|becomes|become|changes|changed|turns|into|down|up|to|at|by) )*([0-9][0-9.,/]*(?: ?[a-z%]+)?)$`)
	moveTo     = regexp.MustCompile(`(?i)\b(?:down to|up to|now|becomes?|goes to|changes to|changed to|turns into|turns to) [0-9]`)
	putAt      = regexp.MustCompile(`(?i)^(?:put|turn|push|bring|take|lower|raise) .*\b(?:to|at|(?:up|down)(?: by)?) [0-9]`)
	wayTo      = regexp.MustCompile(`(?i)\b(up|down) (?:to |at |by )?[0-9][0-9.,/]*(?: ?[a-z%]+)?$`)
	wayBy      = regexp.MustCompile(`(?i)\b(?:up|down) (?:by )?[0-9][0-9.,/]*(?: ?[a-z%]+)?$`)
	lessThere  = regexp.MustCompile(`(?is)^(put )?(less|more) (.+?) in (?:the |our )?(.+?)[,:]+ (?:only )?(.+)$`)
	byOrder    = regexp.MustCompile(`(?is)^(raise|increase|bump|up|push|lower|decrease|reduce|cut|drop|bring) (?:up |down )?(?:the )?(.+?) (?:in|of) (?:the |our )?(.+?) by (.+)$`)
	goesBy     = regexp.MustCompile(`(?is)^(?:the )?(.+?) (?:in|of) (?:the |our )?(.+?) (?:(?:goes|go|comes|is) )?(up|down) (?:by )?(.+)$`)
	timesOrder = regexp.MustCompile(`(?is)^(halve|half|double|triple) (?:the )?(.+?) (?:in|of) (?:the |our )?(.+)$`)
	nothingIn  = regexp.MustCompile(`(?is)^(?:the |our )?(.+?) (?:no longer|never again) (?:has|gets|takes|contains|needs|wants) (?:any )?(?:the )?(.+)$`)
	comesOut   = regexp.MustCompile(`(?is)^(?:the )?(.+?) (?:comes?|goes|go|is|are) out of (?:the |our )?(.+)$`)
	withoutIt  = regexp.MustCompile(`(?is)^(?:make |do )?(?:the |our )?(.+?) without (?:any |the )?(.+)$`)
	alsoGets   = regexp.MustCompile(`(?is)^(?:the |our )?(.+?) (?:also|additionally) (?:gets|takes|has) (.+)$`)
	fromTo     = regexp.MustCompile(`(?is)^(?:(?:set|change|bring|take|raise|lower|cut) )?(?:the )?(.+?) (?:in|of) (?:the |our )?(.+?) (?:(?:goes|go|is) )?(?:up |down )?from (.+?) (?:up |down )?to (.+)$`)
	pinchTo    = regexp.MustCompile(`(?is)^(?:add|put) (a pinch) (?:of )?(.+?) (?:to|into|in) (?:the |our )?(.+)$`)
)

// lineSaid reads what becomes of a line in ways that name no "in": "crumble
// butter down to 210 g"; by how much it goes up or down; and what comes or goes.
func lineSaid(b *answer.Book, bare string, is mood) (o order, ok bool) {
	find := func(s string) bool {
		o.recipe, ok = recipeFound(b, strings.TrimSpace(s))
		return ok
	}
	line := func(s string) bool {
		o.edit.Name, ok = lineNamed(b, o.recipe, s)
		return ok
	}
	amount := func(s string) bool {
		q, err := quantity.ParseQuantity(strings.TrimSpace(s), b.Snap.House.Spoons, quantity.Book)
		o.edit.Amount = q
		return err == nil && q.Unit.Dim != quantity.Temperature && q.Unit.Dim != quantity.Time
	}
	o.edit.Kind = question.EditAmount
	if f := byOrder.FindStringSubmatch(bare); f != nil && find(f[3]) && line(f[2]) && amount(f[4]) {
		o.edit.By = 1
		if slices.Contains([]string{"lower", "decrease", "reduce", "cut", "drop", "bring"}, strings.ToLower(f[1])) {
			o.edit.By = -1
		}
		return o, !strings.EqualFold(f[1], "bring") || strings.Contains(strings.ToLower(bare), " down ")
	}
	if f := goesBy.FindStringSubmatch(bare); f != nil && find(f[2]) && line(f[1]) && !strings.HasPrefix(f[4], "to ") && amount(f[4]) {
		o.edit.By = 1
		if strings.EqualFold(f[3], "down") {
			o.edit.By = -1
		}
		return o, true
	}
	if f := fromTo.FindStringSubmatch(bare); f != nil && find(f[2]) && line(f[1]) && amount(f[4]) {
		was, err := quantity.ParseQuantity(strings.TrimSpace(f[3]), b.Snap.House.Spoons, quantity.Book)
		if err != nil {
			return o, false
		}
		e := o.edit
		o.own = func(t *recipe.Text, r *kb.Recipe) error { return fromLine(t, r, e, was) }
		return o, true
	}
	if f := timesOrder.FindStringSubmatch(bare); f != nil && is.lasting && find(f[3]) && line(f[2]) {
		by := map[string]int64{"halve": 50, "half": 50, "double": 100, "triple": 200}[strings.ToLower(f[1])]
		o.edit.Amount, o.edit.By = quantity.Of(quantity.Int(by), quantity.Percent), 1
		if by == 50 {
			o.edit.By = -1
		}
		return o, true
	}
	if f := lessThere.FindStringSubmatch(bare); f != nil && (is.firm || f[1] != "") && find(f[4]) && line(f[3]) && amount(f[5]) {
		want := -1
		if strings.EqualFold(f[2], "more") {
			want = 1
		}
		if !o.near() {
			o.own = func(*recipe.Text, *kb.Recipe) error { return lineIs(o.recipe, o.edit) } // "less sugar, 10 g" may be by so much
			return o, true
		}
		e := o.edit
		o.own = func(t *recipe.Text, r *kb.Recipe) error { return moveLine(t, r, e, want) }
		return o, true
	}
	if f := alsoGets.FindStringSubmatch(bare); f != nil && find(f[1]) {
		if a, ingredient := cutAmount(f[2]); ingredient != "" && amount(a) {
			o.edit.Kind, o.edit.By, o.edit.Name = question.EditAdd, 1, ingredient
			if n, there := lineNamed(b, o.recipe, ingredient); there {
				o.edit.Name = n
			}
			return o, true
		}
	}
	if f := pinchTo.FindStringSubmatch(bare); f != nil && find(f[3]) {
		ingredient := strings.TrimSpace(f[2])
		if n, there := lineNamed(b, o.recipe, ingredient); there {
			o.own = func(*recipe.Text, *kb.Recipe) error { return say("change unit", n) }
			return o, true
		}
		o.own = func(t *recipe.Text, r *kb.Recipe) error {
			if r.BasedOn != "" {
				return t.SetChange(ingredient, "a pinch")
			}
			return t.AddLine(ingredient, "a pinch", "")
		}
		return o, true
	}
	o.edit.Kind = question.EditRemove
	for _, p := range []struct {
		re           *regexp.Regexp
		item, recipe int
		may          bool
	}{{nothingIn, 2, 1, true}, {comesOut, 1, 2, is.lasting}, {withoutIt, 2, 1, is.lasting}} {
		if f := p.re.FindStringSubmatch(bare); f != nil && p.may && find(f[p.recipe]) && line(f[p.item]) {
			return o, true
		}
	}
	f := massLast.FindStringSubmatch(bare)
	if f == nil || !is.firm && !moveTo.MatchString(bare) && !putAt.MatchString(bare) || !amount(f[2]) || o.edit.Amount.Unit.Dim == quantity.None {
		return o, false
	}
	words := strings.Fields(strings.TrimPrefix(strings.ToLower(f[1]), "the "))
	for len(words) > 2 && slices.Contains([]string{"set", "change", "bring", "take", "cut", "drop", "lower", "raise", "up", "bump", "put", "turn", "push", "down", "the"}, words[0]) {
		words = words[1:]
	}
	if _, whole := b.Snap.RecipeNamed(strings.Join(words, " ")); whole {
		return o, false // "put the butter sauce to 2 kg" is of all of it
	}
	o.edit.Kind = question.EditAmount
	if f := wayTo.FindStringSubmatch(bare); f != nil {
		way := 1
		if strings.EqualFold(f[1], "down") {
			way = -1
		}
		if wayBy.MatchString(bare) {
			o.edit.By = way
		} else {
			o.edit.Way = way
		}
	}
	for n := len(words) - 1; n > 0; n-- {
		first, rest := strings.Join(words[:n], " "), strings.Join(words[n:], " ")
		if find(first) && line(rest) || find(rest) && line(first) {
			return o, true
		}
	}
	return o, false
}

// lineIs says what stands on a line, and that it is to be said what it becomes.
func lineIs(r *kb.Recipe, e question.Edit) error {
	i, err := findLine(r, e)
	if err != nil {
		return err
	}
	if i < 0 {
		return say("no such line", e.Name, r.Name)
	}
	return say("change by", r.Lines[i].Name, r.Lines[i].Amount.Text)
}

// moveLine writes an amount that is said to be less or more than what stands there.
func moveLine(t *recipe.Text, r *kb.Recipe, e question.Edit, way int) error {
	i, err := findLine(r, e)
	if err != nil {
		return err
	}
	if i < 0 {
		return say("no such line", e.Name, r.Name)
	}
	a := &r.Lines[i].Amount
	q := e.Amount
	if q.Unit.Dim == quantity.None {
		q.Unit = a.Unit // pieces and all
	}
	if x, err := q.In(a.Unit); a.Kind != recipe.Measured && a.Kind != recipe.Pieces || a.IsRange() || err != nil || x.N.Cmp(a.Lo) != way {
		return say("change by", r.Lines[i].Name, a.Text)
	}
	return editLine(t, r, e)
}

// fromLine writes an amount where the one that is said to stand there does.
func fromLine(t *recipe.Text, r *kb.Recipe, e question.Edit, was quantity.Quantity) error {
	i, err := findLine(r, e)
	if err != nil {
		return err
	}
	if i < 0 {
		return say("no such line", e.Name, r.Name)
	}
	a := &r.Lines[i].Amount
	if was.Unit.Dim == quantity.None {
		was.Unit = e.Amount.Unit
	}
	if x, err := was.In(a.Unit); a.Kind != recipe.Measured || a.IsRange() || err != nil || !x.N.Equal(a.Lo) {
		return say("change other", a.Text, was.String())
	}
	return editLine(t, r, e)
}

var (
	makesOrder = regexp.MustCompile(`(?is)^(?:the |our )?(.+?) (?:makes|yields|gives|comes to) (?:now )?(.+)$`)
	keyOrder   = regexp.MustCompile(`(?is)^(set|change|put|bring|raise|lower)? ?(?:the )?(yield|loss|density|overrun|spare) (?:of|for|on|in) (?:the |our )?(.+?) (?:is|are|to|at|becomes|goes to|goes up to|goes down to|=)(?: now)? (.+)$`)
	keepsOrder = regexp.MustCompile(`(?is)^(?:the |our )?(.+?) keeps? (?:now )?(?:for )?([0-9].+)$`)
	alsoOrder  = regexp.MustCompile(`(?is)^(?:the |our )?(.+?)(?:: also| is also| are also) (?:called|known as|named) (.+)$`)
	yieldForm  = regexp.MustCompile(`(?i)^[0-9][0-9.,]* ?(?:g|kg|ml|l|litres?|liters?|pieces?|portions?|covers?|pcs)?(?: of [0-9][0-9.,]* ?[a-z]+)?$`)
	valueForm  = regexp.MustCompile(`(?i)^[0-9][0-9.,]* ?(?:%|per ?cent|g/ml|g|kg)$`)
	noteOrder  = regexp.MustCompile(`(?is)^(?:(?:add|put|make|write|leave) (?:a |the )?)?note (?:to|on|for|in|with) (?:the |our )?([^:,]+?)(?:[:,] ?(?:that |saying )?| that | saying )(\S.+)$`)
)

// keySaid reads what a recipe makes, loses and how long it keeps, and another name of it.
func keySaid(b *answer.Book, bare string, is mood) (o order, ok bool) {
	find := func(s string) bool {
		o.recipe, ok = recipeFound(b, strings.TrimSpace(s))
		return ok
	}
	if f := alsoOrder.FindStringSubmatch(bare); f != nil && find(f[1]) {
		alias := unquoted(f[2])
		o.own = func(t *recipe.Text, _ *kb.Recipe) error { return t.AddAlso(alias) }
		return o, alias != ""
	}
	if f := makesOrder.FindStringSubmatch(bare); f != nil && is.firm && yieldForm.MatchString(f[2]) && find(f[1]) {
		return yields(o, f[2]), true
	}
	if f := keyOrder.FindStringSubmatch(bare); f != nil && (is.firm || f[1] != "") && find(f[3]) {
		key, value := strings.ToLower(f[2]), strings.TrimSpace(f[4])
		if key == "yield" {
			if !yieldForm.MatchString(value) {
				return o, false
			}
			return yields(o, value), true
		}
		if !valueForm.MatchString(value) {
			return o, false
		}
		o.own = func(t *recipe.Text, _ *kb.Recipe) error { return t.SetKey(key, value) }
		return o, true
	}
	if f := keepsOrder.FindStringSubmatch(bare); f != nil && is.firm && find(f[1]) {
		k, err := recipe.ParseKeep(f[2])
		if err != nil || k.Time == nil {
			return o, false
		}
		o.own = func(t *recipe.Text, r *kb.Recipe) error { return keeps(t, r, k) }
		return o, true
	}
	return o, false
}

// yields writes what a recipe makes. Pieces keep the weight that stands behind them.
func yields(o order, value string) order {
	value = strings.TrimSpace(value)
	o.own = func(t *recipe.Text, r *kb.Recipe) error {
		if bareCount.MatchString(value) {
			if r.Makes == nil {
				return say("change unit", r.Name)
			}
			n := leadingNumber.FindString(r.Makes.Text)
			rest := strings.TrimPrefix(r.Makes.Text, n)
			unit, _, _ := strings.Cut(strings.TrimSpace(rest), " ")
			if u, is := quantity.Metric.UnitNamed(unit); n == "" || rest == "" || is && (u.Dim == quantity.Mass || u.Dim == quantity.Volume) {
				return say("change unit", r.Name)
			}
			return t.SetKey("makes", value+rest)
		}
		if r.Makes != nil && !strings.Contains(value, " of ") {
			_, each, has := strings.Cut(r.Makes.Text, " of ")
			if m, err := recipe.ParseMakes(value + " of " + each); has && err == nil && m != nil && pieces.MatchString(value) && !strings.HasPrefix(r.Makes.Text, "fill ") {
				return t.SetKey("makes", value+" of "+each)
			}
		}
		return t.SetKey("makes", value)
	}
	return o
}

var (
	bareCount     = regexp.MustCompile(`^[0-9]+$`)
	leadingNumber = regexp.MustCompile(`^[0-9][0-9.,]*`)
)

var pieces = regexp.MustCompile(`(?i)^[0-9]+ ?(?:pieces?|portions?|pcs)$`)

// keeps writes how long a recipe keeps where it says so already: in the same
// place, or the only place.
func keeps(t *recipe.Text, r *kb.Recipe, k recipe.Keep) error {
	var at []int
	for i, old := range r.Keeps {
		if old.Time != nil && (k.Where == "" || name.Fold(old.Where) == name.Fold(k.Where)) && name.Fold(old.After) == name.Fold(k.After) {
			at = append(at, i)
		}
	}
	if len(at) != 1 {
		return say("change what")
	}
	text := k.Text
	if k.Where == "" {
		_, rest, _ := strings.Cut(r.Keeps[at[0]].Text, " in ")
		text += " in " + rest
	}
	return t.SetItem("keeps", at[0], text)
}

// noteSaid reads "add a note to the crumble: toast the walnuts first".
func noteSaid(b *answer.Book, bare string) (o order, ok bool) {
	f := noteOrder.FindStringSubmatch(bare)
	if f == nil {
		return o, false
	}
	if o.recipe, ok = recipeFound(b, strings.TrimSpace(f[1])); !ok {
		return o, false
	}
	words := strings.TrimSpace(f[2])
	o.own = func(t *recipe.Text, r *kb.Recipe) error {
		text := strings.ToUpper(words[:1]) + words[1:] + "."
		if old := strings.TrimSpace(r.Recipe.Notes); old != "" {
			text = strings.TrimRight(old, ".") + ". " + text
		}
		return t.SetKey("notes", text)
	}
	return o, true
}
