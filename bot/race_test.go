package bot_test

import (
	"fmt"
	"strings"
	"sync"
	"testing"
	"time"

	"tamis/bot"
	"tamis/bot/answer"
	"tamis/kb/store"
)

// TestAskersAndPushers: fifty people ask while five push, under the race detector
// in CI. A push writes one number into both lines of the recipe; an answer that
// holds two numbers, or another number than its revision's, came from two books.
func TestAskersAndPushers(t *testing.T) {
	k := newTalker(t, "rules: {who may push: [chef]}\n")
	const askers, pushers, asks, pushes = 50, 5, 6, 6
	text := func(n int) string {
		return fmt.Sprintf("recipe: crumble\ningredients:\n  - buckwheat flour: %d g\n  - salt: %d g\n", n, n)
	}
	if _, err := k.kept.Commit(t.Context(), store.Home, store.Change{Base: -1, Who: "ida", Files: []store.FileChange{{Path: "recipes/crumble.yaml", Content: text(1000)}}}); err != nil {
		t.Fatal(err)
	}
	var mu sync.Mutex
	wrote := map[int]string{2: "1000"} // by revision of the recipe
	var seen []bot.Reply
	var all sync.WaitGroup
	for p := range pushers {
		all.Go(func() {
			for i := range pushes {
				n := 2000 + 100*p + i
				mu.Lock() // who pushes next is nobody's matter, but the number of its revision is
				e, err := k.kept.Commit(t.Context(), store.Home, store.Change{Base: -1, Who: fmt.Sprint("pusher ", p), Files: []store.FileChange{{Path: "recipes/crumble.yaml", Content: text(n)}}})
				if err != nil {
					t.Error(err)
				}
				wrote[e.Seq] = fmt.Sprint(n)
				mu.Unlock()
			}
		})
	}
	for who := range askers {
		all.Go(func() {
			for range asks {
				r, err := k.a.Ask(t.Context(), bot.Message{Conversation: bot.ConversationID(fmt.Sprint(who)), Author: bot.AuthorID(fmt.Sprint(who)), At: time.Date(2026, 3, 14, 12, 0, 0, 0, time.UTC), Text: "recipe for the crumble"})
				if err != nil {
					t.Error(err)
					return
				}
				mu.Lock()
				seen = append(seen, r)
				mu.Unlock()
			}
		})
	}
	all.Wait()
	if len(seen) != askers*asks {
		t.Fatalf("%d answers", len(seen))
	}
	revisions := map[int]bool{}
	for _, r := range seen {
		if r.Status != answer.StatusAnswer {
			t.Fatalf("%s %s", r.Status, r.Text)
		}
		var numbers []string
		for _, f := range r.Facts {
			if f.What == "buckwheat flour" || f.What == "salt" {
				numbers = append(numbers, f.Value.String())
			}
		}
		if want := wrote[r.Revision]; len(numbers) != 2 || numbers[0] != want || numbers[1] != want {
			t.Errorf("at revision %d: %s, want %s", r.Revision, strings.Join(numbers, " and "), want)
		}
		revisions[r.Revision] = true
	}
	t.Logf("%d answers from %d revisions", len(seen), len(revisions))
}
