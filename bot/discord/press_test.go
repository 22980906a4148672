package discord_test

import (
	"path/filepath"
	"strings"
	"testing"
	"time"

	"tamis/bot/discord/discordtest"
	"tamis/bot/timer"
)

// house is a small book that may be changed: ada is its chef by a role of the server.
func house(role string) map[string]string {
	return map[string]string{
		"house.yaml": "house: Lodehavn\ntime zone: Europe/Oslo\nteam:\n  chef: [\"" + role + "\"]\nrules: {who may push: [chef], two pairs of eyes: false}\n",
		"recipes/crumble.yaml": `recipe: buckwheat crumble
ingredients:
  - flour: 200 g
  - butter: 150 g
  - sugar: 100 g
method:
  - bake: until golden
    at: 160 °C
    for: 18 min
`,
		"recipes/praline.yaml": "recipe: walnut praline\ningredients:\n  - walnut: 300 g\n  - sugar: 200 g\n",
		"recipes/wafer.yaml":   "recipe: walnut wafer\ningredients:\n  - walnut: 50 g\n  - flour: 80 g\n",
	}
}

func TestButtons(t *testing.T) {
	t.Parallel()
	srv := server(t)
	g := srv.Guild("Lodehavn")
	pastry := g.Channel("pastry")
	chef := g.Role("chef", 0)
	ada, bo := g.Member("Ada", chef), g.Member("Bo")
	a, kept := bookAsker(t, house(chef.ID))
	o := options(t, srv, a)
	first := start(t, o)
	srv.WaitReady(1)
	card := pastry.Reply(pastry.Ask(bo, "buckwheat crumble"))
	has(t, card.Text(), "200 g")
	amount := pastry.Reply(pastry.Ask(bo, "how much butter in buckwheat crumble"))

	t.Run("twice", func(t *testing.T) {
		m := pastry.Press(ada, card, card.ButtonID("×2")).Message()
		has(t, m.Text(), "400 g", "300 g")
		m = pastry.Press(ada, amount, amount.ButtonID("×3")).Message()
		has(t, m.Text(), "450 g")
	})
	t.Run("form", func(t *testing.T) {
		id := card.ButtonID("Batches…")
		if id == "" {
			t.Fatalf("no form among %+v", card.Buttons())
		}
		form := pastry.Press(bo, card, id).Modal()
		has(t, form.Submit(map[string]string{form.Fields[0].CustomID: "1.5"}).Message().Text(), "300 g")
		if m := form.Submit(map[string]string{form.Fields[0].CustomID: "a lot"}).Message(); !m.Ephemeral {
			t.Errorf("no number: %+v", m)
		}
	})
	t.Run("tampered", func(t *testing.T) {
		id := card.ButtonID("×2")
		other := func(c byte) string { // never the letter that stands there
			if c == 'A' {
				return "E"
			}
			return "A"
		}
		for _, forged := range []string{"x", id[:len(id)-1] + other(id[len(id)-1]), other(id[0]) + id[1:], strings.Repeat("A", 100)} {
			if m := pastry.Forge(bo, card, forged).Message(); !m.Ephemeral || strings.Contains(m.Text(), "400") {
				t.Errorf("%q is answered: %s", forged, m.Text())
			}
		}
	})
	t.Run("another's choice", func(t *testing.T) {
		ask := pastry.Reply(pastry.Ask(bo, "how much walnut"))
		menus := ask.Components
		if len(menus) == 0 {
			t.Fatalf("no menu under: %s", ask.Text())
		}
		id, _ := menus[0]["components"].([]any)[0].(map[string]any)["custom_id"].(string)
		if m := pastry.Choose(ada, ask, id, "walnut praline").Message(); !m.Ephemeral || strings.Contains(m.Text(), "300 g") {
			t.Errorf("another one chose: %s", m.Text())
		}
		has(t, pastry.Choose(bo, ask, id, "walnut praline").Message().Text(), "300 g")
	})
	t.Run("change", func(t *testing.T) {
		if m := pastry.Reply(pastry.Ask(bo, "butter in the buckwheat crumble is now 160 g")); m.ButtonID("Yes, write it") != "" {
			t.Errorf("a commis may write: %s", m.Text())
		}
		offer := pastry.Reply(pastry.Ask(ada, "butter in the buckwheat crumble is now 160 g"))
		yes := offer.ButtonID("Yes, write it")
		if yes == "" {
			t.Fatalf("no yes under: %s", offer.Text())
		}
		if m := pastry.Press(bo, offer, yes).Message(); !m.Ephemeral {
			t.Errorf("somebody else said yes: %s", m.Text())
		}
		if m := pastry.Press(ada, offer, yes).Message(); m.Text() == "" {
			t.Error("nothing said")
		}
		has(t, pastry.Reply(pastry.Ask(bo, "how much butter in buckwheat crumble")).Text(), "160 g")
		log, err := kept.Log(t.Context(), "home", 0)
		if err != nil || log[len(log)-1].How != "channel" || log[len(log)-1].Who != ada.ID {
			t.Errorf("%v, %+v", err, log)
		}
		if m := pastry.Press(ada, offer, yes).Message(); !m.Ephemeral { // once more
			t.Errorf("a second yes: %s", m.Text())
		}
	})
	t.Run("rights at the moment", func(t *testing.T) {
		offer := pastry.Reply(pastry.Ask(ada, "butter in the buckwheat crumble is now 170 g"))
		g.Join(ada) // no chef any more
		pastry.Press(ada, offer, offer.ButtonID("Yes, write it")).Message()
		has(t, pastry.Reply(pastry.Ask(bo, "how much butter in buckwheat crumble")).Text(), "160 g")
		g.Join(ada, chef)
	})
	t.Run("after a restart", func(t *testing.T) {
		if err := first.end(); err != nil {
			t.Fatal(err)
		}
		start(t, o)
		srv.Until("the new session", func() bool { return srv.Counts().Identifies == 2 && srv.Ready() == 1 })
		m := pastry.Press(bo, card, card.ButtonID("×2")).Message()
		has(t, m.Text(), "400 g", "320 g", "changed") // the butter is another by now, and it is said
	})
	if c := srv.Counts(); c.Late != 0 {
		t.Errorf("%+v", c)
	}
}

