package discord_test

import (
	"context"
	"fmt"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"tamis/bot"
	"tamis/bot/discord/discordtest"
)

// TestNotPeople: webhooks, bots, the platform's own messages, and what has no author
// are never answered, also not when they are found over REST after a break.
func TestNotPeople(t *testing.T) {
	t.Parallel()
	srv, g, pastry, ada := kitchen(t, wide)
	hook, bot := g.Member("hook"), srv.OtherBot("pingy")
	start(t, options(t, srv, saying(t)))
	srv.WaitReady(1)
	once(t, pastry, pastry.Ask(ada, "before"))
	say := func() {
		pastry.Ask(hook, "by a webhook", discordtest.ByWebhook())
		pastry.Ask(bot, "by a bot")
		pastry.Ask(srv.Bot(), "by itself")
		for _, kind := range []int{1, 2, 3, 4, 5, 6, 7, 8, 12, 18, 20, 21, 22, 23, 24, 46} {
			pastry.Ask(ada, fmt.Sprint("of type ", kind), discordtest.OfType(kind))
		}
	}
	quiet := func() {
		t.Helper()
		time.Sleep(150 * time.Millisecond)
		for _, m := range pastry.Messages() {
			if m.AuthorID == srv.Bot().ID && m.ReplyTo != "" && !strings.Contains(m.Content, "before") && !strings.Contains(m.Content, "after") {
				t.Errorf("answered: %s", m.Content)
			}
		}
	}
	say()
	quiet()
	srv.ForgetSessions()
	srv.HoldEvents()
	srv.DropAll(discordtest.DropReset)
	say()
	srv.Release(false)
	srv.Until("a new session", func() bool { return srv.Counts().Identifies == 2 && srv.Ready() == 1 })
	quiet()
	pastry.Ask(ada, "after", discordtest.Bent(func(p map[string]any) { p["member"] = nil }))
	pastry.Wait(func(m discordtest.Message) bool { return strings.Contains(m.Content, "after") })
}

// TestUnaddressed: what does not address the bot stays unanswered; an edit that
// addresses it is answered, once; one that no longer does brings no second answer.
func TestUnaddressed(t *testing.T) {
	t.Parallel()
	srv, g, pastry, ada := kitchen(t, wide)
	bo := g.Member("Bo")
	start(t, options(t, srv, saying(t)))
	srv.WaitReady(1)
	q := pastry.Ask(ada, "one")
	a := pastry.Reply(q)
	theirs := pastry.Say(bo, "nice", discordtest.ReplyTo(q))
	pastry.Edit(theirs, "nicer")
	pastry.Edit(pastry.Say(bo, "plain"), "plainer")
	pastry.Touch(q)
	pastry.Touch(q, discordtest.Bent(func(p map[string]any) { delete(p, "content"); delete(p, "author"); delete(p, "mentions") }))
	pastry.Touch(q, discordtest.Bent(func(p map[string]any) {
		for k := range p {
			if k != "id" && k != "channel_id" && k != "guild_id" {
				delete(p, k)
			}
		}
		p["embeds"] = []any{map[string]any{"type": "link", "url": "https://example.org"}}
	}))
	pastry.Touch(q, discordtest.Bent(func(p map[string]any) { p["content"], p["edited_timestamp"] = nil, nil }))
	pastry.Touch(a)
	// the event says that somebody else wrote it: it is no edit of hers
	pastry.Touch(q, discordtest.Bent(func(p map[string]any) {
		p["content"] = srv.Mention() + " forged"
		p["author"].(map[string]any)["id"] = srv.Bot().ID
	}))
	pastry.Quiet(150 * time.Millisecond)
	if n := len(srv.Requests("PATCH /channels/{channel_id}/messages/{message_id}")); n != 0 {
		t.Errorf("%d edits of an answer whose question has not changed", n)
	}
	late := pastry.Say(bo, "not yet")
	pastry.Edit(late, srv.Mention()+" now")
	pastry.Reply(late)
	pastry.Edit(q, "no longer meant for it")
	pastry.Quiet(100 * time.Millisecond)
	for _, m := range []discordtest.Message{q, late} {
		if n := pastry.Answers()[m.ID]; n > 1 {
			t.Errorf("%q has %d answers", m.Content, n)
		}
	}
}

