package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"sync"
	"time"

	"tamis/bot"
	"tamis/bot/answer"
	"tamis/bot/socket"
	"tamis/bot/terminal"
	"tamis/kb"
	"tamis/kb/store"
)

// place is where the book and its log are.
type place struct {
	dir  string // "": the demo book inside the program
	data string // of the log; "": in the book
	demo string // where changes of the demo book are kept
	// cache is of what was read of large books: never in the book; "": none.
	cache string
}

// place finds the book: the flag's, the environment's, else the demo's copy
// that somebody has changed, else the one inside.
func (p *program) place() place {
	if dir := p.setting(p.book, "TAMIS_BOOK"); dir != "" {
		return place{dir: dir, data: p.getenv("TAMIS_DATA"), cache: p.cacheFolder()}
	}
	state := p.getenv("TAMIS_DATA")
	if state == "" {
		if state = p.getenv("XDG_STATE_HOME"); state == "" && p.getenv("HOME") != "" {
			state = filepath.Join(p.getenv("HOME"), ".local", "state")
		}
		if state == "" {
			return place{}
		}
		state = filepath.Join(state, "tamis")
	}
	at := place{demo: filepath.Join(state, "demo book")}
	if _, err := os.Stat(filepath.Join(at.demo, "house.yaml")); err == nil {
		at.dir = at.demo
	}
	return at
}

// cacheFolder is the data folder's where one is given, else the user's: a book
// may come from anybody, and what only asks writes nothing into it.
func (p *program) cacheFolder() string {
	if data := p.getenv("TAMIS_DATA"); data != "" {
		return filepath.Join(data, "cache")
	}
	dir := p.getenv("XDG_CACHE_HOME")
	if dir == "" && p.getenv("HOME") != "" {
		dir = filepath.Join(p.getenv("HOME"), ".cache")
	}
	if !filepath.IsAbs(dir) {
		return ""
	}
	return filepath.Join(dir, "tamis")
}

// reader is an open book that is not owned.
type reader interface {
	store.Drafting
	Reload(ctx context.Context) (*kb.Snapshot, error)
	Export(dir string) error
	SaveCache() error
}

func (at place) read(ctx context.Context) (reader, error) {
	if at.dir == "" {
		return store.OpenDemo(ctx, store.Home)
	}
	return store.OpenFolderAt(ctx, store.Home, at.dir, store.Places{Data: at.data, Cache: at.cache})
}

// own opens the book for writing; of the demo book a copy is made first.
func (at place) own(ctx context.Context, now func() time.Time, expect []store.FileChange) (*store.Kept, error) {
	if at.dir == "" {
		if at.demo == "" {
			return nil, errors.New("there is no folder to keep changes of the demo book in; give --book, or TAMIS_DATA")
		}
		if err := store.WriteDemo(at.demo); err != nil {
			return nil, err
		}
		at.dir = at.demo
	}
	return store.OpenKept(ctx, store.Home, at.dir, store.Options{Data: at.data, Now: now, Expect: expect})
}

// commit owns the book for one commit and says what there is to say of it.
func (p *program) commit(ctx context.Context, c store.Change) (e store.Entry, err error) {
	now, err := p.clock()
	if err != nil {
		return e, err
	}
	if c.At.IsZero() {
		c.At = now()
	}
	switch r, err := p.place().ownerDoes(ctx, request{Do: doCommit, Change: &c}); {
	case errors.Is(err, socket.ErrNobody):
	case err != nil:
		return e, err
	case r.Entry == nil:
		return e, errors.New("the tamis that keeps the book has not said what became of the change; look with: tamis book history")
	default:
		return *r.Entry, nil
	}
	now = func() time.Time { return c.At }
	k, err := p.place().own(ctx, now, c.Files)
	if err != nil {
		return e, err
	}
	defer func() { err = errors.Join(err, k.Close()) }()
	defer func() {
		for _, n := range k.Notices() {
			fmt.Fprintln(p.errOut, "tamis: "+n)
		}
	}()
	return k.Commit(ctx, store.Home, c)
}

// wayOf is what the house's rules make of a change, and as whom it is kept.
func (p *program) wayOf(s *kb.Snapshot, c *store.Change) (way bot.Way, who string) {
	role := p.pusher(s)
	if who = p.as; who == "" {
		who = string(role)
	}
	return bot.WayOf(&s.House.Rules, role, c), who
}

// pusher is the role of who pushes: the owner where nobody is named.
func (p *program) pusher(s *kb.Snapshot) bot.Role {
	switch {
	case p.role != "":
		return bot.Role(p.role)
	case p.as != "":
		return bot.RoleOf(s, bot.AuthorID(p.as))
	}
	return bot.Owner
}

