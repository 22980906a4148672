package discordtest

import (
	"context"
	"fmt"
	"net"
	"net/http"
	"strconv"
	"sync"
	"testing"
	"time"
)

// Options set up a Server. The zero value is the platform as a small bot finds it.
type Options struct {
	Token        string        // the bot's token; "" is DefaultToken
	Intents      int           // privileged intents that the portal has switched on
	Heartbeat    time.Duration // interval told in HELLO; 0 is 41.25 s
	Shards       int           // shards that GET /gateway/bot advises; 0 is 1
	SessionsLeft int           // identifies left of the day's; 0 is 1000
	// PacedIdentify answers a second identify within 5 s with op 9, as the
	// platform does; without it tests need not wait.
	PacedIdentify bool

	Rate       Limit // of each bucket; the zero value is 50 in 1 s
	GlobalRate int   // requests a second over all buckets; 0 is 50, less is no limit

	KeepMessages int // of each channel; 0 is 1000
	KeepEvents   int // for RESUME, of each session; 0 is 1000
	KeepRequests int // in the record; 0 is 5000

	// MentionsOpen admits messages that leave allowed_mentions out. Without it
	// they are violations: user text in them could ping anyone.
	MentionsOpen bool
	// Unchecked leaves out the checks against the specification, to measure
	// what they cost. Never in a test.
	Unchecked bool
	// Wait is how long the waiting calls wait; 0 is 5 s.
	Wait time.Duration
}

// Limit is a rate: so many requests in so long.
type Limit struct {
	Requests int
	Per      time.Duration
}

// DefaultToken is a token by form only: it opens nothing anywhere.
const DefaultToken = "stand-in.token.of-a-test"

// Server is the stand-in. All its methods may be called from any goroutine.
type Server struct {
	t    testing.TB
	o    Options
	spec *spec
	addr string
	http *http.Server

	mu      sync.Mutex
	changed chan struct{}
	waiting int
	shift   time.Duration // what the tests have moved the clock by
	lastID  int64
	started time.Time
	token   string // "" once revoked
	app     *User
	closed  bool

	users      map[string]*User
	guilds     map[string]*Guild
	guildOrder []string
	channels   map[string]*Channel
	dms        map[string]*Channel // by the other's id
	hidden     map[string]*Message // ephemeral ones
	files      map[string]File     // by attachment id
	nonces     map[string]*Message
	nonceOrder []string
	inter      map[string]*Interaction // by token
	interOrder []string
	commands   map[string][]map[string]any // by guild id, "" is global
	rev        int                         // counts changes of commands

	gate     gate
	buckets  map[string]*bucket
	global   bucket
	blocked  map[string]block
	faults   []*Fault
	requests []Request
	invalid  int // 401, 403 and 429 but for shared ones
	deadHits int
	faulty   []string // violations of the bot
	own      []string // faults of this server
	onBot    []func(Message)
	counts   Counts
}

// Counts are sums over the server's life.
type Counts struct {
	Requests      int // over REST
	BotMessages   int // that the bot has made, answers to interactions as well
	Deduplicated  int // sends that an enforced nonce kept from being doubled
	Invalid       int // 401, 403 and 429 but for shared ones: the platform bans at 10,000 in 10 minutes
	RateLimited   int // 429s
	Late          int // answers to interactions after 3 s
	Connections   int // to the gateway
	Identifies    int
	Resumes       int // that succeeded
	FastIdentify  int // identifies within 5 s of another
	Typing        int
	HeldInvisible int // events kept from the bot for want of an intent or a permission
}

// Start starts a server on a free port of 127.0.0.1 and stops it when the test
// ends. The test fails then if the bot has broken a rule of the platform or the
// server one of the specification.
func Start(t testing.TB, opts ...Options) *Server {
	t.Helper()
	s, err := newServer(opts...)
	if err != nil {
		t.Fatal(err)
	}
	s.t = t
	t.Cleanup(func() {
		s.Close()
		for _, v := range s.TakeViolations() {
			t.Errorf("the bot broke a rule: %s", v)
		}
		s.mu.Lock()
		defer s.mu.Unlock()
		for _, v := range s.own {
			t.Errorf("the test server is at fault: %s", v)
		}
	})
	return s
}

