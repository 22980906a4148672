package discord_test

import (
	"fmt"
	"strings"
	"testing"

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
