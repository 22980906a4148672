package discord_test

import (
	"context"
	"fmt"
	"strings"
	"sync"
	"testing"
	"time"

	"tamis/bot"
	"tamis/bot/discord"
	"tamis/bot/discord/discordtest"
)

// kitchen is a server with a channel and somebody in it.
func kitchen(t *testing.T, o ...discordtest.Options) (*discordtest.Server, *discordtest.Guild, *discordtest.Channel, *discordtest.User) {
	t.Helper()
	srv := server(t, o...)
	g := srv.Guild("Lodehavn")
	return srv, g, g.Channel("pastry"), g.Member("Ada")
}

const sendRoute = "POST /channels/{channel_id}/messages"

// once holds that each question has one answer, now and a moment later.
func once(t *testing.T, c *discordtest.Channel, questions ...discordtest.Message) {
	t.Helper()
	for _, q := range questions {
		c.Reply(q)
	}
	c.Quiet(150 * time.Millisecond)
	n := c.Answers()
	for _, q := range questions {
		if n[q.ID] != 1 {
			t.Errorf("%q has %d answers", q.Content, n[q.ID])
		}
	}
}

// TestOnce: whatever becomes of the answer's sending, it stands there once.
func TestOnce(t *testing.T) {
	t.Parallel()
	for name, f := range map[string]discordtest.Fault{
		"the platform's answer is lost":         {Reset: true, After: true, Times: 2},
		"503":                                   {Status: 503, Times: 2},
		"500 after it was done":                 {Status: 500, After: true, Times: 1},
		"429 of the bucket":                     {Status: 429, RetryAfter: 100 * time.Millisecond, Scope: "user", Times: 1},
		"429 of all":                            {Status: 429, RetryAfter: 100 * time.Millisecond, Scope: "global", Times: 1},
		"slow":                                  {Delay: 700 * time.Millisecond, Times: 1},
		"connections are cut before it is done": {Reset: true, Times: 2},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			srv, _, pastry, ada := kitchen(t)
			o := options(t, srv, saying(t))
			o.Limits.Attempt = 400 * time.Millisecond
			start(t, o)
			srv.WaitReady(1)
			f.Route = sendRoute
			srv.Inject(f)
			once(t, pastry, pastry.Ask(ada, "one"), pastry.Ask(ada, "two"))
		})
	}
}

func TestDuplicates(t *testing.T) {
	t.Parallel()
	srv, _, pastry, ada := kitchen(t)
	start(t, options(t, srv, saying(t)))
	srv.WaitReady(1)
	srv.Doubled(true)
	once(t, pastry, pastry.Ask(ada, "one"), pastry.Ask(ada, "two"))
	pastry.Slash(ada, "ask", discordtest.Opt{Name: "question", Value: "three"}).Message()
	srv.Doubled(false)
}

// TestMissed: what was asked while the bot was away is answered once, if it was a moment ago.
func TestMissed(t *testing.T) {
	t.Parallel()
	srv, g, pastry, ada := kitchen(t)
	larder := g.Channel("larder")
	o := options(t, srv, saying(t))
	r := start(t, o)
	srv.WaitReady(1)
	before := pastry.Ask(ada, "answered before")
	pastry.Reply(before)
	dm := srv.DM(ada)
	dm.Reply(dm.Say(ada, "known"))
	if err := r.end(); err != nil {
		t.Fatal(err)
	}
	old := pastry.Ask(ada, "long ago")
	srv.Advance(11 * time.Minute)
	missed := []discordtest.Message{pastry.Ask(ada, "missed 1"), pastry.Ask(ada, "missed 2")}
	elsewhere, direct := larder.Ask(ada, "missed 3"), dm.Say(ada, "missed 4")
	pastry.Say(ada, "to nobody")
	o.Now = func() time.Time { return time.Now().Add(11 * time.Minute) }
	start(t, o)
	srv.Until("the new session", func() bool { return srv.Counts().Identifies == 2 && srv.Ready() == 1 })
	last := pastry.Ask(ada, "afterwards")
	once(t, pastry, append(missed, last)...)
	once(t, larder, elsewhere)
	once(t, dm, direct)
	if n := pastry.Answers(); n[old.ID] != 0 || n[before.ID] != 1 {
		t.Errorf("what was long ago has %d answers, what was answered %d", n[old.ID], n[before.ID])
	}
	order := ""
	for _, m := range pastry.Messages() {
		if m.AuthorID == srv.Bot().ID {
			order += m.Content + "\n"
		}
	}
	if i, j, k := strings.Index(order, "missed 1"), strings.Index(order, "missed 2"), strings.Index(order, "afterwards"); i < 0 || i > j || j > k {
		t.Errorf("the order is\n%s", order)
	}
}

