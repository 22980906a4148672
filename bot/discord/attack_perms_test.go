package discord_test

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"time"

	"tamis/bot"
	"tamis/bot/answer"
	"tamis/bot/discord/discordtest"
	"tamis/bot/reply"
)

// wideTable is an answer that no code block of a phone can hold.
func wideTable() bot.Reply {
	a := &answer.Answer{Status: answer.StatusAnswer, About: "lookup", Form: answer.FormCard, Title: answer.Title{Recipe: "pear gel"},
		Cautions: []answer.Phrase{{Code: "book", Args: []string{"hot sugar"}}}}
	for i := range 6 {
		a.Facts = append(a.Facts, answer.Fact{What: fmt.Sprint("brown butter of the house, cold, number ", i), Shown: fmt.Sprint(1150+i, " g"), Unit: "g", From: answer.FromBook})
	}
	words, err := reply.NewCatalogue()
	if err != nil {
		panic(err)
	}
	return bot.Reply{Answer: a, Reply: words.In("en").Render(a)}
}

// TestBare: where the bot may not embed, attach, reply or open threads, the answer
// comes all the same, whole, as plain words, once.
func TestBare(t *testing.T) {
	t.Parallel()
	manyLines := func(n int) bot.Reply { return long(n) }
	for name, x := range map[string]struct {
		deny  uint64
		reply func() bot.Reply
		parts []string
	}{
		"no cards":                {discordtest.EmbedLinks, wideTable, []string{"1150", "hot sugar", "1155"}},
		"no cards, no files":      {discordtest.EmbedLinks | discordtest.AttachFiles, wideTable, []string{"1150", "1155"}},
		"no files":                {discordtest.AttachFiles, func() bot.Reply { return manyLines(500) }, []string{"thing number 0", "thing number 499"}},
		"no threads":              {discordtest.CreatePublicThreads, func() bot.Reply { return manyLines(60) }, []string{"thing number 0", "thing number 59"}},
		"no writing in threads":   {discordtest.SendMessagesInThreads, func() bot.Reply { return manyLines(60) }, []string{"thing number 0", "thing number 59"}},
		"no history":              {discordtest.ReadMessageHistory, func() bot.Reply { return words("450 g of butter") }, []string{"450 g"}},
		"nothing but words":       {discordtest.EmbedLinks | discordtest.AttachFiles | discordtest.CreatePublicThreads | discordtest.SendMessagesInThreads, func() bot.Reply { return manyLines(500) }, []string{"thing number 0", "thing number 499"}},
		"nothing but words, wide": {discordtest.EmbedLinks | discordtest.AttachFiles | discordtest.CreatePublicThreads, wideTable, []string{"1150", "1155"}},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			srv, _, pastry, ada := kitchen(t, wide)
			a := asker{demoAsker(t), func(_ context.Context, m bot.Message) (bot.Reply, error) {
				if strings.Contains(m.Text, "short") {
					return words("short"), nil
				}
				return x.reply(), nil
			}}
			r := start(t, options(t, srv, a))
			srv.WaitReady(1)
			srv.WaitCommands()
			pastry.Deny(srv.Bot(), x.deny)
			all := func() string {
				var b strings.Builder
				for _, c := range append(pastry.Threads(), pastry) {
					for _, m := range c.Messages() {
						if m.AuthorID == srv.Bot().ID && m.Interaction == "" {
							b.WriteString(m.Text() + "\n")
							for _, f := range m.Files {
								b.Write(f.Data)
							}
						}
					}
				}
				return b.String()
			}
			whole := func() bool {
				text := all()
				for _, p := range x.parts {
					if !strings.Contains(text, p) {
						return false
					}
				}
				return true
			}
			q := pastry.Ask(ada, "all of it")
			srv.Until("all of it", whole)
			time.Sleep(50 * time.Millisecond)
			if n := strings.Count(all(), x.parts[len(x.parts)-1]); n != 1 {
				t.Errorf("%q stands there %d times", x.parts[len(x.parts)-1], n)
			}
			if n := pastry.Answers()[q.ID]; n > 1 {
				t.Errorf("%d answers", n)
			}
			if n := srv.Counts().Invalid; n > 3 {
				t.Errorf("%d refused requests for one answer", n)
			}
			// known by now: the next one is right at once
			invalid := srv.Counts().Invalid
			q2 := pastry.Ask(ada, "short")
			pastry.Wait(func(m discordtest.Message) bool { return strings.Contains(m.Content, "short") })
			if x.deny&discordtest.ReadMessageHistory == 0 {
				if n := srv.Counts().Invalid - invalid; n > 0 {
					t.Errorf("%d refused requests for a short answer", n)
				}
			}
			// an edit from short to long and wide
			if x.deny&discordtest.ReadMessageHistory == 0 {
				pastry.Edit(q2, srv.Mention()+" the whole thing")
				srv.Until("the edit, whole", func() bool {
					return strings.Count(all(), x.parts[len(x.parts)-1]) == 2 && !strings.Contains(all(), "short")
				})
			}
			// answers to commands may always have cards and files
			m := pastry.Slash(ada, "ask", discordtest.Opt{Name: "question", Value: "all of it"}).Message()
			if m.Text() == "" && len(m.Files) == 0 {
				t.Error("a command is answered with nothing")
			}
			// a notice is heard as well
			rep := x.reply()
			if err := r.Voice("home").Announce(t.Context(), pastry.ID, rep, bot.AuthorID(ada.ID), "n-1"); err != nil {
				t.Error(err)
			}
			n := len(pastry.Messages())
			if err := r.Voice("home").Announce(t.Context(), pastry.ID, rep, bot.AuthorID(ada.ID), "n-1"); err != nil || len(pastry.Messages()) != n {
				t.Errorf("a notice is said twice: %v", err)
			}
			srv.TakeViolations()
		})
	}
}
