package discord_test

import (
	"bytes"
	"compress/zlib"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"tamis/bot/discord"
	"tamis/bot/discord/discordtest"
	"tamis/bot/discord/wire"
)

// TestCloseCodes: each close code is followed by a new connection or by the end with
// its reason, never by a storm.
func TestCloseCodes(t *testing.T) {
	t.Parallel()
	for _, when := range []string{"later", "at the greeting", "at the identify"} {
		for _, code := range []int{1000, 1001, 1006, 1011, 1012, 4000, 4001, 4002, 4003, 4004, 4005, 4006, 4007, 4008, 4009, 4010, 4011, 4012, 4013, 4014, 4015, 4999} {
			if code == 1006 { // never sent
				continue
			}
			t.Run(fmt.Sprint(when, " ", code), func(t *testing.T) {
				t.Parallel()
				srv, _, pastry, ada := kitchen(t, wide)
				f := discordtest.ConnFault{}
				if when == "at the greeting" {
					f.CloseHello = code
				} else {
					f.CloseIdentify = code
				}
				if when != "later" {
					srv.FailConnections(f)
				}
				r := start(t, options(t, srv, saying(t)))
				if when == "later" {
					srv.WaitReady(1)
					srv.CloseWith(code)
				}
				fatal := code == 4004 || code >= 4010 && code <= 4014
				if !fatal {
					srv.Until("a new connection", func() bool { return srv.Counts().Connections >= 2 && srv.Ready() == 1 })
					once(t, pastry, pastry.Ask(ada, "still there"))
					if c := srv.Counts(); c.Connections > 3 || c.Identifies > 3 {
						t.Errorf("%+v", c)
					}
					return
				}
				select {
				case <-r.done:
				case <-time.After(10 * time.Second):
					t.Fatal("it goes on")
				}
				var end *wire.FatalError
				if !errors.Is(r.err, wire.ErrToken) && !errors.As(r.err, &end) {
					t.Errorf("it ends with: %v", r.err)
				}
				if end != nil && (end.Code != code || len(end.Say) < 10) {
					t.Errorf("it ends with: %+v", end)
				}
				if c := srv.Counts(); c.Connections > 1 {
					t.Errorf("%d connections", c.Connections)
				}
			})
		}
	}
}

func deflated(data []byte) []byte {
	var b bytes.Buffer
	w := zlib.NewWriter(&b)
	_, _ = w.Write(data)
	_ = w.Close()
	return b.Bytes()
}

// TestGarbage: frames that are none, opcodes and payloads of any kind: the session goes
// on or is made anew, and what is asked is answered.
func TestGarbage(t *testing.T) {
	t.Parallel()
	srv, _, pastry, ada := kitchen(t, wide)
	start(t, options(t, srv, saying(t)))
	srv.WaitReady(1)
	deep := strings.Repeat("[", 100000) + strings.Repeat("]", 100000)
	for name, f := range map[string]struct {
		binary bool
		data   []byte
	}{
		"text":               {false, []byte("hello?")},
		"nothing":            {false, nil},
		"half a payload":     {false, []byte(`{"op":0,"t":"MESSAGE_CREATE","s":7,"d":{"id":`)},
		"null":               {false, []byte(`null`)},
		"a list":             {false, []byte(`[1,2]`)},
		"op of text":         {false, []byte(`{"op":"0","d":null}`)},
		"no op":              {false, []byte(`{"t":"READY","s":1,"d":{}}`)},
		"negative op":        {false, []byte(`{"op":-1}`)},
		"huge op":            {false, []byte(`{"op":1e300}`)},
		"s of text":          {false, []byte(`{"op":0,"t":"X","s":"12","d":{}}`)},
		"s of null":          {false, []byte(`{"op":0,"t":"X","s":null,"d":{}}`)},
		"t of number":        {false, []byte(`{"op":0,"t":5,"s":3,"d":{}}`)},
		"dispatch of null":   {false, []byte(`{"op":0,"t":"READY","s":4,"d":null}`)},
		"resumed unasked":    {false, []byte(`{"op":0,"t":"RESUMED","s":5,"d":{}}`)},
		"hello again":        {false, []byte(`{"op":10,"d":{"heartbeat_interval":45000}}`)},
		"hello of nothing":   {false, []byte(`{"op":10,"d":null}`)},
		"hello of zero":      {false, []byte(`{"op":10,"d":{"heartbeat_interval":0}}`)},
		"ack unasked":        {false, []byte(`{"op":11}`)},
		"invalid of text":    {false, []byte(`{"op":9,"d":"yes"}`)},
		"binary":             {true, []byte{0, 1, 2, 3, 255}},
		"half of a deflated": {true, deflated([]byte(`{"op":11}`))[:6]},
		"deflated nonsense":  {true, deflated([]byte("hello?"))},
		"deep":               {false, []byte(`{"op":0,"t":"MESSAGE_CREATE","s":9,"d":` + deep + `}`)},
		"broken letters":     {false, []byte("{\"op\":0,\"t\":\"\xff\xfe\",\"s\":10,\"d\":{}}")},
	} {
		srv.SendFrame(f.binary, f.data)
		srv.Until(name+": a session", func() bool { return srv.Ready() == 1 })
		q := pastry.Ask(ada, name)
		pastry.Wait(func(m discordtest.Message) bool { return m.ReplyTo == q.ID })
	}
	time.Sleep(100 * time.Millisecond)
	for id, n := range pastry.Answers() {
		if n != 1 {
			t.Errorf("%s has %d answers", id, n)
		}
	}
	if c := srv.Counts(); c.Connections > 30 || c.Identifies > 30 {
		t.Errorf("%+v", c)
	}
}

