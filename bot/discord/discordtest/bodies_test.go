package discordtest

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"mime/multipart"
	"net/textproto"
	"strings"
	"testing"
)

// TestSpecIsAsPublished holds the file against its published checksum.
func TestSpecIsAsPublished(t *testing.T) {
	if got := fmt.Sprintf("%x", sha256.Sum256(openapi)); got != "8c1d0707ccdf8e380a86dfba04058820a66435c1b69d5ed82e04dd8c0520dd73" {
		t.Errorf("openapi.json has the checksum %s", got)
	}
}

func rep(s string, n int) string { return strings.Repeat(s, n) }

// many joins n copies of a pattern in which # is the number.
func many(n int, pattern string) string {
	var out []string
	for i := range n {
		out = append(out, strings.ReplaceAll(pattern, "#", fmt.Sprint(i)))
	}
	return strings.Join(out, ",")
}

const am = `"allowed_mentions":{"parse":[]}`

var (
	button = `{"type":2,"style":1,"label":"b","custom_id":"b#"}`
	row    = func(inner string) string { return `{"type":1,"components":[` + inner + `]}` }
	option = `{"label":"o","value":"v#"}`
	embed  = func(inner string) string { return `{` + am + `,"embeds":[` + inner + `]}` }
	comps  = func(inner string) string { return `{"content":"x",` + am + `,"components":[` + inner + `]}` }
)

// goodBodies of messages must pass; the keys that a client library always
// sends are among them.
var goodBodies = map[string]string{
	"text":           `{"content":"x",` + am + `}`,
	"2000":           `{"content":"` + rep("ß", 2000) + `",` + am + `}`,
	"nulls":          `{"content":"x","tts":false,"embeds":null,"components":null,"message_reference":null,"flags":0,` + am + `}`,
	"parse null":     `{"content":"x","allowed_mentions":{"parse":null}}`,
	"users listed":   `{"content":"x","allowed_mentions":{"parse":["roles"],"users":["1"]}}`,
	"nonce":          `{"content":"x","nonce":"abc","enforce_nonce":true,` + am + `}`,
	"5 rows":         comps(row(strings.ReplaceAll(many(5, button), `"custom_id":"b`, `"custom_id":"a`)) + "," + row(many(5, button)) + "," + row(many(1, `{"type":2,"style":5,"label":"l","url":"https://example.org"}`)) + "," + row(`{"type":3,"custom_id":"s","options":[`+many(25, option)+`]}`) + "," + row(`{"type":5,"custom_id":"u"}`)),
	"embeds":         embed(`{"title":"` + rep("t", 256) + `","description":"` + rep("d", 4096) + `","fields":[` + many(10, `{"name":"n","value":"v"}`) + `]}`),
	"empty embeds":   `{"content":"x","embeds":[],"components":[],` + am + `}`,
	"v2":             `{"flags":32768,` + am + `,"components":[{"type":17,"components":[{"type":10,"content":"t"},{"type":14},` + row(many(5, button)) + `]},{"type":9,"components":[{"type":10,"content":"t"}],"accessory":{"type":2,"style":2,"label":"x","custom_id":"acc"}}]}`,
	"silent":         `{"content":"x","flags":4096,` + am + `}`,
	"float snippets": `{"content":"<t:1700000000:R> 1.5 g","nonce":12345,` + am + `}`,
}

