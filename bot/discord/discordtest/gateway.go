package discordtest

import (
	"bytes"
	"compress/zlib"
	"encoding/json"
	"net/http"
	"slices"
	"sync"
	"time"

	"github.com/gorilla/websocket"
)

// Opcodes (topics/opcodes-and-status-codes).
const (
	opDispatch, opHeartbeat, opIdentify, opPresence, opVoice = 0, 1, 2, 3, 4
	opResume, opReconnect, opMembers, opInvalid              = 6, 7, 8, 9
	opHello, opAck, opSoundboard                             = 10, 11, 31
)

const (
	maxPayload   = 4096 // bytes that a client may send at once
	maxPerMinute = 120  // payloads that a client may send in 60 s
	maxDetached  = 20   // sessions kept for RESUME
)

// Identify is what a bot said of itself.
type Identify struct {
	Token      string
	Intents    int
	Shard      [2]int // index and number; {0, 1} when the bot names none
	Properties map[string]any
	Compress   bool
	At         time.Time
}

// session is one shard's stream of events; it outlives its connections.
type session struct {
	id         string
	intents    int
	shard      [2]int
	seq        int64
	log        []logged // the last events, for RESUME
	conn       *conn
	ready      bool
	detachedAt time.Time
}

type logged struct {
	seq  int64
	data []byte
}

// gate is the gateway's state, under the server's lock.
type gate struct {
	sessions   []*session
	conns      map[*conn]bool
	identifies []Identify
	lastIdent  map[int]time.Time
	left       int
	hooks      []*ConnFault
	noAcks     bool
	held       []event // events that HoldEvents keeps
	holding    bool
	twice      bool
	slow       time.Duration
	closes     []int // codes that clients closed with; -1 without one
}

func (g *gate) init(o Options) {
	g.conns, g.lastIdent, g.left = map[*conn]bool{}, map[int]time.Time{}, o.SessionsLeft
}

// conn is one websocket connection.
type conn struct {
	srv      *Server
	ws       *websocket.Conn
	sess     *session
	payload  bool // zlib by payload, as IDENTIFY asked
	stream   *zlib.Writer
	deflate  *zlib.Writer
	streamed bytes.Buffer
	wmu      sync.Mutex
	queue    []outgoing
	wake     chan struct{}
	done     chan struct{}
	once     sync.Once
	sends    []time.Time
	lastBeat time.Time
	fault    *ConnFault
}

// outgoing is what is written next: a payload, or bytes as they are.
type outgoing struct {
	data []byte
	raw  int // kind of a raw frame; 0 is a payload, packed as was asked
}

// event is something that the gateway may tell.
type event struct {
	name    string
	guild   string   // "" goes to shard 0
	channel *Channel // which the bot must be able to see
	intent  int      // needed; 0 is none
	data    map[string]any
	content bool // data is a message: hidden without MESSAGE_CONTENT
	raw     []byte
}

var upgrader = websocket.Upgrader{CheckOrigin: func(*http.Request) bool { return true }}

func (s *Server) serveGateway(w http.ResponseWriter, r *http.Request) {
	q := r.URL.Query()
	ws, err := upgrader.Upgrade(w, r, nil)
	if err != nil {
		return
	}
	c := &conn{srv: s, ws: ws, wake: make(chan struct{}, 1), done: make(chan struct{}), lastBeat: time.Now()}
	s.mu.Lock()
	if s.closed {
		s.mu.Unlock()
		_ = ws.Close()
		return
	}
	s.gate.conns[c] = true
	s.counts.Connections++
	c.fault = s.gate.take()
	s.notify()
	s.mu.Unlock()
	defer c.gone(-1)
	go c.writer()
	switch v := q.Get("v"); {
	case v != "9" && v != "10":
		c.closeWith(4012)
		return
	case q.Get("encoding") != "json" && q.Get("encoding") != "":
		s.mu.Lock()
		s.violate("gateway encoding %q: the stand-in speaks json", q.Get("encoding"))
		s.mu.Unlock()
		c.closeWith(4002)
		return
	case q.Get("compress") == "zlib-stream":
		c.stream = zlib.NewWriter(&c.streamed)
	case q.Get("compress") != "":
		s.mu.Lock()
		s.violate("gateway compression %q: the stand-in speaks zlib-stream or none", q.Get("compress"))
		s.mu.Unlock()
		c.closeWith(4002)
		return
	}
	switch f := c.fault; {
	case f != nil && f.Hello != "":
		c.enqueue([]byte(f.Hello))
	case f == nil || !f.NoHello:
		c.send(map[string]any{"op": opHello, "d": map[string]any{"heartbeat_interval": s.o.Heartbeat.Milliseconds(), "_trace": []any{}}})
	}
	if c.fault != nil && c.fault.CloseHello != 0 {
		c.closeWith(c.fault.CloseHello)
	}
	if c.fault != nil && c.fault.DropAfterHello {
		time.Sleep(5 * time.Millisecond)
		c.drop(DropReset)
		return
	}
	go c.watchBeat()
	c.reader()
}

