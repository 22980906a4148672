package discord_test

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"time"

	"tamis/bot"
	"tamis/bot/discord/discordtest"
)

// trouble is what the platform may answer to a send, with how many sends one question
// may cost then and whether its answer has to be there in the end.
type trouble struct {
	fault    discordtest.Fault
	most     int
	answered bool
}

var troubles = map[string]trouble{
	"50013 no permission":          {discordtest.Fault{Status: 403, Code: 50013, Times: 50}, 2, false},
	"50001 no access":              {discordtest.Fault{Status: 403, Code: 50001, Times: 50}, 2, false},
	"10003 unknown channel":        {discordtest.Fault{Status: 404, Code: 10003, Times: 50}, 2, false},
	"10008 unknown message":        {discordtest.Fault{Status: 404, Code: 10008, Times: 50}, 2, false},
	"40005 too large":              {discordtest.Fault{Status: 413, Code: 40005, Times: 50}, 3, false},
	"50035 invalid":                {discordtest.Fault{Status: 400, Code: 50035, Times: 50}, 3, false},
	"160002 cannot reply":          {discordtest.Fault{Status: 400, Code: 160002, Times: 50}, 3, false},
	"50083 archived":               {discordtest.Fault{Status: 400, Code: 50083, Times: 50}, 2, false},
	"200000 blocked by moderation": {discordtest.Fault{Status: 400, Code: 200000, Times: 50}, 2, false},
	"20028 write limit":            {discordtest.Fault{Status: 429, Code: 20028, RetryAfter: 50 * time.Millisecond, Scope: "shared", Times: 1}, 2, true},
	"405 as HTML":                  {discordtest.Fault{Status: 405, HTML: true, Times: 50}, 2, false},
	"429 bare":                     {discordtest.Fault{Status: 429, RetryAfter: 80 * time.Millisecond, Times: 1, Header: bare}, 2, true},
	"429 with nonsense":            {discordtest.Fault{Status: 429, RetryAfter: 80 * time.Millisecond, Times: 1, Header: nonsense, Raw: `{"message":"x","retry_after":0.05,"global":false}`}, 3, true},
	"429 below nothing":            {discordtest.Fault{Status: 429, Times: 1, Header: map[string]string{"Retry-After": "-5", "X-RateLimit-Reset-After": "-1", "X-RateLimit-Remaining": "-3"}, Raw: `{"message":"x","retry_after":-5,"global":false}`}, 3, true},
	"500 as HTML":                  {discordtest.Fault{Status: 500, HTML: true, Times: 2}, 3, true},
	"502 empty":                    {discordtest.Fault{Status: 502, Raw: " ", Times: 2}, 3, true},
	"503 truncated":                {discordtest.Fault{Status: 503, Raw: `{"code":1300`, Times: 2}, 3, true},
	"half of the answer":           {discordtest.Fault{Cut: true, Times: 1}, 3, true},
	"not the answer":               {discordtest.Fault{Status: 200, After: true, Raw: `[]`, Times: 1}, 3, true},
	"an answer without an id":      {discordtest.Fault{Status: 200, After: true, Raw: `{}`, Times: 1}, 3, true},
	"a slow loris":                 {discordtest.Fault{Drip: 30 * time.Millisecond, Times: 1}, 3, true},
	"no end of 500":                {discordtest.Fault{Status: 500, Times: 50}, 8, false},
	"no end of 429":                {discordtest.Fault{Status: 429, RetryAfter: 20 * time.Millisecond, Times: 50}, 12, false},
	"a redirect":                   {discordtest.Fault{Status: 302, Header: map[string]string{"Location": "http://127.0.0.1:1/"}, Times: 50}, 8, false},
}

var (
	bare     = map[string]string{"X-RateLimit-Limit": "", "X-RateLimit-Remaining": "", "X-RateLimit-Reset": "", "X-RateLimit-Reset-After": "", "X-RateLimit-Bucket": "", "X-RateLimit-Scope": "", "Retry-After": ""}
	nonsense = map[string]string{"X-RateLimit-Limit": "NaN", "X-RateLimit-Remaining": "many", "X-RateLimit-Reset": "1e400", "X-RateLimit-Reset-After": "NaN", "X-RateLimit-Bucket": "", "Retry-After": "tomorrow"}
)