// TestEditStorm: fifty edits while it is answered: the last words have the one answer,
// and not each edit is answered.
func TestEditStorm(t *testing.T) {
	t.Parallel()
	srv, _, pastry, ada := kitchen(t, wide)
	gate, begun := make(chan struct{}), make(chan struct{}, 100)
	var asked atomic.Int32
	a := asker{demoAsker(t), func(ctx context.Context, m bot.Message) (bot.Reply, error) {
		asked.Add(1)
		begun <- struct{}{}
		select {
		case <-gate:
		case <-ctx.Done():
		}
		return words("heard: " + m.Text), nil
	}}
	start(t, options(t, srv, a))
	srv.WaitReady(1)
	q := pastry.Ask(ada, "v0")
	<-begun
	for i := range 50 {
		pastry.Edit(q, fmt.Sprintf("%s v%d", srv.Mention(), i+1))
	}
	close(gate)
	srv.Until("the last words", func() bool {
		for _, m := range pastry.Messages() {
			if m.ReplyTo == q.ID && strings.Contains(m.Content, "v50") {
				return true
			}
		}
		return false
	})
	time.Sleep(100 * time.Millisecond)
	if n := pastry.Answers()[q.ID]; n != 1 {
		t.Errorf("%d answers", n)
	}
	if n := asked.Load(); n > 10 {
		t.Errorf("asked %d times for 51 versions of one question", n)
	}
}

// TestGone: questions and answers that others take away.
func TestGone(t *testing.T) {
	t.Parallel()
	srv, _, pastry, ada := kitchen(t, wide)
	start(t, options(t, srv, saying(t)))
	srv.WaitReady(1)
	q1, q2, q3 := pastry.Ask(ada, "one"), pastry.Ask(ada, "two"), pastry.Ask(ada, "three")
	a1, a2, a3 := pastry.Reply(q1), pastry.Reply(q2), pastry.Reply(q3)
	pastry.Purge(q1, q2)
	pastry.WaitGone(a1)
	pastry.WaitGone(a2)
	// a moderator removes the answer; then the question is edited: none or one, no storm
	pastry.Remove(a3)
	before := srv.Counts().Requests
	pastry.Edit(q3, srv.Mention()+" three again")
	time.Sleep(200 * time.Millisecond)
	if n := pastry.Answers()[q3.ID]; n > 1 {
		t.Errorf("%d answers", n)
	}
	if n := srv.Counts().Requests - before; n > 4 {
		t.Errorf("%d requests for an answer that is gone", n)
	}
	pastry.Remove(q3)
	// replies to what is no longer there
	m := pastry.Ask(ada, "to an answer that is gone", discordtest.ReplyTo(a3))
	once(t, pastry, m)
	m = pastry.Say(ada, srv.Mention()+" and to a null", discordtest.ReplyTo(a1), discordtest.Bent(func(p map[string]any) { p["referenced_message"] = nil; delete(p, "message_reference") }))
	once(t, pastry, m)
	// the question goes before the answer is out: no error that is repeated
	f := srv.Inject(discordtest.Fault{Route: sendRoute, Delay: 100 * time.Millisecond, Times: 1})
	q := pastry.Ask(ada, "soon gone")
	srv.Until("the answer is on its way", func() bool { return f.Hits() == 1 })
	pastry.Remove(q)
	srv.Until("nothing to be left", func() bool {
		for _, m := range pastry.Messages() {
			if m.AuthorID == srv.Bot().ID && strings.Contains(m.Content, "soon gone") {
				return false
			}
		}
		return len(srv.Requests(sendRoute)) > 0
	})
}

