package discordtest

import (
	"fmt"
	"strings"
	"testing"
	"time"
)

func TestReadyGuildsAndEvents(t *testing.T) {
	t.Parallel()
	s := Start(t)
	g := s.Guild("Lodehavn")
	c := g.Channel("pastry")
	ada := g.Member("Ada")
	w := connect(t, s, nil)
	r := w.must(t, "READY").data()
	if len(list(r["guilds"])) != 1 || obj(list(r["guilds"])[0])["unavailable"] != true || str(r["resume_gateway_url"]) == "" || str(obj(r["application"])["id"]) != s.Bot().ID {
		t.Errorf("READY holds %v", r)
	}
	if d := w.must(t, "GUILD_CREATE").data(); d["name"] != "Lodehavn" || len(list(d["channels"])) != 1 {
		t.Errorf("GUILD_CREATE holds %v", d)
	}
	m := c.Say(ada, "hidden")
	if d := w.must(t, "MESSAGE_CREATE").data(); d["content"] != "" || d["guild_id"] != g.ID || obj(d["member"]) == nil {
		t.Errorf("MESSAGE_CREATE holds %v", d)
	}
	c.Edit(m, s.Mention()+" seen")
	if d := w.must(t, "MESSAGE_UPDATE").data(); d["content"] != s.Mention()+" seen" || d["edited_timestamp"] == nil {
		t.Errorf("MESSAGE_UPDATE holds %v", d)
	}
	c.Remove(m)
	if d := w.must(t, "MESSAGE_DELETE").data(); d["id"] != m.ID {
		t.Errorf("MESSAGE_DELETE holds %v", d)
	}
	m = c.Say(ada, "x")
	c.Thread(ada, "about x", m)
	if d := w.must(t, "THREAD_CREATE").data(); d["id"] != m.ID || d["parent_id"] != c.ID {
		t.Errorf("THREAD_CREATE holds %v", d)
	}
	g.Unavailable()
	if d := w.must(t, "GUILD_DELETE").data(); d["unavailable"] != true {
		t.Errorf("GUILD_DELETE holds %v", d)
	}
	g.Available()
	w.must(t, "GUILD_CREATE")
	s.Emit("BRAND_NEW", `{"x":1}`)
	w.must(t, "BRAND_NEW")
	c.Say(ada, "bent", Bent(func(p map[string]any) { delete(p, "author"); p["components"] = []any{map[string]any{"type": 99}} }))
	if d := w.must(t, "MESSAGE_CREATE").data(); d["author"] != nil || len(list(d["components"])) != 1 {
		t.Errorf("the bent message holds %v", d)
	}
	c.Deny(s.Bot(), ViewChannel)
	w.seq = 0
	c.Say(ada, "unseen")
	s.Emit("MARK", `{}`)
	if f, err := w.read(); err != nil || f.T != "MARK" {
		t.Errorf("after a message in a hidden channel came %s, %v", f.T, err)
	}
}

func TestMessageContentIntent(t *testing.T) {
	t.Parallel()
	s := Start(t, Options{Intents: IntentMessageContent})
	c := s.Guild("Lodehavn").Channel("pastry")
	w := connect(t, s, func(id map[string]any) { id["intents"] = IntentGuilds | IntentGuildMessages | IntentMessageContent })
	w.must(t, "READY")
	c.Say(s.User("Ada"), "plain")
	if d := w.must(t, "MESSAGE_CREATE").data(); d["content"] != "plain" {
		t.Errorf("content %v", d["content"])
	}
}

func TestResume(t *testing.T) {
	t.Parallel()
	s := Start(t)
	g := s.Guild("Lodehavn")
	c := g.Channel("pastry")
	ada := g.Member("Ada")
	for _, how := range []Drop{DropReset, DropMidFrame, DropClean} {
		w := connect(t, s, nil)
		w.must(t, "GUILD_CREATE")
		session, seq := w.session, w.seq
		s.DropAll(how)
		if code := w.closeCode(t); code > 0 && code != 1006 {
			t.Errorf("drop %d came with code %d", how, code)
		}
		for i := range 3 {
			c.Ask(ada, fmt.Sprint("missed ", i))
		}
		w, err := dial(s, "v=10&encoding=json")
		if err != nil {
			t.Fatal(err)
		}
		w.must(t, "op10")
		_ = w.send(opResume, map[string]any{"token": s.Token(), "session_id": session, "seq": seq})
		for i := range 3 {
			f, err := w.read()
			if err != nil || f.T != "MESSAGE_CREATE" || !strings.HasSuffix(str(f.data()["content"]), fmt.Sprint(i)) || f.S != seq+int64(i)+1 {
				t.Errorf("replayed %d: %s %s %d, %v", i, f.T, f.D, f.S, err)
			}
		}
		if f, err := w.read(); err != nil || f.T != "RESUMED" {
			t.Errorf("then %s, %v", f.T, err)
		}
		_ = w.ws.Close()
	}
	if n := s.Counts(); n.Resumes != 3 {
		t.Errorf("%d resumes counted", n.Resumes)
	}
}

