package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"os"
	"path/filepath"
	"slices"
	"sync"
	"time"

	"tamis/bot"
	"tamis/bot/socket"
	"tamis/bot/terminal"
	"tamis/bot/timer"
	"tamis/kb/recipe"
	"tamis/kb/store"
)

// house is one book as the program that serves it has it: owned, answered
// from, with its timers.
type house struct {
	store.One // kept, or read where the folder cannot be written

	id     string
	at     place
	kept   *store.Kept // nil: the folder cannot be written, read answers
	read   reader      // in place of kept
	asker  *bot.Asker
	timers *timer.Engine // nil: there is no place for them
	socket *socket.Server
	voices *voices
	count  *counters
	log    *slog.Logger
}

// openHouse owns a book. One that cannot be written is answered from memory,
// and it is said.
func (p *program) openHouse(ctx context.Context, id string, at place, channel *chat, count *counters, log *slog.Logger) (h *house, err error) {
	h = &house{id: id, at: at, voices: &voices{desk: &mailbox{}}, count: count, log: log.With("house", id)}
	defer func() {
		if err != nil {
			err = errors.Join(err, h.close())
			h = nil
		}
	}()
	switch h.kept, err = at.own(ctx, time.Now, nil); {
	case errors.Is(err, store.ErrReadOnly):
		h.kept = nil
		h.log.Warn("The book cannot be written: it is answered from memory, and changes are refused.", "err", err)
		if h.read, err = at.read(ctx); err != nil {
			return h, err
		}
	case errors.Is(err, store.ErrOwned):
		return h, fmt.Errorf("%w: stop the other one first, or ask through it", err)
	case err != nil:
		return h, err
	}
	h.One = store.One{Drafting: h.kept, House: store.Home}
	if h.kept == nil {
		h.Drafting = h.read
	}
	h.notices()
	if h.asker, err = p.newAsker(h.Head); err != nil {
		return h, err
	}
	h.asker.Keep(h, store.HowTerminal)
	if channel != nil {
		h.voices.add(channelVoice{channel, id})
	}
	h.asker.Tell(h.voices)
	if dir := at.dataFolder(); dir != "" && h.kept != nil {
		h.asker.Propose(store.OpenProposals(dir), true)
		h.timers, err = timer.Open(filepath.Join(dir, timer.FileName), time.Now(), timer.Options{
			Serves: func(_, channel string) bool { return h.voices.serves(channel) },
			Shift: func(_ string, after time.Time) time.Time {
				b, err := h.asker.Book(context.Background())
				if err != nil {
					return time.Time{} // without the book there is no shift to name
				}
				return bot.NextShift(b, after)
			},
		})
		if err != nil {
			return h, fmt.Errorf("the timers: %w", err)
		}
		if lost := h.timers.Lost(); lost != "" {
			h.log.Warn(lost)
		}
		h.asker.Time(h.timers, id, true)
		if h.socket, err = socket.Listen(dir, h.line, h.log); err != nil {
			return h, err
		}
	}
	return h, nil
}

// close gives everything back; what was acknowledged is durable already.
func (h *house) close() error {
	var errs []error
	if h.asker != nil {
		h.asker.Said()
	}
	if h.timers != nil {
		errs = append(errs, h.timers.Close())
	}
	if h.kept != nil {
		h.notices()
		errs = append(errs, h.kept.Close())
	}
	return errors.Join(errs...)
}

func (h *house) notices() {
	if h.kept == nil {
		return
	}
	for _, n := range h.kept.Notices() {
		h.log.Warn(n)
	}
}

// services are what runs for a house.
func (h *house) services() []service {
	var out []service
	if h.kept != nil {
		out = append(out, service{"hand edits", h.follow})
	} else {
		out = append(out, service{"reading", h.reread})
	}
	if h.socket != nil {
		out = append(out, service{"socket", h.socket.Run})
	}
	if h.timers != nil {
		out = append(out, service{"timers", h.ring})
	}
	return out
}

// follow takes over hand edits as they are made.
func (h *house) follow(ctx context.Context) error {
	var said []recipe.Fault
	return h.kept.Follow(ctx, h.at.dir, time.After, func(e *store.Entry, waiting []recipe.Fault, err error) {
		if err != nil {
			h.log.Error("the folder could not be looked through", "err", err)
			return
		}
		if e != nil {
			h.count.commit(h.id, e.How)
			h.log.Info("an edit by hand is in the book", "commit", e.Seq, "files", len(e.Files))
		}
		for _, f := range waiting {
			if !slices.Contains(said, f) {
				h.log.Warn("a file waits until it is whole; the last good one answers", "file", f.File, "line", f.Line, "fault", f.Code)
			}
		}
		said = waiting
		h.notices()
	})
}

