package discord_test

import (
	"context"
	"strings"
	"testing"
	"time"

	"tamis/bot"
	"tamis/bot/discord"
	"tamis/bot/discord/discordtest"
	"tamis/kb/store"
)

// wide lifts the limits of rate: what is attacked is something else.
var wide = discordtest.Options{GlobalRate: -1, Rate: discordtest.Limit{Requests: 10000, Per: time.Second}}

// TestForgedPress: a custom id in which one bit is another, or that is cut, doubled or
// foreign, is refused to its presser alone; no number comes of it.
func TestForgedPress(t *testing.T) {
	t.Parallel()
	srv, g, pastry, ada := kitchen(t, wide)
	a, kept := bookAsker(t, house(g.Role("chef", 0).ID))
	start(t, options(t, srv, a))
	srv.WaitReady(1)
	card := pastry.Reply(pastry.Ask(ada, "buckwheat crumble"))
	id := card.ButtonID("×2")
	if id == "" {
		t.Fatalf("no ×2 under %s", card.Text())
	}
	var forged []string
	for i := range id {
		for bit := range 7 {
			x := []byte(id)
			x[i] ^= 1 << bit
			if x[i] > ' ' && x[i] < 0x7f {
				forged = append(forged, string(x))
			}
		}
		forged = append(forged, id[:i], id[i+1:])
	}
	forged = append(forged, id+"A", id+"=", id+id, "\u202e"+id, strings.ToLower(id), strings.ToUpper(id), " "+id, id+"\n")
	for n, f := range forged {
		if f == "" || f == id {
			continue
		}
		if n%5 != 0 && n < len(forged)-8 { // each bit of each place is tried over a few runs of the loop's step
			continue
		}
		m := pastry.Forge(ada, card, f).Message()
		if !m.Ephemeral || strings.Contains(m.Text(), "400") || strings.Contains(m.Text(), "200") {
			t.Errorf("%q is answered: %s", f, m.Text())
		}
	}
	if log, err := kept.Log(t.Context(), "home", 0); err != nil || len(log) != 1 {
		t.Errorf("%v: %d entries", err, len(log))
	}
}

// twoHouses are two servers with books of their own, in which the same recipe has other amounts.
func twoHouses(t *testing.T) (srv *discordtest.Server, lode, hill *discordtest.Guild, o discord.Options) {
	t.Helper()
	srv = server(t, wide)
	lode, hill = srv.Guild("Lodehavn"), srv.Guild("Hill")
	books := map[string]map[string]string{"lode": house("1"), "hill": house("1")}
	books["hill"]["recipes/crumble.yaml"] = strings.NewReplacer("150 g", "177 g", "200 g", "233 g").Replace(books["hill"]["recipes/crumble.yaml"])
	books["hill"]["house.yaml"] = strings.Replace(books["hill"]["house.yaml"], "Lodehavn", "Hill", 1)
	o = options(t, srv, nil)
	o.Houses = nil
	for name, g := range map[string]*discordtest.Guild{"lode": lode, "hill": hill} {
		a, _ := bookAsker(t, books[name])
		o.Houses = append(o.Houses, discord.House{ID: name, Guilds: []string{g.ID}, Asker: a})
	}
	return srv, lode, hill, o
}