func TestResumeRefused(t *testing.T) {
	t.Parallel()
	s := Start(t, Options{KeepEvents: 4})
	c := s.Guild("Lodehavn").Channel("pastry")
	ada := s.User("Ada")
	resume := func(session string, seq int64) *wire {
		w, err := dial(s, "v=9&encoding=json")
		if err != nil {
			t.Fatal(err)
		}
		w.must(t, "op10")
		_ = w.send(opResume, map[string]any{"token": s.Token(), "session_id": session, "seq": seq})
		return w
	}
	w := connect(t, s, nil)
	w.must(t, "GUILD_CREATE")
	if f := resume("1", 0).must(t, "op9"); string(f.D) != "false" {
		t.Errorf("an unknown session: op 9 %s", f.D)
	}
	if code := resume(w.session, 999).closeCode(t); code != 4007 {
		t.Errorf("a seq from the future: %d", code)
	}
	for range 20 {
		c.Ask(ada, "x")
	}
	s.DropAll(DropReset)
	w2 := resume(w.session, 2)
	if f := w2.must(t, "op9"); string(f.D) != "false" {
		t.Errorf("a gap too long: op 9 %s", f.D)
	}
	// the client may identify where it is
	_ = w2.send(opIdentify, identity(s))
	w2.must(t, "READY")
	// closing with 1000 ends a session
	_ = w2.ws.WriteControl(8, []byte{0x03, 0xe8}, time.Now().Add(time.Second))
	s.Until("the close is seen", func() bool { return s.Ready() == 0 })
	if f := resume(w2.session, w2.seq).must(t, "op9"); string(f.D) != "false" {
		t.Errorf("after code 1000: op 9 %s", f.D)
	}
}

func TestOpcodesFromServer(t *testing.T) {
	t.Parallel()
	s := Start(t)
	s.Guild("Lodehavn")
	w := connect(t, s, nil)
	w.must(t, "GUILD_CREATE")
	s.AskHeartbeat()
	w.must(t, "op1")
	_ = w.send(opHeartbeat, w.seq)
	w.must(t, "op11")
	s.StopAcks(true)
	_ = w.send(opHeartbeat, w.seq)
	s.SendUnknown()
	if f, err := w.read(); err != nil || f.Op != 77 {
		t.Errorf("acks stopped, and came op %d, %v", f.Op, err)
	}
	s.StopAcks(false)
	s.AskReconnect()
	w.must(t, "op7")
	s.InvalidateSessions(true)
	if f := w.must(t, "op9"); string(f.D) != "true" {
		t.Errorf("op 9 %s", f.D)
	}
	_ = w.send(opResume, map[string]any{"token": s.Token(), "session_id": w.session, "seq": w.seq})
	w.must(t, "RESUMED")
	s.InvalidateSessions(false)
	if f := w.must(t, "op9"); string(f.D) != "false" {
		t.Errorf("op 9 %s", f.D)
	}
	_ = w.send(opResume, map[string]any{"token": s.Token(), "session_id": w.session, "seq": w.seq})
	w.must(t, "op9")
}

