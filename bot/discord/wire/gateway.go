package wire

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"math/rand/v2"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"sync"
	"time"

	"github.com/bwmarrin/discordgo"
	"github.com/gorilla/websocket"
)

// The client library's own gateway session can block for ever while it opens,
// deadlocks on op 7, notices a dead link after five beats and reconnects for ever
// after codes that forbid it. So the session is spoken here, on the library's
// websocket, with its types.

// Opcodes.
const (
	opDispatch, opHeartbeat, opIdentify = 0, 1, 2
	opResume, opReconnect               = 6, 7
	opInvalid, opHello, opAck           = 9, 10, 11
)

// Event is one event of the gateway, undecoded: an event of which one field does
// not decode is still an event.
type Event struct {
	Shard int
	Name  string // "MESSAGE_CREATE"
	Data  json.RawMessage
}

// FatalError is a close code after which connecting again is forbidden or
// pointless.
type FatalError struct {
	Code int
	Say  string // what is wrong and what to do
}

func (e *FatalError) Error() string {
	return fmt.Sprintf("the gateway closed the session for good (%d): %s", e.Code, e.Say)
}

// fatal are the codes that must not be tried again.
var fatal = map[int]string{
	4004: "the token is wrong or was revoked; take a new one from the application's page",
	4010: "the shard is none of the number told; check the shard range",
	4011: "the bot is in so many servers that it needs more shards; let the number be asked for",
	4012: "this gateway version is gone; tamis has to be updated",
	4013: "the intents are no valid number; tamis has to be updated",
	4014: "an intent is asked for that the application does not have; switch it on on the application's page, or mark no channel as open",
}

// Timing is how patient a session is. The zero value suits the platform.
type Timing struct {
	Hello    time.Duration // until HELLO; 0 is 15 s
	Ready    time.Duration // until READY or RESUMED; 0 is 30 s
	Write    time.Duration // for one write; 0 is 10 s
	Again    time.Duration // after the first failed connection, doubled each time; 0 is 0.5 s
	Most     time.Duration // the longest of those; 0 is 60 s
	Invalid  time.Duration // at least so long after op 9, and at most five times as long; 0 is 1 s
	Identify time.Duration // between identifies; 0 is 5 s
}

func (t Timing) filled() Timing {
	t.Hello, t.Ready, t.Write = orDuration(t.Hello, 15*time.Second), orDuration(t.Ready, 30*time.Second), orDuration(t.Write, 10*time.Second)
	t.Again, t.Most = orDuration(t.Again, 500*time.Millisecond), orDuration(t.Most, time.Minute)
	t.Invalid, t.Identify = orDuration(t.Invalid, time.Second), orDuration(t.Identify, 5*time.Second)
	return t
}

// session is one shard's stream of events over many connections.
type session struct {
	f       *Fleet
	shard   int
	id      string
	seq     int64
	resume  string // address to resume at
	backoff time.Duration

	mu    sync.Mutex
	ready bool
}

type frame struct {
	Op int             `json:"op"`
	S  *int64          `json:"s"`
	T  string          `json:"t"`
	D  json.RawMessage `json:"d"`
}

var (
	errReconnect = errors.New("the gateway asks to connect again")
	errInvalid   = errors.New("the session is invalid")
	errZombie    = errors.New("a heartbeat was not acknowledged")
)

