package discordtest

import (
	"encoding/json"
	"time"

	"github.com/gorilla/websocket"
)

// Drop is a way in which a connection ends without a close code.
type Drop int

const (
	DropReset    Drop = iota // TCP reset
	DropMidFrame             // a frame begins and the connection is reset
	DropClean                // TCP end without a close frame
)

// ConnFault befalls connections to the gateway while they are made.
type ConnFault struct {
	Times int // connections that it befalls; 0 is 1
	Skip  int // connections before it that are spared

	NoHello              bool // never says HELLO
	NoReady              bool // takes IDENTIFY and never says READY
	DropAfterHello       bool
	DropAfterReady       bool
	InvalidIdentify      bool   // answers the first IDENTIFY with op 9
	InvalidResume        bool   // answers RESUME with op 9, not resumable
	ReconnectBeforeReady bool   // answers IDENTIFY or RESUME with op 7
	CloseIdentify        int    // closes with this code when the bot identifies
	CloseHello           int    // closes with this code right after HELLO
	Hello                string // says this, whatever it is, instead of HELLO
}

// FailConnections lets a fault befall the next connections.
func (s *Server) FailConnections(f ConnFault) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if f.Times == 0 {
		f.Times = 1
	}
	s.gate.hooks = append(s.gate.hooks, &f)
}

func (g *gate) take() *ConnFault {
	for i, f := range g.hooks {
		if f.Skip > 0 {
			f.Skip--
			continue
		}
		if f.Times--; f.Times <= 0 {
			g.hooks = append(g.hooks[:i], g.hooks[i+1:]...)
		}
		mine := *f
		return &mine
	}
	return nil
}

func (s *Server) conns() []*conn {
	s.mu.Lock()
	defer s.mu.Unlock()
	var out []*conn
	for c := range s.gate.conns {
		out = append(out, c)
	}
	return out
}

// DropAll cuts all connections to the gateway; sessions can be resumed.
func (s *Server) DropAll(how Drop) {
	for _, c := range s.conns() {
		c.drop(how)
	}
}

// CloseWith closes all connections with a close code.
func (s *Server) CloseWith(code int) {
	for _, c := range s.conns() {
		c.closeWith(code)
	}
}

// AskReconnect sends op 7 on all connections.
func (s *Server) AskReconnect() { s.sayAll(map[string]any{"op": opReconnect, "d": nil}) }

// InvalidateSessions sends op 9; those that are not resumable are forgotten.
func (s *Server) InvalidateSessions(resumable bool) {
	s.mu.Lock()
	if !resumable {
		kept := s.gate.sessions[:0]
		for _, x := range s.gate.sessions {
			if x.conn == nil {
				kept = append(kept, x)
				continue
			}
			x.conn.sess = nil
		}
		s.gate.sessions = kept
	} else {
		for _, x := range s.gate.sessions {
			if x.conn != nil { // the client may resume or identify where it is
				x.conn.sess, x.conn = nil, nil
			}
		}
	}
	s.mu.Unlock()
	s.sayAll(map[string]any{"op": opInvalid, "d": resumable})
}

// ForgetSessions makes every RESUME fail from now on.
func (s *Server) ForgetSessions() {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, x := range s.gate.sessions {
		if x.conn != nil {
			x.conn.sess = nil
		}
	}
	s.gate.sessions = nil
}

// AskHeartbeat sends op 1: the bot has to beat at once.
func (s *Server) AskHeartbeat() { s.sayAll(map[string]any{"op": opHeartbeat, "d": nil}) }

// StopAcks leaves heartbeats unanswered: the connection looks alive and is not.
func (s *Server) StopAcks(stop bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.gate.noAcks = stop
}

// SlowGateway waits before each payload that it writes.
func (s *Server) SlowGateway(d time.Duration) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.gate.slow = d
}

// SendFrame sends bytes as they are on all connections, as text or as a binary frame.
func (s *Server) SendFrame(binary bool, data []byte) {
	kind := websocket.TextMessage
	if binary {
		kind = websocket.BinaryMessage
	}
	for _, c := range s.conns() {
		c.enqueueFrame(outgoing{data, kind})
	}
}

// SkipSeq lets the next event's number be so much higher, as if events between had
// been lost; less than 0 lets it go back.
func (s *Server) SkipSeq(by int64) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, x := range s.gate.sessions {
		x.seq += by
	}
}

// SendUnknown sends an opcode that no client can know.
func (s *Server) SendUnknown() { s.sayAll(map[string]any{"op": 77, "d": map[string]any{"x": 1}}) }

func (s *Server) sayAll(v map[string]any) {
	for _, c := range s.conns() {
		c.send(v)
	}
}

