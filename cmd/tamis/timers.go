package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"sync"
	"time"

	"tamis/bot"
	"tamis/bot/timer"
)

// terminalChannel is where what is said at the terminal belongs.
const terminalChannel = "terminal"

// desk is the timers' file as a shell uses it: opened for each use and given
// back at once, so that several shells share it; a server keeps it open.
type desk struct {
	path  string // "": there is no folder yet, the first timer makes one that lasts as long as the program
	brief bool   // what is kept ends with the program
	asker *bot.Asker
	now   func() time.Time
	warn  func(string)

	mu   sync.Mutex
	seen time.Time // the file's time when it was last looked through
	next time.Time // when something is to be said by what it held then
	some bool      // there is such a moment
	said map[string]bool
}

var _ bot.Timers = (*desk)(nil)

// dataFolder is where timers and talks are kept; "" where there is no place.
func (at place) dataFolder() string {
	switch {
	case at.data != "":
		return at.data
	case at.demo != "":
		return filepath.Dir(at.demo)
	case at.dir != "":
		return filepath.Join(at.dir, ".tamis")
	}
	return ""
}

// workFolder is where timers and proposals are kept by this command; "" where
// they end with it.
func (p *program) workFolder() string {
	at := p.place()
	dir := at.dataFolder()
	if dir != "" && !p.speaks && at.data == "" && dir == filepath.Join(at.dir, ".tamis") {
		if _, err := os.Stat(dir); err != nil {
			return "" // a question does not write into a book that tamis keeps nothing of
		}
	}
	return dir
}

func (p *program) newDesk(asker *bot.Asker, now func() time.Time) *desk {
	d := &desk{asker: asker, now: now, said: map[string]bool{}, warn: func(s string) { fmt.Fprintln(p.errOut, "tamis: "+s) }}
	if dir := p.workFolder(); dir != "" {
		d.path = filepath.Join(dir, timer.FileName)
	}
	d.brief = d.path == ""
	return d
}

// Brief reports whether timers end with the program.
func (d *desk) Brief() bool { return d.brief }

// close takes away what was kept for this run only.
func (d *desk) close() error {
	if !d.brief || d.path == "" {
		return nil
	}
	return os.RemoveAll(filepath.Dir(d.path))
}

// place makes the folder for this run where there is no other.
func (d *desk) place() error {
	if d.path != "" {
		return nil
	}
	dir, err := os.MkdirTemp("", "tamis-timers-")
	if err != nil {
		return fmt.Errorf("a folder for the timers of this run: %w", err)
	}
	d.path = filepath.Join(dir, timer.FileName)
	return nil
}

// options are those of an engine at the terminal: it speaks for no other channel.
func (d *desk) options() timer.Options {
	return timer.Options{
		Forgetful: true,
		Serves:    func(_, channel string) bool { return channel == terminalChannel },
		Shift: func(_ string, after time.Time) time.Time {
			b, err := d.asker.Book(context.Background())
			if err != nil {
				return time.Time{} // without the book there is no shift to name
			}
			return bot.NextShift(b, after)
		},
	}
}

// use opens the file for one thing.
func (d *desk) use(do func(e *timer.Engine) error) (err error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if err := d.place(); err != nil {
		return err
	}
	e, err := timer.Open(d.path, d.now(), d.options())
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, e.Close()) }()
	if lost := e.Lost(); lost != "" {
		d.warn(lost)
	}
	return do(e)
}

// none reports whether no timers were ever kept: reading makes no file.
func (d *desk) none() bool {
	if d.path == "" {
		return true
	}
	_, err := os.Stat(d.path)
	return errors.Is(err, os.ErrNotExist)
}

// Set implements [bot.Timers].
func (d *desk) Set(t timer.Timer, now time.Time) (out timer.Timer, err error) {
	err = d.use(func(e *timer.Engine) error { out, err = e.Set(t, now); return err })
	return out, err
}

// Change implements [bot.Timers].
func (d *desk) Change(id timer.ID, change func(*timer.Timer) error) (out timer.Timer, err error) {
	err = d.use(func(e *timer.Engine) error { out, err = e.Change(id, change); return err })
	return out, err
}

// All implements [bot.Timers].
func (d *desk) All(house string) (out []timer.Timer, err error) {
	if d.none() {
		return nil, nil
	}
	err = d.use(func(e *timer.Engine) error { out, err = e.All(house); return err })
	return out, err
}

// Note implements [bot.Timers].
func (d *desk) Note(rs ...timer.Reading) (out []timer.Reading, err error) {
	err = d.use(func(e *timer.Engine) error { out, err = e.Note(rs...); return err })
	return out, err
}

// Readings implements [bot.Timers].
func (d *desk) Readings(house string) (out []timer.Reading, err error) {
	if d.none() {
		return nil, nil
	}
	err = d.use(func(e *timer.Engine) error { out, err = e.Readings(house); return err })
	return out, err
}

// Learn implements [bot.Timers].
func (d *desk) Strike(house string, id timer.ID, who string, now time.Time) (out timer.Reading, err error) {
	err = d.use(func(e *timer.Engine) error { out, err = e.Strike(house, id, who, now); return err })
	return out, err
}

func (d *desk) Learn(t timer.Trial) (out timer.Trial, err error) {
	err = d.use(func(e *timer.Engine) error { out, err = e.Learn(t); return err })
	return out, err
}

// Trials implements [bot.Timers].
func (d *desk) Trials(house string) (out []timer.Trial, err error) {
	if d.none() {
		return nil, nil
	}
	err = d.use(func(e *timer.Engine) error { out, err = e.Trials(house); return err })
	return out, err
}

// tell says what is due at the terminal. It opens the file only where that can
// be: somebody wrote to it, or a moment that it held has come.
func (d *desk) tell(ctx context.Context, say func(text string) error) error {
	if d.path == "" {
		return nil
	}
	info, err := os.Stat(d.path)
	if err != nil {
		return nil // nothing was ever set
	}
	now := d.now()
	d.mu.Lock()
	idle := info.ModTime().Equal(d.seen) && (!d.some || d.next.After(now))
	d.mu.Unlock()
	if idle {
		return nil
	}
	err = d.use(func(e *timer.Engine) error {
		err := e.Tick(ctx, now, d.asker.Speaking(desksay{d, say}, d.now))
		d.next, d.some = e.Next()
		return err
	})
	if errors.Is(err, timer.ErrOwned) {
		return nil // its owner says it
	}
	if info, serr := os.Stat(d.path); serr == nil {
		d.mu.Lock()
		d.seen = info.ModTime()
		d.mu.Unlock()
	}
	return err
}

// desksay says a notice at the terminal, once.
type desksay struct {
	d   *desk
	say func(text string) error
}

// Say implements [bot.Speaker].
func (s desksay) Say(_ context.Context, _, text, id string) error {
	if s.d.said[id] {
		return nil
	}
	if err := s.say(text); err != nil {
		return err
	}
	s.d.said[id] = true
	return nil
}
