package socket_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"tamis/bot/socket"
)

func quiet() *slog.Logger { return slog.New(slog.DiscardHandler) }

func echo(_ context.Context, line []byte) []byte { return append([]byte("> "), line...) }

// serve runs a server until the test ends or stop is called.
func serve(t *testing.T, dir string, h socket.Handler) (s *socket.Server, stop func()) {
	t.Helper()
	s, err := socket.Listen(dir, h, quiet())
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	done := make(chan error, 1)
	go func() { done <- s.Run(ctx) }()
	var once sync.Once
	stop = func() {
		once.Do(func() {
			cancel()
			if err := <-done; err != nil {
				t.Error(err)
			}
		})
	}
	t.Cleanup(stop)
	return s, stop
}

func do(t *testing.T, dir, line string) string {
	t.Helper()
	out, err := socket.Do(t.Context(), dir, []byte(line))
	if err != nil {
		t.Fatal(err)
	}
	return string(out)
}

// Folders of any length of path have a socket that only its owner may use, and
// nothing of it is left behind.
func TestFolders(t *testing.T) {
	base, err := os.MkdirTemp("", "t") // short, unlike the test's own folder
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = os.RemoveAll(base) })
	t.Setenv("TMPDIR", base)
	for _, n := range []int{1, 40, 60, 70, 80, 90, 100, 120, 200} {
		dir := filepath.Join(base, strings.Repeat("d", n))
		if err := os.Mkdir(dir, 0o755); err != nil {
			t.Fatal(err)
		}
		if _, err := socket.Do(t.Context(), dir, []byte("x")); !errors.Is(err, socket.ErrNobody) {
			t.Fatalf("%d: %v, want ErrNobody", n, err)
		}
		s, stop := serve(t, dir, echo)
		if got := do(t, dir, "yolk"); got != "> yolk" {
			t.Errorf("%d: %q", n, got)
		}
		info, err := os.Stat(s.Path())
		if err != nil || info.Mode().Perm() != 0o600 || info.Mode().Type() != os.ModeSocket || len(s.Path()) > 100 {
			t.Errorf("%d: %s: %v, %v", n, s.Path(), info, err)
		}
		stop()
		if left, err := os.ReadDir(dir); err != nil || len(left) > 0 {
			t.Errorf("%d: left behind: %v, %v", n, left, err)
		}
		if _, err := socket.Do(t.Context(), dir, []byte("x")); !errors.Is(err, socket.ErrNobody) {
			t.Errorf("%d: after the end %v, want ErrNobody", n, err)
		}
	}
	left, err := filepath.Glob(filepath.Join(base, ".socket-*"))
	if err != nil || len(left) > 0 {
		t.Errorf("left behind: %v, %v", left, err)
	}
}

// What a killed program left is in nobody's way.
func TestStale(t *testing.T) {
	dir := t.TempDir()
	if len(dir) > 80 {
		t.Skip("the test's folder has too long a path for a socket")
	}
	l, err := net.ListenUnix("unix", &net.UnixAddr{Name: filepath.Join(dir, "socket"), Net: "unix"})
	if err != nil {
		t.Fatal(err)
	}
	l.SetUnlinkOnClose(false)
	if err := l.Close(); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "socket.at"), []byte("/nowhere/at all"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Mkdir(filepath.Join(dir, ".socket-1"), 0o700); err != nil {
		t.Fatal(err)
	}
	if _, err := socket.Do(t.Context(), dir, []byte("x")); !errors.Is(err, socket.ErrNobody) {
		t.Fatalf("%v, want ErrNobody", err)
	}
	_, stop := serve(t, dir, echo)
	if got := do(t, dir, "x"); got != "> x" {
		t.Error(got)
	}
	stop()
	if left, err := os.ReadDir(dir); err != nil || len(left) > 0 {
		t.Errorf("left behind: %v, %v", left, err)
	}
}

