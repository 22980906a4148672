package discordtest

import (
	"net/http"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/bwmarrin/discordgo"
)

const postMessage = "POST /channels/{channel_id}/messages"

func TestRateLimitByBucket(t *testing.T) {
	t.Parallel()
	s := Start(t, Options{Rate: Limit{2, 300 * time.Millisecond}})
	g := s.Guild("Lodehavn")
	a, b := g.Channel("a"), g.Channel("b")
	body := `{"content":"x",` + am + `}`
	status, _, h := call(t, s, "POST", "/channels/"+a.ID+"/messages", body)
	if status != 200 || h.Get("X-RateLimit-Limit") != "2" || h.Get("X-RateLimit-Remaining") != "1" || h.Get("X-RateLimit-Bucket") == "" || h.Get("X-RateLimit-Reset-After") == "" || h.Get("X-RateLimit-Reset") == "" {
		t.Errorf("%d %v", status, h)
	}
	call(t, s, "POST", "/channels/"+a.ID+"/messages", body)
	status, reply, h := call(t, s, "POST", "/channels/"+a.ID+"/messages", body)
	after, ok := reply["retry_after"].(float64)
	if status != 429 || !ok || after <= 0 || after > 0.3 || h.Get("Retry-After") != "1" || h.Get("X-RateLimit-Scope") != "user" || reply["global"] != false {
		t.Errorf("%d %v %v", status, reply, h)
	}
	if status, _, _ := call(t, s, "POST", "/channels/"+b.ID+"/messages", body); status != 200 {
		t.Errorf("another channel: %d", status)
	}
	time.Sleep(time.Duration(after*float64(time.Second)) + 30*time.Millisecond)
	if status, _, _ := call(t, s, "POST", "/channels/"+a.ID+"/messages", body); status != 200 {
		t.Errorf("after the wait: %d", status)
	}
	if n := s.Counts(); n.RateLimited != 1 || n.Invalid != 1 || n.BotMessages != 4 {
		t.Errorf("counts %+v", n)
	}
}

func TestRateLimitGlobal(t *testing.T) {
	t.Parallel()
	s := Start(t, Options{GlobalRate: 3})
	g := s.Guild("Lodehavn")
	c := g.Channel("a")
	for range 3 {
		call(t, s, "GET", "/users/@me", "")
	}
	status, reply, h := call(t, s, "GET", "/users/@me", "")
	if status != 429 || reply["global"] != true || h.Get("X-RateLimit-Global") != "true" || h.Get("X-RateLimit-Scope") != "global" || h.Get("Retry-After") != "1" || h.Get("X-RateLimit-Reset-After") != "" {
		t.Errorf("%d %v %v", status, reply, h)
	}
	// every route is held up, and who goes on sending breaks a rule
	time.Sleep(250 * time.Millisecond)
	if status, _, _ := call(t, s, "POST", "/channels/"+c.ID+"/messages", `{"content":"x",`+am+`}`); status != 429 {
		t.Errorf("another route: %d", status)
	}
	if v := s.TakeViolations(); len(v) != 1 || !strings.Contains(v[0], "Retry-After") {
		t.Errorf("violations %v", v)
	}
	s.Advance(2 * time.Second)
	if status, _, _ := call(t, s, "GET", "/users/@me", ""); status != 200 {
		t.Errorf("a second later: %d", status)
	}
}