// TestBomb: what grows a thousandfold when it is unpacked was not asked for, and is
// not unpacked; nor is a frame taken in that no payload needs.
func TestBomb(t *testing.T) {
	t.Parallel()
	srv, _, pastry, ada := kitchen(t, wide)
	start(t, options(t, srv, saying(t)))
	srv.WaitReady(1)
	if id := srv.WaitIdentify(1); id.Compress {
		t.Error("asks for packed payloads, whose size nobody knows before")
	}
	for _, f := range []struct {
		binary bool
		data   []byte
	}{{true, deflated(bytes.Repeat([]byte(" "), 4<<20))}, {false, bytes.Repeat([]byte(" "), 80<<20)}} {
		n := srv.Counts().Connections
		srv.SendFrame(f.binary, f.data)
		srv.Until("the connection to be dropped", func() bool { return srv.Counts().Connections > n && srv.Ready() == 1 })
		q := pastry.Ask(ada, "still there")
		pastry.Wait(func(m discordtest.Message) bool { return m.ReplyTo == q.ID })
	}
}

// TestGreetings: a greeting that is none, or asks for beats too often or never, brings
// no storm of beats or connections.
func TestGreetings(t *testing.T) {
	t.Parallel()
	for name, hello := range map[string]string{
		"zero": `{"op":10,"d":{"heartbeat_interval":0}}`, "below": `{"op":10,"d":{"heartbeat_interval":-5}}`, "one": `{"op":10,"d":{"heartbeat_interval":1}}`, "text": `{"op":10,"d":{"heartbeat_interval":"x"}}`,
		"none": `{"op":10,"d":{}}`, "huge": `{"op":10,"d":{"heartbeat_interval":1e15}}`, "another": `{"op":0,"t":"READY","s":1,"d":{}}`, "invalid": `{"op":9,"d":false}`, "reconnect": `{"op":7,"d":null}`, "garbage": `hello`,
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			srv, _, pastry, ada := kitchen(t, wide)
			srv.FailConnections(discordtest.ConnFault{Hello: hello})
			o := options(t, srv, saying(t))
			o.Timing.Hello, o.Timing.Ready = 300*time.Millisecond, 2*time.Second
			start(t, o)
			srv.WaitReady(1)
			once(t, pastry, pastry.Ask(ada, "still there"))
			time.Sleep(200 * time.Millisecond)
			if c := srv.Counts(); c.Connections > 5 {
				t.Errorf("%+v", c)
			}
		})
	}
}

