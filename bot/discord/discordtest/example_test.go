package discordtest_test

import (
	"testing"
	"time"

	"tamis/bot/discord/discordtest"
)

// What people do, and what appears. start is the bot under test.
func Example() {
	start := func(api, token string) {}
	_ = func(t *testing.T) {
		srv := discordtest.Start(t)
		house := srv.Guild("Lodehavn")
		pastry := house.Channel("pastry")
		ada := house.Member("Ada", house.Role("commis", 0))
		start(srv.API(), srv.Token())
		srv.WaitReady(1)

		question := pastry.Ask(ada, "how much walnut for 40")
		answer := pastry.Reply(question)
		if len(answer.Pings) != 0 {
			t.Error("the answer pings")
		}
		doubled := pastry.Press(ada, answer, answer.ButtonID("×2")).Message()
		pastry.Edit(question, srv.Mention()+" how much walnut for 30")
		pastry.WaitEdit(answer)

		// the answer to a send is lost: the bot has to send it again, and it may not appear twice
		srv.Inject(discordtest.Fault{Route: "POST /channels/{channel_id}/messages", Times: 1, Reset: true, After: true})
		question = pastry.Ask(ada, "and pear")
		pastry.Reply(question)
		srv.DropAll(discordtest.DropMidFrame)
		question = pastry.Ask(ada, "asked while the bot was away")
		pastry.Reply(question)
		pastry.Quiet(200 * time.Millisecond)
		_ = doubled
	}
	// Output:
}

// A run of faults: each question is answered once.
func ExampleChaos() {
	var start discordtest.StartBot
	_ = func(t *testing.T) {
		r := discordtest.Chaos(t, discordtest.ChaosOptions{
			LoadOptions: discordtest.LoadOptions{Questions: func(int) string { return "how much walnut" }, Prepare: func(h discordtest.House) {
				// write what the bot is to know of h.Guild.ID into h.Dir
			}},
			Faults: 200,
		}, start)
		if r.Lost != 0 || r.Doubled != 0 {
			t.Error(r)
		}
	}
	// Output:
}