// rereadEvery is how often a book that cannot be written is looked at.
const rereadEvery = 2 * time.Second

func (h *house) reread(ctx context.Context) error {
	t := time.NewTicker(rereadEvery)
	defer t.Stop()
	for {
		select {
		case <-ctx.Done():
			return nil
		case <-t.C:
			if _, err := h.read.Reload(ctx); err != nil && ctx.Err() == nil {
				h.log.Error("the book could not be read; the last one answers", "err", err)
			}
		}
	}
}

// ring says what is due.
func (h *house) ring(ctx context.Context) error {
	err := h.timers.Run(ctx, timer.Wall{}, h.asker.Speaking(h.voices, time.Now), func(err error) {
		if !errors.Is(err, errNobodyThere) {
			h.log.Warn("what is due could not be said; it is tried again", "err", err)
		}
	})
	if ctx.Err() != nil {
		return nil
	}
	return err
}

var _ bot.Keeper = (*house)(nil)

// Commit implements [bot.Keeper].
func (h *house) Commit(ctx context.Context, c store.Change) (store.Entry, error) {
	// once begun it is finished: who asked may have gone
	e, err := h.One.Commit(context.WithoutCancel(ctx), c)
	if err == nil {
		h.count.commit(h.id, c.How)
		h.log.Info("a change is in the book", "commit", e.Seq, "files", len(e.Files), "how", c.How)
	}
	h.notices()
	return e, err
}

// Ask answers and counts; a message's text is never logged.
func (h *house) Ask(ctx context.Context, m bot.Message) (bot.Reply, error) {
	begun := time.Now()
	r, err := terminal.Safely(ctx, h.asker, m)
	status := "failed"
	if err != nil {
		h.log.Error("a question could not be answered", "err", err)
	} else {
		status = string(r.Status)
	}
	took := time.Since(begun)
	h.count.asked(h.id, status, took)
	h.log.Debug("asked", "channel", m.Channel, "status", status, "took", took)
	return r, err
}

// line answers what comes through the socket. Only programs of the same person
// get there, so who is written is believed, as at the terminal.
func (h *house) line(ctx context.Context, line []byte) []byte {
	var r request
	if err := json.Unmarshal(line, &r); err != nil {
		r.Do = "" // the reader of questions says what is wrong
	}
	switch r.Do {
	case "", doAsk:
		var out bytes.Buffer
		if err := h.question(ctx, r, line, &out); err != nil {
			h.log.Error("a question could not be answered", "err", err)
			out.Reset()
			_ = terminal.JSONError(&out, "Something went wrong with this question; the log says what.") // a buffer takes everything
		}
		return bytes.TrimSuffix(out.Bytes(), []byte("\n"))
	case doCommit:
		if r.Change == nil {
			return wire(result{Error: &wireError{Code: "failed", Text: "there is no change in the line"}})
		}
		e, err := h.asker.Write(ctx, bot.Message{Author: bot.AuthorID(r.Who), Channel: terminalChannel, At: r.Change.At}, *r.Change)
		if err != nil {
			return wire(result{Error: toWire(err)})
		}
		return wire(result{Entry: &e})
	case doPropose:
		return h.propose(ctx, r)
	case doDue:
		return wire(result{Due: h.voices.desk.fetch(time.Now())})
	}
	return wire(result{Error: &wireError{Code: "failed", Text: fmt.Sprintf("nothing is known of %.40q", r.Do)}})
}

// propose keeps a change that waits for somebody's yes.
func (h *house) propose(ctx context.Context, r request) []byte {
	var out bytes.Buffer
	text := "There is no change in the line."
	if r.Change != nil {
		m := bot.Message{Conversation: bot.ConversationID(r.Channel), Channel: r.Channel, Author: bot.AuthorID(r.Who), Role: bot.Role(r.Role), At: r.At, How: r.Change.How}
		reply, err := h.asker.Hold(ctx, m, *r.Change)
		if err == nil {
			err = terminal.JSON(&out, reply)
		}
		if err != nil {
			h.log.Error("a proposal could not be kept", "err", err)
			text = "The proposal could not be kept; the log of the tamis that keeps the book says why."
		}
	}
	if out.Len() == 0 {
		_ = terminal.JSONError(&out, text) // a buffer takes everything
	}
	return bytes.TrimSuffix(out.Bytes(), []byte("\n"))
}