var badBodies = map[string]string{
	"2001 characters":       `{"content":"` + rep("x", 2001) + `",` + am + `}`,
	"misspelt key":          `{"contnet":"x",` + am + `}`,
	"unknown in embed":      embed(`{"titel":"x"}`),
	"26 fields":             embed(`{"fields":[` + many(26, `{"name":"n","value":"v"}`) + `]}`),
	"description 4097":      embed(`{"description":"` + rep("d", 4097) + `"}`),
	"field value 1025":      embed(`{"fields":[{"name":"n","value":"` + rep("v", 1025) + `"}]}`),
	"embeds 6001":           embed(`{"description":"` + rep("d", 4096) + `"},{"description":"` + rep("d", 1905) + `"}`),
	"11 embeds":             embed(many(11, `{"title":"t"}`)),
	"6 rows":                comps(strings.Join([]string{row(`{"type":2,"style":1,"label":"b","custom_id":"c0"}`), row(`{"type":2,"style":1,"label":"b","custom_id":"c1"}`), row(`{"type":2,"style":1,"label":"b","custom_id":"c2"}`), row(`{"type":2,"style":1,"label":"b","custom_id":"c3"}`), row(`{"type":2,"style":1,"label":"b","custom_id":"c4"}`), row(`{"type":2,"style":1,"label":"b","custom_id":"c5"}`)}, ",")),
	"6 buttons":             comps(row(many(6, button))),
	"button beside select":  comps(row(many(1, button) + `,{"type":3,"custom_id":"s","options":[` + many(1, option) + `]}`)),
	"empty row":             comps(row("")),
	"26 options":            comps(row(`{"type":3,"custom_id":"s","options":[` + many(26, option) + `]}`)),
	"custom_id 101":         comps(row(`{"type":2,"style":1,"label":"b","custom_id":"` + rep("c", 101) + `"}`)),
	"custom_id twice":       comps(row(many(1, button) + "," + many(1, button))),
	"label 81":              comps(row(`{"type":2,"style":1,"custom_id":"x","label":"` + rep("l", 81) + `"}`)),
	"bare button":           comps(many(1, button)),
	"snowflake as a number": `{"content":"x",` + am + `,"message_reference":{"message_id":123}}`,
	"parse and users":       `{"content":"x","allowed_mentions":{"parse":["users"],"users":["1"]}}`,
	"101 users":             `{"content":"x","allowed_mentions":{"users":[` + many(101, `"1#"`) + `]}}`,
	"unknown parse":         `{"content":"x","allowed_mentions":{"parse":["all"]}}`,
	"no allowed_mentions":   `{"content":"x"}`,
	"ephemeral":             `{"content":"x","flags":64,` + am + `}`,
	"loading":               `{"content":"x","flags":128,` + am + `}`,
	"v2 with content":       `{"content":"x","flags":32768,` + am + `,"components":[{"type":10,"content":"t"}]}`,
	"41 in v2":              `{"flags":32768,` + am + `,"components":[` + many(41, `{"type":10,"content":"t"}`) + `]}`,
	"text without v2":       comps(`{"type":10,"content":"t"}`),
	"nonce 26":              `{"content":"x","nonce":"` + rep("n", 26) + `",` + am + `}`,
	"enforce without nonce": `{"content":"x","enforce_nonce":true,` + am + `}`,
	"empty":                 `{"content":"",` + am + `}`,
	"no JSON":               `{"content":`,
	"two values":            `{"content":"x",` + am + `} {}`,
	"file that is not sent": `{"content":"x",` + am + `,"attachments":[{"id":"0"}]}`,
}

func TestMessageBodies(t *testing.T) {
	if len(goodBodies) < 12 || len(badBodies) < 30 {
		t.Fatal("bodies were lost")
	}
	s := Start(t, Options{Rate: Limit{10000, 1e9}, GlobalRate: -1})
	c := s.Guild("Lodehavn").Channel("pastry")
	for name, body := range goodBodies {
		status, reply, _ := call(t, s, "POST", "/channels/"+c.ID+"/messages", body)
		if v := s.TakeViolations(); status != 200 || len(v) != 0 {
			t.Errorf("%s: %d %v %v", name, status, reply, v)
		}
	}
	for name, body := range badBodies {
		status, reply, _ := call(t, s, "POST", "/channels/"+c.ID+"/messages", body)
		v := s.TakeViolations()
		if len(v) != 1 || status != 400 && name != "no allowed_mentions" {
			t.Errorf("%s: %d %v, violations %v", name, status, reply, v)
		}
	}
}

