package discord

import (
	"crypto/rand"
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"sync"
	"time"

	"go.etcd.io/bbolt"
	berrors "go.etcd.io/bbolt/errors"
)

// FileName is the adapter's file in the data folder.
const FileName = "channel.db"

// record is what is kept of an answered message.
type record struct {
	Channel string   `json:"c"`
	User    string   `json:"u"`
	Text    uint64   `json:"t,omitempty"` // hash of the question
	Acted   bool     `json:"a,omitempty"` // it changed the book or the timers
	Parts   []sealed `json:"p,omitempty"` // not known to be sent yet
	Bare    []sealed `json:"b,omitempty"` // the same without cards and files, where those are not taken
	Replies []string `json:"r,omitempty"`
}

// sealed is one message ready to be sent.
type sealed struct {
	Body  json.RawMessage `json:"b"`
	Files []file          `json:"f,omitempty"`

	Thread   string `json:"n,omitempty"`
	InThread bool   `json:"i,omitempty"`
}

type file struct {
	Name, Type string
	Data       []byte
}

var (
	bucketAnswered = []byte("answered") // message id: record
	bucketOpen     = []byte("open")     // message id: nothing; the answer may not be out
	bucketSaid     = []byte("said")     // notice id: message id
	bucketKept     = []byte("kept")     // the secret, the houses of direct talks
	bucketTalks    = []byte("talks")    // direct talks: channel id: time
)

// keepFor is how long answers can still be edited with their questions.
const keepFor = 14 * 24 * time.Hour

// memory keeps what must not be forgotten: which messages are answered, by what.
type memory struct {
	db    *bbolt.DB
	brief string // file that ends with the program
	// Lost says what could not be read and was put aside.
	lost string

	mu      sync.Mutex
	pending map[uint64]record // sent, not written yet
	waiting []write
	wake    chan struct{}
	done    chan struct{}
	closed  bool
	writing sync.WaitGroup
}

// write is a change that somebody waits for.
type write struct {
	do   func(tx *bbolt.Tx) error
	done chan error
}

var errClosed = errors.New("what was kept of the channel is closed")