// run keeps the session up until ctx ends or a fatal code comes.
func (s *session) run(ctx context.Context) error {
	for {
		began := time.Now()
		was, err := s.connect(ctx)
		if ctx.Err() != nil {
			return nil
		}
		var closed *websocket.CloseError
		if errors.As(err, &closed) {
			if say, ok := fatal[closed.Code]; ok {
				return &FatalError{closed.Code, say}
			}
			if closed.Code == 4007 || closed.Code == 4009 {
				s.forget()
			}
		}
		if errors.Is(err, ErrToken) {
			return &FatalError{4004, fatal[4004]}
		}
		var wait time.Duration
		switch {
		case errors.Is(err, errInvalid):
			wait = time.Duration((1 + 4*rand.Float64()) * float64(s.f.o.Timing.Invalid))
		case was && time.Since(began) > 10*time.Second:
			s.backoff = 0
		default:
			wait = s.backoff
			s.backoff = min(max(2*s.backoff, s.f.o.Timing.Again), s.f.o.Timing.Most)
			wait = time.Duration(float64(wait) * (0.75 + rand.Float64()/2))
		}
		s.f.dropped(s.shard, err)
		s.f.o.Log.Info("the gateway's connection has ended", "shard", s.shard, "why", reason(err), "again in", wait.Round(time.Millisecond))
		if !sleep(ctx, wait) {
			return nil
		}
	}
}

// reason is an error without addresses.
func reason(err error) string {
	var u *url.Error
	if errors.As(err, &u) {
		err = u.Err
	}
	if err == nil {
		return ""
	}
	return err.Error()
}

func (s *session) forget() { s.id, s.seq, s.resume = "", 0, "" }

func (s *session) setReady(on bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.ready = on
}

func (s *session) isReady() bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.ready
}

// connect makes one connection and reads it to its end. was: it became ready.
func (s *session) connect(ctx context.Context) (was bool, err error) {
	at, resuming := s.resume, s.id != ""
	if !resuming {
		if at, err = s.f.address(ctx, s.shard); err != nil {
			return false, err
		}
	}
	c, err := s.dial(ctx, at)
	if err != nil {
		if resuming { // the address may be gone; the ordinary one resumes too
			s.resume = s.f.ordinary()
		}
		return false, err
	}
	defer s.setReady(false)
	defer c.ws.Close()
	code := 4000 // leaves the session to be resumed; 1000 would end it
	stop := context.AfterFunc(ctx, func() { c.close(websocket.CloseNormalClosure) })
	defer stop()
	defer func() { c.close(code) }()

	hello, err := c.read(s.f.o.Timing.Hello)
	if err != nil {
		return false, fmt.Errorf("waiting for HELLO: %w", err)
	}
	var h struct {
		Interval int64 `json:"heartbeat_interval"`
	}
	if hello.Op != opHello || json.Unmarshal(hello.D, &h) != nil || h.Interval <= 0 {
		return false, fmt.Errorf("the gateway began with op %d, not with HELLO", hello.Op)
	}
	interval := time.Duration(h.Interval) * time.Millisecond
	if resuming {
		err = c.send(opResume, map[string]any{"token": s.f.o.Token, "session_id": s.id, "seq": s.seq})
	} else {
		err = c.send(opIdentify, discordgo.Identify{Token: s.f.o.Token, Intents: discordgo.Intent(s.f.o.Intents), Shard: &[2]int{s.shard, s.f.total()},
			LargeThreshold: 50, Properties: discordgo.IdentifyProperties{OS: "linux", Browser: "tamis", Device: "tamis"}})
	}
	if err != nil {
		if _, why := c.read(time.Second); why != nil { // the close code says more than the failed write
			err = why
		}
		return false, err
	}
	c.beats(interval, s)
	end := time.Now().Add(s.f.o.Timing.Ready)
	for {
		patience := 2*interval + s.f.o.Timing.Write // the watchdog: beats are answered within one interval
		if !was {
			if patience = time.Until(end); patience <= 0 {
				return was, errors.New("the gateway said neither READY nor RESUMED in time")
			}
		}
		f, err := c.read(patience)
		if err != nil {
			return was, c.cause(err)
		}
		if f.S != nil {
			c.setSeq(*f.S)
			s.seq = *f.S
		}
		switch f.Op {
		case opHeartbeat:
			c.beat()
		case opAck:
			c.acked()
		case opReconnect:
			return was, errReconnect
		case opInvalid:
			if string(f.D) != "true" {
				s.forget()
			}
			return was, errInvalid
		case opDispatch:
			switch f.T {
			case "READY":
				var r struct {
					ID     string `json:"session_id"`
					Resume string `json:"resume_gateway_url"`
				}
				if err := json.Unmarshal(f.D, &r); err != nil || r.ID == "" {
					return was, fmt.Errorf("READY names no session: %w", err)
				}
				s.id, s.resume = r.ID, r.Resume
				if s.resume == "" {
					s.resume = at
				}
				was = true
			case "RESUMED":
				was = true
			}
			if was && !s.isReady() {
				s.setReady(true)
				s.f.o.Log.Info("connected", "shard", s.shard, "resumed", f.T == "RESUMED")
			}
			s.f.o.Handle(Event{Shard: s.shard, Name: f.T, Data: f.D})
		}
	}
}