func TestInjectedFaults(t *testing.T) {
	t.Parallel()
	s := Start(t)
	c := s.Guild("Lodehavn").Channel("a")
	body := `{"content":"x",` + am + `}`
	post := func() (int, map[string]any, http.Header) {
		return call(t, s, "POST", "/channels/"+c.ID+"/messages", body)
	}
	f := s.Inject(Fault{Route: postMessage, Times: 2, Skip: 1, Status: 503})
	for i, want := range []int{200, 503, 503, 200} {
		if got, _, _ := post(); got != want {
			t.Errorf("request %d: %d, want %d", i, got, want)
		}
	}
	if f.Hits() != 2 {
		t.Errorf("%d hits", f.Hits())
	}
	f.Clear()
	for _, scope := range []string{"user", "shared", "global"} {
		s.Inject(Fault{Route: postMessage, Times: 1, Status: 429, RetryAfter: 20 * time.Millisecond, Scope: scope})
		got, reply, h := post()
		if got != 429 || h.Get("X-RateLimit-Scope") != scope || reply["global"] != (scope == "global") || h.Get("Retry-After") != "1" || (h.Get("X-RateLimit-Reset-After") == "") != (scope == "global") {
			t.Errorf("%s: %d %v %v", scope, got, reply, h)
		}
		time.Sleep(40 * time.Millisecond)
	}
	if n := s.Counts().Invalid; n != 2 {
		t.Errorf("%d invalid requests; a shared 429 is none", n)
	}
	s.Inject(Fault{Route: postMessage, Times: 1, Status: 429, HTML: true})
	if got, reply, h := post(); got != 429 || reply != nil || h.Get("Content-Type") != "text/html" {
		t.Errorf("at the edge: %d %v %v", got, reply, h)
	}
	s.Inject(Fault{Route: postMessage, Channel: "1", Status: 500})
	if got, _, _ := post(); got != 200 {
		t.Errorf("another channel's fault: %d", got)
	}
	s.Inject(Fault{Route: postMessage, Times: 1, Delay: 80 * time.Millisecond})
	began := time.Now()
	if got, _, _ := post(); got != 200 || time.Since(began) < 80*time.Millisecond {
		t.Errorf("slow: %d after %v", got, time.Since(began))
	}
	before := len(c.Messages())
	s.Inject(Fault{Route: postMessage, Times: 1, Reset: true})
	if got, _, _ := post(); got != 0 || len(c.Messages()) != before {
		t.Errorf("cut before: %d", got)
	}
	s.Inject(Fault{Route: postMessage, Times: 1, Reset: true, After: true})
	if got, _, _ := post(); got != 0 || len(c.Messages()) != before+1 {
		t.Errorf("cut after: %d, %d messages", got, len(c.Messages()))
	}
	if r := s.Requests(postMessage); len(r) < 10 || r[len(r)-1].Status != 0 || str(r[0].Body["content"]) != "x" {
		t.Errorf("the record has %d requests", len(r))
	}
}

func TestNonce(t *testing.T) {
	t.Parallel()
	s := Start(t)
	c := s.Guild("Lodehavn").Channel("a")
	body := `{"content":"x","nonce":"n1","enforce_nonce":true,` + am + `}`
	s.Inject(Fault{Route: postMessage, Times: 1, Reset: true, After: true})
	call(t, s, "POST", "/channels/"+c.ID+"/messages", body)
	status, again, _ := call(t, s, "POST", "/channels/"+c.ID+"/messages", body)
	if m := c.Messages(); status != 200 || len(m) != 1 || again["id"] != m[0].ID || s.Counts().Deduplicated != 1 {
		t.Errorf("%d messages, %d", len(m), status)
	}
	s.Advance(10 * time.Minute) // the platform remembers for some minutes only
	call(t, s, "POST", "/channels/"+c.ID+"/messages", body)
	call(t, s, "POST", "/channels/"+c.ID+"/messages", strings.Replace(body, `"enforce_nonce":true`, `"enforce_nonce":false`, 1))
	if len(c.Messages()) != 3 {
		t.Errorf("%d messages", len(c.Messages()))
	}
}

func TestAuthorization(t *testing.T) {
	t.Parallel()
	s := Start(t)
	s.Guild("Lodehavn")
	if status, _, _ := callAs(t, s, "Bot nonsense", "GET", "/users/@me", "", ""); status != 401 {
		t.Errorf("a wrong token: %d", status)
	}
	s.Revoke()
	for range 22 {
		if status, _, _ := call(t, s, "GET", "/users/@me", ""); status != 401 {
			t.Errorf("a revoked token: %d", status)
		}
	}
	if v := s.TakeViolations(); len(v) != 2 || s.Counts().Invalid != 23 {
		t.Errorf("violations %v, counts %+v", v, s.Counts())
	}
	req, _ := http.NewRequest("GET", s.API()+"/gateway", nil)
	req.Header.Set("User-Agent", "curl/8")
	resp, err := http.DefaultClient.Do(req)
	if err != nil {
		t.Fatal(err)
	}
	_ = resp.Body.Close()
	if v := s.TakeViolations(); len(v) != 1 || !strings.Contains(v[0], "User-Agent") {
		t.Errorf("violations %v", v)
	}
}