// openMemory opens the file in a folder; with "" one that ends with the program.
func openMemory(dir string, now time.Time) (*memory, error) {
	m := &memory{pending: map[uint64]record{}, wake: make(chan struct{}, 1), done: make(chan struct{})}
	path := filepath.Join(dir, FileName)
	o := *bbolt.DefaultOptions
	o.NoFreelistSync, o.FreelistType = true, bbolt.FreelistMapType // fewer pages a write
	o.Timeout = 3 * time.Second
	if dir == "" {
		tmp, err := os.MkdirTemp("", "tamis-channel-")
		if err != nil {
			return nil, fmt.Errorf("a folder for this run: %w", err)
		}
		m.brief, path, o.NoSync = tmp, filepath.Join(tmp, FileName), true
	} else if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, fmt.Errorf("the data folder: %w", err)
	}
	db, err := bbolt.Open(path, 0o600, &o)
	if err != nil && !errors.Is(err, berrors.ErrTimeout) {
		aside := path + "." + now.UTC().Format("20060102T150405") + ".bad"
		if os.Rename(path, aside) == nil {
			m.lost = "What was kept of the channel could not be read and was put aside as " + filepath.Base(aside) + "; it starts empty."
			db, err = bbolt.Open(path, 0o600, &o)
		}
	}
	if err != nil {
		return nil, fmt.Errorf("%s: %w", FileName, err)
	}
	m.db = db
	err = db.Update(func(tx *bbolt.Tx) error {
		for _, b := range [][]byte{bucketAnswered, bucketOpen, bucketSaid, bucketKept, bucketTalks, bucketUnderway} {
			if _, err := tx.CreateBucketIfNotExists(b); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return nil, errors.Join(fmt.Errorf("%s: %w", FileName, err), db.Close())
	}
	m.writing.Go(m.writer)
	return m, nil
}

func key(n uint64) []byte { return binary.BigEndian.AppendUint64(nil, n) }

// secret is what buttons are signed with: made once, kept as long as the file.
func (m *memory) secret() (out []byte, err error) {
	err = m.db.Update(func(tx *bbolt.Tx) error {
		b := tx.Bucket(bucketKept)
		if v := b.Get([]byte("secret")); len(v) == 32 {
			out = append(out, v...)
			return nil
		}
		out = make([]byte, 32)
		if _, err := rand.Read(out); err != nil {
			return err
		}
		return b.Put([]byte("secret"), out)
	})
	return out, err
}

// get is what is known of a message.
func (m *memory) get(id uint64) (r record, ok bool) {
	m.mu.Lock()
	r, ok = m.pending[id]
	m.mu.Unlock()
	if ok {
		return r, true
	}
	err := m.db.View(func(tx *bbolt.Tx) error {
		data := tx.Bucket(bucketAnswered).Get(key(id))
		if data == nil {
			return nil
		}
		ok = true
		return json.Unmarshal(data, &r)
	})
	return r, ok && err == nil
}

// seal keeps an answer that is about to be sent; it is durable when seal returns.
func (m *memory) seal(id uint64, r record) error {
	data, err := json.Marshal(r)
	if err != nil {
		return err
	}
	return m.durably(func(tx *bbolt.Tx) error {
		return errors.Join(tx.Bucket(bucketAnswered).Put(key(id), data), tx.Bucket(bucketOpen).Put(key(id), nil))
	})
}

// sent notes that an answer is out. It is written a moment later: until then the
// platform knows the nonce.
func (m *memory) sent(id uint64, r record) {
	r.Parts, r.Bare = nil, nil
	m.mu.Lock()
	m.pending[id] = r
	m.mu.Unlock()
}

// lazily is how long what nobody waits for may stay unwritten.
const lazily = 200 * time.Millisecond

// durably makes a change and waits until the disk has it. All that are waited for
// at once share one write.
func (m *memory) durably(do func(tx *bbolt.Tx) error) error {
	w := write{do, make(chan error, 1)}
	m.mu.Lock()
	if m.closed {
		m.mu.Unlock()
		return errClosed
	}
	m.waiting = append(m.waiting, w)
	m.mu.Unlock()
	m.nudge()
	return <-w.done
}

func (m *memory) nudge() {
	select {
	case m.wake <- struct{}{}:
	default:
	}
}

func (m *memory) writer() {
	t := time.NewTicker(lazily)
	defer t.Stop()
	for {
		select {
		case <-m.wake:
		case <-t.C:
		case <-m.done:
			return
		}
		m.flush()
	}
}

// flush writes all that waits in one step.
func (m *memory) flush() {
	m.mu.Lock()
	ws := m.waiting
	m.waiting = nil
	sent := make(map[uint64]record, len(m.pending))
	for id, r := range m.pending {
		sent[id] = r
	}
	m.mu.Unlock()
	if len(ws)+len(sent) == 0 {
		return
	}
	err := m.db.Update(func(tx *bbolt.Tx) error {
		for _, w := range ws {
			if err := w.do(tx); err != nil {
				return err
			}
		}
		for id, r := range sent {
			data, err := json.Marshal(r)
			if err != nil {
				return err
			}
			if err := errors.Join(tx.Bucket(bucketAnswered).Put(key(id), data), tx.Bucket(bucketOpen).Delete(key(id))); err != nil {
				return err
			}
		}
		return nil
	})
	for _, w := range ws {
		w.done <- err
	}
	if err != nil {
		return // what is sent is written with the next; the platform knows its nonce
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	for id, r := range sent {
		if now, ok := m.pending[id]; ok && same(now, r) {
			delete(m.pending, id)
		}
	}
}

func same(a, b record) bool { return a.Text == b.Text && slices.Equal(a.Replies, b.Replies) }

// forget drops what is known of a message.
func (m *memory) forget(id uint64) error {
	m.mu.Lock()
	delete(m.pending, id)
	m.mu.Unlock()
	return m.durably(func(tx *bbolt.Tx) error {
		return errors.Join(tx.Bucket(bucketAnswered).Delete(key(id)), tx.Bucket(bucketOpen).Delete(key(id)))
	})
}

// open are the answers that may not be out, by channel.
func (m *memory) open() (map[string][]uint64, error) {
	out := map[string][]uint64{}
	err := m.db.View(func(tx *bbolt.Tx) error {
		answered := tx.Bucket(bucketAnswered)
		return tx.Bucket(bucketOpen).ForEach(func(k, _ []byte) error {
			var r record
			if json.Unmarshal(answered.Get(k), &r) == nil && len(r.Parts) > 0 {
				out[r.Channel] = append(out[r.Channel], binary.BigEndian.Uint64(k))
			}
			return nil
		})
	})
	return out, err
}

// said is the message that said a notice.
func (m *memory) said(id string) (string, bool) {
	var out []byte
	err := m.db.View(func(tx *bbolt.Tx) error {
		out = append(out, tx.Bucket(bucketSaid).Get([]byte(id))...)
		return nil
	})
	return string(out), err == nil && len(out) > 0
}

func (m *memory) say(id, message string) error {
	return m.durably(func(tx *bbolt.Tx) error { return tx.Bucket(bucketSaid).Put([]byte(id), []byte(message)) })
}

// keep and kept hold small things by name.
func (m *memory) keep(name, value string) error {
	return m.durably(func(tx *bbolt.Tx) error { return tx.Bucket(bucketKept).Put([]byte(name), []byte(value)) })
}

func (m *memory) kept(name string) (out string) {
	_ = m.db.View(func(tx *bbolt.Tx) error { // what can't be read was never said
		out = string(tx.Bucket(bucketKept).Get([]byte(name)))
		return nil
	})
	return out
}

// talk notes a direct talk, to look for what was missed in it.
func (m *memory) talk(channel string, now time.Time) error {
	return m.durably(func(tx *bbolt.Tx) error {
		return tx.Bucket(bucketTalks).Put([]byte(channel), []byte(now.UTC().Format(time.RFC3339)))
	})
}

// talks are the direct talks of the last days.
func (m *memory) talks(now time.Time) []string {
	var out []string
	_ = m.db.View(func(tx *bbolt.Tx) error { // none is missed where none can be read
		return tx.Bucket(bucketTalks).ForEach(func(k, v []byte) error {
			if at, err := time.Parse(time.RFC3339, string(v)); err == nil && now.Sub(at) < 7*24*time.Hour && len(out) < 100 {
				out = append(out, string(k))
			}
			return nil
		})
	})
	return out
}

// prune drops what is too old to be asked for.
func (m *memory) prune(now time.Time) error {
	before := idAt(now.Add(-keepFor))
	for more := true; more; {
		err := m.db.Update(func(tx *bbolt.Tx) error {
			b, open := tx.Bucket(bucketAnswered), tx.Bucket(bucketOpen)
			n := 0
			c := b.Cursor()
			for k, _ := c.First(); k != nil && binary.BigEndian.Uint64(k) < before && n < 2000; k, _ = c.Next() {
				n++
				if err := errors.Join(open.Delete(k), c.Delete()); err != nil {
					return err
				}
			}
			more = n == 2000
			return nil
		})
		if err != nil {
			return err
		}
	}
	return nil
}

// close writes what is left and gives the file back.
func (m *memory) close() error {
	m.mu.Lock()
	if m.closed {
		m.mu.Unlock()
		return nil
	}
	m.closed = true
	m.mu.Unlock()
	close(m.done)
	m.writing.Wait()
	m.flush()
	err := m.db.Close()
	if m.brief != "" {
		err = errors.Join(err, os.RemoveAll(m.brief))
	}
	return err
}

// abandon gives the file back as a machine does that loses its power.
func (m *memory) abandon() {
	m.mu.Lock()
	m.pending = map[uint64]record{}
	for _, w := range m.waiting {
		w.done <- errClosed
	}
	m.waiting = nil
	m.mu.Unlock()
	_ = m.close() // nothing is written
}
