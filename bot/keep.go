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
}

// offer is a difference that was shown and waits for its yes.
type offer struct {
	at     time.Time
	author AuthorID
	change store.Change
	recipe kb.RecipeID
	agreed bool // one pair of eyes has said yes
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
		if f.at.Sub(old.at) > waiting(old) {
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
	return f, ok && at.Sub(f.at) <= waiting(f)
}

// second returns an offer that somebody else has agreed to, the oldest first.
func (o *open) second(by AuthorID, at time.Time) (ConversationID, offer, bool) {
	o.mu.Lock()
	defer o.mu.Unlock()
	var best ConversationID
	found := false
	for id, f := range o.offers {
		if !f.agreed || f.author == by || at.Sub(f.at) > waiting(f) {
			continue
		}
		if b := o.offers[best]; !found || f.at.Before(b.at) || f.at.Equal(b.at) && id < best {
			best, found = id, true
		}
	}
	return best, o.offers[best], found
}

// waiting is how long an offer lasts: as long as the talk, and for a second
// pair of eyes a week.
func waiting(f offer) time.Duration {
	if f.agreed {
		return 7 * 24 * time.Hour
	}
	return remember
}

// kept handles what changes the book or looks back; nil where the message is
// neither, and then a stands.
func (k *Asker) kept(ctx context.Context, b *answer.Book, before *question.Context, m Message, a *answer.Answer) *answer.Answer {
	if k.keeper == nil {
		return nil
	}
	said := strings.Fields(strings.ToLower(strings.Trim(strings.TrimSpace(m.Text), ".!")))
	if len(said) > 0 && len(said) <= 4 && slices.Contains([]string{"yes", "y", "ok", "okay", "approve", "approved", "agreed"}, said[0]) {
		if id, f, ok := k.open.second(m.Author, m.At); ok && (before == nil || before.Pending == nil || before.Pending.Want != question.WantChange) {
			return k.agree(ctx, b, m, id, f)
		}
	}
	for _, f := range []func(context.Context, *answer.Book, Message) *answer.Answer{k.pasted, k.ordered, k.putBack, k.takeOff} {
		if a := f(ctx, b, m); a != nil {
			return a
		}
	}
	q := a.Question
	if q == nil {
		return nil
	}
	pending := before != nil && before.Pending != nil && before.Pending.Want == question.WantChange
	switch {
	case pending && (q.Want == question.WantYes || q.Want == question.WantChange && q.Say == "yes"):
		return k.yes(ctx, b, m)
	case pending && (q.Want == question.WantNo || q.Want == question.WantNever || q.Want == question.WantChange && q.Say == "no"):
		k.open.take(m.Conversation, m.At)
		return &answer.Answer{Status: answer.StatusAnswer, About: "change", Question: &question.Question{Want: question.WantNever, About: "change"}, Form: answer.FormTalk,
			Notes: []answer.Phrase{{Code: "change dropped"}}}
	case q.Want == question.WantChange && a.Status == answer.StatusUnknown && unbuilt(a):
		return k.change(ctx, b, m, q)
	case q.About == "history" && q.Want == question.WantUnbuilt && unbuilt(a):
		return k.history(ctx, b, before, m, q)
	}
	return nil
}

func unbuilt(a *answer.Answer) bool { return a.Why != nil && a.Why.Code == "unbuilt" }

// may reports whether who wrote may change the book; otherwise the refusal.
func (k *Asker) may(b *answer.Book, m Message) *answer.Answer {
	ask := &answer.Answer{Question: &question.Question{Want: question.WantChange, About: "change"}}
	if r := k.permitted(b, ask, m); r != ask {
		return r
	}
	return nil
}
