package discord_test

import (
	"fmt"
	"os"
	"strconv"
	"testing"
	"time"

	"tamis/bot/discord"
	"tamis/bot/discord/discordtest"
)

// mixed asks what kitchens ask.
func mixed(i int) string {
	return []string{"how much egg yolk for 3x brown butter parfait", "brown butter parfait", "how long does brown butter parfait freeze", "200 ml cream in g", "allergens of brown butter parfait"}[i%5]
}

// TestLoad: 100 addressed messages a second for 5 s, none lost, none doubled.
func TestLoad(t *testing.T) {
	t.Parallel()
	if testing.Short() {
		t.Skip("5 s of load")
	}
	r := discordtest.Load(t, discordtest.LoadOptions{Questions: mixed, Rate: 100, For: 5 * time.Second, Drain: 90 * time.Second}, serve(t, demoAsker(t), nil))
	t.Log(r)
	if r.Lost != 0 || r.Doubled != 0 || r.Asked != 500 {
		t.Error(r)
	}
}

// TestChaos: connections are cut in every way, sends fail, the bot is stopped and
// killed: each message is answered once. TAMIS_CHAOS=200 is the long run.
func TestChaos(t *testing.T) {
	t.Parallel()
	faults := 15
	if n, err := strconv.Atoi(os.Getenv("TAMIS_CHAOS")); err == nil {
		faults = n
	} else if testing.Short() {
		t.Skip("a few seconds of faults")
	}
	seed := uint64(time.Now().UnixNano())
	if n, err := strconv.ParseUint(os.Getenv("TAMIS_CHAOS_SEED"), 10, 64); err == nil {
		seed = n
	}
	r := discordtest.Chaos(t, discordtest.ChaosOptions{LoadOptions: discordtest.LoadOptions{Questions: func(i int) string { return fmt.Sprint("question ", i) }}, Faults: faults, Seed: seed},
		serve(t, saying(t), func(o *discord.Options) { o.Stop = time.Second }))
	t.Log("seed", seed, r)
	if r.Lost != 0 || r.Doubled != 0 {
		t.Error(r)
	}
}
