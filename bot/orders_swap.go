package bot

import (
	"regexp"
	"slices"
	"strings"
	"time"

	"tamis/bot/answer"
	"tamis/bot/question"
	"tamis/kb"
	"tamis/kb/name"
	"tamis/kb/recipe"
)

// Forms of "this in place of that". Each names a recipe, what goes and what comes;
// "substitute A for B" is said of either, so what goes is what the recipe has.
var swapForms = []struct {
	re                *regexp.Regexp
	recipe, out, come int
}{
	{regexp.MustCompile(`(?is)^(?:swap|replace|exchange|substitute|sub|switch|change|trade) (?:out )?(?:the )?(.+?) (?:in|of) (?:the |our )?(.+?) (?:for|with|by|to|into) (.+)$`), 2, 1, 3},
	{regexp.MustCompile(`(?is)^(?:swap|replace|exchange|substitute|sub|switch|change|trade) (?:out )?(?:the )?(.+?) (?:for|with|by|to|into) (.+?) in (?:the |our )?(.+)$`), 3, 1, 2},
	{regexp.MustCompile(`(?is)^(?:we )?(?:use|put|take) (.+?) (?:instead of|in place of|rather than|for|not) (?:the )?(.+?) in (?:the |our )?(.+)$`), 3, 2, 1},
	{regexp.MustCompile(`(?is)^(?:we )?(?:use|put|take) (.+?) in (?:the |our )?(.+?) (?:instead of|in place of|rather than|not) (?:the )?(.+)$`), 2, 3, 1},
	{regexp.MustCompile(`(?is)^(.+?) (?:instead of|in place of|rather than|replaces) (?:the )?(.+?) in (?:the |our )?(.+)$`), 3, 2, 1},
	{regexp.MustCompile(`(?is)^(?:we )?(?:make |do )?(?:the |our )?(.+?) (?:with|gets|takes|has|uses|is made with|goes with) (.+?) (?:instead of|in place of|rather than|not) (?:the )?(.+)$`), 1, 3, 2},
	{regexp.MustCompile(`(?is)^in (?:the |our )?(.+?),? (.+?) (?:instead of|in place of|rather than|replaces) (?:the )?(.+)$`), 1, 3, 2},
}

// swapSaid reads a change of an ingredient for good: "swap buckwheat flour for rye
// flour in the crumble for good". Without a word that it lasts it is a question
// about one batch, and no order.
func (k *Asker) swapSaid(b *answer.Book, bare string, is mood) (o order, ok bool) {
	if !is.lasting {
		return o, false
	}
	for _, p := range swapForms {
		f := p.re.FindStringSubmatch(bare)
		if f == nil {
			continue
		}
		r, ok := recipeFound(b, strings.TrimSpace(f[p.recipe]))
		if !ok {
			continue
		}
		out, come := ingredientSaid(f[p.out]), ingredientSaid(f[p.come])
		was, isLine := lineNamed(b, r, out.name)
		also, comeIsLine := lineNamed(b, r, come.name)
		if !isLine && comeIsLine && strings.HasPrefix(strings.ToLower(bare), "sub") {
			out, come, was, isLine, comeIsLine = come, out, also, true, false
		}
		if !isLine || come.name == "" {
			continue
		}
		o.recipe = r
		o.edit = question.Edit{Kind: question.EditAdd, Name: come.name}
		if comeIsLine && also != was {
			o.own = func(*recipe.Text, *kb.Recipe) error { return say("change swap both", was, also, r.Name) }
			return o, true
		}
		o.own = func(t *recipe.Text, r *kb.Recipe) error { return k.swap(b, t, r, was, out.amount, come) }
		return o, true
	}
	return o, false
}

// said is an ingredient with the amount before it, if one is there.
type said struct{ amount, name string }

func ingredientSaid(text string) said {
	text = strings.TrimSpace(text)
	if a, n := cutAmount(text); n != "" {
		return said{a, strings.TrimPrefix(n, "the ")}
	}
	return said{"", strings.TrimPrefix(text, "the ")}
}

// swap writes what comes in place of a line. Its amount is the one said, else
// what the house or the calculation gives for it: never a guess.
func (k *Asker) swap(b *answer.Book, t *recipe.Text, r *kb.Recipe, was, wasAmount string, come said) error {
	i, err := findLine(r, question.Edit{Name: was})
	if err != nil {
		return err
	}
	if i < 0 {
		return say("no such line", was, r.Name)
	}
	l := &r.Lines[i]
	if wasAmount != "" {
		a, err := recipe.ParseAmount(wasAmount, b.Snap.House.Spoons)
		if err != nil || a.Kind != l.Amount.Kind || a.Lo.Cmp(l.Amount.Lo) != 0 || !a.Unit.Equal(l.Amount.Unit) {
			return say("change other", strings.TrimSpace(l.Amount.Text), wasAmount)
		}
	}
	to := name.Fold(come.name)
	if it := b.Snap.Larder.Find(come.name); it != nil && come.name == strings.ToLower(come.name) {
		to = name.Fold(it.Name)
	}
	amount := come.amount
	for _, in := range r.Instead {
		if amount != "" || name.Fold(in.Line) != l.Fold {
			continue
		}
		switch {
		case in.NotPossible:
			return say("change swap word", l.Name, in.Text)
		case name.Fold(in.Name) == to || name.Fold(in.Name) == name.Fold(come.name):
			amount = in.Amount.Text
		}
	}
	if amount == "" {
		amount = k.solved(b, r, l, come.name)
	}
	if amount == "" {
		return say("change swap amount", come.name, strings.TrimSpace(l.Name+" "+l.Amount.Text))
	}
	if r.BasedOn != "" {
		if err := t.SetChange(l.Name, "none"); err != nil {
			return err
		}
		return t.SetChange(come.name, amount)
	}
	return t.SwapLine(i, come.name, amount)
}

// solved is the amount that the answer to the same question of one batch gives.
func (k *Asker) solved(b *answer.Book, r *kb.Recipe, l *kb.Line, come string) string {
	qs := question.Read(b.Lex, "swap "+l.Name+" for "+come+" in "+r.Name, nil, b.Snap.House.Spoons)
	i := slices.IndexFunc(qs, func(q question.Question) bool {
		return q.Want == question.WantSwap && len(q.Targets) == 1 && q.Targets[0].Recipe == r && q.Targets[0].Scale.Kind == question.ScaleNone && !q.Lost
	})
	if i < 0 {
		return ""
	}
	a := b.Answer(&qs[i], time.Time{}) // no amount hangs on the hour
	if a.Status != answer.StatusAnswer {
		return ""
	}
	amount := ""
	for _, f := range a.Facts {
		switch fold := name.Fold(f.What); {
		case f.HasItems || f.Unit != "g" && f.Unit != "kg" && f.Unit != "ml":
		case fold == name.Fold(come) && f.Value != nil && (f.Was == nil || f.Was.IsZero()):
			amount = f.Shown
		case fold != l.Fold: // something else changes with it: that is more than one line
			return ""
		}
	}
	return amount
}