func TestCloseCodes(t *testing.T) {
	t.Parallel()
	for want, change := range map[int]func(map[string]any){
		4004: func(id map[string]any) { id["token"] = "another" },
		4010: func(id map[string]any) { id["shard"] = []int{2, 2} },
		4013: func(id map[string]any) { id["intents"] = -1 },
		4014: func(id map[string]any) { id["intents"] = IntentGuilds | IntentMessageContent },
	} {
		s := Start(t)
		if got := connect(t, s, change).closeCode(t); got != want {
			t.Errorf("closed with %d, want %d", got, want)
		}
	}
	// what breaks a rule is a violation as well
	for want, do := range map[int]func(w *wire) error{
		4001: func(w *wire) error { return w.send(99, nil) },
		4002: func(w *wire) error { return w.ws.WriteMessage(1, []byte(`{"op":`)) },
		4003: func(w *wire) error { return w.send(opPresence, map[string]any{}) },
		4008: func(w *wire) error {
			for range maxPerMinute + 1 {
				if err := w.send(opHeartbeat, nil); err != nil {
					return err
				}
			}
			return nil
		},
	} {
		s := Start(t)
		w, err := dial(s, "v=10&encoding=json")
		if err != nil {
			t.Fatal(err)
		}
		if err := do(w); err != nil {
			t.Fatal(err)
		}
		if got := w.closeCode(t); got != want {
			t.Errorf("closed with %d, want %d", got, want)
		}
		if len(s.TakeViolations()) != 1 {
			t.Errorf("%d is no violation", want)
		}
	}
	s := Start(t)
	w := connect(t, s, nil)
	w.must(t, "READY")
	if err := w.ws.WriteMessage(1, []byte(`{"op":3,"d":{"x":"`+strings.Repeat("x", maxPayload)+`"}}`)); err != nil {
		t.Fatal(err)
	}
	if got := w.closeCode(t); got != 4002 {
		t.Errorf("a long payload: %d", got)
	}
	w = connect(t, s, nil)
	w.must(t, "READY")
	_ = w.send(opIdentify, identity(s))
	if got := w.closeCode(t); got != 4005 {
		t.Errorf("a second IDENTIFY: %d", got)
	}
	if got := len(s.TakeViolations()); got != 2 {
		t.Errorf("%d violations", got)
	}
	for _, code := range []int{4000, 4009, 4012} {
		w := connect(t, s, nil)
		w.must(t, "READY")
		s.CloseWith(code)
		if got := w.closeCode(t); got != code {
			t.Errorf("closed with %d, want %d", got, code)
		}
	}
	if w, err := dial(s, "v=6&encoding=json"); err != nil || w.closeCode(t) != 4012 {
		t.Errorf("version 6 is let in: %v", err)
	}
	s.Revoke()
	if got := connect(t, s, nil).closeCode(t); got != 4004 {
		t.Errorf("a revoked token: %d", got)
	}
}

func TestConnectionFaults(t *testing.T) {
	t.Parallel()
	s := Start(t)
	s.FailConnections(ConnFault{NoHello: true})
	w, err := dial(s, "v=10&encoding=json")
	if err != nil {
		t.Fatal(err)
	}
	_ = w.ws.SetReadDeadline(time.Now().Add(100 * time.Millisecond))
	if _, _, err := w.ws.ReadMessage(); err == nil {
		t.Error("HELLO came all the same")
	}
	s.FailConnections(ConnFault{ReconnectBeforeReady: true})
	connect(t, s, nil).must(t, "op7")
	s.FailConnections(ConnFault{InvalidIdentify: true})
	w = connect(t, s, nil)
	w.must(t, "op9")
	_ = w.send(opIdentify, identity(s))
	w.must(t, "READY")
	s.FailConnections(ConnFault{CloseIdentify: 4000, Skip: 1})
	connect(t, s, nil).must(t, "READY")
	if got := connect(t, s, nil).closeCode(t); got != 4000 {
		t.Errorf("closed with %d", got)
	}
	s.FailConnections(ConnFault{DropAfterReady: true})
	if got := connect(t, s, nil).closeCode(t); got > 0 && got != 1006 {
		t.Errorf("dropped with %d", got)
	}
	s.FailConnections(ConnFault{DropAfterHello: true, Times: 2})
	for range 2 {
		if w, err = dial(s, "v=10&encoding=json"); err != nil {
			t.Fatal(err)
		}
		if got := w.closeCode(t); got > 0 && got != 1006 {
			t.Errorf("dropped with %d", got)
		}
	}
	connect(t, s, nil).must(t, "READY")
}