// A pointer never leads to a folder that others may write.
func TestPointer(t *testing.T) {
	dir, err := os.MkdirTemp("", ".socket-")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = os.RemoveAll(dir) })
	l, err := net.Listen("unix", filepath.Join(dir, "socket"))
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	data := t.TempDir()
	if err := os.WriteFile(filepath.Join(data, "socket.at"), []byte(filepath.Join(dir, "socket")), 0o600); err != nil {
		t.Fatal(err)
	}
	if c, err := socket.Dial(t.Context(), data); err != nil {
		t.Fatal(err)
	} else if err := c.Close(); err != nil {
		t.Fatal(err)
	}
	if err := os.Chmod(dir, 0o777); err != nil {
		t.Fatal(err)
	}
	if _, err := socket.Dial(t.Context(), data); !errors.Is(err, socket.ErrNobody) {
		t.Errorf("%v, want ErrNobody", err)
	}
}

// What was begun when the server is told to stop is answered; who only waits is let go.
func TestStop(t *testing.T) {
	dir := t.TempDir()
	begun, finish := make(chan bool), make(chan bool)
	_, stop := serve(t, dir, func(ctx context.Context, line []byte) []byte {
		begun <- true
		<-finish
		if ctx.Err() != nil {
			return []byte("broken off")
		}
		return []byte("done")
	})
	waiting, err := socket.Dial(t.Context(), dir)
	if err != nil {
		t.Fatal(err)
	}
	defer waiting.Close()
	got := make(chan string, 1)
	go func() {
		out, err := socket.Do(context.Background(), dir, []byte("push"))
		got <- fmt.Sprint(string(out), err)
	}()
	<-begun
	stopped := make(chan bool)
	go func() { stop(); close(stopped) }()
	for { // once nobody is let in any more, the push goes on
		if _, err := socket.Dial(t.Context(), dir); err != nil {
			break
		}
		time.Sleep(time.Millisecond)
	}
	close(finish)
	if s := <-got; s != "done<nil>" {
		t.Error(s)
	}
	<-stopped
	if n, err := waiting.Read(make([]byte, 1)); err == nil {
		t.Errorf("%d bytes for one who asked nothing", n)
	}
}

// A line too long, half a line and a handler that panics end their own talk only.
func TestHostile(t *testing.T) {
	dir := t.TempDir()
	serve(t, dir, func(ctx context.Context, line []byte) []byte {
		if string(line) == "panic" {
			panic("on purpose")
		}
		return echo(ctx, line)
	})
	if _, err := socket.Do(t.Context(), dir, []byte("panic")); err == nil || errors.Is(err, socket.ErrNobody) {
		t.Errorf("panic: %v", err)
	}
	if _, err := socket.Do(t.Context(), dir, bytes.Repeat([]byte("a"), socket.MaxLine)); err == nil {
		t.Error("a line too long was sent")
	}
	c, err := socket.Dial(t.Context(), dir)
	if err != nil {
		t.Fatal(err)
	}
	chunk := bytes.Repeat([]byte("a"), 1<<20)
	for range socket.MaxLine>>20 + 2 {
		if _, err = c.Write(chunk); err != nil {
			break
		}
	}
	if n, rerr := c.Read(make([]byte, 1)); rerr == nil {
		t.Errorf("%d bytes for a line without an end (written: %v)", n, err)
	}
	_ = c.Close() // the server has closed it
	half, err := socket.Dial(t.Context(), dir)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := half.Write([]byte("half a li")); err != nil {
		t.Fatal(err)
	}
	if err := half.Close(); err != nil {
		t.Fatal(err)
	}
	var all sync.WaitGroup
	for i := range 300 { // more than are let in at once
		all.Go(func() {
			out, err := socket.Do(context.Background(), dir, fmt.Append(nil, i))
			if err != nil || string(out) != fmt.Sprint("> ", i) {
				t.Errorf("%d: %q, %v", i, out, err)
			}
		})
	}
	all.Wait()
}
