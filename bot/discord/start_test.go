package discord_test

import (
	"context"
	"errors"
	"io"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"tamis/bot"
	"tamis/bot/answer"
	"tamis/bot/discord"
	"tamis/bot/discord/discordtest"
	"tamis/bot/discord/wire"
	"tamis/kb"
	"tamis/kb/store"
)

var quick = wire.Timing{Again: 5 * time.Millisecond, Most: 50 * time.Millisecond, Invalid: 5 * time.Millisecond, Identify: time.Millisecond}

func logger(t testing.TB) *slog.Logger {
	if os.Getenv("TAMIS_TEST_LOG") != "" {
		return slog.New(slog.NewTextHandler(os.Stderr, &slog.HandlerOptions{Level: slog.LevelDebug}))
	}
	return slog.New(slog.NewTextHandler(io.Discard, nil))
}

// demo is the demo book, read once.
var demo = sync.OnceValue(func() *kb.Snapshot {
	s, err := store.OpenDemo(context.Background(), store.Home)
	if err != nil {
		panic(err)
	}
	snap, err := s.Head(context.Background(), store.Home)
	if err != nil {
		panic(err)
	}
	return snap
})

// demoAsker answers from the demo book. Tests share it: their channels differ.
func demoAsker(testing.TB) *bot.Asker { return shared() }

var shared = sync.OnceValue(func() *bot.Asker {
	a, err := bot.NewAsker(func(context.Context) (*kb.Snapshot, error) { return demo(), nil })
	if err != nil {
		panic(err)
	}
	return a
})

// server is a stand-in that waits as long as a busy machine may need.
func server(t testing.TB, opts ...discordtest.Options) *discordtest.Server {
	t.Helper()
	var o discordtest.Options
	if len(opts) > 0 {
		o = opts[0]
	}
	if o.Wait == 0 {
		o.Wait = 30 * time.Second
	}
	return discordtest.Start(t, o)
}

// bookAsker answers from a book in a folder, which it may change.
func bookAsker(t testing.TB, files map[string]string) (*bot.Asker, *store.Kept) {
	t.Helper()
	dir := t.TempDir()
	for name, text := range files {
		path := filepath.Join(dir, name)
		if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	k, err := store.OpenKept(context.Background(), store.Home, dir, store.Options{Now: time.Now})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = k.Close() })
	a, err := bot.NewAsker(func(ctx context.Context) (*kb.Snapshot, error) { return k.Head(ctx, store.Home) })
	if err != nil {
		t.Fatal(err)
	}
	a.Keep(store.One{Drafting: k, House: store.Home}, "channel")
	return a, k
}

// asker is an asker of a test's own.
type asker struct {
	book bookOf
	ask  func(ctx context.Context, m bot.Message) (bot.Reply, error)
}

type bookOf interface {
	Book(ctx context.Context) (*answer.Book, error)
}

func (a asker) Ask(ctx context.Context, m bot.Message) (bot.Reply, error) { return a.ask(ctx, m) }
func (a asker) Book(ctx context.Context) (*answer.Book, error)            { return a.book.Book(ctx) }

// words is a reply of words alone.
func words(text string) bot.Reply {
	r := bot.Reply{Answer: &answer.Answer{Status: answer.StatusAnswer, About: "lookup", Form: answer.FormTalk}}
	r.Text = text
	return r
}

// saying answers with what it is asked.
func saying(t testing.TB) asker {
	return asker{demoAsker(t), func(_ context.Context, m bot.Message) (bot.Reply, error) { return words("heard: " + m.Text), nil }}
}

type running struct {
	*discord.Adapter
	t    testing.TB
	stop context.CancelFunc
	done chan struct{}
	err  error
}

func options(t testing.TB, srv *discordtest.Server, a discord.Asker) discord.Options {
	return discord.Options{Token: srv.Token(), API: srv.API(), Houses: []discord.House{{ID: "home", Asker: a}}, Dir: t.TempDir(), Timing: quick, Log: logger(t)}
}

// start runs an adapter to the end of the test.
func start(t testing.TB, o discord.Options) *running {
	t.Helper()
	a, err := discord.New(o)
	if err != nil {
		t.Fatal(err)
	}
	return run(t, a)
}

func run(t testing.TB, a *discord.Adapter) *running {
	t.Helper()
	ctx, cancel := context.WithCancel(context.Background())
	r := &running{Adapter: a, t: t, stop: cancel, done: make(chan struct{})}
	go func() { defer close(r.done); r.err = a.Run(ctx) }()
	t.Cleanup(func() { r.end() })
	return r
}

// end stops it and waits.
func (r *running) end() error {
	r.t.Helper()
	r.stop()
	select {
	case <-r.done:
	case <-time.After(40 * time.Second):
		r.t.Fatal("the adapter does not stop")
	}
	return r.err
}

// serve is an adapter as the harness starts it.
func serve(t testing.TB, a discord.Asker, change func(*discord.Options)) discordtest.StartBot {
	return func(ctx context.Context, h discordtest.House) error {
		o := discord.Options{Token: h.Token, API: h.API, Houses: []discord.House{{ID: "home", Asker: a}}, Dir: h.Dir, Timing: quick, Log: logger(t), Stop: 2 * time.Second}
		if change != nil {
			change(&o)
		}
		b, err := discord.New(o)
		if err != nil {
			return err
		}
		kill := context.AfterFunc(ctx, func() {
			if errors.Is(context.Cause(ctx), discordtest.ErrKill) {
				b.Abort()
			}
		})
		defer kill()
		return b.Run(ctx)
	}
}

func has(t *testing.T, text string, parts ...string) {
	t.Helper()
	for _, p := range parts {
		if !strings.Contains(text, p) {
			t.Errorf("%q is not in:\n%s", p, text)
		}
	}
}
