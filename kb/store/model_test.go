package store

import (
	"errors"
	"io/fs"
	"maps"
	"math/rand/v2"
	"os"
	"path"
	"slices"
	"strings"
	"testing/fstest"
)

// model is a file system in memory that keeps apart what is durable and what a
// crash may drop: bytes that were not synced, and names that were made, changed
// or removed in a folder that was not synced. It can stop for good at an
// operation, or refuse one.
type model struct {
	now, durable map[string]*node // by path; folders too, "." is always there
	ops          int
	crashAt      int           // the operation that never ends; 0 none
	dead         bool          // after it
	refuse       map[int]error // by operation
	refuseFrom   int           // every operation from here; 0 none
	full         error         // what refuseFrom gives
	cache        fstest.MapFS
	kinds        map[string]int // of operations, for the histogram
}

type node struct {
	dir           bool
	data, durable []byte
}

var errCrash = errors.New("the power is out")

func newModel(files map[string]string) *model {
	m := &model{now: map[string]*node{".": {dir: true}}, durable: map[string]*node{".": {dir: true}}, refuse: map[int]error{}, kinds: map[string]int{}}
	for p, text := range files {
		m.put(p, text)
	}
	return m
}

// put is what somebody else wrote, durable with its folders.
func (m *model) put(p, text string) {
	for d := path.Dir(p); d != "."; d = path.Dir(d) {
		if m.now[d] == nil {
			m.now[d] = &node{dir: true}
		}
		m.durable[d] = m.now[d]
	}
	m.now[p] = &node{data: []byte(text), durable: []byte(text)}
	m.durable[p] = m.now[p]
	m.cache = nil
}

// op counts an operation and says whether it happens. half: it was under way when the power went.
func (m *model) op(kind string) (half bool, err error) {
	if m.dead {
		return false, errCrash
	}
	m.ops++
	m.kinds[kind]++
	m.cache = nil
	if m.ops == m.crashAt {
		m.dead = true
		return true, errCrash
	}
	if err := m.refuse[m.ops]; err != nil {
		return false, err
	}
	if m.refuseFrom > 0 && m.ops >= m.refuseFrom {
		return false, m.full
	}
	return false, nil
}

// crashed is what stands there after the power came back. What was not synced
// is gone, or there, or partly, as r says; nil drops all of it.
func (m *model) crashed(r *rand.Rand) *model {
	out := newModel(nil)
	keep := func() bool { return r != nil && r.IntN(2) == 0 }
	names := map[string]bool{}
	for p := range m.now {
		names[p] = true
	}
	for p := range m.durable {
		names[p] = true
	}
	for _, p := range slices.Sorted(maps.Keys(names)) {
		n := m.durable[p]
		if m.now[p] != n && keep() {
			n = m.now[p]
		}
		if n == nil || p != "." && out.now[path.Dir(p)] == nil {
			continue
		}
		c := &node{dir: n.dir, data: slices.Clone(n.durable)}
		if !n.dir && string(n.data) != string(n.durable) && keep() {
			c.data = slices.Clone(n.data)
			if at := len(n.durable); at < len(n.data) && string(n.data[:at]) == string(n.durable) { // part of what was appended
				c.data = c.data[:at+r.IntN(len(n.data)-at+1)]
			}
		}
		c.durable = slices.Clone(c.data)
		out.now[p] = c
	}
	out.durable = maps.Clone(out.now)
	return out
}

// at is the model below a folder.
func (m *model) at(dir string) disk { return modelDisk{m, dir} }

type modelDisk struct {
	m   *model
	dir string
}

func (d modelDisk) name(n string) string { return path.Join(d.dir, n) }

func (d modelDisk) Open(name string) (fs.File, error) {
	if d.m.dead {
		return nil, errCrash
	}
	if d.m.cache == nil {
		d.m.cache = fstest.MapFS{}
		for p, n := range d.m.now {
			if n.dir {
				d.m.cache[p] = &fstest.MapFile{Mode: fs.ModeDir | 0o755}
			} else {
				d.m.cache[p] = &fstest.MapFile{Data: n.data, Mode: 0o644}
			}
		}
		delete(d.m.cache, ".")
	}
	f, err := d.m.cache.Open(d.name(name))
	return f, err
}

