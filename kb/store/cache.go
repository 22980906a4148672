package store

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"errors"
	"fmt"
	"hash/crc32"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"runtime/debug"
	"slices"
	"strings"
	"sync"

	"tamis/calc/quantity"
	"tamis/kb/recipe"
)

// A cache keeps what parsing gave of a book's files, one file a book. What it
// keeps of a file is used for the same path with the same bytes (their SHA-256),
// read by the same program under the same spoons, and for nothing else: sizes
// and times of files decide nothing. Whatever is not so is parsed.
type cache struct {
	dir, file string
	least     int              // bytes of recipes that are worth it
	load      func() *compiled // once; nil: nothing to use
}

// compiled is a cache file in memory.
type compiled struct {
	spoons  quantity.Measure
	records map[string]record // by path
}

type record struct {
	sum    [sha256.Size]byte // of the file's bytes
	packed string
}

const (
	cacheMagic  = "tamis read recipes\n"
	cacheFormat = 1
	cacheSuffix = ".recipes"
	cacheNew    = "new-"

	leastCached   = 256 << 10 // bytes of recipes: fewer are parsed in no time
	mostCached    = 512 << 20 // bytes of a cache file
	mostCaches    = 16        // books
	leftoverHours = 24        // after which an unfinished file is nobody's any more
)