func TestPush(t *testing.T) {
	t.Parallel()
	srv := server(t)
	g := srv.Guild("Lodehavn")
	pastry := g.Channel("pastry")
	chef := g.Role("chef", 0)
	ada, bo := g.Member("Ada", chef), g.Member("Bo")
	a, _ := bookAsker(t, house(chef.ID))
	start(t, options(t, srv, a))
	srv.WaitReady(1)
	srv.WaitCommands()
	yaml := []byte("recipe: pear granita\ningredients:\n  - pear: 500 g\n  - sugar: 80 g\n")

	offer := pastry.Reply(pastry.Ask(ada, "for the new menu", discordtest.With("granita.yaml", "application/yaml", yaml)))
	has(t, offer.Text(), "pear")
	pastry.Press(ada, offer, offer.ButtonID("Yes, write it")).Message()
	has(t, pastry.Reply(pastry.Ask(bo, "how much pear in pear granita")).Text(), "500 g")

	for name, data := range map[string][]byte{"big.yaml": []byte("recipe: big\nnotes: " + strings.Repeat("x", 300<<10)), "bytes.yaml": {0xff, 0xfe, 0}, "fence.yaml": []byte("recipe: f\nnotes: \"```\"\n")} {
		m := pastry.Reply(pastry.Ask(ada, "this one", discordtest.With(name, "application/yaml", data)))
		if m.ButtonID("Yes, write it") != "" {
			t.Errorf("%s is offered: %s", name, m.Text())
		}
	}
	n := 0
	for _, r := range srv.Requests("GET /attachments") {
		if strings.Contains(r.Path, "big.yaml") {
			n++
		}
	}
	if n != 0 {
		t.Error("a file that is too large was fetched")
	}
	// from a host that is not the platform's: never fetched
	m := pastry.Ask(ada, "look", discordtest.Bent(func(p map[string]any) {
		p["attachments"] = []any{map[string]any{"id": "1", "filename": "r.yaml", "size": 20, "url": "http://127.0.0.1:1/r.yaml"}}
	}))
	if a := pastry.Reply(m); a.ButtonID("Yes, write it") != "" {
		t.Errorf("fetched from elsewhere: %s", a.Text())
	}
}

func TestDirectNeedsMembership(t *testing.T) {
	t.Parallel()
	srv := server(t)
	g := srv.Guild("Lodehavn")
	chef := g.Role("chef", 0)
	ada, stranger := g.Member("Ada", chef), srv.User("Nobody")
	a, _ := bookAsker(t, house(chef.ID))
	start(t, options(t, srv, a))
	srv.WaitReady(1)
	dm := srv.DM(stranger)
	if m := dm.Reply(dm.Say(stranger, "how much butter in buckwheat crumble")); strings.Contains(m.Text(), "150") {
		t.Errorf("a stranger reads the book: %s", m.Text())
	}
	dm = srv.DM(ada)
	m := dm.Reply(dm.Say(ada, "butter in the buckwheat crumble is now 160 g"))
	if m.ButtonID("Yes, write it") == "" {
		t.Fatalf("the chef may not write from a direct talk: %s", m.Text())
	}
	dm.Press(ada, m, m.ButtonID("Yes, write it")).Message()
	has(t, dm.Reply(dm.Say(ada, "how much butter in buckwheat crumble")).Text(), "160 g")
	dm.Quiet(100 * time.Millisecond)
}

// TestTimer: a timer set in the channel is said there, and taken on by a button.
func TestTimer(t *testing.T) {
	t.Parallel()
	srv := server(t)
	g := srv.Guild("Lodehavn")
	pastry := g.Channel("pastry")
	ada, bo := g.Member("Ada"), g.Member("Bo")
	a, _ := bookAsker(t, house("1"))
	e, err := timer.Open(filepath.Join(t.TempDir(), timer.FileName), time.Now(), timer.Options{})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = e.Close() })
	a.Time(e, "home", true)
	r := start(t, options(t, srv, a))
	srv.WaitReady(1)
	pastry.Reply(pastry.Ask(ada, "timer buckwheat crumble 12 min"))
	if err := e.Tick(t.Context(), time.Now().Add(13*time.Minute), a.Speaking(r.Voice("home"), time.Now)); err != nil {
		t.Fatal(err)
	}
	m := pastry.Wait(nil)
	has(t, m.Text(), "crumble")
	has(t, m.Text(), "<t:") // in the zone of who reads it
	if len(m.Pings) != 1 || m.Pings[0] != ada.ID {
		t.Errorf("it rings %v, not the one who set it, %s", m.Pings, ada.ID)
	}
	pastry.Press(bo, m, m.ButtonID("On it")).Message()
	ts, err := e.All("home")
	if err != nil || len(ts) != 1 || ts[0].Open() {
		t.Errorf("%v, %+v", err, ts)
	}
}