func notThere(op, name string) error { return &fs.PathError{Op: op, Path: name, Err: fs.ErrNotExist} }

func (d modelDisk) Mkdir(name string) error {
	_, err := d.m.op("mkdir")
	p := d.name(name)
	switch {
	case err != nil:
		return err
	case d.m.now[path.Dir(p)] == nil:
		return notThere("mkdir", p)
	case d.m.now[p] != nil:
		return &fs.PathError{Op: "mkdir", Path: p, Err: fs.ErrExist}
	}
	d.m.now[p] = &node{dir: true}
	return nil
}

func (d modelDisk) OpenFile(name string, flag int) (diskFile, error) {
	p := d.name(name)
	n := d.m.now[p]
	if n != nil && flag&os.O_EXCL != 0 {
		return nil, &fs.PathError{Op: "open", Path: p, Err: fs.ErrExist}
	}
	if n == nil || flag&os.O_TRUNC != 0 {
		if _, err := d.m.op("create"); err != nil {
			return nil, err
		}
		switch {
		case d.m.now[path.Dir(p)] == nil, n == nil && flag&os.O_CREATE == 0:
			return nil, notThere("open", p)
		case n == nil:
			n = &node{}
			d.m.now[p] = n
		default:
			n.data = nil
		}
	} else if d.m.dead {
		return nil, errCrash
	}
	return &modelFile{d.m, n}, nil
}

func (d modelDisk) Rename(from, to string) error {
	if _, err := d.m.op("rename"); err != nil {
		return err
	}
	n := d.m.now[d.name(from)]
	if n == nil {
		return notThere("rename", from)
	}
	delete(d.m.now, d.name(from))
	d.m.now[d.name(to)] = n
	return nil
}

func (d modelDisk) Remove(name string) error {
	if _, err := d.m.op("remove"); err != nil {
		return err
	}
	if d.m.now[d.name(name)] == nil {
		return notThere("remove", name)
	}
	delete(d.m.now, d.name(name))
	return nil
}

func (d modelDisk) SyncDir(name string) error {
	if _, err := d.m.op("sync folder"); err != nil {
		return err
	}
	dir := d.name(name)
	if d.m.now[dir] == nil {
		return notThere("sync", dir)
	}
	for _, all := range []map[string]*node{d.m.now, maps.Clone(d.m.durable)} {
		for p := range all {
			if p == "." || path.Dir(p) != dir {
				continue
			}
			if n := d.m.now[p]; n != nil {
				d.m.durable[p] = n
			} else {
				delete(d.m.durable, p)
			}
		}
	}
	return nil
}

type modelFile struct {
	m *model
	n *node
}

func (f *modelFile) Write(b []byte) (int, error) {
	half, err := f.m.op("write")
	switch {
	case half:
		f.n.data = append(f.n.data, b[:len(b)/2]...)
		return 0, err
	case err != nil && !f.m.dead: // a full disk takes a part
		f.n.data = append(f.n.data, b[:len(b)/3]...)
		return len(b) / 3, err
	case err != nil:
		return 0, err
	}
	f.n.data = append(f.n.data, b...)
	return len(b), nil
}

func (f *modelFile) Sync() error {
	half, err := f.m.op("sync file")
	if half { // it may have been the very end of it
		f.n.durable = slices.Clone(f.n.data)
	}
	if err != nil {
		return err
	}
	f.n.durable = slices.Clone(f.n.data)
	return nil
}

func (f *modelFile) Truncate(size int64) error {
	if _, err := f.m.op("truncate"); err != nil {
		return err
	}
	f.n.data = slices.Clone(f.n.data[:min(int(size), len(f.n.data))])
	return nil
}

func (f *modelFile) Close() error {
	if f.m.dead {
		return errCrash
	}
	return nil
}

// text returns a file's content, "" if it is not there.
func (m *model) text(p string) string {
	if n := m.now[p]; n != nil {
		return string(n.data)
	}
	return ""
}

// files are those of the book, without what the store keeps.
func (m *model) files() map[string]string {
	out := map[string]string{}
	for p, n := range m.now {
		if !n.dir && !strings.HasPrefix(path.Base(p), ".") && !strings.HasPrefix(p, dataDir+"/") {
			out[p] = string(n.data)
		}
	}
	return out
}
