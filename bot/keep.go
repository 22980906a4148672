package bot

import (
	"context"
	"slices"
	"strings"
	"sync"
	"time"

	"tamis/bot/answer"
	"tamis/bot/question"
	"tamis/kb"
	"tamis/kb/store"
)

// Keeper is the book as something that changes and remembers.
type Keeper interface {
	// Source is the bytes of a file of the newest book.
	Source(path string) (string, bool)
	// Try says what the book would be after a change, and writes nothing.
	Try(ctx context.Context, c store.Change) (*store.Plan, error)
	// Commit writes a change; the next Head has it.
	Commit(ctx context.Context, c store.Change) (store.Entry, error)
	// Log is all commits, oldest first; At the book after one.
	Log(ctx context.Context) ([]store.Entry, error)
	At(ctx context.Context, revision int) (*kb.Snapshot, error)
}

// Keep lets the asker change the book and look back; how is what commits say of
// the way they came.
func (k *Asker) Keep(book Keeper, how string) {
	k.keeper, k.how = book, how
	k.open = &open{offers: map[ConversationID]offer{}}
	k.waiting = &memory{}
}

// offer is a difference that was shown and waits for its yes.
type offer struct {
	at       time.Time
	author   AuthorID // whose yes it waits for
	change   store.Change
	recipe   kb.RecipeID
	proposal int    // that it was shown from; 0: none
	by       string // who proposed it
}

// open keeps the offers; they end with their conversation.
type open struct {
	mu     sync.Mutex
	offers map[ConversationID]offer
}

func (o *open) put(id ConversationID, f offer) {
	o.mu.Lock()
	defer o.mu.Unlock()
	for id, old := range o.offers {
		if f.at.Sub(old.at) > remember {
			delete(o.offers, id)
		}
	}
	o.offers[id] = f
}

// take returns the offer of a conversation and forgets it.
func (o *open) take(id ConversationID, at time.Time) (offer, bool) {
	o.mu.Lock()
	defer o.mu.Unlock()
	f, ok := o.offers[id]
	delete(o.offers, id)
	return f, ok && at.Sub(f.at) <= remember
}

// kept handles what changes the book or looks back; nil where the message is
// neither, and then a stands.
func (k *Asker) kept(ctx context.Context, b *answer.Book, before *question.Context, m Message, a *answer.Answer) *answer.Answer {
	if k.keeper == nil {
		return nil
	}
	out := k.changing(ctx, b, before, m, a)
	if out == nil || out.About != "change" || out.Status != answer.StatusUnknown || k.can(b, m, Push) || k.can(b, m, Settings) || k.can(b, m, Approve) || out.Question == nil || out.Question.Want == question.WantNever {
		return out
	}
	// who may only propose is refused, and told why there is nothing to propose
	r := refused(b, out.Question, Push)
	if out.Why != nil {
		r.Notes = append(r.Notes, unproposed(*out.Why))
	}
	return r
}

func (k *Asker) changing(ctx context.Context, b *answer.Book, before *question.Context, m Message, a *answer.Answer) *answer.Answer {
	pending := before != nil && before.Pending != nil && before.Pending.Want == question.WantChange
	said := strings.Fields(strings.ToLower(strings.Trim(strings.TrimSpace(m.Text), ".!")))
	if len(said) > 0 && len(said) <= 4 && slices.Contains([]string{"yes", "y", "ok", "okay", "approve", "approved", "agreed"}, said[0]) && !pending {
		if a := k.agreeing(ctx, b, m); a != nil {
			return a
		}
	}
	for _, f := range []func(context.Context, *answer.Book, Message) *answer.Answer{k.pasted, k.proposed,
		func(ctx context.Context, b *answer.Book, m Message) *answer.Answer {
			return k.ordered(ctx, b, before, m)
		}, k.putBack, k.takeOff} {
		if a := f(ctx, b, m); a != nil {
			return a
		}
	}
	if a.Status == answer.StatusUnknown && a.About == "convert" && asks(m.Text) {
		if t := k.stepAsked(b, m); t != nil {
			return t
		}
	}
	if t := k.textured(ctx, b, before, m, a.Question, pending); t != nil {
		return t
	}
	if t := k.lookedBack(ctx, b, before, m, a); t != nil {
		return t
	}
	if t := k.asOf(ctx, b, before, m, a); t != nil {
		return t
	}
	q := a.Question
	if q == nil {
		return nil
	}
	if words := question.Words(m.Text); q.Want == question.WantChange && q.Say != "yes" && q.Say != "no" && goesBack(words) {
		return k.history(ctx, b, before, m, q)
	}
	switch {
	case pending && q.Want == question.WantChange && q.Say != "yes" && q.Say != "no" && q.Say != m.Text && len(q.Targets) == 0: // the recipe of an order, chosen
		m.Text = q.Say
		return k.ordered(ctx, b, nil, m)
	case pending && (q.Want == question.WantYes || q.Want == question.WantChange && q.Say == "yes"):
		return k.yes(ctx, b, m)
	case pending && (q.Want == question.WantNo || q.Want == question.WantNever || q.Want == question.WantChange && q.Say == "no"):
		return k.no(b, m)
	case q.Want == question.WantChange && q.Say != "yes" && q.Say != "no" && asks(m.Text):
		return &answer.Answer{Status: answer.StatusUnknown, About: "change", Question: &question.Question{Want: question.WantNever, About: "change"}, Form: answer.FormTalk, Why: &answer.Phrase{Code: "change asked"}}
	case q.Want == question.WantChange && (a.Status == answer.StatusUnknown && unbuilt(a) || a.Status == answer.StatusRefused && k.may(b, m) == nil):
		return k.change(ctx, b, m, q)
	case q.About == "history" && q.Want == question.WantUnbuilt && unbuilt(a):
		return k.history(ctx, b, before, m, q)
	}
	return nil
}

// unproposed says why nothing is kept. A refusal tells no numbers: no fact carries them.
func unproposed(p answer.Phrase) answer.Phrase {
	switch {
	case p.Code == "change faulty":
		return answer.Phrase{Code: "proposal faulty"}
	case strings.ContainsAny(strings.Join(p.Args, " "), "0123456789"):
		return answer.Phrase{Code: "proposal unclear"}
	}
	return p
}

func unbuilt(a *answer.Answer) bool { return a.Why != nil && a.Why.Code == "unbuilt" }
