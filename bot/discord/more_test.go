package discord_test

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"time"

	"tamis/bot"
	"tamis/bot/answer"
	"tamis/bot/discord"
	"tamis/bot/discord/discordtest"
	"tamis/bot/discord/wire"
	"tamis/bot/reply"
)

// long is an answer of so many lines.
func long(n int) bot.Reply {
	r := bot.Reply{Answer: &answer.Answer{Status: answer.StatusAnswer, About: "lookup", Form: answer.FormTalk}}
	var b strings.Builder
	for i := range n {
		s := fmt.Sprintf("%d g of thing number %d", 100+i, i)
		fmt.Fprintln(&b, s)
		r.Lines = append(r.Lines, reply.Line{Kind: reply.KindTalk, Text: s})
	}
	r.Text = strings.TrimSpace(b.String())
	return r
}

// TestLong: what is long stands in a thread, goes with its question, and loses nothing.
func TestLong(t *testing.T) {
	t.Parallel()
	srv, _, pastry, ada := kitchen(t)
	lines := 60
	a := asker{demoAsker(t), func(_ context.Context, m bot.Message) (bot.Reply, error) {
		if strings.Contains(m.Text, "short") {
			return words("short"), nil
		}
		return long(lines), nil
	}}
	start(t, options(t, srv, a))
	srv.WaitReady(1)
	srv.WaitCommands()
	q := pastry.Ask(ada, "all of it")
	head := pastry.Reply(q)
	thread := pastry.WaitThread()
	var all string
	for range 5 {
		if strings.Contains(all, "thing number 59") {
			break
		}
		all += thread.Wait(nil).Text() + "\n"
	}
	for i := range lines {
		if !strings.Contains(all, fmt.Sprintf("thing number %d", i)) {
			t.Errorf("line %d is lost", i)
		}
	}
	pastry.Edit(q, srv.Mention()+" short")
	has(t, pastry.WaitEdit(head).Text(), "short")
	srv.Until("the thread's messages to go", func() bool { return len(thread.Messages()) == 0 })
	pastry.Edit(q, srv.Mention()+" all of it again")
	pastry.WaitEdit(head)
	pastry.Remove(q)
	pastry.WaitGone(head)

	m := pastry.Slash(ada, "ask", discordtest.Opt{Name: "question", Value: "all of it"}).Message()
	if m.Text() == "" {
		t.Error("a long answer to a command is lost")
	}
}

// TestEditedMeanwhile: a question that is edited or deleted while it is answered.
func TestEditedMeanwhile(t *testing.T) {
	t.Parallel()
	srv, _, pastry, ada := kitchen(t)
	gate := make(chan struct{}, 8)
	begun := make(chan struct{}, 8)
	a := asker{demoAsker(t), func(_ context.Context, m bot.Message) (bot.Reply, error) {
		begun <- struct{}{}
		<-gate
		return words("heard: " + m.Text), nil
	}}
	start(t, options(t, srv, a))
	srv.WaitReady(1)
	q := pastry.Ask(ada, "first words")
	<-begun
	pastry.Edit(q, srv.Mention()+" other words")
	gate <- struct{}{}
	gate <- struct{}{}
	srv.Until("the other words", func() bool {
		for _, m := range pastry.Messages() {
			if m.ReplyTo == q.ID && strings.Contains(m.Content, "other words") {
				return true
			}
		}
		return false
	})
	<-begun
	waits, gone := pastry.Ask(ada, "waits"), pastry.Ask(ada, "goes")
	<-begun
	pastry.Remove(gone)
	time.Sleep(30 * time.Millisecond)
	gate <- struct{}{}
	pastry.Reply(waits)
	q = pastry.Ask(ada, "goes while it is answered")
	<-begun
	pastry.Remove(q)
	gate <- struct{}{}
	srv.Until("nothing to answer what is gone", func() bool {
		for _, m := range pastry.Messages() {
			if m.ReplyTo == q.ID || m.ReplyTo == gone.ID {
				return false
			}
		}
		return srv.Counts().BotMessages >= 3
	})
}

// TestActedOnce: an edit of what has changed something changes nothing more.
func TestActedOnce(t *testing.T) {
	t.Parallel()
	srv, _, pastry, ada := kitchen(t)
	n := 0
	a := asker{demoAsker(t), func(_ context.Context, m bot.Message) (bot.Reply, error) {
		n++
		r := words("kept")
		r.About, r.Begun = "time", &answer.Begun{}
		return r, nil
	}}
	start(t, options(t, srv, a))
	srv.WaitReady(1)
	q := pastry.Ask(ada, "timer 12 min")
	m := pastry.Reply(q)
	pastry.Edit(q, srv.Mention()+" timer 13 min")
	has(t, pastry.WaitEdit(m).Text(), "kept", "What was done stands")
	if n != 1 {
		t.Errorf("asked %d times", n)
	}
}