// TestForeignPress: no button, form or menu of one house says a number of another, nor
// does a message that is moved, a direct talk, or an id from elsewhere.
func TestForeignPress(t *testing.T) {
	t.Parallel()
	srv, lode, hill, o := twoHouses(t)
	here, there := lode.Channel("pastry"), hill.Channel("pastry")
	ada, bo := lode.Member("Ada"), hill.Member("Bo")
	hill.Join(ada)
	start(t, o)
	srv.WaitReady(1)
	srv.WaitCommands()
	card := here.Reply(here.Ask(ada, "buckwheat crumble"))
	has(t, card.Text(), "200 g", "150 g")
	other := there.Reply(there.Ask(bo, "buckwheat crumble"))
	has(t, other.Text(), "233 g", "177 g")
	for _, b := range card.Buttons() {
		for _, c := range []*discordtest.Channel{there, srv.DM(bo), srv.DM(ada)} {
			if r := c.Forge(map[bool]*discordtest.User{true: ada, false: bo}[c == srv.DM(ada)], other, b.CustomID).Answer(); r.Kind != 9 {
				for _, n := range []string{"200 g", "150 g", "400 g", "300 g", "466 g", "354 g"} {
					if strings.Contains(r.Message.Text(), n) {
						t.Errorf("%s of one house says %s in another: %s", b.Label, n, r.Message.Text())
					}
				}
			} else {
				t.Errorf("%s of one house opens a form in another", b.Label)
			}
		}
	}
	form := here.Press(ada, card, card.ButtonID("Batches…")).Modal()
	has(t, form.Submit(map[string]string{form.Fields[0].CustomID: "2"}).Message().Text(), "400 g")
	// a message of this house forwarded: the entry is used there on words from here
	m := there.Say(bo, "how much butter in buckwheat crumble")
	has(t, there.OnMessage(bo, "Answer this", m).Message().Text(), "177 g")
	// in a direct talk of one who is in both: asked first, and a choice is kept to
	dm := srv.DM(ada)
	m = dm.Reply(dm.Say(ada, "how much butter in buckwheat crumble"))
	if strings.Contains(m.Text(), "150 g") || strings.Contains(m.Text(), "177 g") {
		t.Errorf("answered without knowing of which house: %s", m.Text())
	}
	dm.Reply(dm.Say(ada, "house hill"))
	m = dm.Reply(dm.Say(ada, "buckwheat crumble"))
	has(t, m.Text(), "177 g")
	// she leaves that house: from now on nothing of it is told to her
	hill.Leave(ada)
	for _, ask := range []string{"how much butter in buckwheat crumble", "buckwheat crumble"} {
		if r := dm.Reply(dm.Say(ada, ask)); strings.Contains(r.Text(), "177") || strings.Contains(r.Text(), "233") {
			t.Errorf("one who has left is told: %s", r.Text())
		}
	}
	if b := m.ButtonID("×2"); b != "" {
		if r := dm.Press(ada, m, b).Message(); strings.Contains(r.Text(), "354") || strings.Contains(r.Text(), "466") {
			t.Errorf("a button still works for one who has left: %s", r.Text())
		}
	}
	lode.Leave(ada)
	if r := dm.Reply(dm.Say(ada, "how much butter in buckwheat crumble")); strings.Contains(r.Text(), "150") || strings.Contains(r.Text(), "177") {
		t.Errorf("one who is nowhere is told: %s", r.Text())
	}
	if n := len(dm.Autocomplete(ada, "recipe", discordtest.Opt{Name: "name", Value: "crumble", Focused: true}).Choices()); n != 0 {
		t.Errorf("one who is nowhere is offered %d names", n)
	}
}

// TestPressGone: a button under a recipe that is no longer in the book says so, and a
// menu picks nothing that it does not offer.
func TestPressGone(t *testing.T) {
	t.Parallel()
	srv, g, pastry, ada := kitchen(t, wide)
	a, kept := bookAsker(t, house(g.Role("chef", 0).ID))
	start(t, options(t, srv, a))
	srv.WaitReady(1)
	card := pastry.Reply(pastry.Ask(ada, "buckwheat crumble"))
	ask := pastry.Reply(pastry.Ask(ada, "how much walnut"))
	id, _ := ask.Components[0]["components"].([]any)[0].(map[string]any)["custom_id"].(string)
	for _, v := range [][]string{{"buckwheat crumble"}, {"butter in the buckwheat crumble is now 1 g"}, {""}, {}, {strings.Repeat("x", 100)}, {"walnut praline", "walnut wafer"}, {"@everyone"}, {"yes"}} {
		m := pastry.Forge(ada, ask, id, v...).Message()
		if strings.Contains(m.Text(), "went wrong") || m.ButtonID("Yes, write it") != "" || len(m.Pings) > 0 {
			t.Errorf("%q picked is answered: %s", v, m.Text())
		}
	}
	if _, err := kept.Commit(t.Context(), "home", store.Change{Base: -1, Who: "x", At: time.Now(), Why: "off the menu", How: "test", Files: []store.FileChange{{Path: "recipes/crumble.yaml", Deleted: true}}}); err != nil {
		t.Fatal(err)
	}
	for _, b := range card.Buttons() {
		r := pastry.Press(ada, card, b.CustomID).Answer()
		if r.Kind == 9 {
			continue
		}
		m := r.Message
		if !m.Ephemeral || strings.Contains(m.Text(), "400 g") || strings.Contains(m.Text(), "200 g") {
			t.Errorf("%s of a recipe that is gone is answered: %s", b.Label, m.Text())
		}
	}
}