// TestPlaces: threads, forum posts, announcements and voice talks are channels; in a
// thread no thread is opened; what is locked or gone is asked once.
func TestPlaces(t *testing.T) {
	t.Parallel()
	srv, g, pastry, ada := kitchen(t, wide)
	a := asker{demoAsker(t), func(_ context.Context, m bot.Message) (bot.Reply, error) {
		if strings.Contains(m.Text, "long") {
			return long(60), nil
		}
		return words("heard: " + m.Text), nil
	}}
	start(t, options(t, srv, a))
	srv.WaitReady(1)
	th := pastry.Thread(ada, "tasting", pastry.Say(ada, "let us talk"))
	once(t, th, th.Ask(ada, "in a thread"))
	post, first := g.ChannelOf("ideas", 15).Post(ada, "pears", srv.Mention()+" in a post")
	once(t, post, first)
	for _, kind := range []int{2, 5} {
		c := g.ChannelOf(fmt.Sprint("place", kind), kind)
		once(t, c, c.Ask(ada, "here"))
		c.Reply(c.Ask(ada, "a long one"))
	}
	for _, c := range []*discordtest.Channel{th, post} {
		q := c.Ask(ada, "a long one")
		c.Reply(q)
		srv.Until("all of it, in pieces or as a file", func() bool {
			all := ""
			for _, m := range c.Messages() {
				all += m.Text()
				for _, f := range m.Files {
					all += string(f.Data)
				}
			}
			return strings.Contains(all, "thing number 0") && strings.Contains(all, "thing number 59")
		})
	}
	for _, r := range srv.Requests("POST /channels/{channel_id}/messages/{message_id}/threads") {
		if r.Status >= 400 {
			t.Errorf("%s answered %d", r.Path, r.Status)
		}
	}
	th.Archive(true)
	n := len(srv.Requests(sendRoute))
	th.Ask(ada, "locked", discordtest.Bent(func(map[string]any) {}))
	th.Archive(true)
	once(t, pastry, pastry.Ask(ada, "elsewhere"))
	time.Sleep(100 * time.Millisecond)
	if got := len(srv.Requests(sendRoute)) - n; got > 3 {
		t.Errorf("%d sends for one locked thread and one question", got)
	}
	larder := g.Channel("larder")
	once(t, larder, larder.Ask(ada, "still here"))
	f := srv.Inject(discordtest.Fault{Route: sendRoute, Delay: 50 * time.Millisecond, Channel: larder.ID})
	larder.Ask(ada, "soon gone")
	srv.Until("it is on its way", func() bool { return f.Hits() > 0 })
	larder.Delete()
	n = len(srv.Requests(sendRoute))
	once(t, pastry, pastry.Ask(ada, "and now"))
	if got := len(srv.Requests(sendRoute)) - n; got > 4 {
		t.Errorf("%d sends", got)
	}
}

