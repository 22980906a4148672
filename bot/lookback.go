package bot

import (
	"context"
	"slices"

	"tamis/bot/answer"
	"tamis/bot/question"
	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/name"
	"tamis/kb/recipe"
	"tamis/kb/store"
)

// lookedBack answers what asks for the past of a recipe in words that name a
// present thing too: "when did the crumble last change", "what is different in the
// crumble from last month"; nil where the message is none of it.
func (k *Asker) lookedBack(ctx context.Context, b *answer.Book, before *question.Context, m Message, a *answer.Answer) *answer.Answer {
	if a.About == "history" || a.Question != nil && a.Question.Want == question.WantChange {
		return nil
	}
	words := question.Words(m.Text)
	says := func(any ...string) bool {
		return slices.ContainsFunc(any, func(w string) bool { return slices.Contains(words, w) })
	}
	_, dated := whenSaid(words, m.At.In(b.Zone))
	changed := says("changed", "change") && (says("when") && says("did", "was", "were", "has") || says("who") && says("last"))
	differs := says("different", "differ", "differs", "difference") && dated
	if !changed && !differs {
		return nil
	}
	q := &question.Question{Want: question.WantUnbuilt, About: "history", Say: m.Text}
	if r := k.recipeSaid(b, before, m, a.Question); r != nil {
		q.Targets = []question.Target{{Recipe: r}}
	}
	if h := k.history(ctx, b, before, m, q); h.Why == nil || h.Why.Code != "history of what" {
		return h
	}
	return nil
}

// whoseLine answers who changed a line where no recipe is named: of the one
// recipe in which it was changed. Of several it says which.
func (k *Asker) whoseLine(ctx context.Context, b *answer.Book, q *question.Question, words []string) *answer.Answer {
	log, err := k.keeper.Log(ctx)
	if err != nil {
		return k.failed(q, err)
	}
	var found []*kb.Recipe
	for _, r := range b.Snap.Recipes {
		if slices.ContainsFunc(r.Lines, func(l kb.Line) bool { return mentionsAll(words, l.Name, "") }) && lineChanged(store.History(log, r.ID), words) {
			found = append(found, r)
		}
	}
	switch len(found) {
	case 0:
		return nil
	case 1:
		q.Targets = []question.Target{{Recipe: found[0]}}
		return k.whoChanged(ctx, b, q, found[0], store.History(log, found[0].ID), words)
	}
	a := &answer.Answer{Status: answer.StatusUnknown, About: "history", Question: q, Form: answer.FormTalk, Why: &answer.Phrase{Code: "history of what"}}
	for _, r := range found[:min(8, len(found))] {
		a.Choices = append(a.Choices, r.Name)
	}
	return a
}

// lineChanged reports whether a line that the words name reads differently in two
// revisions that follow each other.
func lineChanged(revs []store.Revision, words []string) bool {
	lines := func(content string) map[string]string {
		out := map[string]string{}
		if r, _ := recipe.Parse("", []byte(content), quantity.Metric); r != nil {
			for _, l := range r.Lines {
				if question.Mentions(words, l.Name) {
					out[name.Fold(l.Name)+"\x00"+l.Part] = l.Amount.Text
				}
			}
			for _, c := range r.Change {
				switch {
				case !question.Mentions(words, c.Line):
				case c.Amount != nil:
					out["change "+name.Fold(c.Line)] = c.Amount.Text
				case c.Detail != nil:
					out["change "+name.Fold(c.Line)] = c.Detail.Amount.Text
				case c.With != nil:
					out["change "+name.Fold(c.Line)] = c.With.Name + " " + c.With.Amount.Text
				case c.Out:
					out["change "+name.Fold(c.Line)] = "none"
				}
			}
		}
		return out
	}
	for i := 1; i < len(revs); i++ {
		was, now := lines(revs[i-1].Content), lines(revs[i].Content)
		for l, a := range now {
			if was[l] != a {
				return true
			}
		}
		for l := range was {
			if _, there := now[l]; !there {
				return true
			}
		}
	}
	return false
}
