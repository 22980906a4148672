package discord_test

import (
	"context"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"tamis/bot"
	"tamis/bot/discord/discordtest"
)

// TestKilledCommand: the power goes while a command is under way. After the start its
// asker sees the answer, once, or is told to ask again: the waiting does not stay.
func TestKilledCommand(t *testing.T) {
	t.Parallel()
	const edit = "PATCH /webhooks/{webhook_id}/{webhook_token}/messages/@original"
	for _, when := range []string{"before there is an answer", "while it is sent", "after it came", "long ago", "while the next one waits", "stopped"} {
		t.Run(when, func(t *testing.T) {
			t.Parallel()
			srv, _, pastry, ada := kitchen(t, wide)
			gate := make(chan struct{})
			var asked atomic.Int32
			a := asker{demoAsker(t), func(ctx context.Context, m bot.Message) (bot.Reply, error) {
				if strings.Contains(m.Text, "slow") {
					asked.Add(1)
					select {
					case <-gate:
					case <-ctx.Done():
						return bot.Reply{}, ctx.Err()
					}
				}
				return words("heard: " + m.Text), nil
			}}
			o := options(t, srv, a)
			o.Patience, o.Stop = 20*time.Millisecond, 50*time.Millisecond
			r := start(t, o)
			srv.WaitReady(1)
			srv.WaitCommands()
			var f *discordtest.Fault
			switch when {
			case "while it is sent":
				f = srv.Inject(discordtest.Fault{Route: edit, Reset: true})
			case "after it came":
				f = srv.Inject(discordtest.Fault{Route: edit, Reset: true, After: true})
			}
			it := pastry.Slash(ada, "ask", discordtest.Opt{Name: "question", Value: "slow"})
			if k := it.Answer().Kind; k != 5 {
				t.Fatalf("answered with %d", k)
			}
			var next *discordtest.Interaction
			if when == "while the next one waits" {
				next = pastry.Slash(ada, "ask", discordtest.Opt{Name: "question", Value: "quick"})
				if k := next.Answer().Kind; k != 5 {
					t.Fatalf("answered with %d", k)
				}
			}
			if f != nil {
				close(gate)
				srv.Until("a try", func() bool { return f.Hits() > 0 })
			}
			if when == "stopped" {
				if err := r.end(); err != nil {
					t.Error(err)
				}
			} else {
				r.Abort()
				<-r.done
			}
			if f != nil {
				f.Clear()
			}
			if when == "long ago" {
				srv.Advance(16 * time.Minute)
				o.Now = func() time.Time { return time.Now().Add(16 * time.Minute) }
			}
			before := len(srv.Requests(edit))
			o.Patience = time.Second
			start(t, o)
			srv.Until("the new session", func() bool { return srv.Counts().Identifies == 2 && srv.Ready() == 1 })
			switch when {
			case "long ago":
				once(t, pastry, pastry.Ask(ada, "and now"))
				if n := len(srv.Requests(edit)) - before; n != 0 {
					t.Errorf("%d requests with a token that has ended", n)
				}
				return
			case "while it is sent", "after it came":
				has(t, it.Message().Text(), "heard: slow")
			default:
				has(t, it.Message().Text(), "restarted", "Ask again")
			}
			if next != nil {
				has(t, next.Message().Text(), "restarted")
			}
			time.Sleep(100 * time.Millisecond)
			if n := asked.Load(); n != 1 {
				t.Errorf("asked %d times", n)
			}
			said := 0
			for _, m := range pastry.Messages() {
				if m.AuthorID == srv.Bot().ID {
					said++
				}
			}
			if next != nil {
				said--
			}
			if said != 1 {
				t.Errorf("%d messages for one command", said)
			}
			if c := srv.Counts(); c.Late != 0 {
				t.Errorf("%+v", c)
			}
		})
	}
}