// mostFrame is the largest payload that is read: a big server's GUILD_CREATE.
const mostFrame = 64 << 20

func (s *session) dial(ctx context.Context, at string) (*link, error) {
	u, err := url.Parse(at)
	if err != nil {
		return nil, err
	}
	u.RawQuery = "v=" + s.f.version() + "&encoding=json"
	if u.Path == "" {
		u.Path = "/"
	}
	ctx, cancel := context.WithTimeout(ctx, s.f.o.Timing.Hello)
	defer cancel()
	d := websocket.Dialer{Proxy: http.ProxyFromEnvironment, HandshakeTimeout: s.f.o.Timing.Hello}
	ws, resp, err := d.DialContext(ctx, u.String(), nil)
	if resp != nil && resp.Body != nil {
		_ = resp.Body.Close() // a refusal's text says nothing more
	}
	if err != nil {
		return nil, err
	}
	ws.SetReadLimit(mostFrame)
	return &link{ws: ws, write: s.f.o.Timing.Write, done: make(chan struct{})}, nil
}

// link is one connection.
type link struct {
	ws    *websocket.Conn
	write time.Duration
	done  chan struct{}
	once  sync.Once

	wmu   sync.Mutex
	sends []time.Time

	mu      sync.Mutex
	seq     *int64
	waiting bool // for an acknowledgement
	zombie  bool
}

func (c *link) read(patience time.Duration) (frame, error) {
	if err := c.ws.SetReadDeadline(time.Now().Add(patience)); err != nil {
		return frame{}, err
	}
	_, data, err := c.ws.ReadMessage()
	if err != nil {
		return frame{}, err
	}
	var f frame
	if err := json.Unmarshal(data, &f); err != nil {
		return frame{}, fmt.Errorf("a payload that is no JSON: %w", err)
	}
	return f, nil
}

// mostSends is how many payloads go out in a minute: the platform closes at 120.
const mostSends = 110

var errFlood = errors.New("the gateway asks for more than it takes")

func (c *link) send(op int, d any) error {
	data, err := json.Marshal(map[string]any{"op": op, "d": d})
	if err != nil {
		return err
	}
	c.wmu.Lock()
	defer c.wmu.Unlock()
	now := time.Now()
	for len(c.sends) > 0 && now.Sub(c.sends[0]) > time.Minute {
		c.sends = c.sends[1:]
	}
	if len(c.sends) >= mostSends {
		return errFlood
	}
	c.sends = append(c.sends, now)
	if err := c.ws.SetWriteDeadline(now.Add(c.write)); err != nil {
		return err
	}
	return c.ws.WriteMessage(websocket.TextMessage, data)
}

func (c *link) setSeq(n int64) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.seq = &n
}

func (c *link) beat() {
	c.mu.Lock()
	seq := c.seq
	c.mu.Unlock()
	if err := c.send(opHeartbeat, seq); err != nil && !errors.Is(err, errFlood) {
		_ = c.ws.Close() // the reader sees it
	}
}

func (c *link) acked() {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.waiting = false
}