// TestTwoHouses: a person of two houses says once which is meant in a direct talk.
func TestTwoHouses(t *testing.T) {
	t.Parallel()
	srv := server(t)
	lode, hill := srv.Guild("Lodehavn"), srv.Guild("Hill")
	ada := lode.Member("Ada")
	hill.Join(ada)
	named := func(name string) asker {
		return asker{demoAsker(t), func(_ context.Context, m bot.Message) (bot.Reply, error) { return words(name + ": " + m.Text), nil }}
	}
	o := options(t, srv, nil)
	o.Houses = []discord.House{{ID: "lode", Guilds: []string{lode.ID}, Asker: named("lode")}, {ID: "hill", Guilds: []string{hill.ID}, Asker: named("hill")}}
	r := start(t, o)
	srv.WaitReady(1)
	dm := srv.DM(ada)
	has(t, dm.Reply(dm.Say(ada, "how much yolk")).Text(), "more than one house")
	dm.Reply(dm.Say(ada, "house hill"))
	has(t, dm.Reply(dm.Say(ada, "how much yolk")).Text(), "hill: how much yolk")
	if err := r.end(); err != nil {
		t.Fatal(err)
	}
	start(t, o)
	has(t, dm.Reply(dm.Say(ada, "and sugar")).Text(), "hill: and sugar")
	a, b := lode.Channel("pastry"), hill.Channel("pastry")
	has(t, a.Reply(a.Ask(ada, "x")).Text(), "lode: x")
	has(t, b.Reply(b.Ask(ada, "x")).Text(), "hill: x")
}

// TestRanges: two processes share the shards; each server is answered by one.
func TestRanges(t *testing.T) {
	t.Parallel()
	srv := server(t, discordtest.Options{Shards: 4})
	var channels []*discordtest.Channel
	var people []*discordtest.User
	for i := range 8 {
		g := srv.Guild(fmt.Sprint("house ", i))
		channels, people = append(channels, g.Channel("pastry")), append(people, g.Member("Ada"))
	}
	for _, part := range []string{"0-1/4", "2-3/4"} {
		shards, err := wire.ParseShards(part)
		if err != nil {
			t.Fatal(err)
		}
		o := options(t, srv, saying(t))
		o.Shards = shards
		start(t, o)
	}
	srv.WaitReady(4)
	for i, c := range channels {
		once(t, c, c.Ask(people[i], "x"))
	}
}

// TestPlainServer: a server that knows neither applications nor shards.
func TestPlainServer(t *testing.T) {
	t.Parallel()
	srv, _, pastry, ada := kitchen(t)
	for _, route := range []string{"GET /applications/@me", "GET /gateway/bot", "PUT /applications/{application_id}/commands"} {
		srv.Inject(discordtest.Fault{Route: route, Status: 404})
	}
	start(t, options(t, srv, saying(t)))
	srv.WaitReady(1)
	once(t, pastry, pastry.Ask(ada, "x"))
}

// TestFlood: a flood in one channel is answered in its order and holds no other up.
func TestFlood(t *testing.T) {
	t.Parallel()
	srv, g, pastry, ada := kitchen(t, discordtest.Options{Rate: discordtest.Limit{Requests: 20, Per: 200 * time.Millisecond}, GlobalRate: -1, Wait: 20 * time.Second})
	larder := g.Channel("larder")
	start(t, options(t, srv, saying(t)))
	srv.WaitReady(1)
	var qs []discordtest.Message
	for i := range 150 {
		qs = append(qs, pastry.Ask(ada, fmt.Sprint("q", i)))
	}
	elsewhere := larder.Ask(ada, "elsewhere")
	larder.Reply(elsewhere)
	if n := len(pastry.Answers()); n == len(qs) {
		t.Log("the flood was over before the other channel asked")
	}
	once(t, pastry, qs...)
	if c := srv.Counts(); c.RateLimited > 2 {
		t.Errorf("%d 429s", c.RateLimited)
	}
}

// TestLookAgain: a channel that can't be read after a start is looked at later, and
// holds nothing up meanwhile.
func TestLookAgain(t *testing.T) {
	t.Parallel()
	srv, _, pastry, ada := kitchen(t)
	missed := pastry.Ask(ada, "missed")
	o := options(t, srv, saying(t))
	o.LookAgain, o.Limits.Tries = 300*time.Millisecond, 2
	srv.Inject(discordtest.Fault{Route: "GET /channels/{channel_id}/messages", Status: 503, Times: 3})
	start(t, o)
	srv.WaitReady(1)
	once(t, pastry, pastry.Ask(ada, "now"), missed)
}

// TestDirectNames: names are offered in a direct talk, to people of the house only.
func TestDirectNames(t *testing.T) {
	t.Parallel()
	srv, _, _, ada := kitchen(t)
	nobody := srv.User("Nobody")
	start(t, options(t, srv, demoAsker(t)))
	srv.WaitReady(1)
	srv.WaitCommands()
	typed := discordtest.Opt{Name: "name", Value: "parfait", Focused: true}
	for range 3 {
		if n := len(srv.DM(ada).Autocomplete(ada, "recipe", typed).Choices()); n == 0 {
			t.Error("nothing is offered")
		}
	}
	if n := len(srv.DM(nobody).Autocomplete(nobody, "recipe", typed).Choices()); n != 0 {
		t.Errorf("a stranger is offered %d names", n)
	}
	if n := len(srv.Requests("GET /guilds/{guild_id}/members/{user_id}")); n > 3 {
		t.Errorf("asked %d times who they are", n)
	}
}
