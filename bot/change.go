package bot

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"tamis/bot/answer"
	"tamis/bot/question"
	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/diff"
	"tamis/kb/name"
	"tamis/kb/recipe"
	"tamis/kb/store"
)

// sayError is why a change cannot be made, by its message.
type sayError struct{ answer.Phrase }

func (e sayError) Error() string { return e.Code + " " + strings.Join(e.Args, ", ") }

func say(code string, args ...string) error { return sayError{answer.Phrase{Code: code, Args: args}} }

// change offers what a message wants changed: the difference, and yes or no.
func (k *Asker) change(ctx context.Context, b *answer.Book, m Message, q *question.Question) *answer.Answer {
	unknown := func(p answer.Phrase) *answer.Answer {
		return &answer.Answer{Status: answer.StatusUnknown, About: "change", Question: q, Form: answer.FormTalk, Why: &p}
	}
	if len(q.Targets) == 0 || q.Targets[0].Recipe == nil {
		return unknown(answer.Phrase{Code: "change what"})
	}
	e, ok := q.Edit()
	if !ok {
		return unknown(answer.Phrase{Code: "change what"})
	}
	if e.Kind == question.EditRename && !q.FromTalk && nameIt.MatchString(polite.ReplaceAllString(strings.TrimSpace(m.Text), "")) {
		return unknown(answer.Phrase{Code: "change what"}) // a recipe in the new name is not the one that is renamed
	}
	if e.Kind == question.EditOff && (!offOnly(m.Text, q.Targets[0].Recipe) || q.Targets[0].Part && !question.Mentions(question.Words(m.Text), q.Targets[0].Recipe.Name)) {
		return unknown(answer.Phrase{Code: "change what"})
	}
	if e.Kind == question.EditStep && e.Amount.Unit.Dim == quantity.None && !saysStep(q.Targets[0].Recipe, e) {
		return unknown(answer.Phrase{Code: "change what"}) // "bring the tuiles up to 90" may be of pieces
	}
	if e.Kind == question.EditStep && seen.MatchString(m.Text) && !lasts.MatchString(m.Text) {
		return unknown(answer.Phrase{Code: "change seen"})
	}
	if q.Lost && e.Kind != question.EditAdd && e.Kind != question.EditRename {
		return unknown(answer.Phrase{Code: "change unplaced", Args: q.Unused})
	}
	return k.offerEdit(ctx, b, m, q, e)
}

// saysStep reports whether a figure without a unit is one of a step: its words
// name the step or the heat, or it is near what stands there.
func saysStep(r *kb.Recipe, e question.Edit) bool {
	words := e.Words
	if p, ok, _ := stepPlace(r, e); ok && p.temp != nil {
		if d := e.Amount.N.Sub(p.temp.N).Abs(); d.Mul(quantity.Int(4)).Cmp(p.temp.N.Abs()) <= 0 {
			return true
		}
	}
	if slices.ContainsFunc([]string{"at", "oven", "temp", "temperature", "degree", "deg", "heat", "hot", "hotter", "cooler", "higher", "lower"}, func(w string) bool { return slices.Contains(words, w) }) {
		return true
	}
	return slices.ContainsFunc(r.Method, func(st recipe.Step) bool { return verbSaid(st.Verb, words) })
}

// offWords may stand beside the name of a recipe that is to go.
var offWords = []string{"the", "our", "a", "please", "chef", "can", "could", "you", "would", "recipe", "card", "from", "off", "out", "of", "menu", "book", "list", "now", "on", "for", "good", "permanently", "today", "and",
	"remove", "delete", "take", "drop", "lose", "scrap", "leave", "this", "that", "it", "as"}

// offOnly reports whether a message that takes something off says nothing but the
// recipe: "delete the note on the crumble" leaves the crumble where it is.
func offOnly(text string, r *kb.Recipe) bool {
	var names []string
	for _, n := range append([]string{r.Name}, r.Also...) {
		names = append(names, name.Words(n)...)
	}
	for _, w := range question.Words(text) {
		if !slices.Contains(offWords, w) && !slices.ContainsFunc(names, func(n string) bool {
			_, near := name.Slips(n, w, 2)
			return n == w || near && len(w) > 4
		}) {
			return false
		}
	}
	return true
}

