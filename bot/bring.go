package bot

import (
	"context"
	"errors"

	"tamis/bot/answer"
	"tamis/bot/question"
	"tamis/kb"
	"tamis/kb/diff"
	"tamis/kb/recipe"
	"tamis/kb/store"
)

// Way is what a house's rules make of a change that somebody brings.
type Way uint8

// The ways of a change.
const (
	Refused   Way = iota
	Proposed      // kept until somebody who may says yes
	SecondYes     // kept until a second person says yes
	Written       // with the yes of who brings it
)

// WayOf is the way of a change of somebody of a role.
func WayOf(rules *recipe.Rules, role Role, c *store.Change) Way {
	switch act := actOf(c); {
	case role == Owner, May(rules, role, act) && !rules.TwoPairsOfEyes:
		return Written
	case May(rules, role, act):
		return SecondYes
	case May(rules, role, Propose):
		return Proposed
	}
	return Refused
}

// WhoMay are the roles that may write a change with their own yes, as far as one
// is enough.
func WhoMay(rules *recipe.Rules, c *store.Change) []string { return whoMay(rules, actOf(c)) }

// OfSettings reports whether a change is one of house.yaml, which says who may what.
func OfSettings(c *store.Change) bool { return actOf(c) == Settings }

// WhoseYes are the roles that may say yes to a change that waits.
func WhoseYes(rules *recipe.Rules) []string {
	if w := whoMay(rules, Approve); len(w) > 0 {
		return w
	}
	return []string{string(Owner)}
}

// Hold keeps a change of whole files that who wrote m may not write alone, as a
// proposal, and says whose yes it waits for. Files with faults, files that change
// nothing, and what somebody may not even propose are refused.
func (k *Asker) Hold(ctx context.Context, m Message, c store.Change) (Reply, error) {
	b, err := k.Book(ctx)
	if err != nil {
		return Reply{}, err
	}
	a := k.hold(ctx, b, m, c)
	return Reply{Answer: a, Reply: k.words.In(b.Snap.House.Language).Render(a)}, nil
}

func (k *Asker) hold(ctx context.Context, b *answer.Book, m Message, c store.Change) *answer.Answer {
	q := &question.Question{Want: question.WantNever, About: "change"}
	c.Who, c.At, c.How = k.author(b, m), m.At, k.came(m)
	way := WayOf(&b.Snap.House.Rules, k.role(b, m), &c)
	if way == Refused {
		return refused(b, q, actOf(&c))
	}
	plan, err := k.keeper.Try(ctx, c)
	if err != nil && !errors.Is(err, store.ErrOutdated) { // an outdated one is put together when it is looked at
		return k.failed(q, err)
	}
	var id kb.RecipeID
	if err == nil {
		if _, ds := k.difference(plan); len(ds) > 0 {
			id = recipeOf(&ds[0]).ID
		}
	}
	a := &answer.Answer{Status: answer.StatusAnswer, About: "change", Question: q, Form: answer.FormTalk}
	if !k.keep(b, m, a, c, id, way != Proposed) {
		a.Status, a.Why, a.Notes = answer.StatusUnknown, &a.Notes[0], a.Notes[1:]
	}
	return a
}

// recipeOf is the recipe of a difference: as it would be, or as it was where it goes.
func recipeOf(d *diff.Recipe) *kb.Recipe {
	if d.Now != nil {
		return d.Now
	}
	return d.Was
}

// Write commits a change of whole files that a program brings, and tells the
// house's channel of it as of any other. Rights are the program's to look at.
func (k *Asker) Write(ctx context.Context, m Message, c store.Change) (store.Entry, error) {
	b, err := k.Book(ctx)
	if err != nil {
		return store.Entry{}, err
	}
	plan, terr := k.keeper.Try(ctx, c)
	e, err := k.keeper.Commit(ctx, c)
	if err != nil {
		return e, err
	}
	if terr == nil {
		a, ds := k.difference(plan)
		k.spread(b, m, a, e, ds)
	}
	return e, nil
}