// TestKilled: power goes while an answer is being sent; after the start it stands there once.
func TestKilled(t *testing.T) {
	t.Parallel()
	for _, after := range []bool{false, true} {
		srv, _, pastry, ada := kitchen(t)
		o := options(t, srv, saying(t))
		r := start(t, o)
		srv.WaitReady(1)
		f := srv.Inject(discordtest.Fault{Route: sendRoute, Reset: true, After: after})
		q := pastry.Ask(ada, "one")
		srv.Until("a try", func() bool { return f.Hits() > 0 })
		r.Abort()
		<-r.done
		f.Clear()
		start(t, o)
		once(t, pastry, q)
	}
}

// TestSlow: a slow answer is acknowledged in time, keeps its channel in order, and
// holds nobody else up.
func TestSlow(t *testing.T) {
	t.Parallel()
	srv, g, pastry, ada := kitchen(t)
	larder := g.Channel("larder")
	gate := make(chan struct{})
	a := asker{demoAsker(t), func(ctx context.Context, m bot.Message) (bot.Reply, error) {
		if strings.Contains(m.Text, "slow") {
			select {
			case <-gate:
			case <-ctx.Done():
			}
		}
		return words("heard: " + m.Text), nil
	}}
	o := options(t, srv, a)
	o.Patience = 100 * time.Millisecond
	start(t, o)
	srv.WaitReady(1)
	srv.WaitCommands()
	slow := pastry.Slash(ada, "ask", discordtest.Opt{Name: "question", Value: "slow"})
	behind := pastry.Ask(ada, "behind it")
	queued := pastry.Slash(ada, "help")
	if k := slow.Answer().Kind; k != 5 {
		t.Errorf("a slow command is first answered with %d", k)
	}
	if k := queued.Answer().Kind; k != 5 {
		t.Errorf("what waits behind it is first answered with %d", k)
	}
	once(t, larder, larder.Ask(ada, "elsewhere"))
	if pastry.TypingCount() > 0 {
		t.Error("types for a command")
	}
	close(gate)
	has(t, slow.Message().Text(), "heard: slow")
	once(t, pastry, behind)
	if m := queued.Message(); !m.Ephemeral {
		t.Errorf("help is for everybody: %s", m.Text())
	}
	if c := srv.Counts(); c.Late != 0 {
		t.Errorf("%+v", c)
	}
}

// TestOrder: one channel's answers come in the order of its questions, also when
// events arrive in another.
func TestOrder(t *testing.T) {
	t.Parallel()
	srv, _, pastry, ada := kitchen(t)
	start(t, options(t, srv, saying(t)))
	srv.WaitReady(1)
	var qs []discordtest.Message
	for i := range 20 {
		qs = append(qs, pastry.Ask(ada, fmt.Sprintf("q%02d", i)))
	}
	once(t, pastry, qs...)
	last := ""
	for _, m := range pastry.Messages() {
		if m.AuthorID == srv.Bot().ID {
			if m.Content <= last {
				t.Errorf("%q comes after %q", m.Content, last)
			}
			last = m.Content
		}
	}
	srv.HoldEvents()
	qs = []discordtest.Message{pastry.Ask(ada, "held 1"), pastry.Ask(ada, "held 2"), pastry.Ask(ada, "held 3")}
	pastry.Edit(qs[0], srv.Mention()+" held and edited")
	srv.Release(true)
	once(t, pastry, qs...)
	srv.Until("the edit to be answered", func() bool {
		for _, m := range pastry.Messages() {
			if m.ReplyTo == qs[0].ID {
				return strings.Contains(m.Content, "held and edited")
			}
		}
		return false
	})
}

// TestMalformed: what does not decode costs nothing but itself.
func TestMalformed(t *testing.T) {
	t.Parallel()
	srv, _, pastry, ada := kitchen(t)
	start(t, options(t, srv, saying(t)))
	srv.WaitReady(1)
	for _, d := range []string{`null`, `[]`, `{}`, `"x"`, `{"id":"1"}`, `{"id":5,"channel_id":[]}`, `{"id":"123456789012345678","channel_id":"1","author":null,"content":"x"}`,
		`{"id":"123456789012345679","channel_id":"2","author":{"id":"3"},"content":null,"type":"zero","mentions":{}}`} {
		for _, name := range []string{"MESSAGE_CREATE", "MESSAGE_UPDATE", "MESSAGE_DELETE", "MESSAGE_DELETE_BULK", "INTERACTION_CREATE", "GUILD_CREATE", "GUILD_DELETE", "CHANNEL_CREATE", "THREAD_CREATE", "THREAD_DELETE", "NEVER_HEARD_OF"} {
			srv.Emit(name, d)
		}
	}
	bent := pastry.Ask(ada, "no author", discordtest.Bent(func(p map[string]any) { delete(p, "author") }))
	q := pastry.Ask(ada, "unknown parts", discordtest.Bent(func(p map[string]any) {
		p["components"], p["poll"], p["flags"], p["sticker_items"] = []any{map[string]any{"type": 99, "x": 1}}, "odd", "odd", 7
	}))
	once(t, pastry, q)
	srv.DropAll(discordtest.DropReset)
	// after a dropped connection it is looked for what was missed: over REST the
	// first one has its author, and it is answered
	once(t, pastry, bent, pastry.Ask(ada, "still there"))
}