// beats sends heartbeats; one that was not acknowledged by the next ends the
// connection, which stays to be resumed.
func (c *link) beats(interval time.Duration, s *session) {
	go func() {
		wait := time.Duration(rand.Float64() * float64(interval))
		for {
			t := time.NewTimer(wait)
			select {
			case <-c.done:
				t.Stop()
				return
			case <-t.C:
			}
			c.mu.Lock()
			if c.waiting {
				c.zombie = true
				c.mu.Unlock()
				c.close(4000)
				return
			}
			c.waiting = true
			c.mu.Unlock()
			c.beat()
			wait = interval
		}
	}()
}

// cause is why reading ended.
func (c *link) cause(err error) error {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.zombie {
		return errZombie
	}
	return err
}

// close ends the connection with a code; the first call counts.
func (c *link) close(code int) {
	c.once.Do(func() {
		close(c.done)
		end := time.Now().Add(time.Second)
		_ = c.ws.WriteControl(websocket.CloseMessage, websocket.FormatCloseMessage(code, ""), end) // the other side may be gone
		_ = c.ws.Close()
	})
}

// Fleet is the gateway side of a bot: one session for each shard of its range.
type Fleet struct {
	o    Options
	rest *REST

	mu       sync.Mutex
	number   int
	first    int
	last     int
	at       string
	gates    []time.Time // when each start key last identified
	parallel int
	sessions []*session
}

// Shards says which sessions a process opens. The zero value asks the platform
// for the number and opens all.
type Shards struct {
	Total       int // 0: asked for
	First, Last int // of a range; both 0 with Total 0 or with no range: all
}

// ParseShards reads "4" (four, all of them here), "0-3/8" (the first four of
// eight) or "" (asked for).
func ParseShards(text string) (Shards, error) {
	bad := fmt.Errorf("shards %q are neither a number (4) nor a range (0-3/8)", text)
	if text == "" || text == "auto" {
		return Shards{}, nil
	}
	part, total, ranged := strings.Cut(text, "/")
	if !ranged {
		part, total = "", text
	}
	n, err := strconv.Atoi(total)
	if err != nil || n < 1 || n > 10000 {
		return Shards{}, bad
	}
	s := Shards{Total: n, Last: n - 1}
	if !ranged {
		return s, nil
	}
	from, to, several := strings.Cut(part, "-")
	if !several {
		to = from
	}
	if s.First, err = strconv.Atoi(from); err != nil {
		return Shards{}, bad
	}
	if s.Last, err = strconv.Atoi(to); err != nil || s.First < 0 || s.Last < s.First || s.Last >= n {
		return Shards{}, bad
	}
	return s, nil
}

// Options are what a fleet is started with.
type Options struct {
	Token   string
	Intents int
	Shards  Shards
	Timing  Timing
	// Handle gets the events of a shard in order. It must not block: heartbeats
	// are answered behind it.
	Handle func(Event)
	// Dropped is called when a connection ends; nil: not.
	Dropped func(shard int)
	Log     *slog.Logger
}

// NewFleet returns a fleet that asks rest for the gateway's address.
func NewFleet(rest *REST, o Options) *Fleet {
	o.Timing = o.Timing.filled()
	return &Fleet{o: o, rest: rest}
}

func (f *Fleet) dropped(shard int, _ error) {
	if f.o.Dropped != nil {
		f.o.Dropped(shard)
	}
}

func (f *Fleet) total() int {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.number
}

func (f *Fleet) ordinary() string {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.at
}

// version is the gateway's, that of the API base.
func (f *Fleet) version() string {
	if strings.HasSuffix(f.rest.t.base.Path, "/v9") {
		return "9"
	}
	return "10"
}

// gatewayBot is what the platform says of new sessions.
type gatewayBot struct {
	URL    string `json:"url"`
	Shards int    `json:"shards"`
	Limit  struct {
		Total          int   `json:"total"`
		Remaining      int   `json:"remaining"`
		ResetAfter     int64 `json:"reset_after"` // ms
		MaxConcurrency int   `json:"max_concurrency"`
	} `json:"session_start_limit"`
}