// TestInteractionTimes: 3 s for the first answer, 15 min for the token.
func TestInteractionTimes(t *testing.T) {
	t.Parallel()
	s := Start(t)
	g := s.Guild("Lodehavn")
	c := g.Channel("a")
	ada := g.Member("Ada")
	call(t, s, "PUT", "/applications/"+s.Bot().ID+"/commands", `[{"name":"ask","description":"d"}]`)
	late := c.Slash(ada, "ask")
	s.Advance(3100 * time.Millisecond)
	answer := `{"type":4,"data":{"content":"x",` + am + `}}`
	if status, reply, _ := call(t, s, "POST", "/interactions/"+late.ID+"/"+late.Token+"/callback", answer); status != 404 || reply["code"] != 10062.0 || s.Counts().Late != 1 {
		t.Errorf("late: %d %v", status, reply)
	}
	it := c.Slash(ada, "ask")
	hook := "/webhooks/" + s.Bot().ID + "/" + it.Token
	if status, reply, _ := call(t, s, "PATCH", hook+"/messages/@original", `{"content":"y",`+am+`}`); status != 404 {
		t.Errorf("before an answer: %d %v", status, reply)
	}
	status, reply, _ := call(t, s, "POST", "/interactions/"+it.ID+"/"+it.Token+"/callback?with_response=true", answer)
	res := obj(obj(reply["resource"])["message"])
	if status != 200 || res["content"] != "x" || it.Message().ID != str(res["id"]) {
		t.Errorf("with_response: %d %v", status, reply)
	}
	if status, reply, _ := call(t, s, "POST", "/interactions/"+it.ID+"/"+it.Token+"/callback", answer); status != 400 || reply["code"] != 40060.0 || len(s.TakeViolations()) != 1 {
		t.Errorf("a second time: %d %v", status, reply)
	}
	if status, _, _ := call(t, s, "PATCH", hook+"/messages/@original", `{"content":"y",`+am+`}`); status != 200 || it.Message().Content != "y" {
		t.Errorf("edit: %d", status)
	}
	status, reply, _ = call(t, s, "POST", hook, `{"content":"z",`+am+`}`)
	if status != 200 || it.Followup(0).Content != "z" {
		t.Errorf("later message: %d", status)
	}
	if status, _, _ := call(t, s, "DELETE", hook+"/messages/"+str(reply["id"]), ""); status != 204 {
		t.Errorf("delete: %d", status)
	}
	s.Advance(15 * time.Minute)
	if status, reply, _ := call(t, s, "PATCH", hook+"/messages/@original", `{"content":"y",`+am+`}`); status != 401 || reply["code"] != 50027.0 {
		t.Errorf("after 15 min: %d %v", status, reply)
	}
}

