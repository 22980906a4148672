package main

import (
	"context"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"tamis/bot/discord/discordtest"
)

// serving runs tamis serve with settings until the test ends; end stops it and
// gives the exit code.
func serving(t *testing.T, errOut io.Writer, env map[string]string) (end func() int) {
	t.Helper()
	ctx, stop := context.WithCancel(context.Background())
	code := make(chan int, 1)
	getenv := func(k string) string {
		if v, ok := env[k]; ok {
			return v
		}
		if strings.HasPrefix(k, "TAMIS_") || strings.HasPrefix(k, "XDG_") || k == "HOME" {
			return ""
		}
		return os.Getenv(k)
	}
	go func() { code <- run(ctx, []string{"serve"}, strings.NewReader(""), io.Discard, errOut, getenv) }()
	ended := false
	end = func() int {
		stop()
		ended = true
		select {
		case c := <-code:
			return c
		case <-time.After(20 * time.Second):
			t.Error("serve does not end")
			return -1
		}
	}
	t.Cleanup(func() {
		if !ended {
			end()
		}
	})
	return end
}

// TestChannelHouses: two houses in one process; none answers from the other's
// book, and a server without a house gets none.
func TestChannelHouses(t *testing.T) {
	srv := discordtest.Start(t, discordtest.Options{Wait: 30 * time.Second})
	lode, hill, none := srv.Guild("Lodehavn"), srv.Guild("Hill"), srv.Guild("Nobody's")
	books := t.TempDir()
	for dir, recipe := range map[string]string{lode.ID: "walnut praline", "hill": "sorrel granita"} {
		at := filepath.Join(books, dir)
		if err := os.MkdirAll(filepath.Join(at, "recipes"), 0o700); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(at, "house.yaml"), []byte("house: "+dir+"\ntime zone: Europe/Oslo\n"), 0o600); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(at, "recipes", "r.yaml"), []byte("recipe: "+recipe+"\ningredients:\n  - sugar: 137 g\n"), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	var log heard
	end := serving(t, &log, map[string]string{"TAMIS_BOOKS": books, "TAMIS_DISCORD_TOKEN": srv.Token(), "TAMIS_DISCORD_API": srv.API(), "TAMIS_DISCORD_GUILDS": "hill=" + hill.ID, "TAMIS_LISTEN": "none"})
	srv.WaitReady(1)
	for _, test := range []struct {
		g           *discordtest.Guild
		ask, want   string
		mustNotHave string
	}{
		{lode, "how much sugar in walnut praline", "137 g", ""},
		{hill, "how much sugar in sorrel granita", "137 g", ""},
		{lode, "how much sugar in sorrel granita", "", "137"},
		{hill, "how much sugar in walnut praline", "", "137"},
		{none, "how much sugar in walnut praline", "no recipe book", "137"},
	} {
		c := test.g.Channel("pastry")
		ada := test.g.Member("Ada")
		a := c.Reply(c.Ask(ada, test.ask)).Text()
		if !strings.Contains(a, test.want) || test.mustNotHave != "" && strings.Contains(a, test.mustNotHave) {
			t.Errorf("%s, %s: %s", test.g.Name, test.ask, a)
		}
	}
	if code := end(); code != 0 {
		t.Errorf("exit code %d:\n%s", code, log.String())
	}
	for _, secret := range []string{srv.Token(), "sorrel granita"} {
		if strings.Contains(log.String(), secret) {
			t.Errorf("the log holds %q:\n%s", secret, log.String())
		}
	}
	if !strings.Contains(log.String(), "permissions=") {
		t.Errorf("no invite link in the log:\n%s", log.String())
	}
}

// TestChannelStops: what can't be mended by waiting ends the program and says what to do.
func TestChannelStops(t *testing.T) {
	t.Run("revoked", func(t *testing.T) {
		srv := discordtest.Start(t, discordtest.Options{Wait: 30 * time.Second})
		srv.Guild("Lodehavn")
		var log heard
		end := serving(t, &log, map[string]string{"TAMIS_DATA": t.TempDir(), "TAMIS_DISCORD_TOKEN": srv.Token(), "TAMIS_DISCORD_API": srv.API(), "TAMIS_LISTEN": "none"})
		srv.WaitReady(1)
		srv.Revoke()
		srv.Until("the program to stop", func() bool { return strings.Contains(log.String(), "token is wrong or was revoked") })
		if code := end(); code != exitFailed {
			t.Errorf("exit code %d", code)
		}
	})
	t.Run("wrong token", func(t *testing.T) {
		srv := discordtest.Start(t, discordtest.Options{Wait: 30 * time.Second})
		var log heard
		end := serving(t, &log, map[string]string{"TAMIS_DATA": t.TempDir(), "TAMIS_DISCORD_TOKEN": "not.the.token", "TAMIS_DISCORD_API": srv.API(), "TAMIS_LISTEN": "none"})
		srv.Until("the program to stop", func() bool { return strings.Contains(log.String(), "token is refused") })
		if code := end(); code != exitFailed || strings.Contains(log.String(), "not.the.token") {
			t.Errorf("exit code %d:\n%s", code, log.String())
		}
		srv.TakeViolations()
	})
	t.Run("wrong use", func(t *testing.T) {
		for _, env := range []map[string]string{
			{"TAMIS_DISCORD_SHARDS": "5-2/4"}, {"TAMIS_DISCORD_GUILDS": "Lodehavn"}, {"TAMIS_DISCORD_GUILDS": "else=123456789012345678"}, {"TAMIS_DISCORD_OPEN": "pastry"},
		} {
			var log heard
			env["TAMIS_DATA"], env["TAMIS_DISCORD_TOKEN"], env["TAMIS_DISCORD_API"], env["TAMIS_LISTEN"] = t.TempDir(), "x", "http://127.0.0.1:1/api/v10", "none"
			end := serving(t, &log, env)
			for i := 0; i < 100 && !strings.Contains(log.String(), "TAMIS_DISCORD_"); i++ {
				time.Sleep(20 * time.Millisecond)
			}
			if code := end(); code != exitWrongUse {
				t.Errorf("%v: exit code %d:\n%s", env, code, log.String())
			}
		}
	})
	t.Run("token file", func(t *testing.T) {
		srv := discordtest.Start(t, discordtest.Options{Wait: 30 * time.Second})
		srv.Guild("Lodehavn")
		file := filepath.Join(t.TempDir(), "token")
		if err := os.WriteFile(file, []byte("  "+srv.Token()+"\n"), 0o644); err != nil {
			t.Fatal(err)
		}
		var log heard
		serving(t, &log, map[string]string{"TAMIS_DATA": t.TempDir(), "TAMIS_DISCORD_TOKEN_FILE": file, "TAMIS_DISCORD_API": srv.API(), "TAMIS_LISTEN": "none"})
		srv.WaitReady(1)
		if !strings.Contains(log.String(), "chmod 600") {
			t.Errorf("an open token file is not told:\n%s", log.String())
		}
	})
}