// TestOtherBodies: commands, answers to interactions, threads, edits.
func TestOtherBodies(t *testing.T) {
	s := Start(t, Options{Rate: Limit{10000, 1e9}, GlobalRate: -1})
	g := s.Guild("Lodehavn")
	c := g.Channel("pastry")
	ada := g.Member("Ada")
	if status, _, _ := call(t, s, "PUT", "/applications/"+s.Bot().ID+"/commands", `[{"name":"ask","description":"d","options":[{"type":3,"name":"q","description":"d","autocomplete":true}]}]`); status != 200 {
		t.Fatal(status)
	}
	q := c.Say(ada, "x")
	mine := func() Message {
		_, m, _ := call(t, s, "POST", "/channels/"+c.ID+"/messages", comps(row(many(1, button))))
		return Message{ID: str(m["id"])}
	}
	answer := func(begin func() *Interaction) func(string) (int, map[string]any) {
		return func(body string) (int, map[string]any) {
			it := begin()
			status, reply, _ := call(t, s, "POST", "/interactions/"+it.ID+"/"+it.Token+"/callback", body)
			return status, reply
		}
	}
	slash := answer(func() *Interaction { return c.Slash(ada, "ask") })
	typed := answer(func() *Interaction { return c.Autocomplete(ada, "ask", Opt{"q", "x", true}) })
	press := answer(func() *Interaction { return c.Press(ada, mine(), "b0") })
	route := func(method, path string) func(string) (int, map[string]any) {
		return func(body string) (int, map[string]any) {
			status, reply, _ := call(t, s, method, path, body)
			return status, reply
		}
	}
	cmds := route("PUT", "/applications/"+s.Bot().ID+"/commands")
	input := `{"type":1,"components":[{"type":4,"custom_id":"i#","label":"l","style":1}]}`
	for _, x := range []struct {
		name, body string
		send       func(string) (int, map[string]any)
		good       bool
	}{
		{"message", `{"type":4,"data":{"content":"x",` + am + `}}`, slash, true},
		{"ephemeral", `{"type":4,"data":{"content":"x","flags":64,` + am + `}}`, slash, true},
		{"deferred", `{"type":5}`, slash, true},
		{"deferred ephemeral", `{"type":5,"data":{"flags":64}}`, slash, true},
		{"modal", `{"type":9,"data":{"custom_id":"m","title":"t","components":[` + many(5, input) + `]}}`, slash, true},
		{"label in modal", `{"type":9,"data":{"custom_id":"m","title":"t","components":[{"type":18,"label":"l","component":{"type":4,"custom_id":"i","style":1}}]}}`, slash, true},
		{"choices", `{"type":8,"data":{"choices":[` + many(25, `{"name":"n#","value":"v#"}`) + `]}}`, typed, true},
		{"no choices", `{"type":8,"data":{"choices":[]}}`, typed, true},
		{"update", `{"type":7,"data":{"content":"x",` + am + `}}`, press, true},
		{"deferred update", `{"type":6}`, press, true},
		{"commands as the library sends them", `[{"name":"admin","type":1,"description":"d","default_member_permissions":"8"},{"name":"ask","type":1,"description":"d","options":[{"type":3,"name":"q","description":"d","choices":null,"channel_types":null,"autocomplete":true,"required":false}]},{"name":"Answer this","type":3}]`, cmds, true},

		{"26 choices", `{"type":8,"data":{"choices":[` + many(26, `{"name":"n#","value":"v#"}`) + `]}}`, typed, false},
		{"choice name 101", `{"type":8,"data":{"choices":[{"name":"` + rep("n", 101) + `","value":"v"}]}}`, typed, false},
		{"message to an autocomplete", `{"type":4,"data":{"content":"x",` + am + `}}`, typed, false},
		{"choices to a command", `{"type":8,"data":{"choices":[]}}`, slash, false},
		{"update of nothing", `{"type":7,"data":{"content":"x",` + am + `}}`, slash, false},
		{"deferred with another flag", `{"type":5,"data":{"flags":32768}}`, slash, false},
		{"unknown type", `{"type":42}`, slash, false},
		{"6 in a modal", `{"type":9,"data":{"custom_id":"m","title":"t","components":[` + many(6, input) + `]}}`, slash, false},
		{"modal title 46", `{"type":9,"data":{"custom_id":"m","title":"` + rep("t", 46) + `","components":[` + many(1, input) + `]}}`, slash, false},
		{"text input 4001", `{"type":9,"data":{"custom_id":"m","title":"t","components":[{"type":1,"components":[{"type":4,"custom_id":"i","label":"l","style":1,"max_length":4001}]}]}}`, slash, false},
		{"content 2001", `{"type":4,"data":{"content":"` + rep("x", 2001) + `",` + am + `}}`, slash, false},

		{"command name 33", `[{"name":"` + rep("a", 33) + `","description":"d"}]`, cmds, false},
		{"upper case", `[{"name":"Ask","description":"d"}]`, cmds, false},
		{"space", `[{"name":"ask it","description":"d"}]`, cmds, false},
		{"description 101", `[{"name":"ask","description":"` + rep("d", 101) + `"}]`, cmds, false},
		{"101 commands", `[` + many(101, `{"name":"c#","description":"d"}`) + `]`, cmds, false},
		{"131 commands", `[` + many(131, `{"name":"c#","description":"d"}`) + `]`, cmds, false},
		{"twice", `[` + many(2, `{"name":"ask","description":"d"}`) + `]`, cmds, false},
		{"8001 characters", `[{"name":"ask","description":"d","options":[` + many(4, `{"type":3,"name":"o#","description":"d","choices":[`+strings.ReplaceAll(many(25, `{"name":"`+rep("n", 40)+`@","value":"`+rep("v", 42)+`@"}`), "@", "0")+`]}`) + `]}]`, cmds, false},
		{"required after optional", `[{"name":"ask","description":"d","options":[{"type":3,"name":"a","description":"d"},{"type":3,"name":"b","description":"d","required":true}]}]`, cmds, false},
		{"autocomplete with choices", `[{"name":"ask","description":"d","options":[{"type":3,"name":"a","description":"d","autocomplete":true,"choices":[{"name":"a","value":"a"}]}]}]`, cmds, false},
		{"description on an entry", `[{"name":"Answer this","type":3,"description":"d"}]`, cmds, false},
		{"contexts in a guild", `[{"name":"ask","description":"d","contexts":[0]}]`, route("PUT", "/applications/"+s.Bot().ID+"/guilds/"+g.ID+"/commands"), false},

		{"thread name 101", `{"name":"` + rep("n", 101) + `"}`, route("POST", "/channels/"+c.ID+"/messages/"+q.ID+"/threads"), false},
		{"archive after 61 min", `{"name":"n","auto_archive_duration":61}`, route("POST", "/channels/"+c.ID+"/messages/"+q.ID+"/threads"), false},
		{"thread without type", `{"name":"n"}`, route("POST", "/channels/"+c.ID+"/threads"), false},
		{"public thread", `{"name":"n","type":11}`, route("POST", "/channels/"+c.ID+"/threads"), true},
		{"no such path", `{}`, route("POST", "/channels/"+c.ID+"/shout"), false},
		{"body on GET", `{"x":1}`, route("GET", "/users/@me"), false},
		{"limit 101", ``, route("GET", "/channels/"+c.ID+"/messages?limit=101"), false},
		{"edit", `{"content":"y",` + am + `,"ID":"1","Channel":"2"}`, route("PATCH", "/channels/"+c.ID+"/messages/"+mine().ID), true},
		{"edit to ephemeral", `{"content":"y","flags":64,` + am + `}`, route("PATCH", "/channels/"+c.ID+"/messages/"+mine().ID), false},
	} {
		status, reply := x.send(x.body)
		v := s.TakeViolations()
		if x.good && (status >= 300 || len(v) != 0) || !x.good && (status < 400 || len(v) != 1) {
			t.Errorf("%s: %d %v, violations %v", x.name, status, reply, v)
		}
	}
}

