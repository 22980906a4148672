package wire_test

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"sync"
	"testing"
	"time"

	"tamis/bot/discord/discordtest"
	"tamis/bot/discord/wire"
)

// body is a message as the adapter sends it.
func body(text, nonce string) map[string]any {
	b := map[string]any{"content": text, "allowed_mentions": map[string]any{"parse": []string{}}}
	if nonce != "" {
		b["nonce"], b["enforce_nonce"] = nonce, true
	}
	return b
}

const sendRoute = "POST /channels/{channel_id}/messages"

func send(ctx context.Context, rest *wire.REST, c *discordtest.Channel, text, nonce string) error {
	if nonce != "" {
		ctx = wire.Repeatable(ctx)
	}
	return rest.Do(ctx, http.MethodPost, "/channels/"+c.ID+"/messages", body(text, nonce), nil)
}

func TestRepeats(t *testing.T) {
	for _, test := range []struct {
		name  string
		fault discordtest.Fault
		nonce string
		tries int
		there int // messages afterwards
		fails bool
	}{
		{name: "503 with a nonce", fault: discordtest.Fault{Status: 503, Times: 2}, nonce: "a", tries: 3, there: 1},
		{name: "500 without one", fault: discordtest.Fault{Status: 500, Times: 1}, tries: 1, fails: true},
		{name: "the answer is lost", fault: discordtest.Fault{Reset: true, After: true, Times: 2}, nonce: "b", tries: 3, there: 1},
		{name: "the answer is lost, without a nonce", fault: discordtest.Fault{Reset: true, After: true, Times: 1}, tries: 1, there: 1, fails: true},
		{name: "429 of the bucket", fault: discordtest.Fault{Status: 429, RetryAfter: 100 * time.Millisecond, Scope: "user", Times: 1}, tries: 2, there: 1},
		{name: "429 shared", fault: discordtest.Fault{Status: 429, RetryAfter: 50 * time.Millisecond, Scope: "shared", Times: 2}, tries: 3, there: 1},
		{name: "403", fault: discordtest.Fault{Status: 403, Code: 50013, Times: 1}, nonce: "c", tries: 1, fails: true},
		{name: "slow, with a nonce", fault: discordtest.Fault{Delay: 600 * time.Millisecond, Times: 1}, nonce: "d", tries: 2, there: 1},
	} {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			s := discordtest.Start(t)
			pastry := s.Guild("Lodehavn").Channel("pastry")
			rest := newREST(t, s, wire.Limits{Attempt: 300 * time.Millisecond})
			test.fault.Route = sendRoute
			s.Inject(test.fault)
			err := send(context.Background(), rest, pastry, "an answer", test.nonce)
			if (err != nil) != test.fails {
				t.Errorf("error %v", err)
			}
			s.Until("all requests", func() bool { return len(s.Requests(sendRoute)) >= test.tries })
			if n := len(s.Requests(sendRoute)); n != test.tries {
				t.Errorf("%d requests, want %d", n, test.tries)
			}
			if n := len(pastry.Messages()); n != test.there {
				t.Errorf("%d messages, want %d", n, test.there)
			}
		})
	}
}

// TestGlobal: a global 429 stops the other buckets too, but no answers to interactions.
func TestGlobal(t *testing.T) {
	s := discordtest.Start(t)
	g := s.Guild("Lodehavn")
	a, b := g.Channel("pastry"), g.Channel("larder")
	rest := newREST(t, s, wire.Limits{})
	s.Inject(discordtest.Fault{Route: sendRoute, Channel: a.ID, Status: 429, RetryAfter: 400 * time.Millisecond, Scope: "global", Times: 1})
	began := time.Now()
	first := make(chan error, 1)
	go func() { first <- send(context.Background(), rest, a, "one", "") }()
	s.Until("the 429", func() bool { return s.Counts().RateLimited == 1 })
	time.Sleep(20 * time.Millisecond)
	if err := send(context.Background(), rest, b, "two", ""); err != nil {
		t.Error(err)
	}
	if took := time.Since(began); took < 400*time.Millisecond {
		t.Errorf("another channel's message went out after %v", took)
	}
	if err := <-first; err != nil {
		t.Error(err)
	}
	ctx, cancel := context.WithTimeout(context.Background(), 50*time.Millisecond)
	defer cancel()
	s.Inject(discordtest.Fault{Route: sendRoute, Status: 429, RetryAfter: 5 * time.Second, Scope: "global", Times: 1})
	began = time.Now()
	if err := send(ctx, rest, a, "three", ""); err == nil {
		t.Error("sent through a global 429")
	}
	if took := time.Since(began); took > time.Second {
		t.Errorf("a deadline of 50 ms ended after %v", took)
	}
}