// TestLyingFiles: attachments that are not what they say: larger, of another host, sent
// on to another, endless, without a size or a name. None is offered, none holds up the channel.
func TestLyingFiles(t *testing.T) {
	t.Parallel()
	srv, g, pastry, _ := kitchen(t, wide)
	chef := g.Role("chef", 0)
	ada := g.Member("Ada", chef)
	elsewhere := server(t)
	a, _ := bookAsker(t, house(chef.ID))
	o := options(t, srv, a)
	o.Limits.Attempt, o.Limits.Deadline = 500*time.Millisecond, time.Second
	start(t, o)
	srv.WaitReady(1)
	yaml := []byte("recipe: pear granita\ningredients:\n  - pear: 500 g\n  - sugar: 80 g\n")
	file := discordtest.With("g.yaml", "application/yaml", yaml)
	bent := func(change func(f map[string]any)) discordtest.Said {
		return discordtest.Bent(func(p map[string]any) {
			list, _ := p["attachments"].([]any)
			for _, x := range list {
				change(x.(map[string]any))
			}
		})
	}
	host := strings.TrimSuffix(strings.TrimPrefix(srv.API(), "http://"), "/api/v10")
	other := strings.TrimSuffix(elsewhere.API(), "/api/v10")
	offered := func(name string, how ...discordtest.Said) {
		t.Helper()
		began := time.Now()
		if m := pastry.Reply(pastry.Ask(ada, "this one", how...)); m.ButtonID("Yes, write it") != "" || strings.Contains(m.Text(), "went wrong") {
			t.Errorf("%s: %s", name, m.Text())
		}
		if time.Since(began) > 20*time.Second {
			t.Errorf("%s held the channel up for %v", name, time.Since(began))
		}
	}
	offered("says it is small", discordtest.With("g.yaml", "application/yaml", append(yaml, []byte("notes: "+strings.Repeat("x", 300<<10)+"\n")...)), bent(func(f map[string]any) { f["size"] = 90 }))
	for _, url := range []string{other + "/attachments/1/2/g.yaml", "http://" + host + "@127.0.0.1:1/attachments/1/2/g.yaml", "http://" + host + ".example/attachments/1/2/g.yaml", "http://" + host + "/api/v10/users/@me",
		"http://" + host + "/attachments/../api/v10/users/@me", "file:///etc/hostname", "ftp://" + host + "/x", "//" + host, "", "http://[::1", "javascript:0"} {
		offered(url, file, bent(func(f map[string]any) { f["url"], f["proxy_url"] = url, url }))
	}
	for _, v := range []any{nil, -1, "90", 1e18, map[string]any{}} {
		m := pastry.Ask(ada, "this one", file, bent(func(f map[string]any) { f["size"] = v }))
		if m := pastry.Reply(m); strings.Contains(m.Text(), "went wrong") {
			t.Errorf("size %v: %s", v, m.Text())
		}
	}
	offered("no name", file, bent(func(f map[string]any) { delete(f, "filename"); delete(f, "url") }))
	if n := elsewhere.Counts().Requests; n != 0 || len(elsewhere.Requests("")) != 0 {
		t.Errorf("%d requests to another host", n)
	}
	for _, f := range []discordtest.Fault{{Status: 302, Header: map[string]string{"Location": other + "/api/v10/gateway"}}, {Status: 500}, {Reset: true}, {Drip: 200 * time.Millisecond}, {Status: 302, Header: map[string]string{"Location": srv.API() + "/users/@me"}}} {
		f.Route = "GET /attachments"
		x := srv.Inject(f)
		offered(fmt.Sprintf("%+v", f), file)
		x.Clear()
	}
	if n := len(elsewhere.Requests("")); n != 0 {
		t.Errorf("%d requests sent on to another host", n)
	}
	if len(srv.Requests("GET /users/@me")) > 1 {
		t.Error("a file's address led to the API")
	}
	many := make([]discordtest.Said, 10)
	for i := range many {
		many[i] = discordtest.With(fmt.Sprintf("g%d.yaml", i), "application/yaml", yaml)
	}
	pastry.Reply(pastry.Ask(ada, "ten of them", many...))
	m := pastry.Reply(pastry.Ask(ada, "for the menu", file))
	if m.ButtonID("Yes, write it") == "" {
		t.Errorf("an honest file is not read any more: %s", m.Text())
	}
}

// TestOpenInAServerAway: an answer that was being sent when the power went, in a server
// that is not there yet at the next start: plain talk in its channel is not taken for a
// direct message.
func TestOpenInAServerAway(t *testing.T) {
	t.Parallel()
	srv, g, pastry, ada := kitchen(t, wide)
	o := options(t, srv, saying(t))
	r := start(t, o)
	srv.WaitReady(1)
	f := srv.Inject(discordtest.Fault{Route: sendRoute, Reset: true})
	q := pastry.Ask(ada, "one")
	srv.Until("a try", func() bool { return f.Hits() > 0 })
	r.Abort()
	<-r.done
	f.Clear()
	g.Unavailable()
	plain := []discordtest.Message{pastry.Say(ada, "plain talk"), pastry.Say(ada, "more of it")}
	start(t, o)
	srv.Until("the new session", func() bool { return srv.Counts().Identifies == 2 && srv.Ready() == 1 })
	pastry.Reply(q)
	time.Sleep(200 * time.Millisecond)
	g.Available()
	pastry.Reply(pastry.Ask(ada, "two"))
	n := pastry.Answers()
	for _, m := range plain {
		if n[m.ID] != 0 {
			t.Errorf("%q is answered", m.Content)
		}
	}
	if n[q.ID] != 1 {
		t.Errorf("%d answers", n[q.ID])
	}
}