func TestPacedIdentify(t *testing.T) {
	t.Parallel()
	s := Start(t, Options{PacedIdentify: true, SessionsLeft: 3})
	connect(t, s, nil).must(t, "READY")
	connect(t, s, nil).must(t, "op9")
	connect(t, s, nil).must(t, "op9")
	if _, b, _ := call(t, s, "GET", "/gateway/bot", ""); obj(b["session_start_limit"])["remaining"] != 0.0 {
		t.Errorf("gateway/bot says %v", b)
	}
	if got := connect(t, s, nil).closeCode(t); got != 4004 {
		t.Errorf("past the day's identifies: %d", got)
	}
	if v := s.TakeViolations(); len(v) != 1 || !strings.Contains(v[0], "reset the token") {
		t.Errorf("violations %v", v)
	}
	if n := s.Counts(); n.FastIdentify != 3 || n.Identifies != 4 {
		t.Errorf("counts %+v", n)
	}
}

func TestZlibStream(t *testing.T) {
	t.Parallel()
	s := Start(t)
	g := s.Guild("Lodehavn")
	w, err := dial(s, "v=10&encoding=json&compress=zlib-stream")
	if err != nil {
		t.Fatal(err)
	}
	defer w.ws.Close()
	w.must(t, "op10")
	_ = w.send(opIdentify, identity(s))
	w.must(t, "GUILD_CREATE")
	g.Channel("pastry")
	if d := w.must(t, "CHANNEL_CREATE").data(); d["name"] != "pastry" {
		t.Errorf("CHANNEL_CREATE holds %v", d)
	}
}

func TestShards(t *testing.T) {
	t.Parallel()
	s := Start(t, Options{Shards: 2})
	var ws [2]*wire
	for i := range ws {
		ws[i] = connect(t, s, func(id map[string]any) { id["shard"] = []int{i, 2} })
		ws[i].must(t, "READY")
	}
	// guilds are made until both shards have one
	seen := map[uint64]bool{}
	for len(seen) < 2 {
		g := s.Guild("house")
		i := (snowflake(g.ID) >> 22) % 2
		seen[i] = true
		if d := ws[i].must(t, "GUILD_CREATE").data(); d["id"] != g.ID {
			t.Errorf("shard %d hears of %v, not %s", i, d["id"], g.ID)
		}
		time.Sleep(time.Millisecond)
	}
	s.DM(s.User("Ada")).Say(s.Bot(), "x")
	s.Emit("MARK", `{}`)
	if f, err := ws[0].read(); err != nil || f.T != "MESSAGE_CREATE" {
		t.Errorf("shard 0 hears %s, %v", f.T, err)
	}
	if f, err := ws[1].read(); err != nil || f.T != "MARK" {
		t.Errorf("shard 1 hears %s, %v", f.T, err)
	}
}

func TestDoubledHeldSlow(t *testing.T) {
	t.Parallel()
	s := Start(t)
	c := s.Guild("Lodehavn").Channel("pastry")
	ada := s.User("Ada")
	w := connect(t, s, nil)
	w.must(t, "GUILD_CREATE")
	s.Doubled(true)
	c.Ask(ada, "twice")
	first, second := w.must(t, "MESSAGE_CREATE"), w.must(t, "MESSAGE_CREATE")
	if string(first.D) != string(second.D) || first.S == second.S {
		t.Error("the event was not doubled")
	}
	s.Doubled(false)
	s.HoldEvents()
	a, b := c.Ask(ada, "a"), c.Ask(ada, "b")
	s.Release(true)
	if x, y := w.must(t, "MESSAGE_CREATE"), w.must(t, "MESSAGE_CREATE"); x.data()["id"] != b.ID || y.data()["id"] != a.ID {
		t.Error("the events came in order")
	}
	s.SlowGateway(50 * time.Millisecond)
	began := time.Now()
	c.Ask(ada, "slow")
	w.must(t, "MESSAGE_CREATE")
	if time.Since(began) < 50*time.Millisecond {
		t.Error("the gateway was not slow")
	}
}

func TestMissingHeartbeat(t *testing.T) {
	t.Parallel()
	s := Start(t, Options{Heartbeat: 200 * time.Millisecond})
	w := connect(t, s, nil)
	if got := w.closeCode(t); got != 4009 {
		t.Errorf("closed with %d", got)
	}
	if v := s.TakeViolations(); len(v) != 1 || !strings.Contains(v[0], "heartbeat") {
		t.Errorf("violations %v", v)
	}
}
