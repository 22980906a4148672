package discord_test

import (
	"testing"
	"time"

	"tamis/bot/discord/discordtest"
)

// TestStory: what people do, and what appears.
func TestStory(t *testing.T) {
	t.Parallel()
	srv := server(t)
	g := srv.Guild("Lodehavn")
	pastry := g.Channel("pastry")
	ada := g.Member("Ada", g.Role("commis", 0))
	start(t, options(t, srv, demoAsker(t)))
	srv.WaitReady(1)
	srv.WaitCommands()

	q := pastry.Ask(ada, "how much egg yolk for brown butter parfait")
	a := pastry.Reply(q)
	has(t, a.Text(), "120 g")
	if len(a.Pings) != 0 {
		t.Errorf("the answer pings %v", a.Pings)
	}
	t.Run("go on by a reply", func(t *testing.T) {
		next := pastry.Say(ada, "for 3x", discordtest.ReplyTo(a))
		has(t, pastry.Reply(next).Text(), "360 g")
	})
	t.Run("edited", func(t *testing.T) {
		pastry.Edit(q, srv.Mention()+" how much sugar for brown butter parfait")
		has(t, pastry.WaitEdit(a).Text(), "105 g")
	})
	t.Run("removed", func(t *testing.T) {
		pastry.Remove(q)
		pastry.WaitGone(a)
	})
	t.Run("direct", func(t *testing.T) {
		dm := srv.DM(ada)
		m := dm.Say(ada, "brown butter parfait x2")
		has(t, dm.Reply(m).Text(), "240 g")
	})
	t.Run("not addressed", func(t *testing.T) {
		pastry.Say(ada, "how much yolk")
		pastry.Say(srv.OtherBot("pingy"), srv.Mention()+" how much yolk")
		pastry.Quiet(200 * time.Millisecond)
	})
	t.Run("commands", func(t *testing.T) {
		m := pastry.Slash(ada, "ask", discordtest.Opt{Name: "question", Value: "how much egg yolk for brown butter parfait"}).Message()
		has(t, m.Text(), "120 g")
		if m.Ephemeral {
			t.Error("an answer that only one sees")
		}
		m = pastry.Slash(ada, "recipe", discordtest.Opt{Name: "name", Value: "brown butter parfait"}, discordtest.Opt{Name: "size", Value: "2"}).Message()
		has(t, m.Text(), "240 g")
		for _, c := range []string{"help", "timers"} {
			if m := pastry.Slash(ada, c).Message(); !m.Ephemeral || m.Text() == "" {
				t.Errorf("/%s: %+v", c, m)
			}
		}
		if m := pastry.Slash(ada, "ask", discordtest.Opt{Name: "question", Value: "how much saffron in the brown butter parfait"}).Message(); !m.Ephemeral {
			t.Errorf("what I don't have is told to everybody: %s", m.Text())
		}
	})
	t.Run("names are offered", func(t *testing.T) {
		for typed, want := range map[string]string{"brown butter par": "brown butter parfait", "brwn buter parfit": "brown butter parfait", "PARFAIT": "brown butter parfait"} {
			it := pastry.Autocomplete(ada, "recipe", discordtest.Opt{Name: "name", Value: typed, Focused: true})
			found := false
			for _, c := range it.Choices() {
				found = found || c.Value == want
			}
			if !found {
				t.Errorf("%q offers %v", typed, it.Choices())
			}
			if took := it.Answer().Took; took > 2*time.Second { // the figure is a benchmark's
				t.Errorf("%q took %v", typed, took)
			}
		}
		if n := len(pastry.Autocomplete(ada, "recipe", discordtest.Opt{Name: "name", Value: "", Focused: true}).Choices()); n == 0 || n > 25 {
			t.Errorf("%d names for nothing typed", n)
		}
	})
	t.Run("entries of a message", func(t *testing.T) {
		m := pastry.Say(ada, "how much egg yolk for brown butter parfait")
		has(t, pastry.OnMessage(ada, "Answer this", m).Message().Text(), "120 g")
		m = pastry.Say(ada, "custard 12 min")
		has(t, pastry.OnMessage(ada, "Make this a timer", m).Message().Text(), "12 min")
		mine := pastry.Reply(pastry.Ask(ada, "egg yolk for brown butter parfait"))
		if m := pastry.OnMessage(ada, "Answer this", mine).Message(); !m.Ephemeral {
			t.Errorf("answers itself: %s", m.Text())
		}
	})
	if c := srv.Counts(); c.Late != 0 || c.Invalid != 0 {
		t.Errorf("%+v", c)
	}
}