func TestFiles(t *testing.T) {
	s := Start(t)
	c := s.Guild("Lodehavn").Channel("pastry")
	send := func(names ...string) (int, []string) {
		var b bytes.Buffer
		mw := multipart.NewWriter(&b)
		p, _ := mw.CreateFormField("payload_json")
		_, _ = p.Write([]byte(`{"content":"x",` + am + `}`))
		for _, n := range names {
			part, file, _ := strings.Cut(n, "=")
			h := textproto.MIMEHeader{"Content-Type": {"text/plain"}, "Content-Disposition": {fmt.Sprintf(`form-data; name=%q; filename=%q`, part, file)}}
			p, _ := mw.CreatePart(h)
			_, _ = p.Write([]byte("data"))
		}
		_ = mw.Close()
		status, _, _ := callAs(t, s, "Bot "+s.Token(), "POST", "/channels/"+c.ID+"/messages", mw.FormDataContentType(), b.String())
		return status, s.TakeViolations()
	}
	if status, v := send("files[0]=a.txt", "files[1]=b.txt"); status != 200 || len(v) != 0 {
		t.Errorf("good files: %d %v", status, v)
	}
	if m := c.Wait(nil); len(m.Files) != 2 || string(m.Files[1].Data) != "data" || m.Files[1].Name != "b.txt" {
		t.Errorf("kept %+v", m.Files)
	}
	for _, bad := range [][]string{{"file=a.txt"}, {"files[0]=a.txt", "files[0]=b.txt"}, {"files[0]="},
		{"files[0]=a", "files[1]=a", "files[2]=a", "files[3]=a", "files[4]=a", "files[5]=a", "files[6]=a", "files[7]=a", "files[8]=a", "files[9]=a", "files[10]=a"}} {
		if status, v := send(bad...); status != 400 || len(v) != 1 {
			t.Errorf("%v: %d %v", bad, status, v)
		}
	}
}

