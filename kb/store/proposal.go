package store

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"
)

// ErrNoProposal: no proposal of that number waits.
var ErrNoProposal = errors.New("no such proposal waits")

// ErrManyProposals: so many wait that no more are kept.
var ErrManyProposals = errors.New("too many proposals wait")

const (
	proposalsDir = "proposals"
	settledDir   = "settled"
)

// MostProposals is how many may wait, and MostProposalsOf how many of one author.
const (
	MostProposals   = 200
	MostProposalsOf = 20
)

// Proposal is a change that waits for the yes of somebody else.
type Proposal struct {
	ID      int          `json:"id"` // from 1, never used again
	Who     string       `json:"who"`
	Role    string       `json:"role,omitempty"`
	Channel string       `json:"channel,omitempty"`
	At      time.Time    `json:"at"`
	Why     string       `json:"why"`
	How     string       `json:"how"`
	Base    int          `json:"base"`             // the book's revision it was made on
	Agreed  bool         `json:"agreed,omitempty"` // the author may write it; a second person is asked for
	Recipe  string       `json:"recipe,omitempty"` // id of the recipe it is about
	Files   []FileChange `json:"files"`
	Settled string       `json:"settled,omitempty"` // how it ended
}

// Change is the change that the proposal asks for.
func (p *Proposal) Change() Change {
	return Change{Base: p.Base, Who: p.Who, At: p.At, Why: p.Why, How: p.How, Files: slices.Clone(p.Files)}
}

// Proposals keeps changes that wait, each in a file of its own beside the log:
// several processes may keep and settle them without owning the book.
type Proposals struct {
	mu   sync.Mutex
	open func(make bool) (disk, func() error, error)
}

// OpenProposals returns the proposals of a data folder, which the first one makes.
func OpenProposals(data string) *Proposals {
	return &Proposals{open: func(make bool) (disk, func() error, error) {
		if make {
			if err := os.MkdirAll(data, 0o755); err != nil {
				return nil, nil, fmt.Errorf("%w: %w", ErrReadOnly, err)
			}
		}
		d, err := openDisk(data)
		if err != nil {
			return nil, nil, err
		}
		return d, d.Close, nil
	}}
}

// use gives do the folder; without make a missing folder is no error and do is
// not called.
func (ps *Proposals) use(make bool, do func(d disk) error) (err error) {
	ps.mu.Lock()
	defer ps.mu.Unlock()
	d, closed, err := ps.open(make)
	if errors.Is(err, fs.ErrNotExist) && !make {
		return nil
	} else if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, closed()) }()
	return do(d)
}

func proposalFile(id int) string { return path.Join(proposalsDir, strconv.Itoa(id)+".json") }
func settledFile(id int) string {
	return path.Join(proposalsDir, settledDir, strconv.Itoa(id)+".json")
}

// numbers are the ids of the files in a folder, rising.
func numbers(d disk, dir string) ([]int, error) {
	es, err := fs.ReadDir(d, dir)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	} else if err != nil {
		return nil, err
	}
	var out []int
	for _, e := range es {
		if n, err := strconv.Atoi(strings.TrimSuffix(e.Name(), ".json")); err == nil && n > 0 && e.Name() == strconv.Itoa(n)+".json" {
			out = append(out, n)
		}
	}
	slices.Sort(out)
	return out, nil
}