func newServer(opts ...Options) (*Server, error) {
	var o Options
	if len(opts) > 0 {
		o = opts[0]
	}
	def := func(p *int, v int) {
		if *p == 0 {
			*p = v
		}
	}
	if o.Token == "" {
		o.Token = DefaultToken
	}
	if o.Heartbeat == 0 {
		o.Heartbeat = 41250 * time.Millisecond
	}
	if o.Rate.Requests == 0 {
		o.Rate = Limit{50, time.Second}
	}
	if o.Wait == 0 {
		o.Wait = 5 * time.Second
	}
	def(&o.Shards, 1)
	def(&o.SessionsLeft, 1000)
	def(&o.GlobalRate, 50)
	def(&o.KeepMessages, 1000)
	def(&o.KeepEvents, 1000)
	def(&o.KeepRequests, 5000)
	sp, err := theSpec()
	if err != nil {
		return nil, err
	}
	s := &Server{
		o: o, spec: sp, changed: make(chan struct{}), started: time.Now(), token: o.Token,
		users: map[string]*User{}, guilds: map[string]*Guild{}, channels: map[string]*Channel{}, dms: map[string]*Channel{},
		hidden: map[string]*Message{}, files: map[string]File{}, nonces: map[string]*Message{}, inter: map[string]*Interaction{},
		commands: map[string][]map[string]any{}, buckets: map[string]*bucket{}, blocked: map[string]block{},
	}
	s.gate.init(o)
	s.app = s.newUser("tamis", true)
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return nil, fmt.Errorf("no port for the test server: %w", err)
	}
	s.addr = l.Addr().String()
	s.http = &http.Server{Handler: http.HandlerFunc(s.serve), ReadHeaderTimeout: 10 * time.Second}
	go func() { _ = s.http.Serve(l) }()
	return s, nil
}

// Close cuts all connections and stops listening.
func (s *Server) Close() {
	s.mu.Lock()
	s.closed = true
	s.mu.Unlock()
	s.DropAll(DropReset)
	_ = s.http.Close()
}

// API is the base of the REST side, as TAMIS_DISCORD_API takes it.
func (s *Server) API() string { return "http://" + s.addr + "/api/v10" }

// Token is the bot's token.
func (s *Server) Token() string { return s.o.Token }

// Bot is the bot's own user; its id is the application's as well.
func (s *Server) Bot() *User { return s.app }

// Mention is the text that mentions the bot.
func (s *Server) Mention() string { return "<@" + s.app.ID + ">" }

// Advance moves the server's clock ahead: interaction tokens age, limits reset.
func (s *Server) Advance(d time.Duration) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.shift += d
}

// Revoke makes the token worthless: REST answers 401, the gateway closes with 4004.
func (s *Server) Revoke() {
	s.mu.Lock()
	s.token = ""
	s.mu.Unlock()
	s.CloseWith(4004)
}

// Counts gives the sums so far.
func (s *Server) Counts() Counts {
	s.mu.Lock()
	defer s.mu.Unlock()
	c := s.counts
	c.Invalid = s.invalid
	return c
}

// Violations are the rules that the bot has broken so far.
func (s *Server) Violations() []string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return append([]string(nil), s.faulty...)
}

// TakeViolations gives the violations and forgets them, for tests that mean them.
func (s *Server) TakeViolations() []string {
	s.mu.Lock()
	defer s.mu.Unlock()
	v := s.faulty
	s.faulty = nil
	return v
}

// OnBotMessage calls f for each message that the bot makes, before the bot has
// its answer. f must not call the server.
func (s *Server) OnBotMessage(f func(Message)) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.onBot = append(s.onBot, f)
}

// now is the server's clock. Called with the lock held.
func (s *Server) now() time.Time { return time.Now().Add(s.shift) }

const epoch = 1420070400000 // the platform's, in Unix ms

// newID makes a snowflake. Called with the lock held, or before the server runs.
func (s *Server) newID() string {
	id := (s.now().UnixMilli() - epoch) << 22
	if id <= s.lastID {
		id = s.lastID + 1
	}
	s.lastID = id
	return strconv.FormatInt(id, 10)
}

// violate records a broken rule. Called with the lock held.
func (s *Server) violate(format string, args ...any) {
	if len(s.faulty) < 200 {
		s.faulty = append(s.faulty, fmt.Sprintf(format, args...))
	}
	s.notify()
}

func (s *Server) ownFault(format string, args ...any) {
	if len(s.own) < 50 {
		s.own = append(s.own, fmt.Sprintf(format, args...))
	}
}

// notify wakes those who wait. Called with the lock held.
func (s *Server) notify() {
	if s.waiting > 0 {
		close(s.changed)
		s.changed = make(chan struct{})
	}
}

// await waits until ok, which is called with the lock held, says so.
func (s *Server) await(ctx context.Context, ok func() bool) bool {
	for {
		s.mu.Lock()
		if ok() {
			s.mu.Unlock()
			return true
		}
		ch := s.changed
		s.waiting++
		s.mu.Unlock()
		var ended bool
		select {
		case <-ch:
		case <-ctx.Done():
			ended = true
		case <-time.After(50 * time.Millisecond): // the clock alone may bring it about
		}
		s.mu.Lock()
		s.waiting--
		s.mu.Unlock()
		if ended {
			return false
		}
	}
}

// Until waits until ok holds and fails the test when it does not in time.
func (s *Server) Until(what string, ok func() bool) {
	s.t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), s.o.Wait)
	defer cancel()
	// ok may ask the server, so it is called without its lock
	for !ok() {
		select {
		case <-ctx.Done():
			s.t.Fatalf("waited %v in vain: %s", s.o.Wait, what)
		case <-time.After(2 * time.Millisecond):
		}
	}
}

func (s *Server) within() (context.Context, context.CancelFunc) {
	return context.WithTimeout(context.Background(), s.o.Wait)
}
