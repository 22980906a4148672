package wire_test

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"slices"
	"sync"
	"testing"
	"time"

	"tamis/bot/discord/discordtest"
	"tamis/bot/discord/wire"
)

var quiet = slog.New(slog.NewTextHandler(io.Discard, nil))

// quick is a session's patience in tests.
var quick = wire.Timing{Hello: time.Second, Ready: 2 * time.Second, Again: 5 * time.Millisecond, Most: 20 * time.Millisecond, Invalid: time.Millisecond, Identify: time.Millisecond}

// heard keeps the contents of the messages that a fleet was told.
type heard struct {
	mu    sync.Mutex
	texts []string
	names []string
}

func (h *heard) handle(e wire.Event) {
	var m struct {
		Content string `json:"content"`
	}
	_ = json.Unmarshal(e.Data, &m) // READY has another shape
	h.mu.Lock()
	defer h.mu.Unlock()
	h.names = append(h.names, e.Name)
	if e.Name == "MESSAGE_CREATE" {
		h.texts = append(h.texts, m.Content)
	}
}

func (h *heard) count() int {
	h.mu.Lock()
	defer h.mu.Unlock()
	return len(h.texts)
}

func newREST(t *testing.T, s *discordtest.Server, l wire.Limits) *wire.REST {
	t.Helper()
	tr, err := wire.NewTransport(s.API(), l, quiet)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(tr.CloseIdle)
	rest, err := wire.NewREST(tr, s.Token())
	if err != nil {
		t.Fatal(err)
	}
	return rest
}

// fleet runs a fleet and gives what ends it with its error.
func fleet(t *testing.T, s *discordtest.Server, h *heard, o wire.Options) (f *wire.Fleet, done chan error) {
	t.Helper()
	o.Token, o.Log, o.Handle = s.Token(), quiet, h.handle
	if o.Intents == 0 {
		o.Intents = discordtest.IntentGuilds | discordtest.IntentGuildMessages | discordtest.IntentDirectMessages
	}
	if o.Timing == (wire.Timing{}) {
		o.Timing = quick
	}
	ctx, stop := context.WithCancel(context.Background())
	f = wire.NewFleet(newREST(t, s, wire.Limits{}), o)
	done = make(chan error, 1)
	ended := make(chan struct{})
	go func() { done <- f.Run(ctx); close(ended) }()
	t.Cleanup(func() {
		stop()
		select {
		case <-ended:
		case <-time.After(30 * time.Second):
			t.Error("the fleet does not end")
		}
	})
	return f, done
}

// TestGateway: whatever befalls connections, each message is told once and in order.
func TestGateway(t *testing.T) {
	tests := []struct {
		name  string
		o     discordtest.Options
		fault func(s *discordtest.Server)
		lost  bool // a new session: what was said between is for catching up
	}{
		{name: "reset", fault: func(s *discordtest.Server) { s.DropAll(discordtest.DropReset) }},
		{name: "mid frame", fault: func(s *discordtest.Server) { s.DropAll(discordtest.DropMidFrame) }},
		{name: "clean", fault: func(s *discordtest.Server) { s.DropAll(discordtest.DropClean) }},
		{name: "op 7", fault: func(s *discordtest.Server) { s.AskReconnect() }},
		{name: "op 9 resumable", fault: func(s *discordtest.Server) { s.InvalidateSessions(true) }},
		{name: "op 9", fault: func(s *discordtest.Server) { s.InvalidateSessions(false) }, lost: true},
		{name: "4000", fault: func(s *discordtest.Server) { s.CloseWith(4000) }},
		{name: "4009", fault: func(s *discordtest.Server) { s.CloseWith(4009) }, lost: true},
		{name: "no HELLO", fault: func(s *discordtest.Server) {
			s.FailConnections(discordtest.ConnFault{NoHello: true})
			s.DropAll(discordtest.DropReset)
		}},
		{name: "no READY", fault: func(s *discordtest.Server) {
			s.ForgetSessions()
			s.FailConnections(discordtest.ConnFault{NoReady: true, Skip: 1})
			s.DropAll(discordtest.DropReset)
		}, lost: true},
		{name: "op 7 before RESUMED", fault: func(s *discordtest.Server) {
			s.FailConnections(discordtest.ConnFault{ReconnectBeforeReady: true, Times: 2})
			s.DropAll(discordtest.DropReset)
		}},
		{name: "resume refused", fault: func(s *discordtest.Server) {
			s.FailConnections(discordtest.ConnFault{InvalidResume: true})
			s.DropAll(discordtest.DropReset)
		}, lost: true},
		{name: "heartbeat asked for", fault: func(s *discordtest.Server) { s.AskHeartbeat() }},
		{name: "no acknowledgements", o: discordtest.Options{Heartbeat: time.Second}, fault: func(s *discordtest.Server) {
			s.StopAcks(true)
			s.Until("the dead link is noticed", func() bool { return slices.Contains(s.Closes(), 4000) })
			s.StopAcks(false)
		}},
		{name: "unknown opcode", fault: func(s *discordtest.Server) { s.SendUnknown() }},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			test.o.Wait = 30 * time.Second
			s := discordtest.Start(t, test.o)
			g := s.Guild("Lodehavn")
			pastry, ada := g.Channel("pastry"), g.Member("Ada")
			h := &heard{}
			f, _ := fleet(t, s, h, wire.Options{})
			s.WaitReady(1)
			want := 0
			for range 3 {
				pastry.Ask(ada, fmt.Sprint(want))
				want++
			}
			s.Until("the first messages", func() bool { return h.count() == want })
			test.fault(s)
			if test.lost {
				s.Until("a new session", func() bool { return len(s.Identifies()) > 1 && s.Ready() == 1 })
			}
			for range 3 {
				pastry.Ask(ada, fmt.Sprint(want))
				want++
			}
			s.Until("the later messages", func() bool { return h.count() == want })
			for i, text := range h.texts {
				if text != s.Mention()+" "+fmt.Sprint(i) {
					t.Errorf("message %d is %q", i, text)
				}
			}
			s.Until("the one session is up", func() bool { // what was missed comes before the word that it is
				ready, all := f.Ready()
				return ready == 1 && all == 1
			})
		})
	}
}