// TestTroubles: whatever the platform answers to a send: one answer or none, few tries,
// and the next question is answered.
func TestTroubles(t *testing.T) {
	t.Parallel()
	for name, x := range troubles {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			srv, g, pastry, ada := kitchen(t, wide)
			larder := g.Channel("larder")
			o := options(t, srv, saying(t))
			o.Limits.Attempt, o.Limits.Deadline = 300*time.Millisecond, 3*time.Second
			start(t, o)
			srv.WaitReady(1)
			x.fault.Route, x.fault.Channel = sendRoute, pastry.ID
			f := srv.Inject(x.fault)
			q := pastry.Ask(ada, "one")
			srv.Until("a try", func() bool { return f.Hits() > 0 })
			once(t, larder, larder.Ask(ada, "elsewhere"))
			if x.answered {
				pastry.Reply(q)
			}
			srv.Until("it to be over", func() bool { return len(srv.Requests(sendRoute)) > f.Hits() || !x.answered })
			time.Sleep(200 * time.Millisecond)
			sends := 0
			for _, r := range srv.Requests(sendRoute) {
				if strings.Contains(r.Path, pastry.ID) {
					sends++
				}
			}
			if sends > x.most {
				t.Errorf("%d sends for one question", sends)
			}
			if n := pastry.Answers()[q.ID]; n > 1 || n == 0 && x.answered {
				t.Errorf("%d answers", n)
			}
			f.Clear()
			two := pastry.Ask(ada, "two")
			pastry.Wait(func(m discordtest.Message) bool { return m.ReplyTo == two.ID || strings.Contains(m.Content, "two") })
			srv.TakeViolations() // a 429 without its times can't be kept to
		})
	}
}

// TestCallbackTroubles: an interaction whose acknowledgement or answer fails costs few
// requests; the session lives, and the next one is answered.
func TestCallbackTroubles(t *testing.T) {
	t.Parallel()
	const callback, edit = "POST /interactions/{interaction_id}/{interaction_token}/callback", "PATCH /webhooks/{webhook_id}/{webhook_token}/messages/@original"
	for name, f := range map[string]discordtest.Fault{
		"10062 expired":          {Route: callback, Status: 404, Code: 10062, Times: 1},
		"40060 acknowledged":     {Route: callback, Status: 400, Code: 40060, Times: 1},
		"40060 after all":        {Route: callback, Status: 400, Code: 40060, After: true, Times: 1},
		"401 of the callback":    {Route: callback, Status: 401, Code: 50027, Times: 1},
		"403 of the callback":    {Route: callback, Status: 403, Code: 50001, Times: 1},
		"500 of the callback":    {Route: callback, Status: 500, HTML: true, Times: 1},
		"lost after it was done": {Route: callback, Reset: true, After: true, Times: 1},
		"429 of the callback":    {Route: callback, Status: 429, RetryAfter: 50 * time.Millisecond, Times: 1},
		"edit: token expired":    {Route: edit, Status: 401, Code: 50027, Times: 10},
		"edit: unknown webhook":  {Route: edit, Status: 404, Code: 10015, Times: 10},
		"edit: unknown message":  {Route: edit, Status: 404, Code: 10008, Times: 10},
		"edit: too large":        {Route: edit, Status: 413, Code: 40005, Times: 10},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			srv, g, pastry, ada := kitchen(t, wide)
			larder := g.Channel("larder")
			a := asker{demoAsker(t), func(ctx context.Context, m bot.Message) (bot.Reply, error) {
				if strings.Contains(m.Text, "slow") {
					time.Sleep(150 * time.Millisecond)
				}
				return words("heard: " + m.Text), nil
			}}
			o := options(t, srv, a)
			o.Patience = 50 * time.Millisecond
			r := start(t, o)
			srv.WaitReady(1)
			srv.WaitCommands()
			x := srv.Inject(f)
			it := pastry.Slash(ada, "ask", discordtest.Opt{Name: "question", Value: "slow"})
			srv.Until("a try", func() bool { return x.Hits() > 0 })
			time.Sleep(300 * time.Millisecond)
			n := 0
			for _, r := range srv.Requests("") {
				if strings.Contains(r.Path, it.Token) {
					n++
				}
			}
			if n > 5 {
				t.Errorf("%d requests for one interaction", n)
			}
			x.Clear()
			has(t, pastry.Slash(ada, "ask", discordtest.Opt{Name: "question", Value: "quick"}).Message().Text(), "heard: quick")
			once(t, larder, larder.Ask(ada, "and now"))
			said := 0
			for _, m := range pastry.Messages() {
				if strings.Contains(m.Content, "heard: slow") {
					said++
				}
			}
			if said > 1 || said == 0 && x.Hits() > 0 && !strings.HasPrefix(name, "40060 ack") {
				t.Errorf("the answer stands there %d times", said)
			}
			if ready, all := r.Ready(); ready != all {
				t.Errorf("%d of %d sessions", ready, all)
			}
			if v := srv.TakeViolations(); len(v) > 1 || len(v) == 1 && !strings.Contains(v[0], "a second first answer") {
				t.Error(v)
			}
		})
	}
}