func TestMentions(t *testing.T) {
	t.Parallel()
	s := Start(t, Options{MentionsOpen: true})
	g := s.Guild("Lodehavn")
	c := g.Channel("a")
	ada, bo := g.Member("Ada"), g.Member("Bo")
	q := c.Say(ada, "x")
	text := `"content":"@everyone ` + ada.Mention() + ` ` + bo.Mention() + `"`
	for allowed, want := range map[string][]string{
		`"allowed_mentions":{"parse":[]}`:                           {},
		`"allowed_mentions":{"parse":[],"users":["` + bo.ID + `"]}`: {bo.ID},
		`"allowed_mentions":{"parse":["users"]}`:                    {ada.ID, bo.ID},
		`"tts":false`:                                               {ada.ID, bo.ID},
	} {
		_, reply, _ := call(t, s, "POST", "/channels/"+c.ID+"/messages", `{`+text+`,`+allowed+`}`)
		if got := c.Wait(func(m Message) bool { return m.ID == reply["id"] }).Pings; strings.Join(got, " ") != strings.Join(want, " ") {
			t.Errorf("%s pings %v, want %v", allowed, got, want)
		}
	}
	for allowed, want := range map[string]int{`{"parse":[],"replied_user":true}`: 1, `{"parse":[]}`: 0} {
		_, reply, _ := call(t, s, "POST", "/channels/"+c.ID+"/messages", `{"content":"y","message_reference":{"message_id":"`+q.ID+`"},"allowed_mentions":`+allowed+`}`)
		if m := c.Wait(func(m Message) bool { return m.ID == reply["id"] }); len(m.Pings) != want || m.ReplyTo != q.ID {
			t.Errorf("%s pings %v", allowed, m.Pings)
		}
	}
	c.Allow(s.Bot(), MentionEveryone)
	_, reply, _ := call(t, s, "POST", "/channels/"+c.ID+"/messages", `{"content":"@everyone"}`)
	if m := c.Wait(func(m Message) bool { return m.ID == reply["id"] }); strings.Join(m.Pings, "") != "everyone" {
		t.Errorf("everyone: %v", m.Pings)
	}
}

// TestLibraryAndGlobal429 shows what the notes on the client library say: it
// does not hold other buckets up at a global 429. The stand-in catches it.
func TestLibraryAndGlobal429(t *testing.T) {
	t.Parallel()
	s := Start(t)
	g := s.Guild("Lodehavn")
	a, b := g.Channel("a"), g.Channel("b")
	d := peer(t, s)
	s.Inject(Fault{Route: postMessage, Times: 1, Status: 429, RetryAfter: time.Second, Scope: "global"})
	msg := &discordgo.MessageSend{Content: "x", AllowedMentions: quiet()}
	if _, err := d.ChannelMessageSendComplex(a.ID, msg, discordgo.WithRetryOnRatelimit(false)); err == nil {
		t.Error("no error at a 429")
	}
	time.Sleep(300 * time.Millisecond)
	_, _ = d.ChannelMessageSendComplex(b.ID, msg, discordgo.WithRetryOnRatelimit(false))
	if v := s.TakeViolations(); len(v) != 1 || !strings.Contains(v[0], "Retry-After") {
		t.Errorf("violations %v", v)
	}
}

func TestPermissionOrder(t *testing.T) {
	t.Parallel()
	s := Start(t)
	g := s.Guild("Lodehavn")
	c := g.Channel("a")
	chef, commis := g.Role("chef", ManageMessages), g.Role("commis", 0)
	u := g.Member("Ada", chef, commis)
	has := func(p uint64) bool {
		s.mu.Lock()
		defer s.mu.Unlock()
		return s.perms(u, c)&p != 0
	}
	if !has(ManageMessages) || has(ManageGuild) {
		t.Error("roles are not added up")
	}
	c.DenyRole(commis, ManageMessages)
	if has(ManageMessages) {
		t.Error("the channel does not deny")
	}
	c.Allow(u, ManageMessages)
	if !has(ManageMessages) {
		t.Error("the member's own does not win")
	}
	c.Deny(u, ViewChannel)
	g.Join(u, g.Role("admin", Administrator))
	if !has(ViewChannel) {
		t.Error("an administrator is kept out")
	}
	if strconv.FormatUint(ViewChannel|SendMessages|EmbedLinks|AttachFiles|ReadMessageHistory|SendMessagesInThreads|CreatePublicThreads, 10) != "309237763072" {
		t.Error("the bits have moved")
	}
}

// The client library sends "autocomplete": false with every option; the platform
// gives it back only where an option may have it.
func TestCommandsGivenBack(t *testing.T) {
	t.Parallel()
	s := Start(t)
	call(t, s, "PUT", "/applications/"+s.Bot().ID+"/commands", `[{"name":"push","description":"d","options":[{"type":11,"name":"file","description":"f","required":true,"autocomplete":false}]}]`)
	if got := s.Commands("", 1); len(got) != 1 || got[0] != "push" {
		t.Errorf("registered %v", got)
	}
	if v := s.TakeViolations(); len(v) != 0 {
		t.Errorf("%v", v)
	}
}