// offerEdit offers an edit of the recipe that q is about.
func (k *Asker) offerEdit(ctx context.Context, b *answer.Book, m Message, q *question.Question, e question.Edit) *answer.Answer {
	r := q.Targets[0].Recipe
	unknown := func(p answer.Phrase) *answer.Answer {
		return &answer.Answer{Status: answer.StatusUnknown, About: "change", Question: q, Form: answer.FormTalk, Why: &p}
	}
	files, err := k.edited(r, e, k.keeper.Source)
	var why sayError
	switch {
	case errors.As(err, &why):
		a := unknown(why.Phrase)
		if why.Code == "no such line" {
			a.Choices = lineNames(r)
		}
		return a
	case errors.Is(err, recipe.ErrSplice):
		return unknown(answer.Phrase{Code: "change in place", Args: []string{r.Name}})
	case err != nil:
		return unknown(answer.Phrase{Code: "change failed", Args: []string{err.Error()}})
	}
	return k.offer(ctx, b, m, r.ID, store.Change{Why: m.Text, How: k.came(m), Files: files})
}

func lineNames(r *kb.Recipe) []string {
	var out []string
	for i := range r.Lines {
		if n := r.Lines[i].Name; len(out) < 12 && !slices.Contains(out, n) {
			out = append(out, n)
		}
	}
	return out
}

// offer shows the difference that a change makes and asks for yes or no; what
// who wrote may not write is kept as a proposal.
func (k *Asker) offer(ctx context.Context, b *answer.Book, m Message, id kb.RecipeID, c store.Change) *answer.Answer {
	c.Who = k.author(b, m)
	c.Base, c.At = b.Snap.Revision, m.At
	act := actOf(&c)
	if k.can(b, m, act) {
		return k.offered(ctx, b, m, offer{at: m.At, author: m.Author, change: c, recipe: id})
	}
	q := &question.Question{Want: question.WantNever, About: "change"}
	r := refused(b, q, act)
	if !k.can(b, m, Propose) {
		return r
	}
	if _, err := k.keeper.Try(ctx, c); err != nil {
		why := k.failed(q, err)
		r.Notes = append(r.Notes, why.Notes...)
		if why.Why != nil {
			r.Notes = append(r.Notes, unproposed(*why.Why))
		}
		return r
	}
	k.keep(b, m, r, c, id, false)
	return r
}

// offered shows what an offer would change and asks for a yes.
func (k *Asker) offered(ctx context.Context, b *answer.Book, m Message, f offer) *answer.Answer {
	q := &question.Question{Want: question.WantChange, About: "change"}
	if f.proposal != 0 {
		if log, err := k.keeper.Log(ctx); err == nil {
			f.change = onBase(f.change, log)
		}
	}
	plan, err := k.keeper.Try(ctx, f.change)
	switch {
	case errors.Is(err, store.ErrOutdated):
		return k.outdated(ctx, b, m, f)
	case errors.Is(err, store.ErrNothing) && f.proposal != 0:
		a := k.failed(q, err)
		k.settled(b, m, &f, a)
		return a
	case err != nil:
		return k.failed(q, err)
	}
	a, ds := k.difference(plan)
	if len(ds) > 0 {
		q.Targets = []question.Target{{Recipe: recipeOf(&ds[0])}}
	}
	a.Question = q
	k.runningFrom(b, m, a, ds)
	return k.asking(a, m, f)
}

// asking makes a the question whether f is to be written.
func (k *Asker) asking(a *answer.Answer, m Message, f offer) *answer.Answer {
	a.Status = answer.StatusAsk
	a.Ask = &answer.Phrase{Code: "change ask"}
	a.Choices = []string{"yes", "no"}
	for _, c := range a.Choices {
		a.Pending = append(a.Pending, question.Choice{Label: c, Question: &question.Question{Want: question.WantChange, About: "change", Say: c}})
	}
	k.open.put(m.Conversation, f)
	return a
}