func (h *house) question(ctx context.Context, r request, line []byte, out io.Writer) error {
	if r.Do == "" {
		return terminal.Lines(ctx, h, bytes.NewReader(line), out, terminal.Defaults{Now: time.Now}, h.log)
	}
	at := r.At
	if at.IsZero() {
		at = time.Now()
	}
	reply, err := h.Ask(ctx, bot.Message{Conversation: bot.ConversationID(r.Talk), Author: bot.AuthorID(r.Who), Role: bot.Role(r.Role), Channel: r.Channel, At: at, Text: r.Text})
	if err != nil {
		return err
	}
	return terminal.JSON(out, reply)
}

func wire(r result) []byte {
	out, err := json.Marshal(r)
	if err != nil { // a result of strings and times: only a moment out of all years
		return []byte(`{"error":{"code":"failed","text":"the answer could not be written"}}`)
	}
	return out
}

// voices says what nobody asked for just now: in the channels of the adapters,
// and at the terminal.
type voices struct {
	desk *mailbox

	mu     sync.Mutex
	others []voice
}

// voice is an adapter that speaks in channels of its own.
type voice interface {
	bot.Speaker
	// Serves reports whether a channel is one of its own.
	Serves(channel string) bool
}

// add lets an adapter speak.
func (v *voices) add(o voice) {
	v.mu.Lock()
	defer v.mu.Unlock()
	v.others = append(v.others, o)
}

func (v *voices) of(channel string) bot.Speaker {
	if channel == terminalChannel {
		return v.desk
	}
	v.mu.Lock()
	defer v.mu.Unlock()
	for _, o := range v.others {
		if o.Serves(channel) {
			return o
		}
	}
	return nil
}

func (v *voices) serves(channel string) bool { return v.of(channel) != nil }

// Say implements [bot.Speaker].
func (v *voices) Say(ctx context.Context, channel, text, id string) error {
	s := v.of(channel)
	if s == nil {
		return errNobodyThere
	}
	return s.Say(ctx, channel, text, id)
}

// Announce implements [bot.Announcer].
func (v *voices) Announce(ctx context.Context, channel string, r bot.Reply, who bot.AuthorID, id string) error {
	s := v.of(channel)
	if s == nil {
		return errNobodyThere
	}
	if a, ok := s.(bot.Announcer); ok {
		return a.Announce(ctx, channel, r, who, id)
	}
	return s.Say(ctx, channel, r.Text, id)
}

// errNobodyThere: what is to be said waits for somebody who hears it.
var errNobodyThere = errors.New("nobody is there to hear it")

// listens is how long a terminal that asked for what is due is taken to listen.
const listens = 3 * time.Second

// mailbox holds what is to be said at the terminal until a chat fetches it.
type mailbox struct {
	mu    sync.Mutex
	asked time.Time
	texts []string
	said  map[string]bool
}

// Say implements [bot.Speaker].
func (b *mailbox) Say(_ context.Context, _, text, id string) error {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.said[id] {
		return nil
	}
	if time.Since(b.asked) > listens {
		return errNobodyThere
	}
	if b.said == nil {
		b.said = map[string]bool{}
	}
	b.said[id] = true
	b.texts = append(b.texts, text)
	return nil
}

func (b *mailbox) fetch(now time.Time) []string {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.asked = now
	out := b.texts
	b.texts = nil
	return out
}

// houses finds the books to serve: the one of the settings, or each folder of TAMIS_BOOKS.
func (p *program) houses() (map[string]place, error) {
	dir := p.getenv("TAMIS_BOOKS")
	if dir == "" || p.book != "" {
		at := p.place()
		if at.dir == "" && at.demo != "" { // changes of the demo book are kept in a copy
			if err := store.WriteDemo(at.demo); err == nil {
				at.dir = at.demo
			}
		}
		return map[string]place{string(store.Home): at}, nil
	}
	if p.getenv("TAMIS_BOOK") != "" {
		return nil, useError{errors.New("TAMIS_BOOK and TAMIS_BOOKS are both set; keep one of them")}
	}
	all, err := os.ReadDir(dir)
	if err != nil {
		return nil, fmt.Errorf("the books: %w", err)
	}
	out := map[string]place{}
	for _, d := range all {
		at := place{dir: filepath.Join(dir, d.Name())}
		if info, err := os.Stat(at.dir); err != nil || !info.IsDir() || d.Name()[0] == '.' {
			continue
		}
		if data := p.getenv("TAMIS_DATA"); data != "" {
			at.data = filepath.Join(data, d.Name())
		}
		out[d.Name()] = at
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("%w in %s: each house has a folder of its own there", store.ErrNoBook, dir)
	}
	return out, nil
}