// Emit sends an event as given, to every session whatever its intents: for
// events that are malformed or unknown. data is the JSON of "d".
func (s *Server) Emit(name, data string) {
	if !json.Valid([]byte(data)) {
		s.t.Helper()
		s.t.Fatalf("Emit %s: not JSON: %s", name, data)
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, sess := range s.gate.sessions {
		if sess.ready {
			s.pushRaw(sess, name, []byte(data))
		}
	}
}

// Doubled sends every event twice while on.
func (s *Server) Doubled(on bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.gate.twice = on
}

// HoldEvents keeps events back until Release sends them, last first if asked.
func (s *Server) HoldEvents() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.gate.holding = true
}

// Release sends what HoldEvents kept.
func (s *Server) Release(reversed bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	held := s.gate.held
	s.gate.held, s.gate.holding = nil, false
	for i := range held {
		if reversed {
			i = len(held) - 1 - i
		}
		s.dispatch(held[i])
	}
}

// Identifies are what bots have said of themselves, in order.
func (s *Server) Identifies() []Identify {
	s.mu.Lock()
	defer s.mu.Unlock()
	return append([]Identify(nil), s.gate.identifies...)
}

// Closes are the codes that clients ended connections with; -1 where there was none.
func (s *Server) Closes() []int {
	s.mu.Lock()
	defer s.mu.Unlock()
	return append([]int(nil), s.gate.closes...)
}

// Ready reports how many sessions are connected and have had READY.
func (s *Server) Ready() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.ready()
}

func (s *Server) ready() int {
	n := 0
	for _, x := range s.gate.sessions {
		if x.ready && x.conn != nil {
			n++
		}
	}
	return n
}

// WaitReady waits until n sessions are connected.
func (s *Server) WaitReady(n int) {
	s.t.Helper()
	ctx, cancel := s.within()
	defer cancel()
	if !s.await(ctx, func() bool { return s.ready() >= n }) {
		s.t.Fatalf("no bot was ready within %v", s.o.Wait)
	}
}

// WaitIdentify waits for the nth IDENTIFY (from 1) and gives it.
func (s *Server) WaitIdentify(n int) Identify {
	s.t.Helper()
	ctx, cancel := s.within()
	defer cancel()
	if !s.await(ctx, func() bool { return len(s.gate.identifies) >= n }) {
		s.t.Fatalf("no IDENTIFY number %d within %v", n, s.o.Wait)
	}
	return s.Identifies()[n-1]
}

// Fault befalls requests over REST.
type Fault struct {
	Route   string // "POST /channels/{channel_id}/messages", as the specification writes it; "" is every one
	Channel string // only where the path has this channel's id; "" is every one
	Times   int    // requests that it befalls; 0 is until Clear
	Skip    int    // requests before it that are spared

	Delay  time.Duration // waits first
	Status int           // answers with this instead of acting
	Code   int           // the JSON error code with it
	HTML   bool          // answers as the edge does, without JSON
	Reset  bool          // cuts the connection instead of answering
	After  bool          // acts as usual, and then fails: the answer is lost, the message is there

	RetryAfter time.Duration // with Status 429
	Scope      string        // with Status 429: "user", "shared" or "global"

	Header map[string]string // with Status: besides, or over, what is sent anyhow; "" takes one away
	Raw    string            // with Status: the body, whatever it is
	Cut    bool              // sends half of the body as if it were all, also of the usual answer
	Drip   time.Duration     // between one byte of the body and the next, also of the usual answer

	srv  *Server
	hits int
}

// Inject lets a fault befall requests. The first fault that fits a request befalls it.
func (s *Server) Inject(f Fault) *Fault {
	s.mu.Lock()
	defer s.mu.Unlock()
	f.srv = s
	s.faults = append(s.faults, &f)
	return &f
}

// Hits says how many requests it has befallen.
func (f *Fault) Hits() int {
	f.srv.mu.Lock()
	defer f.srv.mu.Unlock()
	return f.hits
}

// Clear ends the fault.
func (f *Fault) Clear() {
	f.srv.mu.Lock()
	defer f.srv.mu.Unlock()
	for i, x := range f.srv.faults {
		if x == f {
			f.srv.faults = append(f.srv.faults[:i], f.srv.faults[i+1:]...)
			return
		}
	}
}

// faultFor finds the fault that befalls a request. Called with the lock held.
func (s *Server) faultFor(route, channel string) *Fault {
	for _, f := range s.faults {
		if f.Route != "" && f.Route != route || f.Channel != "" && f.Channel != channel || f.Times > 0 && f.hits >= f.Times {
			continue
		}
		if f.Skip > 0 {
			f.Skip--
			continue
		}
		f.hits++
		return f
	}
	return nil
}