// TestRepliesAreChecked: a reply that is not as the specification says is the
// server's own fault, and found.
func TestRepliesAreChecked(t *testing.T) {
	sp, err := theSpec()
	if err != nil {
		t.Fatal(err)
	}
	s := Start(t)
	c := s.Guild("Lodehavn").Channel("pastry")
	m := c.Say(s.User("Ada"), "x")
	o := s.messageObj(&m)
	if err := sp.checkAgainst("#/components/schemas/MessageResponse", encode(o)); err != nil {
		t.Errorf("a good message: %v", err)
	}
	for _, k := range []string{"author", "embeds", "timestamp"} {
		bad := s.messageObj(&m)
		delete(bad, k)
		if sp.checkAgainst("#/components/schemas/MessageResponse", encode(bad)) == nil {
			t.Errorf("a message without %s passes", k)
		}
	}
	o["surprise"] = 1
	if sp.checkAgainst("#/components/schemas/MessageResponse", encode(o)) == nil {
		t.Error("a message with an unknown key passes")
	}
	tm, _, ok := sp.match("GET", "/gateway/bot")
	if !ok || sp.checkReply(tm, "GET", 200, []byte(`{"url":"x","shards":"1"}`)) == nil || sp.checkReply(tm, "GET", 204, nil) == nil ||
		sp.checkReply(tm, "GET", 429, []byte(`{"message":"x"}`)) == nil {
		t.Error("a bad reply passes")
	}
}

func TestPathMatch(t *testing.T) {
	sp, err := theSpec()
	if err != nil {
		t.Fatal(err)
	}
	for path, want := range map[string]string{
		"/webhooks/1/tok/messages/@original": "/webhooks/{webhook_id}/{webhook_token}/messages/@original",
		"/webhooks/1/tok/messages/2":         "/webhooks/{webhook_id}/{webhook_token}/messages/{message_id}",
		"/users/@me":                         "/users/@me",
		"/users/1":                           "/users/{user_id}",
	} {
		if tm, _, ok := sp.match("GET", path); !ok || tm.path != want {
			t.Errorf("%s matches %v", path, tm)
		}
	}
	if _, _, ok := sp.match("GET", "/nowhere/1"); ok {
		t.Error("a path from nowhere matches")
	}
	for route := range handlers {
		method, path, _ := strings.Cut(route, " ")
		if tm, _, ok := sp.match(method, strings.NewReplacer("{", "", "}", "").Replace(path)); !ok || tm.methods[method] == nil {
			t.Errorf("the handler %q stands for no path of the specification", route)
		}
	}
}