var cacheNames = regexp.MustCompile(`^[0-9a-f]{32}\` + cacheSuffix + `$`)

// newCache is the cache of the book in folder book, kept in dir; nil without dir.
func newCache(dir, book string) *cache {
	if dir == "" {
		return nil
	}
	at, err := filepath.Abs(book)
	if err != nil {
		return nil
	}
	sum := sha256.Sum256([]byte(at))
	c := &cache{dir: dir, file: filepath.Join(dir, hex.EncodeToString(sum[:16])+cacheSuffix), least: leastCached}
	c.load = sync.OnceValue(c.read)
	return c
}

// begin reads the cache file in the background.
func (c *cache) begin() {
	if c != nil {
		go c.load()
	}
}

// compiled is what can be used under a measure, or nil.
func (c *cache) compiled(spoons quantity.Measure) *compiled {
	if c == nil {
		return nil
	}
	if k := c.load(); k != nil && k.spoons == spoons {
		return k
	}
	return nil
}

// of returns what is packed of a file.
func (k *compiled) of(b *blob) (packed string, ok bool) {
	if k == nil {
		return "", false
	}
	r, ok := k.records[b.path]
	return r.packed, ok && r.sum == b.sum
}

// read reads the cache file. One that is broken, too large, of another program,
// no plain file or open for others to write is as good as none.
func (c *cache) read() *compiled {
	info, err := os.Lstat(c.file)
	if err != nil || !info.Mode().IsRegular() || info.Size() > mostCached || runtime.GOOS != "windows" && info.Mode().Perm()&0o022 != 0 {
		return nil
	}
	key := make(chan string, 1)
	go func() { key <- program() }()
	f, err := os.Open(c.file)
	if err != nil {
		return nil
	}
	defer f.Close()
	var b strings.Builder
	b.Grow(int(info.Size()))
	if _, err := io.Copy(&b, io.LimitReader(f, mostCached)); err != nil {
		return nil
	}
	return decodeCache(b.String(), <-key)
}

// encodeCache writes the file's bytes: magic, format, program, spoons, the
// records, and a SHA-256 over all of it.
func encodeCache(key string, k *compiled) []byte {
	var b bytes.Buffer
	number := func(n int) { b.Write(binary.AppendUvarint(nil, uint64(n))) }
	text := func(s string) {
		number(len(s))
		b.WriteString(s)
	}
	b.WriteString(cacheMagic)
	number(cacheFormat)
	number(recipe.PackFormat)
	text(key)
	number(int(k.spoons))
	number(len(k.records))
	paths := make([]string, 0, len(k.records))
	for p := range k.records {
		paths = append(paths, p)
	}
	slices.Sort(paths)
	for _, p := range paths {
		r := k.records[p]
		text(p)
		b.Write(r.sum[:])
		text(r.packed)
	}
	return seal(b.Bytes())
}

func seal(data []byte) []byte {
	sum := sha256.Sum256(data)
	return append(data, sum[:]...)
}

// decodeCache reads what encodeCache wrote with the same key; nil if it is
// anything else, to the byte.
func decodeCache(data, key string) *compiled {
	rest, ok := strings.CutPrefix(data, cacheMagic)
	if !ok || key == "" || len(rest) < sha256.Size {
		return nil
	}
	body := data[:len(data)-sha256.Size]
	rest = rest[:len(rest)-sha256.Size]
	number := func() int {
		n := uint64(0)
		for i := 0; i < len(rest) && i < 5; i++ {
			n |= uint64(rest[i]&0x7f) << (7 * i)
			if rest[i] < 0x80 {
				rest = rest[i+1:]
				return int(n)
			}
		}
		ok, rest = false, ""
		return 0
	}
	text := func() string {
		n := number()
		if n > len(rest) {
			ok, rest = false, ""
			return ""
		}
		s := rest[:n]
		rest = rest[n:]
		return s
	}
	if number() != cacheFormat || number() != recipe.PackFormat || text() != key || !ok {
		return nil
	}
	h, buf := sha256.New(), make([]byte, 64<<10)
	for at := 0; at < len(body); { // in pieces: no second copy of all of it
		n := copy(buf, body[at:])
		h.Write(buf[:n])
		at += n
	}
	if string(h.Sum(nil)) != data[len(body):] {
		return nil
	}
	k := &compiled{spoons: quantity.Measure(number())}
	n := number()
	if n > len(rest)/sha256.Size {
		return nil
	}
	k.records = make(map[string]record, n)
	last := ""
	for range n {
		var r record
		p := text()
		if len(rest) < len(r.sum) || p <= last {
			return nil
		}
		copy(r.sum[:], rest)
		rest = rest[len(r.sum):]
		r.packed = text()
		k.records[p], last = r, p
	}
	if !ok || rest != "" {
		return nil
	}
	return k
}

// save writes the parsed recipes of a tree, if they are many and the file does
// not hold just them.
func (c *cache) save(t tree, spoons quantity.Measure) error {
	if c == nil {
		return nil
	}
	size, missing, n := 0, 0, 0
	k := c.compiled(spoons)
	for p, b := range t {
		if isRecipe(p) {
			n++
			size += len(b.content)
			if _, ok := k.of(b); !ok {
				missing++
			}
		}
	}
	if size < c.least || k != nil && missing == 0 && n == len(k.records) {
		return nil
	}
	return c.write(t, spoons, k)
}

func (c *cache) write(t tree, spoons quantity.Measure, old *compiled) (err error) {
	key := program()
	if key == "" {
		return errors.New("it is not known which program this is")
	}
	k := &compiled{spoons: spoons, records: make(map[string]record, len(t))}
	for p, b := range t {
		if !isRecipe(p) {
			continue
		}
		packed, ok := old.of(b)
		if !ok {
			packed, ok = b.pack(spoons)
		}
		if ok {
			k.records[p] = record{b.sum, packed}
		}
	}
	data := encodeCache(key, k)
	if len(data) > mostCached {
		return errors.New("it is too much")
	}
	if err := os.MkdirAll(c.dir, 0o700); err != nil {
		return err
	}
	f, err := os.CreateTemp(c.dir, cacheNew) // mode 0600
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			_ = os.Remove(f.Name()) // else it goes with the leftovers
		}
	}()
	_, err = f.Write(data)
	if err := errors.Join(err, f.Close()); err != nil {
		return err
	}
	// no sync: after a power cut the checksum tells, and the book is read anew
	if err := os.Rename(f.Name(), c.file); err != nil {
		return err
	}
	return c.sweep()
}

// sweep takes away the caches of the books that were read longest ago, if there
// are too many, and what processes left that were cut off.
func (c *cache) sweep() error {
	entries, err := os.ReadDir(c.dir)
	if err != nil {
		return err
	}
	type old struct {
		name string
		info fs.FileInfo
	}
	var all []old
	now, err := os.Stat(c.file)
	if err != nil {
		return err
	}
	for _, e := range entries {
		info, err := e.Info()
		if err != nil || !info.Mode().IsRegular() {
			continue
		}
		switch name := e.Name(); {
		case cacheNames.MatchString(name):
			all = append(all, old{name, info})
		case strings.HasPrefix(name, cacheNew) && now.ModTime().Sub(info.ModTime()).Hours() > leftoverHours:
			err = os.Remove(filepath.Join(c.dir, name))
		}
		if err != nil {
			return err
		}
	}
	slices.SortFunc(all, func(a, b old) int { return b.info.ModTime().Compare(a.info.ModTime()) })
	for _, o := range all[min(len(all), mostCaches):] {
		if err := os.Remove(filepath.Join(c.dir, o.name)); err != nil {
			return err
		}
	}
	return nil
}

// pack writes what parsing gave.
func (b *blob) pack(spoons quantity.Measure) (string, bool) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if !b.parsed || b.spoons != spoons {
		return "", false
	}
	packed, ok := recipe.Pack(b.path, spoons, b.recipe, b.faults)
	return string(packed), ok
}

// program tells this very program from any other build: by its build id, which
// stands in the first bytes of the file, by what it was built from, by its size
// and by a checksum over the whole file. "" if it cannot be known.
var program = sync.OnceValue(func() string {
	f, err := os.Open("/proc/self/exe") // the one that runs, though another lies in its place by now
	if err != nil {
		var path string
		if path, err = os.Executable(); err == nil {
			f, err = os.Open(path)
		}
	}
	if err != nil {
		return ""
	}
	defer f.Close()
	h := sha256.New()
	whole := crc32.New(crc32.MakeTable(crc32.Castagnoli))
	buf := make([]byte, 256<<10)
	size := int64(0)
	for {
		n, err := f.Read(buf)
		if size == 0 {
			h.Write(buf[:min(n, 64<<10)])
		}
		whole.Write(buf[:n])
		size += int64(n)
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return ""
		}
	}
	if info, ok := debug.ReadBuildInfo(); ok {
		_, _ = io.WriteString(h, info.String()) // a hash takes everything
	}
	fmt.Fprint(h, runtime.GOOS, runtime.GOARCH, size, whole.Sum32())
	return hex.EncodeToString(h.Sum(nil))
})