func (c *conn) reader() {
	c.ws.SetReadLimit(1 << 20)
	for {
		_, data, err := c.ws.ReadMessage()
		if err != nil {
			code := -1
			if ce, ok := err.(*websocket.CloseError); ok {
				code = ce.Code
			}
			c.gone(code)
			return
		}
		if !c.handle(data) {
			return
		}
	}
}

// handle reads one payload of the client; false ends the connection.
func (c *conn) handle(data []byte) bool {
	s := c.srv
	now := time.Now()
	c.sends = append(c.sends, now)
	for len(c.sends) > 0 && now.Sub(c.sends[0]) > time.Minute {
		c.sends = c.sends[1:]
	}
	bad := func(code int, why string) bool {
		s.mu.Lock()
		s.violate("gateway: %s", why)
		s.mu.Unlock()
		c.closeWith(code)
		return false
	}
	if len(c.sends) > maxPerMinute {
		return bad(4008, "more than 120 payloads in a minute")
	}
	if len(data) > maxPayload {
		return bad(4002, "a payload of more than 4096 bytes")
	}
	var p struct {
		Op *int            `json:"op"`
		D  json.RawMessage `json:"d"`
	}
	if err := json.Unmarshal(data, &p); err != nil || p.Op == nil {
		return bad(4002, "a payload that does not decode")
	}
	s.mu.Lock()
	known := c.sess != nil
	s.mu.Unlock()
	switch *p.Op {
	case opHeartbeat:
		s.mu.Lock()
		c.lastBeat = now
		quiet := s.gate.noAcks
		s.mu.Unlock()
		if !quiet {
			c.send(map[string]any{"op": opAck})
		}
	case opIdentify:
		if known {
			return bad(4005, "identified twice on one connection")
		}
		return c.identify(p.D)
	case opResume:
		if known {
			return bad(4005, "resumed on a connection that has a session")
		}
		return c.resume(p.D)
	case opPresence, opVoice, opMembers, opSoundboard:
		if !known {
			return bad(4003, "a payload before identifying")
		}
	default:
		return bad(4001, "an unknown opcode")
	}
	return true
}

func (c *conn) identify(d json.RawMessage) bool {
	s := c.srv
	var id struct {
		Token      string         `json:"token"`
		Intents    *int           `json:"intents"`
		Shard      *[2]int        `json:"shard"`
		Properties map[string]any `json:"properties"`
		Compress   bool           `json:"compress"`
	}
	if err := json.Unmarshal(d, &id); err != nil {
		c.closeWith(4002)
		return false
	}
	s.mu.Lock()
	rec := Identify{Token: id.Token, Shard: [2]int{0, 1}, Properties: id.Properties, Compress: id.Compress, At: time.Now()}
	if id.Intents != nil {
		rec.Intents = *id.Intents
	}
	if id.Shard != nil {
		rec.Shard = *id.Shard
	}
	if len(s.gate.identifies) < 10000 {
		s.gate.identifies = append(s.gate.identifies, rec)
	}
	s.counts.Identifies++
	s.gate.left--
	last, again := s.gate.lastIdent[0]
	s.gate.lastIdent[0] = rec.At
	fast := again && rec.At.Sub(last) < 5*time.Second
	if fast {
		s.counts.FastIdentify++
	}
	code := 0
	switch {
	case c.fault != nil && c.fault.CloseIdentify != 0:
		code = c.fault.CloseIdentify
	case s.token == "" || id.Token != s.token && id.Token != "Bot "+s.token:
		code = 4004
	case s.gate.left < 0:
		s.violate("gateway: more identifies than the day has; the platform has reset the token")
		s.token = ""
		code = 4004
	case id.Intents == nil:
		s.violate("gateway: IDENTIFY without intents")
		code = 4013
	case rec.Intents < 0 || rec.Intents >= 1<<27:
		code = 4013
	case rec.Intents&privileged&^s.o.Intents != 0:
		code = 4014
	case rec.Shard[1] < 1 || rec.Shard[0] < 0 || rec.Shard[0] >= rec.Shard[1]:
		code = 4010
	case rec.Shard[1] == 1 && len(s.guilds) > 2500:
		code = 4011
	case id.Properties == nil:
		s.violate("gateway: IDENTIFY without properties")
		code = 4002
	}
	if code != 0 {
		s.notify()
		s.mu.Unlock()
		c.closeWith(code)
		return false
	}
	if fast && s.o.PacedIdentify || c.fault != nil && c.fault.InvalidIdentify {
		if c.fault != nil {
			c.fault.InvalidIdentify = false
		}
		s.notify()
		s.mu.Unlock()
		c.send(map[string]any{"op": opInvalid, "d": false})
		return true
	}
	c.payload = id.Compress && c.stream == nil
	sess := &session{id: s.newID(), intents: rec.Intents, shard: rec.Shard, conn: c}
	c.sess = sess
	s.gate.sessions = append(s.gate.sessions, sess)
	s.gate.trim()
	if f := c.fault; f != nil && (f.ReconnectBeforeReady || f.NoReady) {
		reconnect := f.ReconnectBeforeReady
		s.notify()
		s.mu.Unlock()
		if reconnect {
			c.send(map[string]any{"op": opReconnect, "d": nil})
		}
		return true
	}
	guilds := []any{}
	var mine []*Guild
	for _, gid := range s.guildOrder {
		if g := s.guilds[gid]; !g.gone && inShard(gid, sess.shard) {
			guilds = append(guilds, map[string]any{"id": gid, "unavailable": true})
			mine = append(mine, g)
		}
	}
	me := s.userObj(s.app)
	me["email"], me["verified"], me["mfa_enabled"] = nil, true, false
	sess.ready = true
	s.push(sess, "READY", map[string]any{"v": 10, "user": me, "guilds": guilds, "session_id": sess.id, "resume_gateway_url": "ws://" + s.addr + "/gateway",
		"shard": []any{sess.shard[0], sess.shard[1]}, "application": map[string]any{"id": s.app.ID, "flags": 0}, "session_type": "normal",
		"private_channels": []any{}, "user_settings": map[string]any{}, "relationships": []any{}, "presences": []any{}, "_trace": []any{}})
	if sess.intents&IntentGuilds != 0 {
		for _, g := range mine {
			if !g.down {
				s.push(sess, "GUILD_CREATE", s.guildCreate(g))
			}
		}
	}
	drop := c.fault != nil && c.fault.DropAfterReady
	s.notify()
	s.mu.Unlock()
	if drop {
		time.Sleep(5 * time.Millisecond)
		c.drop(DropReset)
		return false
	}
	return true
}