// TestTokenOld: an answer that takes longer than the interaction's token lives is not
// lost silently where it can be said in the channel, and it does not stop the program:
// 401 there is not the bot's token.
func TestTokenOld(t *testing.T) {
	t.Parallel()
	srv, _, pastry, ada := kitchen(t, wide)
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
	o.Patience = 20 * time.Millisecond
	r := start(t, o)
	srv.WaitReady(1)
	srv.WaitCommands()
	it := pastry.Slash(ada, "ask", discordtest.Opt{Name: "question", Value: "slow"})
	if k := it.Answer().Kind; k != 5 {
		t.Fatalf("answered with %d", k)
	}
	srv.Advance(16 * time.Minute)
	close(gate)
	m := pastry.Wait(func(m discordtest.Message) bool { return strings.Contains(m.Content, "heard: slow") })
	if len(m.Pings) > 1 || len(m.Pings) == 1 && m.Pings[0] != ada.ID {
		t.Errorf("pings %v", m.Pings)
	}
	has(t, pastry.Reply(pastry.Ask(ada, "and now")).Text(), "and now")
	if ready, all := r.Ready(); ready != all {
		t.Errorf("%d of %d sessions", ready, all)
	}
}

// TestStartTroubles: what fails at the start is tried again in good time, or left out;
// a storm of requests it is never.
func TestStartTroubles(t *testing.T) {
	t.Parallel()
	for name, f := range map[string]discordtest.Fault{
		"no gateway for a while": {Route: "GET /gateway/bot", Status: 503, Times: 3},
		"gateway as HTML":        {Route: "GET /gateway/bot", Status: 500, HTML: true, Times: 2},
		"gateway half":           {Route: "GET /gateway/bot", Cut: true, Times: 2},
		"gateway of nonsense":    {Route: "GET /gateway/bot", Status: 200, Raw: `{"url":"ws://127.0.0.1:1/","shards":-4,"session_start_limit":{"remaining":-1,"max_concurrency":0}}`, Times: 1},
		"gateway elsewhere":      {Route: "GET /gateway/bot", Status: 200, Raw: `{"url":"","shards":0}`, Times: 1},
		"commands refused":       {Route: "PUT /applications/{application_id}/commands", Status: 400, Code: 50035, Times: 50},
		"commands for a while":   {Route: "PUT /applications/{application_id}/commands", Status: 500, Times: 50},
		"commands half":          {Route: "PUT /applications/{application_id}/commands", Cut: true, Times: 50},
		"application as HTML":    {Route: "GET /applications/@me", Status: 502, HTML: true, Times: 3},
		"slow everything":        {Delay: 30 * time.Millisecond},
		"history refused":        {Route: "GET /channels/{channel_id}/messages", Status: 403, Code: 50001},
		"history half":           {Route: "GET /channels/{channel_id}/messages", Cut: true},
		"history of nonsense":    {Route: "GET /channels/{channel_id}/messages", Status: 200, Raw: `[null,1,{"id":"x"},{"id":"99999999999999999999999","author":null}]`},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			srv, _, pastry, ada := kitchen(t, wide)
			pastry.Say(ada, "hello")
			o := options(t, srv, saying(t))
			o.Limits.Tries, o.LookAgain = 2, 300*time.Millisecond
			srv.Inject(f)
			start(t, o)
			srv.WaitReady(1)
			once(t, pastry, pastry.Ask(ada, "now"))
			time.Sleep(200 * time.Millisecond)
			if n := srv.Counts().Requests + len(srv.Requests("")); n > 150 {
				t.Errorf("%d requests", n)
			}
		})
	}
}

// TestForever: a limit that lasts for ever, told for one channel, holds only that one.
func TestForever(t *testing.T) {
	t.Parallel()
	srv, g, pastry, ada := kitchen(t, wide)
	larder := g.Channel("larder")
	o := options(t, srv, saying(t))
	o.Limits.Deadline = time.Second
	r := start(t, o)
	srv.WaitReady(1)
	srv.Inject(discordtest.Fault{Route: sendRoute, Channel: pastry.ID, Status: 429, RetryAfter: 1e6 * time.Hour, Times: 1})
	for i := range 3 {
		pastry.Ask(ada, fmt.Sprint("held ", i))
	}
	for range 3 {
		once(t, larder, larder.Ask(ada, "elsewhere"))
	}
	time.Sleep(100 * time.Millisecond)
	if n := len(pastry.Answers()); n != 0 {
		t.Errorf("%d answers while the limit lasts", n)
	}
	if err := r.end(); err != nil {
		t.Errorf("it ends with: %v", err)
	}
}