// TestPanics: an asker that panics costs one answer, which says so.
func TestPanics(t *testing.T) {
	t.Parallel()
	srv, _, pastry, ada := kitchen(t)
	a := asker{demoAsker(t), func(_ context.Context, m bot.Message) (bot.Reply, error) {
		if strings.Contains(m.Text, "bang") {
			panic("bang")
		}
		return words("heard"), nil
	}}
	start(t, options(t, srv, a))
	srv.WaitReady(1)
	has(t, pastry.Reply(pastry.Ask(ada, "bang")).Text(), "went wrong")
	once(t, pastry, pastry.Ask(ada, "and now"))
}

// TestSafe: text of people pings nobody and formats nothing.
func TestSafe(t *testing.T) {
	t.Parallel()
	srv, g, pastry, ada := kitchen(t)
	bo := g.Member("Bo")
	start(t, options(t, srv, saying(t)))
	srv.WaitReady(1)
	m := pastry.Reply(pastry.Ask(ada, "@everyone @here "+bo.Mention()+" **bold** `code` <#1> [x](https://example.org)"))
	if len(m.Pings) != 0 {
		t.Errorf("pings %v", m.Pings)
	}
	if strings.Contains(m.Content, " **bold**") || strings.Contains(m.Content, "@everyone") {
		t.Errorf("unescaped: %s", m.Content)
	}
}

// TestInPlace: the template is out at once, the model's words come in its place.
func TestInPlace(t *testing.T) {
	t.Parallel()
	srv, _, pastry, ada := kitchen(t)
	a := asker{demoAsker(t), func(_ context.Context, m bot.Message) (bot.Reply, error) {
		r := words("96 g egg yolk")
		if !m.InPlace {
			return r, nil
		}
		r.Better = func(ctx context.Context) (bot.Reply, bool) {
			time.Sleep(100 * time.Millisecond)
			return words("You need 96 g of egg yolk."), true
		}
		return r, nil
	}}
	start(t, options(t, srv, a))
	srv.WaitReady(1)
	srv.WaitCommands()
	m := pastry.Reply(pastry.Ask(ada, "yolk"))
	has(t, m.Text(), "96 g egg yolk")
	has(t, pastry.WaitEdit(m).Text(), "You need 96 g")
	it := pastry.Slash(ada, "ask", discordtest.Opt{Name: "question", Value: "yolk"})
	m = it.Message()
	has(t, pastry.WaitEdit(m).Text(), "You need 96 g")
}

// TestVoice: a notice is said once, whatever becomes of the first try.
func TestVoice(t *testing.T) {
	t.Parallel()
	srv, _, pastry, _ := kitchen(t)
	o := options(t, srv, saying(t))
	r := start(t, o)
	srv.WaitReady(1)
	srv.Inject(discordtest.Fault{Route: sendRoute, Reset: true, After: true, Times: 1})
	for range 3 {
		if err := r.Voice("home").Say(t.Context(), pastry.ID, "parfait: 6 h are over", "n-1"); err != nil {
			t.Fatal(err)
		}
	}
	if err := r.end(); err != nil {
		t.Fatal(err)
	}
	again := start(t, o)
	srv.Until("the new session", func() bool { return srv.Counts().Identifies == 2 && srv.Ready() == 1 })
	if err := again.Voice("home").Say(t.Context(), pastry.ID, "parfait: 6 h are over", "n-1"); err != nil {
		t.Fatal(err)
	}
	m := pastry.Wait(nil)
	has(t, m.Text(), "6 h are over")
	if m.ButtonID("On it") == "" {
		t.Errorf("no button to take it: %+v", m.Buttons())
	}
	pastry.Quiet(100 * time.Millisecond)
	if v := again.Voice("home"); v.Serves("terminal") || !v.Serves(pastry.ID) {
		t.Error("serves the wrong channels")
	}
}