func (c *conn) resume(d json.RawMessage) bool {
	s := c.srv
	var r struct {
		Token     string `json:"token"`
		SessionID string `json:"session_id"`
		Seq       int64  `json:"seq"`
	}
	if err := json.Unmarshal(d, &r); err != nil {
		c.closeWith(4002)
		return false
	}
	s.mu.Lock()
	if s.token == "" || r.Token != s.token && r.Token != "Bot "+s.token {
		s.mu.Unlock()
		c.closeWith(4004)
		return false
	}
	if f := c.fault; f != nil && f.ReconnectBeforeReady {
		f.ReconnectBeforeReady = false
		s.mu.Unlock()
		c.send(map[string]any{"op": opReconnect, "d": nil})
		return true
	}
	i := slices.IndexFunc(s.gate.sessions, func(x *session) bool { return x.id == r.SessionID && x.ready })
	lost := i < 0 || c.fault != nil && c.fault.InvalidResume
	var sess *session
	if !lost {
		sess = s.gate.sessions[i]
		if r.Seq > sess.seq {
			s.mu.Unlock()
			c.closeWith(4007)
			return false
		}
		lost = len(sess.log) > 0 && r.Seq < sess.log[0].seq-1
	}
	if lost {
		s.mu.Unlock()
		c.send(map[string]any{"op": opInvalid, "d": false})
		return true
	}
	if old := sess.conn; old != nil {
		old.sess = nil
		defer old.drop(DropReset)
	}
	c.sess, sess.conn = sess, c
	s.counts.Resumes++
	for _, l := range sess.log {
		if l.seq > r.Seq {
			c.enqueue(l.data)
		}
	}
	s.push(sess, "RESUMED", map[string]any{"_trace": []any{}})
	s.notify()
	s.mu.Unlock()
	return true
}

// trim forgets the oldest sessions that nobody is connected to.
func (g *gate) trim() {
	n := 0
	for _, x := range g.sessions {
		if x.conn == nil {
			n++
		}
	}
	g.sessions = slices.DeleteFunc(g.sessions, func(x *session) bool {
		if x.conn == nil && n > maxDetached {
			n--
			return true
		}
		return false
	})
}

func inShard(guild string, shard [2]int) bool {
	if guild == "" {
		return shard[0] == 0
	}
	return int((snowflake(guild)>>22)%uint64(shard[1])) == shard[0]
}