// difference is what a plan changes, and the recipes whose own files change.
func (k *Asker) difference(plan *store.Plan) (*answer.Answer, []diff.Recipe) {
	own, follow := diff.Own(diff.Books(plan.Before, plan.After), plan.Paths())
	was, now := answer.ForDifference(plan.Before), answer.ForDifference(plan.After)
	a := answer.Difference(was, now, own, follow...)
	OtherFiles(a, plan, k.keeper.Source, was, now)
	return a, own
}

// OtherFiles adds to a difference what a plan changes in house.yaml and
// larder.yaml; source is of the book before it.
func OtherFiles(a *answer.Answer, plan *store.Plan, source func(path string) (string, bool), was, now *answer.Book) {
	for _, f := range plan.Files() {
		if f.Path != "house.yaml" && f.Path != larderPath {
			continue
		}
		if a.Title.Recipe == "" {
			a.Title.Recipe = f.Path
		}
		before, _ := source(f.Path)
		var said []string
		if f.Path == larderPath {
			said = answer.LarderDifference(a, was, now)
		}
		gone, come := diff.Lines(before, f.Text())
		answer.FileLines(a, f.Path, gone, come, said)
	}
}

// failed words why the book did not take a change.
func (k *Asker) failed(q *question.Question, err error) *answer.Answer {
	a := &answer.Answer{Status: answer.StatusUnknown, About: "change", Question: q, Form: answer.FormTalk}
	var faulty *store.FaultyError
	switch {
	case errors.As(err, &faulty):
		a.Why = &answer.Phrase{Code: "change faulty", Args: []string{faulty.Error()}}
	case errors.Is(err, store.ErrNothing):
		a.Status, a.Notes = answer.StatusAnswer, []answer.Phrase{{Code: "change same"}}
	case errors.Is(err, store.ErrOutdated):
		a.Why = &answer.Phrase{Code: "change outdated"}
	case errors.Is(err, store.ErrOwned):
		a.Why = &answer.Phrase{Code: "change owned"}
	case errors.Is(err, store.ErrEdited):
		a.Why = &answer.Phrase{Code: "change edited"}
	default:
		a.Why = &answer.Phrase{Code: "change failed", Args: []string{err.Error()}}
	}
	return a
}

// yes commits what was offered in this conversation; rights are looked at now.
func (k *Asker) yes(ctx context.Context, b *answer.Book, m Message) *answer.Answer {
	f, ok := k.open.take(m.Conversation, m.At)
	if !ok {
		return &answer.Answer{Status: answer.StatusUnknown, About: "change", Form: answer.FormTalk, Why: &answer.Phrase{Code: "change gone"}}
	}
	if f.proposal != 0 {
		p := store.Proposal{Who: f.by, Files: f.change.Files}
		if r := k.mayAgree(b, m, &p); r != nil {
			return r
		}
		return k.write(ctx, b, m, f)
	}
	if act := actOf(&f.change); !k.can(b, m, act) {
		return refused(b, &question.Question{Want: question.WantChange, About: "change"}, act)
	}
	if b.Snap.House.Rules.TwoPairsOfEyes && k.role(b, m) != Owner {
		a := &answer.Answer{Status: answer.StatusAnswer, About: "change", Question: &question.Question{Want: question.WantNever, About: "change"}, Form: answer.FormTalk}
		k.keep(b, m, a, f.change, f.recipe, true)
		return a
	}
	return k.write(ctx, b, m, f)
}

// no drops what was offered; a proposal of somebody else is turned down.
func (k *Asker) no(b *answer.Book, m Message) *answer.Answer {
	f, ok := k.open.take(m.Conversation, m.At)
	if ok && f.proposal != 0 {
		p := store.Proposal{ID: f.proposal, Who: f.by, Why: f.change.Why, Files: f.change.Files}
		if k.mayAgree(b, m, &p) == nil {
			return k.turnDown(b, m, &p)
		}
	}
	return &answer.Answer{Status: answer.StatusAnswer, About: "change", Question: &question.Question{Want: question.WantNever, About: "change"}, Form: answer.FormTalk,
		Notes: []answer.Phrase{{Code: "change dropped"}}}
}