// TestBuckets: a flood into one channel meets no 429 and holds no other channel up.
func TestBuckets(t *testing.T) {
	s := discordtest.Start(t, discordtest.Options{Rate: discordtest.Limit{Requests: 5, Per: 500 * time.Millisecond}, GlobalRate: -1})
	g := s.Guild("Lodehavn")
	rest := newREST(t, s, wire.Limits{PerSecond: -1})
	busy, calm := g.Channel("busy"), g.Channel("calm")
	var sending sync.WaitGroup
	for i := range 22 {
		sending.Go(func() {
			if err := send(context.Background(), rest, busy, fmt.Sprint(i), ""); err != nil {
				t.Error(err)
			}
		})
	}
	time.Sleep(30 * time.Millisecond)
	if err := send(context.Background(), rest, calm, "quick", ""); err != nil {
		t.Error(err)
	}
	if len(busy.Messages()) == 22 { // 22 at 5 in 500 ms: the flood is still on
		t.Error("the other channel waited for the flood")
	}
	sending.Wait()
	if c := s.Counts(); c.RateLimited > 1 || len(busy.Messages()) != 22 {
		t.Errorf("%d messages, %+v", len(busy.Messages()), c)
	}
}

func TestGlobalRate(t *testing.T) {
	s := discordtest.Start(t)
	g := s.Guild("Lodehavn")
	rest := newREST(t, s, wire.Limits{})
	var sending sync.WaitGroup
	for i := range 60 {
		c := g.Channel(fmt.Sprint("station-", i))
		sending.Go(func() {
			if err := send(context.Background(), rest, c, "x", ""); err != nil {
				t.Error(err)
			}
		})
	}
	sending.Wait()
	if c := s.Counts(); c.RateLimited != 0 {
		t.Errorf("%d 429s", c.RateLimited)
	}
}

func TestStops(t *testing.T) {
	t.Run("edge", func(t *testing.T) {
		s := discordtest.Start(t)
		pastry := s.Guild("Lodehavn").Channel("pastry")
		rest := newREST(t, s, wire.Limits{EdgePause: 3 * time.Second, Deadline: 2 * time.Second})
		s.Inject(discordtest.Fault{Route: sendRoute, Status: 429, HTML: true, Times: 1})
		if err := send(context.Background(), rest, pastry, "x", "n"); err == nil {
			t.Error("sent through an edge block")
		}
		if err := send(context.Background(), rest, pastry, "y", "m"); !errors.Is(err, wire.ErrEdge) {
			t.Errorf("then %v", err)
		}
		time.Sleep(3 * time.Second)
		if err := send(context.Background(), rest, pastry, "z", "o"); err != nil {
			t.Errorf("after the pause %v", err)
		}
	})
	t.Run("revoked", func(t *testing.T) {
		s := discordtest.Start(t)
		pastry := s.Guild("Lodehavn").Channel("pastry")
		rest := newREST(t, s, wire.Limits{})
		s.Revoke()
		for range 30 {
			if err := send(context.Background(), rest, pastry, "x", ""); err == nil {
				t.Fatal("sent with a revoked token")
			}
		}
		if n := len(s.Requests(sendRoute)); n != 1 {
			t.Errorf("%d requests with a dead token", n)
		}
		if err := send(context.Background(), rest, pastry, "x", ""); !errors.Is(err, wire.ErrToken) {
			t.Error(err)
		}
	})
	t.Run("ceiling", func(t *testing.T) {
		s := discordtest.Start(t)
		pastry := s.Guild("Lodehavn").Channel("pastry")
		rest := newREST(t, s, wire.Limits{MostInvalid: 5})
		s.Inject(discordtest.Fault{Route: sendRoute, Status: 403, Code: 50013})
		var err error
		for range 20 {
			err = send(context.Background(), rest, pastry, "x", "")
		}
		if !errors.Is(err, wire.ErrInvalid) || s.Counts().Invalid != 5 {
			t.Errorf("%v after %d", err, s.Counts().Invalid)
		}
	})
}

func TestNewTransport(t *testing.T) {
	for _, bad := range []string{"", "127.0.0.1:80", "ftp://x/api/v10", "http://"} {
		if _, err := wire.NewTransport(bad, wire.Limits{}, quiet); err == nil {
			t.Errorf("%q is taken", bad)
		}
	}
}