// dispatch tells an event to each session that may hear it. Called with the lock held.
func (s *Server) dispatch(e event) {
	if s.gate.holding {
		s.gate.held = append(s.gate.held, e)
		return
	}
	var full, bare []byte
	for _, sess := range s.gate.sessions {
		if !sess.ready || !inShard(e.guild, sess.shard) {
			continue
		}
		if e.intent != 0 && sess.intents&e.intent == 0 || e.channel != nil && s.perms(s.app, e.channel)&ViewChannel == 0 {
			s.counts.HeldInvisible++
			continue
		}
		times := 1
		if s.gate.twice {
			times = 2
		}
		for range times {
			switch {
			case e.raw != nil:
				s.pushRaw(sess, e.name, e.raw)
			case e.content && sess.intents&IntentMessageContent == 0 && !s.seesContent(e.data):
				if bare == nil {
					bare = encode(withoutContent(e.data))
				}
				s.pushRaw(sess, e.name, bare)
			default:
				if full == nil {
					full = encode(e.data)
				}
				s.pushRaw(sess, e.name, full)
			}
		}
	}
}

// seesContent: messages of the bot, in direct talks and that mention it are
// whole without MESSAGE_CONTENT (events/gateway, Message Content Intent).
func (s *Server) seesContent(m map[string]any) bool {
	if m["guild_id"] == nil && s.channels[str(m["channel_id"])] != nil && s.channels[str(m["channel_id"])].GuildID == "" {
		return true
	}
	if str(obj(m["author"])["id"]) == s.app.ID {
		return true
	}
	for _, u := range list(m["mentions"]) {
		if str(obj(u)["id"]) == s.app.ID {
			return true
		}
	}
	return false
}

func withoutContent(m map[string]any) map[string]any {
	out := map[string]any{}
	for k, v := range m {
		out[k] = v
	}
	for _, k := range []string{"embeds", "attachments", "components"} {
		if _, ok := out[k]; ok {
			out[k] = []any{}
		}
	}
	if _, ok := out["content"]; ok {
		out["content"] = ""
	}
	delete(out, "poll")
	return out
}

func encode(v any) []byte {
	data, err := json.Marshal(v)
	if err != nil {
		panic(err) // maps of our own making
	}
	return data
}

func (s *Server) push(sess *session, name string, data map[string]any) {
	s.pushRaw(sess, name, encode(data))
}

func (s *Server) pushRaw(sess *session, name string, d []byte) {
	sess.seq++
	data := encode(struct {
		Op int             `json:"op"`
		S  int64           `json:"s"`
		T  string          `json:"t"`
		D  json.RawMessage `json:"d"`
	}{opDispatch, sess.seq, name, d})
	sess.log = append(sess.log, logged{sess.seq, data})
	if over := len(sess.log) - s.o.KeepEvents; over > s.o.KeepEvents/4 {
		sess.log = slices.Delete(sess.log, 0, over)
	}
	if sess.conn != nil {
		sess.conn.enqueue(data)
	}
}

func (c *conn) send(v map[string]any) { c.enqueue(encode(v)) }

func (c *conn) enqueue(data []byte) { c.enqueueFrame(outgoing{data: data}) }

func (c *conn) enqueueFrame(f outgoing) {
	c.wmu.Lock()
	c.queue = append(c.queue, f)
	c.wmu.Unlock()
	select {
	case c.wake <- struct{}{}:
	default:
	}
}

func (c *conn) writer() {
	for {
		c.wmu.Lock()
		batch := c.queue
		c.queue = nil
		c.wmu.Unlock()
		for _, f := range batch {
			c.srv.mu.Lock()
			slow := c.srv.gate.slow
			c.srv.mu.Unlock()
			if slow > 0 {
				time.Sleep(slow)
			}
			if !c.write(f) {
				c.gone(-1)
				return
			}
		}
		if len(batch) > 0 {
			continue
		}
		select {
		case <-c.wake:
		case <-c.done:
			return
		}
	}
}

func (c *conn) write(f outgoing) bool {
	_ = c.ws.SetWriteDeadline(time.Now().Add(10 * time.Second))
	data, kind := f.data, websocket.TextMessage
	switch {
	case f.raw != 0:
		kind = f.raw
	case c.stream != nil:
		c.streamed.Reset()
		_, _ = c.stream.Write(data)
		_ = c.stream.Flush()
		data, kind = c.streamed.Bytes(), websocket.BinaryMessage
	case c.payload:
		c.streamed.Reset()
		if c.deflate == nil { // one for all payloads: a new one costs a megabyte
			c.deflate = zlib.NewWriter(&c.streamed)
		} else {
			c.deflate.Reset(&c.streamed)
		}
		_, _ = c.deflate.Write(data)
		_ = c.deflate.Close()
		data, kind = c.streamed.Bytes(), websocket.BinaryMessage
	}
	return c.ws.WriteMessage(kind, data) == nil
}