// write commits an offer and says what is now.
func (k *Asker) write(ctx context.Context, b *answer.Book, m Message, f offer) *answer.Answer {
	q := &question.Question{Want: question.WantNever, About: "change"}
	if f.proposal != 0 {
		if log, err := k.keeper.Log(ctx); err == nil {
			f.change = onBase(f.change, log)
		}
	}
	c := f.change
	c.At = m.At
	if f.proposal != 0 {
		c.Who = agreedBy(f.by, k.author(b, m))
	}
	plan, err := k.keeper.Try(ctx, c)
	var (
		e  store.Entry
		a  *answer.Answer
		ds []diff.Recipe
	)
	if err == nil {
		a, ds = k.difference(plan)
		e, err = k.keeper.Commit(ctx, c)
	}
	switch {
	case errors.Is(err, store.ErrOutdated):
		return k.outdated(ctx, b, m, f)
	case err != nil:
		a := k.failed(q, err)
		if errors.Is(err, store.ErrNothing) {
			k.settled(b, m, &f, a)
		}
		return a
	}
	a.Question = q
	k.settled(b, m, &f, a)
	if now, ok := plan.After.Recipe(f.recipe); ok {
		a.Recipe = now
		if after, err := k.keeper.At(ctx, e.Seq); err == nil {
			if r, ok := after.Recipe(f.recipe); ok {
				a.Recipe = r
			}
		}
		a.Notes = append([]answer.Phrase{{Code: "change done", Args: []string{a.Recipe.Name, fmt.Sprint(a.Recipe.Revision)}}}, a.Notes...)
	} else {
		a.Recipe = nil
		a.Notes = append([]answer.Phrase{{Code: "change written"}}, a.Notes...)
	}
	k.spread(b, m, a, e, ds)
	return a
}

// edited is the recipe's file with the edit in it.
func (k *Asker) edited(r *kb.Recipe, e question.Edit, source func(path string) (string, bool)) ([]store.FileChange, error) {
	path := r.Pos.File
	if e.Kind == question.EditOff {
		return []store.FileChange{{Path: path, Deleted: true}}, nil
	}
	text, ok := source(path)
	if !ok {
		return nil, say("change failed", path)
	}
	t, err := recipe.NewText([]byte(text))
	if err != nil {
		return nil, err
	}
	switch e.Kind {
	case question.EditRename:
		err = t.Rename(e.Name)
	case question.EditStep:
		err = editStep(t, r, e)
	case question.EditAmount, question.EditAdd, question.EditRemove:
		err = editLine(t, r, e)
	default:
		err = say("change what")
	}
	if err != nil {
		return nil, err
	}
	return []store.FileChange{{Path: path, Content: string(t.Bytes())}}, nil
}

// editLine changes, adds or takes out a line.
func editLine(t *recipe.Text, r *kb.Recipe, e question.Edit) error {
	i, err := findLine(r, e)
	if err != nil {
		return err
	}
	variant := r.BasedOn != ""
	if i < 0 {
		if e.Kind != question.EditAdd {
			return say("no such line", e.Item.Text, r.Name)
		}
		if e.Amount.Unit.Dim == quantity.None {
			return say("change unit", lineName(e))
		}
		if variant {
			return t.SetChange(lineName(e), e.Amount.String())
		}
		return t.AddLine(lineName(e), e.Amount.String(), part(r, e))
	}
	l := &r.Lines[i]
	text := "none"
	if e.Kind != question.EditRemove {
		if text, err = newAmount(l, e); err != nil {
			return err
		}
	}
	switch {
	case variant:
		return t.SetChange(l.Name, text)
	case e.Kind == question.EditRemove:
		return t.RemoveLine(i)
	}
	return t.SetAmount(i, text)
}