// TestRoleTakenMeanwhile: who loses their role while the press waits for its turn may
// not write any more when its turn comes.
func TestRoleTakenMeanwhile(t *testing.T) {
	t.Parallel()
	srv := server(t, wide)
	g := srv.Guild("Lodehavn")
	pastry, chef := g.Channel("pastry"), g.Role("chef", 0)
	ada, bo := g.Member("Ada", chef), g.Member("Bo")
	book, kept := bookAsker(t, house(chef.ID))
	gate, begun := make(chan struct{}), make(chan struct{}, 4)
	a := asker{book, func(ctx context.Context, m bot.Message) (bot.Reply, error) {
		if strings.Contains(m.Text, "slow") {
			begun <- struct{}{}
			select {
			case <-gate:
			case <-ctx.Done():
			}
			return words("done"), nil
		}
		return book.Ask(ctx, m)
	}}
	start(t, options(t, srv, a))
	srv.WaitReady(1)
	offer := pastry.Reply(pastry.Ask(ada, "butter in the buckwheat crumble is now 160 g"))
	yes := offer.ButtonID("Yes, write it")
	if yes == "" {
		t.Fatalf("no yes under %s", offer.Text())
	}
	slow := pastry.Ask(bo, "slow")
	<-begun
	press := pastry.Press(ada, offer, yes)
	typed := pastry.Ask(ada, "sugar in the buckwheat crumble is now 90 g")
	srv.Until("the press waits", func() bool { return press.Answered() })
	g.Join(ada)
	close(gate)
	pastry.Reply(slow)
	press.Message()
	pastry.Reply(typed)
	if log, err := kept.Log(t.Context(), "home", 0); err != nil || len(log) != 1 {
		t.Errorf("%v: one whose role is gone has written: %d entries", err, len(log))
	}
	has(t, pastry.Reply(pastry.Ask(bo, "how much butter in buckwheat crumble")).Text(), "150 g")
}

// TestManyPresses: a button that is hammered does its work once for each press and no
// more; a yes that is hammered writes once.
func TestManyPresses(t *testing.T) {
	t.Parallel()
	srv := server(t, wide)
	g := srv.Guild("Lodehavn")
	pastry, chef := g.Channel("pastry"), g.Role("chef", 0)
	ada := g.Member("Ada", chef)
	a, kept := bookAsker(t, house(chef.ID))
	start(t, options(t, srv, a))
	srv.WaitReady(1)
	offer := pastry.Reply(pastry.Ask(ada, "butter in the buckwheat crumble is now 160 g"))
	var presses []*discordtest.Interaction
	for range 12 {
		presses = append(presses, pastry.Press(ada, offer, offer.ButtonID("Yes, write it")))
	}
	for _, p := range presses {
		p.Message()
	}
	log, err := kept.Log(t.Context(), "home", 0)
	if err != nil || len(log) != 2 {
		t.Errorf("%v: %d entries of the log", err, len(log))
	}
	if c := srv.Counts(); c.Late != 0 || c.Invalid != 0 {
		t.Errorf("%+v", c)
	}
}
