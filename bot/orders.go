package bot

import (
	"context"
	"regexp"
	"strings"

	"tamis/bot/answer"
	"tamis/bot/question"
	"tamis/calc/quantity"
	"tamis/kb/recipe"
	"tamis/kb/store"
)

// Orders that name a recipe in full and bring a name of their own, which no
// reading by known words may cut up.
var (
	renameOrder = regexp.MustCompile(`(?is)^(?:please |chef, |can you )?rename (?:the |our )?(.+?) (?:to|into|as) (.+)$`)
	addOrder    = regexp.MustCompile(`(?is)^(?:please |chef, |can you )?(?:add|put) (.+) (?:to|into|in) (?:the |our )?(.+)$`)
)

// ordered offers a rename or a new line; nil where the message is no such order.
func (k *Asker) ordered(ctx context.Context, b *answer.Book, m Message) *answer.Answer {
	text := strings.TrimRight(strings.TrimSpace(m.Text), " .!")
	var e question.Edit
	var named string
	if found := renameOrder.FindStringSubmatch(text); found != nil {
		named = found[1]
		e = question.Edit{Kind: question.EditRename, Name: strings.Trim(found[2], ` "'“”`)}
	} else if found := addOrder.FindStringSubmatch(text); found != nil {
		named = found[2]
		amount, ingredient := cutAmount(strings.Replace(found[1], " more ", " ", 1))
		q, err := quantity.ParseQuantity(amount, b.Snap.House.Spoons, quantity.Book)
		if err != nil || ingredient == "" {
			return nil
		}
		e = question.Edit{Kind: question.EditAdd, Name: strings.TrimPrefix(ingredient, "of "), Amount: q, By: 1, Words: question.Words(text)}
	} else {
		return nil
	}
	r, ok := b.Snap.RecipeNamed(strings.TrimSuffix(named, " recipe"))
	if !ok {
		return nil
	}
	if refused := k.may(b, m); refused != nil {
		return refused
	}
	q := &question.Question{Want: question.WantChange, About: "change", Say: m.Text, Targets: []question.Target{{Recipe: r}}}
	return k.offerEdit(ctx, b, m, q, e)
}

// takeOff offers to take a recipe off: "take the sorrel granita off".
func (k *Asker) takeOff(ctx context.Context, b *answer.Book, m Message) *answer.Answer {
	text := strings.ToLower(strings.Trim(strings.TrimSpace(m.Text), ".!"))
	for _, polite := range []string{"please ", "can you ", "chef, "} {
		text = strings.TrimPrefix(text, polite)
	}
	middle, ok := strings.CutPrefix(text, "take ")
	if !ok {
		return nil
	}
	found := false
	for _, end := range []string{" off", " off the menu", " off the book", " off the list", " out of the book"} {
		if s, ok := strings.CutSuffix(middle, end); ok {
			middle, found = s, true
			break
		}
	}
	if s, ok := strings.CutPrefix(middle, "off "); ok && !found {
		middle, found = s, true
	}
	r, named := b.Snap.RecipeNamed(strings.TrimPrefix(middle, "the "))
	if !found || !named {
		return nil
	}
	if refused := k.may(b, m); refused != nil {
		return refused
	}
	return k.offer(ctx, b, m, r.ID, store.Change{Who: string(m.Author), How: k.came(m), Why: m.Text, Files: []store.FileChange{{Path: r.Pos.File, Deleted: true}}})
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
