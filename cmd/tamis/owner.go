package main

import (
	"context"
	"crypto/rand"
	"encoding/json"
	"errors"
	"fmt"
	"sync"
	"time"

	"tamis/bot"
	"tamis/bot/socket"
	"tamis/bot/terminal"
	"tamis/kb"
	"tamis/kb/recipe"
	"tamis/kb/store"
)

// What goes through the socket: a question as the answer format has it, or one
// of these.
const (
	doAsk     = "ask"     // a question of somebody at a terminal
	doCommit  = "commit"  // a change of the book
	doPropose = "propose" // a change that waits for somebody's yes; answered as a question is
	doDue     = "due"     // what is to be said at the terminal
)

// request is one line in.
type request struct {
	Do string `json:"do"`

	Text    string    `json:"text,omitempty"`
	Who     string    `json:"who,omitempty"`
	Role    string    `json:"role,omitempty"`
	Channel string    `json:"channel,omitempty"`
	Talk    string    `json:"talk,omitempty"`
	At      time.Time `json:"at,omitzero"`

	Change *store.Change `json:"change,omitempty"`
}

// result is one line out, but for questions, which have the answer format.
type result struct {
	Entry *store.Entry `json:"entry,omitempty"`
	Due   []string     `json:"due,omitempty"`
	Error *wireError   `json:"error,omitempty"`
}

// wireError is an error on its way from the owner of a book.
type wireError struct {
	Code   string         `json:"code"`
	Text   string         `json:"text"`
	Faults []recipe.Fault `json:"faults,omitempty"`
}

// codes are the errors that mean the same on both sides.
var codes = []struct {
	code string
	err  error
}{
	{"read-only", store.ErrReadOnly},
	{"outdated", store.ErrOutdated},
	{"nothing", store.ErrNothing},
	{"path", store.ErrPath},
	{"edited", store.ErrEdited},
	{"revision", store.ErrNoRevision},
	{"closed", store.ErrClosed},
	{"owned", store.ErrOwned},
}

func toWire(err error) *wireError {
	var faulty *store.FaultyError
	if errors.As(err, &faulty) {
		return &wireError{Code: "faults", Text: err.Error(), Faults: faulty.Faults}
	}
	for _, c := range codes {
		if errors.Is(err, c.err) {
			return &wireError{Code: c.code, Text: err.Error()}
		}
	}
	return &wireError{Code: "failed", Text: err.Error()}
}

// Error says what the owner said.
func (e *wireError) Error() string { return e.Text }

// Unwrap gives the error of the same meaning here.
func (e *wireError) Unwrap() error {
	if len(e.Faults) > 0 {
		return &store.FaultyError{Faults: e.Faults}
	}
	for _, c := range codes {
		if c.code == e.Code {
			return c.err
		}
	}
	return nil
}

// viaOwner sends a request to the program that keeps the book.
//
//   - Errors: [socket.ErrNobody] where none does.
func (at place) viaOwner(ctx context.Context, r request) ([]byte, error) {
	dir := at.dataFolder()
	if dir == "" {
		return nil, socket.ErrNobody
	}
	line, err := json.Marshal(r)
	if err != nil {
		return nil, fmt.Errorf("asking the tamis that keeps the book: %w", err)
	}
	return socket.Do(ctx, dir, line)
}

// ownerDoes sends a request that is no question.
func (at place) ownerDoes(ctx context.Context, r request) (result, error) {
	line, err := at.viaOwner(ctx, r)
	if err != nil {
		return result{}, err
	}
	var out result
	if err := json.Unmarshal(line, &out); err != nil {
		return result{}, fmt.Errorf("the tamis that keeps the book answered %.80q: %w", line, err)
	}
	if out.Error != nil {
		return out, out.Error
	}
	return out, nil
}

// served reports whether a program keeps the book just now.
func (at place) served(ctx context.Context) bool {
	dir := at.dataFolder()
	if dir == "" {
		return false
	}
	c, err := socket.Dial(ctx, dir)
	if err != nil {
		return false
	}
	_ = c.Close() // only whether it is there was asked
	return true
}

// either asks the program that keeps the book as long as there is one, and
// answers from memory where there is none.
type either struct {
	at    place
	talk  string // of this program: its questions go on from no other's
	local func() (*bot.Asker, *desk, error)

	mu    sync.Mutex
	asker *bot.Asker
	desk  *desk
}

// speaker finds who answers, what tells the time, and who is taken to ask. The
// book is read at once where nobody keeps it.
func (p *program) speaker(ctx context.Context) (*either, func() time.Time, bot.Message, error) {
	who := bot.Message{Conversation: terminalChannel, Channel: terminalChannel, Author: bot.AuthorID(p.as), Role: bot.Role(p.role)}
	if who.Author == "" && who.Role == "" {
		who.Role = bot.Owner
	}
	now, err := p.clock()
	if err != nil {
		return nil, nil, who, err
	}
	e := &either{at: p.place(), talk: rand.Text(), local: func() (*bot.Asker, *desk, error) { return p.asker(context.WithoutCancel(ctx), now) }}
	if !e.at.served(ctx) {
		if _, err := e.here(); err != nil {
			return nil, nil, who, err
		}
	}
	return e, now, who, nil
}

// Ask implements [terminal.Asker].
func (e *either) Ask(ctx context.Context, m bot.Message) (bot.Reply, error) {
	line, err := e.at.viaOwner(ctx, request{Do: doAsk, Text: m.Text, Who: string(m.Author), Role: string(m.Role), Channel: m.Channel,
		Talk: e.talk + " " + string(m.Conversation), At: m.At})
	switch {
	case errors.Is(err, socket.ErrNobody):
		a, err := e.here()
		if err != nil {
			return bot.Reply{}, err
		}
		return a.Ask(ctx, m)
	case err != nil:
		return bot.Reply{}, err
	}
	return terminal.Reply(line)
}

// here is what answers from memory.
func (e *either) here() (*bot.Asker, error) {
	e.mu.Lock()
	defer e.mu.Unlock()
	if e.asker == nil {
		a, d, err := e.local()
		if err != nil {
			return nil, err
		}
		e.asker, e.desk = a, d
	}
	return e.asker, nil
}

// book is the book as it is now, to offer its names.
func (e *either) book(ctx context.Context) (*kb.Snapshot, error) {
	e.mu.Lock()
	a := e.asker
	e.mu.Unlock()
	if a != nil {
		b, err := a.Book(ctx)
		if err != nil {
			return nil, err
		}
		return b.Snap, nil
	}
	r, err := e.at.read(ctx)
	if err != nil {
		return nil, err
	}
	return r.Head(ctx, store.Home)
}

// tell says what is due at the terminal.
func (e *either) tell(ctx context.Context, say func(text string) error) error {
	r, err := e.at.ownerDoes(ctx, request{Do: doDue})
	if err == nil {
		for _, text := range r.Due {
			err = errors.Join(err, say(text))
		}
		return err
	}
	e.mu.Lock()
	d := e.desk
	e.mu.Unlock()
	if !errors.Is(err, socket.ErrNobody) || d == nil {
		return nil // it is there at the next look, or it has gone
	}
	return d.tell(ctx, say)
}

func (e *either) close() error {
	e.mu.Lock()
	defer e.mu.Unlock()
	if e.desk == nil {
		return nil
	}
	return e.desk.close()
}