// findLine returns the index of the line that is meant, -1 if the recipe has none.
func findLine(r *kb.Recipe, e question.Edit) (int, error) {
	var at []int
	if e.Item == nil {
		for i := range r.Lines {
			if name.Fold(r.Lines[i].Name) == name.Fold(e.Name) {
				at = append(at, i)
			}
		}
	} else {
		lines, _ := e.Item.Lines(r)
		for i := range r.Lines {
			if slices.Contains(lines, &r.Lines[i]) {
				at = append(at, i)
			}
		}
	}
	if len(at) > 1 {
		var said []int
		for _, i := range at {
			if p := r.Lines[i].Part; p != "" && question.Mentions(e.Words, p) {
				said = append(said, i)
			}
		}
		if len(said) != 1 {
			var parts []string
			for _, i := range at {
				l := &r.Lines[i]
				parts = append(parts, strings.TrimSpace(l.Name+" "+l.Amount.Text+" "+l.Part))
			}
			return -1, say("change which line", strings.Join(parts, "; "))
		}
		at = said
	}
	if len(at) == 0 {
		return -1, nil
	}
	return at[0], nil
}

// part is a part of the recipe that the message names.
func part(r *kb.Recipe, e question.Edit) string {
	for i := range r.Lines {
		if p := r.Lines[i].Part; p != "" && question.Mentions(e.Words, p) {
			return p
		}
	}
	return ""
}

func lineName(e question.Edit) string {
	switch {
	case e.Item == nil:
		return e.Name
	case e.Item.Recipe != nil && !e.Item.Part:
		return e.Item.Recipe.Name
	}
	return e.Item.Text
}

// goesWay reports whether an amount is up or down, as it is said, from the one that stands there.
func goesWay(old *recipe.Amount, e question.Edit) bool {
	q := e.Amount
	if old.Kind == recipe.PercentOf && (q.Unit.Dim == quantity.None || q.Unit.Equal(quantity.Percent)) {
		return !old.IsRange() && q.N.Cmp(old.Lo) == e.Way
	}
	if q.Unit.Dim == quantity.None {
		q.Unit = old.Unit // pieces and all
	}
	x, err := q.In(old.Unit)
	return (old.Kind == recipe.Measured || old.Kind == recipe.Pieces) && !old.IsRange() && err == nil && x.N.Cmp(old.Lo) == e.Way
}

// newAmount is what stands on the line afterwards, in the unit it has.
func newAmount(l *kb.Line, e question.Edit) (string, error) {
	old := l.Amount
	if e.By == 0 && e.Way != 0 && !goesWay(&old, e) {
		return "", say("change by", l.Name, old.Text)
	}
	if e.By == 0 {
		if e.Amount.Unit.Equal(quantity.Percent) {
			if _, of, ok := strings.Cut(old.Text, "%"); ok && old.Kind == recipe.PercentOf {
				return e.Amount.N.String() + " %" + of, nil
			}
			return "", say("change by", l.Name, old.Text)
		}
		if e.Amount.Unit.Dim != quantity.None {
			return e.Amount.String(), nil
		}
		switch old.Kind {
		case recipe.Measured:
			return quantity.Of(e.Amount.N, old.Unit).String(), nil
		case recipe.Pieces:
			return strings.TrimSpace(e.Amount.N.String() + " " + old.Piece), nil
		}
		return "", say("change unit", l.Name)
	}
	by := e.Amount
	switch {
	case old.Kind != recipe.Measured || old.IsRange():
		return "", say("change by", l.Name, old.Text)
	case by.Unit.Dim == quantity.Percent.Dim && by.Unit.Equal(quantity.Percent):
		by = quantity.Of(old.Lo.Mul(by.N).Div(quantity.Int(100)), old.Unit)
	case by.Unit.Dim == quantity.None:
		by = quantity.Of(by.N, old.Unit)
	}
	d, err := by.In(old.Unit)
	if err != nil {
		return "", say("change by", l.Name, old.Text)
	}
	n := old.Lo.Add(d.N)
	if e.By < 0 {
		n = old.Lo.Sub(d.N)
	}
	if n.Sign() <= 0 {
		return "", say("change by", l.Name, old.Text)
	}
	return quantity.Of(n, old.Unit).String(), nil
}