// TestOrderOfEvents: numbers that jump or go back, READY twice, guilds late, unavailable
// or unknown, events before their guild: each question has one answer.
func TestOrderOfEvents(t *testing.T) {
	t.Parallel()
	srv, g, pastry, ada := kitchen(t, wide)
	start(t, options(t, srv, saying(t)))
	srv.WaitReady(1)
	once(t, pastry, pastry.Ask(ada, "one"))
	requests := srv.Counts().Requests
	for range 20 {
		srv.Emit("READY", fmt.Sprintf(`{"v":10,"user":{"id":"%s","bot":true},"session_id":"other","resume_gateway_url":"ws://127.0.0.1:1","guilds":[{"id":"%s","unavailable":true}],"application":{"id":"%s"}}`, srv.Bot().ID, g.ID, srv.Bot().ID))
	}
	srv.Emit("READY", `{"v":10,"user":null,"guilds":null}`)
	once(t, pastry, pastry.Ask(ada, "two"))
	if n := srv.Counts().Requests - requests; n > 60 {
		t.Errorf("%d requests for READY told again", n)
	}
	srv.SkipSeq(1000)
	once(t, pastry, pastry.Ask(ada, "three"))
	srv.DropAll(discordtest.DropReset)
	srv.Until("a session", func() bool { return srv.Ready() == 1 })
	once(t, pastry, pastry.Ask(ada, "four"))
	srv.SkipSeq(-2000)
	once(t, pastry, pastry.Ask(ada, "five"))
	srv.SkipSeq(2000)
	g.Unavailable()
	for range 30 {
		g.Available()
	}
	once(t, pastry, pastry.Ask(ada, "six"))
	g.Unavailable()
	q := pastry.Ask(ada, "while it is away")
	g.Available()
	once(t, pastry, q)
	late := srv.Guild("late")
	c := late.Channel("pastry")
	once(t, c, c.Ask(late.Member("Bo"), "in a new server"))
	srv.HoldEvents()
	other := srv.Guild("later still")
	d := other.Channel("pastry")
	q = d.Ask(other.Member("Cy"), "before its guild is told")
	srv.Release(true)
	once(t, d, q)
}

// TestReadyOfMany: a READY of ten thousand servers is taken in without a request for each.
func TestReadyOfMany(t *testing.T) {
	t.Parallel()
	srv, g, pastry, ada := kitchen(t, wide)
	start(t, options(t, srv, saying(t)))
	srv.WaitReady(1)
	once(t, pastry, pastry.Ask(ada, "before"))
	var b strings.Builder
	fmt.Fprintf(&b, `{"v":10,"user":{"id":"%s","bot":true,"username":"tamis"},"session_id":"x1","application":{"id":"%s"},"guilds":[{"id":"%s","unavailable":true}`, srv.Bot().ID, srv.Bot().ID, g.ID)
	for i := range 10000 {
		fmt.Fprintf(&b, `,{"id":"%d","unavailable":true}`, 900000000000000000+i)
	}
	b.WriteString("]}")
	n := srv.Counts().Requests
	srv.Emit("READY", b.String())
	for i := range 3000 {
		srv.Emit("GUILD_CREATE", fmt.Sprintf(`{"id":"%d","name":"s%d","channels":[{"id":"%d","type":0,"name":"general","last_message_id":"920000000000000000"}],"roles":[],"members":[],"threads":[]}`, 900000000000000000+i, i, 910000000000000000+i))
	}
	once(t, pastry, pastry.Ask(ada, "after"))
	if n := srv.Counts().Requests - n; n > 50 {
		t.Errorf("%d requests", n)
		for _, r := range srv.Requests("")[len(srv.Requests(""))-5:] {
			t.Log(r.Method, r.Path, r.Query)
		}
	}
}