// TestFatal: these codes end the fleet with what to do, and nothing is tried again.
func TestFatal(t *testing.T) {
	for _, code := range []int{4004, 4010, 4011, 4012, 4013, 4014} {
		t.Run(fmt.Sprint(code), func(t *testing.T) {
			t.Parallel()
			s := discordtest.Start(t, discordtest.Options{Wait: 30 * time.Second})
			s.FailConnections(discordtest.ConnFault{CloseIdentify: code})
			_, done := fleet(t, s, &heard{}, wire.Options{})
			var fatal *wire.FatalError
			select {
			case err := <-done:
				if !errors.As(err, &fatal) || fatal.Code != code || fatal.Say == "" {
					t.Errorf("ended with %v", err)
				}
			case <-time.After(30 * time.Second):
				t.Fatal("goes on")
			}
			time.Sleep(50 * time.Millisecond)
			if n := s.Counts().Connections; n != 1 {
				t.Errorf("%d connections", n)
			}
		})
	}
}

func TestRevoked(t *testing.T) {
	s := discordtest.Start(t, discordtest.Options{Wait: 30 * time.Second})
	_, done := fleet(t, s, &heard{}, wire.Options{})
	s.WaitReady(1)
	s.Revoke()
	select {
	case err := <-done:
		var fatal *wire.FatalError
		if !errors.As(err, &fatal) || fatal.Code != 4004 {
			t.Errorf("ended with %v", err)
		}
	case <-time.After(30 * time.Second):
		t.Fatal("goes on with a revoked token")
	}
}

// TestShards: the number asked for, and a range of one's own.
func TestShards(t *testing.T) {
	for _, test := range []struct {
		text string
		want [][2]int
	}{
		{"", [][2]int{{0, 3}, {1, 3}, {2, 3}}},
		{"2", [][2]int{{0, 2}, {1, 2}}},
		{"1-2/4", [][2]int{{1, 4}, {2, 4}}},
		{"3/4", [][2]int{{3, 4}}},
	} {
		shards, err := wire.ParseShards(test.text)
		if err != nil {
			t.Fatal(err)
		}
		s := discordtest.Start(t, discordtest.Options{Shards: 3, Wait: 30 * time.Second})
		f, _ := fleet(t, s, &heard{}, wire.Options{Shards: shards})
		s.WaitReady(len(test.want))
		var got [][2]int
		for _, id := range s.Identifies() {
			got = append(got, id.Shard)
		}
		slices.SortFunc(got, func(a, b [2]int) int { return a[0] - b[0] })
		if !slices.Equal(got, test.want) {
			t.Errorf("%q: shards %v, want %v", test.text, got, test.want)
		}
		s.Until("all sessions", func() bool { ready, all := f.Ready(); return ready == len(test.want) && all == ready })
	}
	for _, bad := range []string{"0", "-1", "x", "2-1/4", "0-4/4", "a/4", "1-/4", "99999"} {
		if s, err := wire.ParseShards(bad); err == nil {
			t.Errorf("%q reads as %+v", bad, s)
		}
	}
}

// TestIdentifyPace: a second identify within 5 s is answered with op 9.
func TestIdentifyPace(t *testing.T) {
	s := discordtest.Start(t, discordtest.Options{Shards: 2, PacedIdentify: true, Wait: 30 * time.Second})
	timing := quick
	timing.Identify = 5100 * time.Millisecond
	fleet(t, s, &heard{}, wire.Options{Timing: timing})
	s.WaitReady(2)
	if c := s.Counts(); c.FastIdentify != 0 || c.Identifies != 2 {
		t.Errorf("%+v", c)
	}
}

func FuzzParseShards(f *testing.F) {
	f.Add("0-3/8")
	f.Add("4")
	f.Fuzz(func(t *testing.T, text string) {
		s, err := wire.ParseShards(text)
		if err == nil && s != (wire.Shards{}) && (s.First < 0 || s.Last < s.First || s.Last >= s.Total) {
			t.Errorf("%q: %+v", text, s)
		}
	})
}