// Run opens the sessions and keeps them up until ctx ends.
//
//   - Errors: [*FatalError], [ErrToken].
func (f *Fleet) Run(ctx context.Context) error {
	g, err := f.ask(ctx)
	if err != nil {
		if ctx.Err() != nil {
			return nil
		}
		return err
	}
	f.mu.Lock()
	f.number, f.first, f.last = f.o.Shards.Total, f.o.Shards.First, f.o.Shards.Last
	if f.number == 0 {
		f.number, f.first, f.last = max(1, g.Shards), 0, max(1, g.Shards)-1
	}
	f.at, f.parallel = g.URL, max(1, g.Limit.MaxConcurrency)
	f.gates = make([]time.Time, f.parallel)
	for i := f.first; i <= f.last; i++ {
		f.sessions = append(f.sessions, &session{f: f, shard: i})
	}
	sessions := f.sessions
	f.mu.Unlock()
	f.o.Log.Info("connecting", "shards", f.number, "from", f.first, "to", f.last, "sessions left today", g.Limit.Remaining)
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	errs := make([]error, len(sessions))
	var running sync.WaitGroup
	for i, s := range sessions {
		running.Go(func() {
			if errs[i] = s.run(ctx); errs[i] != nil {
				stop()
			}
		})
	}
	running.Wait()
	return errors.Join(errs...)
}

// Ready reports how many of the sessions are connected, and how many there are.
func (f *Fleet) Ready() (ready, all int) {
	f.mu.Lock()
	defer f.mu.Unlock()
	for _, s := range f.sessions {
		if s.isReady() {
			ready++
		}
	}
	return ready, len(f.sessions)
}

// ask asks for the gateway's address until it is told.
func (f *Fleet) ask(ctx context.Context) (gatewayBot, error) {
	wait := f.o.Timing.Again
	for {
		var g gatewayBot
		err := f.rest.Do(ctx, http.MethodGet, "/gateway/bot", nil, &g)
		if s := Status(err); s == http.StatusNotFound || s == http.StatusMethodNotAllowed { // a server that tells the address alone
			err = f.rest.Do(ctx, http.MethodGet, "/gateway", nil, &g)
		}
		if err == nil && g.URL != "" {
			return g, nil
		}
		if errors.Is(err, ErrToken) || Status(err) == http.StatusUnauthorized {
			return g, fmt.Errorf("%w: %s", ErrToken, fatal[4004])
		}
		if ctx.Err() != nil {
			return g, ctx.Err()
		}
		f.o.Log.Warn("the gateway's address could not be asked", "err", err, "again in", wait)
		if !sleep(ctx, wait) {
			return g, ctx.Err()
		}
		wait = min(2*wait, f.o.Timing.Most)
	}
}

// fewSessions is how many of a day's sessions are left for a person to restart with.
const fewSessions = 5

// address waits until the shard may identify, and gives the gateway's address.
func (f *Fleet) address(ctx context.Context, shard int) (string, error) {
	f.mu.Lock()
	key := shard % f.parallel
	at := f.gates[key]
	now := time.Now()
	if at.Before(now) {
		at = now
	}
	f.gates[key] = at.Add(f.o.Timing.Identify)
	f.mu.Unlock()
	if wait := at.Sub(now); wait > 0 && !sleep(ctx, wait) {
		return "", ctx.Err()
	}
	g, err := f.ask(ctx)
	if err != nil {
		return "", err
	}
	if reset := time.Duration(g.Limit.ResetAfter) * time.Millisecond; g.Limit.Total > 0 && g.Limit.Remaining < min(fewSessions, g.Limit.Total) && reset > 0 {
		f.o.Log.Error("the day's new sessions are nearly used up; past them the platform resets the token, so this waits", "left", g.Limit.Remaining, "wait", reset)
		if !sleep(ctx, reset) {
			return "", ctx.Err()
		}
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	f.at = g.URL
	return g.URL, nil
}