// TestInterrupted: what interrupts the making of a session: op 7 and 9 in its middle,
// resumes that are refused, beats without an answer. No code that ends the session, no
// identify for what can be resumed.
func TestInterrupted(t *testing.T) {
	t.Parallel()
	srv, _, pastry, ada := kitchen(t, discordtest.Options{GlobalRate: -1, Heartbeat: 150 * time.Millisecond})
	for range 2 {
		srv.FailConnections(discordtest.ConnFault{ReconnectBeforeReady: true})
		srv.FailConnections(discordtest.ConnFault{InvalidIdentify: true})
	}
	o := options(t, srv, saying(t))
	o.Timing.Ready = time.Second
	start(t, o)
	srv.WaitReady(1)
	once(t, pastry, pastry.Ask(ada, "one"))
	before := srv.Counts()
	srv.StopAcks(true)
	srv.Until("the dead link to be noticed", func() bool { return srv.Counts().Connections > before.Connections })
	srv.StopAcks(false)
	srv.Until("a session", func() bool { return srv.Ready() == 1 })
	once(t, pastry, pastry.Ask(ada, "two"))
	if c := srv.Counts(); c.Resumes == before.Resumes {
		t.Errorf("after a lost beat it is not resumed: %+v", c)
	}
	if slices.Contains(srv.Closes(), 1000) || slices.Contains(srv.Closes(), 1001) {
		t.Errorf("closed with %v, which ends the session", srv.Closes())
	}
	srv.FailConnections(discordtest.ConnFault{ReconnectBeforeReady: true})
	srv.FailConnections(discordtest.ConnFault{InvalidResume: true})
	srv.AskReconnect()
	q := pastry.Ask(ada, "three")
	pastry.Wait(func(m discordtest.Message) bool { return m.ReplyTo == q.ID })
	for _, resumable := range []bool{true, false} {
		srv.InvalidateSessions(resumable)
		q := pastry.Ask(ada, fmt.Sprint("after op 9 ", resumable))
		pastry.Wait(func(m discordtest.Message) bool { return m.ReplyTo == q.ID })
	}
	for range 10 {
		srv.AskHeartbeat()
	}
	once(t, pastry, pastry.Ask(ada, "four"))
	if c := srv.Counts(); c.Connections > 16 || c.Identifies > 12 {
		t.Errorf("%+v", c)
	}
}

// TestOddInteractions: interactions of unknown kinds, without a token, a user or data.
func TestOddInteractions(t *testing.T) {
	t.Parallel()
	srv, g, pastry, ada := kitchen(t, wide)
	start(t, options(t, srv, saying(t)))
	srv.WaitReady(1)
	srv.WaitCommands()
	before := srv.Counts().Requests
	member := fmt.Sprintf(`"member":{"user":{"id":"%s"},"roles":[]}`, ada.ID)
	base := fmt.Sprintf(`"application_id":"%s","channel_id":"%s","guild_id":"%s","version":1`, srv.Bot().ID, pastry.ID, g.ID)
	for i, d := range []string{
		`"id":"%d","token":"t%[1]d","type":99,"data":{},` + base + `,` + member, `"id":"%d","token":"t%[1]d","type":1,` + base, `"id":"%d","type":2,"data":{"name":"ask"},` + base + `,` + member,
		`"token":"t%d","type":2,"data":{"name":"ask"},` + base + `,` + member, `"id":"%d","token":"t%[1]d","type":2,"data":null,` + base + `,` + member, `"id":"%d","token":"t%[1]d","type":2,"data":{"name":"ask","options":"x"},` + base,
		`"id":"%d","token":"t%[1]d","type":3,"data":{"custom_id":5},` + base + `,` + member, `"id":"%d","token":"t%[1]d","type":5,"data":{"custom_id":"x","components":[null,1,{"components":[{}]}]},` + base + `,` + member,
		`"id":"%d","token":"t%[1]d","type":2,"data":{"name":"no such","id":"1","type":1},` + base + `,` + member, `"id":"%d","token":"../../x","type":2,"data":{"name":"help","id":"1","type":1},` + base + `,` + member,
		`"id":"%d","token":"t%[1]d","type":4,"data":{"name":"recipe","options":[]},` + base + `,` + member, `"id":"%d","token":"t%[1]d","type":2,"data":{"name":"Answer this","type":3,"target_id":"1","resolved":{}},` + base + `,` + member,
	} {
		srv.Emit("INTERACTION_CREATE", "{"+strings.Split(fmt.Sprintf(d, 800000000000000000+i), "%!(EXTRA")[0]+"}")
	}
	has(t, pastry.Slash(ada, "ask", discordtest.Opt{Name: "question", Value: "x"}).Message().Text(), "heard: x")
	time.Sleep(200 * time.Millisecond)
	if n := srv.Counts().Requests - before; n > 40 {
		t.Errorf("%d requests", n)
	}
	for _, r := range srv.Requests("") {
		if strings.Contains(r.Path, "..") || r.Route == "" {
			t.Errorf("a token made a path: %s %s", r.Method, r.Path)
		}
	}
	_ = discord.FileName
}