// Keep makes a proposal durable and gives it its number; one that the same
// person has waiting already keeps the number it has. Errors:
// [ErrReadOnly], [ErrManyProposals].
func (ps *Proposals) Keep(p Proposal) (Proposal, error) {
	err := ps.use(true, func(d disk) error {
		waiting, err := all(d)
		if err != nil {
			return err
		}
		mine := 0
		for i := range waiting {
			if w := &waiting[i]; w.Who == p.Who && w.Agreed == p.Agreed && slices.EqualFunc(w.Files, p.Files, sameFile) {
				p = *w // asked for again
				return nil
			}
			if waiting[i].Who == p.Who {
				mine++
			}
		}
		if len(waiting) >= MostProposals || mine >= MostProposalsOf {
			return ErrManyProposals
		}
		if err := mkdirAll(d, path.Join(proposalsDir, settledDir)); err != nil {
			return fmt.Errorf("%w: %w", ErrReadOnly, err)
		}
		open, err := numbers(d, proposalsDir)
		if err != nil {
			return err
		}
		done, err := numbers(d, path.Join(proposalsDir, settledDir))
		if err != nil {
			return err
		}
		p.ID = 1
		for _, l := range [][]int{open, done} {
			if len(l) > 0 {
				p.ID = max(p.ID, l[len(l)-1]+1)
			}
		}
		for { // a number is had by whoever makes its file first
			f, err := d.OpenFile(path.Join(proposalsDir, "."+strconv.Itoa(p.ID)+".taken"), os.O_WRONLY|os.O_CREATE|os.O_EXCL)
			if errors.Is(err, fs.ErrExist) {
				p.ID++
				continue
			} else if err != nil {
				return fmt.Errorf("%w: %w", ErrReadOnly, err)
			}
			if err := f.Close(); err != nil {
				return err
			}
			break
		}
		return writeProposal(d, proposalFile(p.ID), p)
	})
	return p, err
}

func sameFile(a, b FileChange) bool {
	return a.Path == b.Path && a.Deleted == b.Deleted && a.text() == b.text()
}

func writeProposal(d disk, file string, p Proposal) error {
	data, err := json.MarshalIndent(p, "", " ")
	if err != nil {
		return err
	}
	if err := writeWhole(d, file, string(data)+"\n"); err != nil {
		return fmt.Errorf("%w: %w", ErrReadOnly, err)
	}
	return nil
}

// All are the proposals that wait, oldest first. A file that cannot be read is
// an error that names it, beside all the others.
func (ps *Proposals) All() (out []Proposal, err error) {
	err = ps.use(false, func(d disk) error {
		var err error
		out, err = all(d)
		return err
	})
	return out, err
}

func all(d disk) (out []Proposal, err error) {
	ids, err := numbers(d, proposalsDir)
	if err != nil {
		return nil, err
	}
	for _, id := range ids {
		p, perr := readProposal(d, proposalFile(id))
		if errors.Is(perr, fs.ErrNotExist) { // settled just now
			continue
		}
		if perr == nil && p.ID != id {
			perr = fmt.Errorf("%s says it is number %d", proposalFile(id), p.ID)
		}
		if perr != nil {
			err = errors.Join(err, perr)
			continue
		}
		out = append(out, p)
	}
	return out, err
}

func readProposal(d disk, file string) (p Proposal, err error) {
	data, err := fs.ReadFile(d, file)
	if err != nil {
		return p, err
	}
	if err := json.Unmarshal(data, &p); err != nil {
		return p, fmt.Errorf("%s is no proposal: %w", file, err)
	}
	return p, nil
}

// Settle ends a proposal and keeps how it ended. Of several who settle one, one
// gets no error. Errors: [ErrNoProposal], [ErrReadOnly].
func (ps *Proposals) Settle(id int, how string) error {
	called := false
	err := ps.use(false, func(d disk) error {
		called = true
		p, err := readProposal(d, proposalFile(id))
		if errors.Is(err, fs.ErrNotExist) {
			return fmt.Errorf("%w: %d", ErrNoProposal, id)
		} else if err != nil {
			return err
		}
		switch err := d.Rename(proposalFile(id), settledFile(id)); {
		case errors.Is(err, fs.ErrNotExist):
			return fmt.Errorf("%w: %d", ErrNoProposal, id)
		case err != nil:
			return fmt.Errorf("%w: %w", ErrReadOnly, err)
		}
		if err := errors.Join(d.SyncDir(path.Join(proposalsDir, settledDir)), d.SyncDir(proposalsDir)); err != nil {
			return fmt.Errorf("%w: %w", ErrReadOnly, err)
		}
		p.Settled = how
		return writeProposal(d, settledFile(id), p)
	})
	if err == nil && !called {
		return fmt.Errorf("%w: %d", ErrNoProposal, id)
	}
	return err
}