// mayNot says who may write a change that somebody may not even propose.
func (p *program) mayNot(s *kb.Snapshot, c *store.Change, who string) error {
	role, may, what := p.pusher(s), bot.WhoMay(&s.House.Rules, c), "the book"
	if bot.OfSettings(c) {
		what = "house.yaml"
	}
	if len(may) == 0 {
		return fmt.Errorf("%s is %s, and the house lets nobody change %s from here", who, role, what)
	}
	return fmt.Errorf("%s is %s; only %s may change %s. Nothing is written", who, role, listed(may), what)
}

// propose keeps a change that waits for somebody's yes, through the program that
// keeps the book where there is one.
func (p *program) propose(ctx context.Context, c store.Change) error {
	now, err := p.clock()
	if err != nil {
		return err
	}
	m := bot.Message{Conversation: terminalChannel, Channel: terminalChannel, Author: bot.AuthorID(p.as), Role: bot.Role(p.role), At: now(), How: c.How}
	var reply bot.Reply
	switch line, err := p.place().viaOwner(ctx, request{Do: doPropose, Who: p.as, Role: p.role, Channel: m.Channel, At: m.At, Change: &c}); {
	case errors.Is(err, socket.ErrNobody):
		if reply, err = p.hold(ctx, m, c); err != nil {
			return err
		}
	case err != nil:
		return err
	default:
		if reply, err = terminal.Reply(line); err != nil {
			return err
		}
	}
	p.code = exitNotAnswered
	if reply.Status != answer.StatusAnswer {
		p.code = exitFailed
	}
	_, err = fmt.Fprintln(p.out, reply.Text)
	return err
}

// hold keeps a proposal beside the log. Unlike a question it makes the folder for it.
func (p *program) hold(ctx context.Context, m bot.Message, c store.Change) (bot.Reply, error) {
	head, err := p.head(ctx)
	if err != nil {
		return bot.Reply{}, err
	}
	asker, err := p.newAsker(head)
	if err != nil {
		return bot.Reply{}, err
	}
	asker.Keep(p.kept, store.HowTerminal)
	dir := p.place().dataFolder()
	if dir == "" {
		return bot.Reply{}, errors.New("there is no folder to keep a proposal in; give --book, or TAMIS_DATA")
	}
	asker.Propose(store.OpenProposals(dir), false)
	return asker.Hold(ctx, m, c)
}

func listed(s []string) string {
	out := ""
	for i, w := range s {
		switch {
		case i == 0:
		case i == len(s)-1:
			out += " and "
		default:
			out += ", "
		}
		out += w
	}
	return out
}

// keeper is the book as the asker changes it: read here, owned for a moment to
// write, and read anew.
type keeper struct {
	p  *program
	mu sync.Mutex
	r  reader
}

var _ bot.Keeper = (*keeper)(nil)

// saveCache keeps what was read for the next time, once all is said.
func (k *keeper) saveCache(log *slog.Logger) {
	if err := k.now().SaveCache(); err != nil {
		log.Debug("what was read of the book is not kept for the next time", "why", err)
	}
}

func (k *keeper) now() reader {
	k.mu.Lock()
	defer k.mu.Unlock()
	return k.r
}

func (k *keeper) one() store.One { return store.One{Drafting: k.now(), House: store.Home} }

// Head gives the newest snapshot.
func (k *keeper) Head(ctx context.Context) (*kb.Snapshot, error) {
	return k.one().Head(ctx)
}

// Source implements [bot.Keeper].
func (k *keeper) Source(path string) (string, bool) { return k.now().Source(path) }

// Try implements [bot.Keeper].
func (k *keeper) Try(ctx context.Context, c store.Change) (*store.Plan, error) {
	return k.one().Try(ctx, c)
}

// Log implements [bot.Keeper].
func (k *keeper) Log(ctx context.Context) ([]store.Entry, error) {
	return k.one().Log(ctx)
}

// At implements [bot.Keeper].
func (k *keeper) At(ctx context.Context, revision int) (*kb.Snapshot, error) {
	return k.one().At(ctx, revision)
}

// Commit implements [bot.Keeper].
func (k *keeper) Commit(ctx context.Context, c store.Change) (store.Entry, error) {
	k.mu.Lock()
	defer k.mu.Unlock()
	log, err := k.r.Log(ctx, store.Home, 0)
	if err != nil {
		return store.Entry{}, err
	}
	if len(log) == 0 { // the first commit is the book as it was found
		c.Base = -1
	}
	e, err := k.p.commit(ctx, c)
	if err != nil {
		return e, err
	}
	r, err := k.p.place().read(context.WithoutCancel(ctx))
	if err != nil {
		return e, err
	}
	k.r = r
	return e, nil
}
