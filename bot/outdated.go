package bot

import (
	"context"
	"errors"
	"slices"
	"strings"

	"tamis/bot/answer"
	"tamis/bot/question"
	"tamis/kb"
	"tamis/kb/diff"
	"tamis/kb/store"
)

// onBase is a change with the base that the log knows: a book without a log was
// what its first commit holds.
func onBase(c store.Change, log []store.Entry) store.Change {
	if c.Base == 0 && len(log) > 0 && log[0].How == store.HowFile {
		c.Base = 1
	}
	return c
}

// outdated answers an offer whose files have changed since: what changed then,
// what was wanted, and where both fit together the whole of it anew, for a new
// yes. Nothing is written.
func (k *Asker) outdated(ctx context.Context, b *answer.Book, m Message, f offer) *answer.Answer {
	q := &question.Question{Want: question.WantChange, About: "change"}
	log, err := k.keeper.Log(ctx)
	if err != nil {
		return k.failed(q, err)
	}
	f.change = onBase(f.change, log)
	then, err := k.keeper.At(ctx, f.change.Base)
	if err != nil {
		return k.failed(q, store.ErrOutdated)
	}
	head, err := k.head(ctx)
	if err != nil {
		return k.failed(q, err)
	}
	merged := f.change
	merged.Base, merged.Files = head.Revision, nil
	fits := true
	for _, c := range f.change.Files {
		was, had := store.Content(log, c.Path, f.change.Base)
		now, has := k.keeper.Source(c.Path)
		switch {
		case had == has && was == now: // nobody else touched it
		case c.Deleted || c.Bytes != nil || !had || !has:
			fits = false
		default:
			text, ok := diff.Merge(was, c.Content, now)
			fits = fits && ok
			c.Content = text
		}
		merged.Files = append(merged.Files, c)
	}
	a := &answer.Answer{Status: answer.StatusUnknown, About: "change", Question: q, Form: answer.FormChange}
	add := func(d *answer.Answer, group string) {
		if a.Recipe == nil {
			a.Recipe, a.Title = d.Recipe, d.Title
		}
		for _, x := range d.Facts {
			x.Group = group
			a.Facts = append(a.Facts, x)
		}
		a.Words = append(a.Words, d.Words...)
		a.Cautions = append(a.Cautions, d.Cautions...)
	}
	paths := map[string]bool{}
	for _, c := range f.change.Files {
		paths[c.Path] = true
	}
	ofPaths := func(ds []diff.Recipe) []diff.Recipe {
		return slices.DeleteFunc(ds, func(d diff.Recipe) bool {
			return !paths[recipeOf(&d).Pos.File]
		})
	}
	add(answer.Difference(answer.ForDifference(then), answer.ForDifference(head), ofPaths(diff.Books(then, head))), "changed since")
	if fits {
		plan, err := k.keeper.Try(ctx, merged)
		switch {
		case errors.Is(err, store.ErrNothing):
			a.Status, a.Notes = answer.StatusAnswer, append(a.Notes, answer.Phrase{Code: "change same"})
			a.Question = &question.Question{Want: question.WantNever, About: "change"}
			k.settled(b, m, &f, a)
			return a
		case err == nil:
			d, _ := k.difference(plan)
			add(d, "your change")
			a.Notes = append(a.Notes, d.Notes...)
			f.change, f.at = merged, m.At
			note(a, "change outdated merged")
			return k.asking(a, m, f)
		}
	}
	mine := f.change
	mine.Base = -1
	plan, err := k.keeper.Try(ctx, mine)
	if err == nil {
		add(answer.Difference(answer.ForDifference(then), answer.ForDifference(plan.After), ofPaths(diff.Books(then, plan.After))), "your change")
	}
	a.Status, q.Want = answer.StatusAnswer, question.WantNever
	if both := k.both(then, head, plan, f.recipe); len(both) > 0 {
		note(a, "change outdated both", strings.Join(both, ", "))
	} else {
		note(a, "change outdated")
	}
	return a
}

// both are the places of a recipe that two changed.
func (k *Asker) both(then, head *kb.Snapshot, plan *store.Plan, id kb.RecipeID) []string {
	if plan == nil || plan.After == nil {
		return nil
	}
	was, ok := then.Recipe(id)
	mine, ok2 := plan.After.Recipe(id)
	now, ok3 := head.Recipe(id)
	if !ok || !ok2 || !ok3 {
		return nil
	}
	return diff.Three(was, mine, now).Both
}
