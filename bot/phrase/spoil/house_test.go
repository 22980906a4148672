package spoil

import (
	"context"
	"sync"
	"testing"
	"time"

	"tamis/bot"
	"tamis/bot/phrase"
	"tamis/bot/reply"
	"tamis/kb"
	"tamis/kb/store"
)

// caught is a real reply that may be worded anew.
type caught struct {
	question string
	about    string
	body     *reply.Template
	names    phrase.Names
}

// net catches what an asker would have worded.
type net struct{ last phrase.Request }

func (n *net) Phrase(_ context.Context, r phrase.Request) (phrase.Phrased, phrase.Reason) {
	n.last = r
	return phrase.Phrased{}, phrase.ReasonKind
}

var lodehavn = sync.OnceValues(func() (*kb.Snapshot, error) {
	d, err := store.OpenDemo(context.Background(), store.Home)
	if err != nil {
		return nil, err
	}
	return d.Head(context.Background(), store.Home)
})

// catch asks the demo book and returns the replies that may be worded, nil in
// the places of those that may not.
func catch(t testing.TB, questions []string) []*caught {
	t.Helper()
	n := &net{}
	k, err := bot.NewAsker(func(context.Context) (*kb.Snapshot, error) { return lodehavn() }, bot.WithPhraser(n))
	if err != nil {
		t.Fatal(err)
	}
	at := time.Date(2026, 3, 14, 22, 40, 0, 0, time.UTC)
	out := make([]*caught, len(questions))
	for i, q := range questions {
		n.last = phrase.Request{}
		r, err := k.Ask(context.Background(), bot.Message{Conversation: bot.ConversationID(q), At: at, Text: q, Role: bot.Commis})
		if err != nil {
			t.Fatal(err)
		}
		if n.last.Template == nil {
			continue
		}
		out[i] = &caught{q, r.About, n.last.Template, n.last.Names}
	}
	return out
}
