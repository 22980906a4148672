package discord_test

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"time"

	"tamis/bot"
	"tamis/bot/discord"
	"tamis/bot/discord/discordtest"
)

// TestRecipeCommand: the recipe that was picked is shown at the size that was given,
// whatever its name holds and whatever was talked of before.
func TestRecipeCommand(t *testing.T) {
	t.Parallel()
	srv, g, pastry, ada := kitchen(t, discordtest.Options{GlobalRate: -1})
	files := house(g.Role("chef", 0).ID)
	names := []string{"crumble no. 2", "50/50 syrup", "1:1 syrup", "pear & walnut (summer)", "sorrel ice, v2", "pear 3 ways", "ganache 70 %", "custard 82 °C", "2 kg sorrel base",
		"pear **tart**", "wafer [old]", "half and half cream", "method of the house", "help", "double walnut", "10 min sorrel granita", "pear for 12", "walnut x2", "allergens", "sorrel/pear", "what's ready", "how much butter"}
	for i, n := range names {
		files[fmt.Sprintf("recipes/n%02d.yaml", i)] = fmt.Sprintf("recipe: %s\ningredients:\n  - flour: %d g\n  - sugar: 50 g\nmethod:\n  - bake: until golden\n    for: 18 min\n", yamlText(n), 1000+7*i)
	}
	a, _ := bookAsker(t, files)
	start(t, options(t, srv, a))
	srv.WaitReady(1)
	srv.WaitCommands()
	for i, n := range names {
		talk := []string{"buckwheat crumble method", "how much butter in 3x buckwheat crumble", "how much walnut"}
		for _, before := range []string{"", talk[i%len(talk)]} {
			if before != "" {
				pastry.Reply(pastry.Ask(ada, before))
			}
			m := pastry.Slash(ada, "recipe", discordtest.Opt{Name: "name", Value: n}).Message()
			if text := strings.ReplaceAll(m.Text(), "\u2009", ""); !strings.Contains(text, fmt.Sprintf("%d g", 1000+7*i)) {
				t.Errorf("%q after %q is shown as: %.150s", n, before, m.Text())
			}
		}
		m := pastry.Slash(ada, "recipe", discordtest.Opt{Name: "name", Value: n}, discordtest.Opt{Name: "size", Value: "2"}).Message()
		if !strings.Contains(m.Text(), fmt.Sprintf("%d g", 2*(1000+7*i))) {
			t.Errorf("%q at 2 is shown as: %.150s", n, m.Text())
		}
	}
}

// TestOneMoreEntry: a command that comes later is one more entry of the table: it is
// registered, asked in its channel's order, acknowledged when it is slow, answered in a
// direct talk, and refused to strangers, as the others are.
func TestOneMoreEntry(t *testing.T) {
	t.Parallel()
	srv, _, pastry, ada := kitchen(t, wide)
	a := asker{demoAsker(t), func(_ context.Context, m bot.Message) (bot.Reply, error) {
		if strings.Contains(m.Text, "slow") {
			time.Sleep(200 * time.Millisecond)
		}
		return words("heard: " + m.Text), nil
	}}
	o := options(t, srv, a)
	o.Patience = 100 * time.Millisecond
	r, err := discord.New(o)
	if err != nil {
		t.Fatal(err)
	}
	r.AddEntry("plan", "The plan of a day", "day", "plan of")
	run(t, r)
	srv.WaitReady(1)
	has(t, pastry.Slash(ada, "plan", discordtest.Opt{Name: "day", Value: "monday"}).Message().Text(), "heard: plan of monday")
	it := pastry.Slash(ada, "plan", discordtest.Opt{Name: "day", Value: "slow tuesday"})
	if k := it.Answer().Kind; k != 5 {
		t.Errorf("a slow one is first answered with %d", k)
	}
	has(t, it.Message().Text(), "heard: plan of slow tuesday")
	has(t, srv.DM(ada).Slash(ada, "plan").Message().Text(), "heard: plan of")
	stranger := srv.User("Nobody")
	if m := srv.DM(stranger).Slash(stranger, "plan").Message(); strings.Contains(m.Text(), "heard") {
		t.Errorf("a stranger is answered: %s", m.Text())
	}
}