// TestOpen: plain messages are answered in the channel that the house marked, and
// only where the application may read them.
func TestOpen(t *testing.T) {
	t.Parallel()
	for _, may := range []bool{true, false} {
		so := discordtest.Options{}
		if may {
			so.Intents = discordtest.IntentMessageContent
		}
		srv, g, pastry, ada := kitchen(t, so)
		larder := g.Channel("larder")
		o := options(t, srv, saying(t))
		o.Houses[0].Open = []string{pastry.ID}
		start(t, o)
		id := srv.WaitIdentify(1)
		srv.WaitReady(1)
		if got := id.Intents&discordtest.IntentMessageContent != 0; got != may {
			t.Errorf("may read plain messages: %v, asks for the intent: %v", may, got)
		}
		q := pastry.Say(ada, "how much yolk")
		larder.Say(ada, "how much yolk")
		pastry.Say(srv.OtherBot("pingy"), "how much yolk")
		if may {
			once(t, pastry, q)
		} else {
			pastry.Quiet(100 * time.Millisecond)
		}
		larder.Quiet(50 * time.Millisecond)
		once(t, larder, larder.Ask(ada, "how much yolk"))
	}
}

// TestIntents: nothing privileged is asked for.
func TestIntents(t *testing.T) {
	t.Parallel()
	srv, _, _, _ := kitchen(t)
	start(t, options(t, srv, saying(t)))
	if id := srv.WaitIdentify(1); id.Intents != discordtest.IntentGuilds|discordtest.IntentGuildMessages|discordtest.IntentDirectMessages {
		t.Errorf("intents %b", id.Intents)
	}
	if p := discord.Permissions(); p&(discordtest.Administrator|discordtest.ManageMessages|discordtest.ManageChannels|discordtest.ManageGuild|discordtest.MentionEveryone|discordtest.ManageRoles) != 0 {
		t.Errorf("permissions %b", p)
	}
}

// TestForbidden: a channel that takes no answer is not asked again and again.
func TestForbidden(t *testing.T) {
	t.Parallel()
	srv, _, pastry, ada := kitchen(t)
	start(t, options(t, srv, saying(t)))
	srv.WaitReady(1)
	pastry.Deny(srv.Bot(), discordtest.SendMessages)
	pastry.Ask(ada, "one")
	srv.Until("the refusal", func() bool { return srv.Counts().Invalid > 0 })
	time.Sleep(200 * time.Millisecond)
	if n := len(srv.Requests(sendRoute)); n != 1 {
		t.Errorf("%d tries", n)
	}
	pastry.Allow(srv.Bot(), discordtest.SendMessages)
	once(t, pastry, pastry.Ask(ada, "two"))
}

// TestStop: a stop finishes what was begun.
func TestStop(t *testing.T) {
	t.Parallel()
	srv, _, pastry, ada := kitchen(t)
	var begun sync.WaitGroup
	begun.Add(1)
	var first sync.Once
	a := asker{demoAsker(t), func(_ context.Context, m bot.Message) (bot.Reply, error) {
		first.Do(begun.Done)
		time.Sleep(300 * time.Millisecond)
		return words("heard: " + m.Text), nil
	}}
	r := start(t, options(t, srv, a))
	srv.WaitReady(1)
	q, queued := pastry.Ask(ada, "one"), pastry.Ask(ada, "two")
	begun.Wait()
	srv.Until("the second one has arrived", func() bool { return r.Waiting(pastry.ID) > 0 || len(pastry.Messages()) > 2 })
	if err := r.end(); err != nil {
		t.Fatal(err)
	}
	once(t, pastry, q, queued)
}

func TestNew(t *testing.T) {
	t.Parallel()
	h := []discord.House{{ID: "home", Asker: saying(t)}}
	for name, o := range map[string]discord.Options{
		"no token":    {Houses: h},
		"no house":    {Token: "x"},
		"two for all": {Token: "x", Houses: []discord.House{h[0], {ID: "b", Asker: h[0].Asker}}},
		"one server twice": {Token: "x", Houses: []discord.House{{ID: "a", Asker: h[0].Asker, Guilds: []string{"123456789012345678"}},
			{ID: "b", Asker: h[0].Asker, Guilds: []string{"123456789012345678"}}}},
		"no id":    {Token: "x", Houses: []discord.House{{ID: "a", Asker: h[0].Asker, Guilds: []string{"Lodehavn"}}}},
		"bad base": {Token: "x", Houses: h, API: "nowhere"},
	} {
		o.Log = logger(t)
		if _, err := discord.New(o); err == nil {
			t.Errorf("%s is taken", name)
		}
	}
}
