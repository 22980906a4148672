package index

import (
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"hash/crc32"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"

	"github.com/blevesearch/bleve/v2"
	"github.com/blevesearch/bleve/v2/index/scorch"
	"github.com/gofrs/flock"
	bolterrors "go.etcd.io/bbolt/errors"

	"tamis/kb"
	"tamis/kb/larder"
)

// The folder of an index holds one folder named by its key, with bleve's files
// and the manifest; while one is built, another that begins with newPrefix; and
// the lock that whoever writes here holds.
const (
	format       = 1 // of manifest, fields and terms: raise it when they change
	manifestName = "tamis.json"
	lockName     = "lock"
	newPrefix    = "new-"
	oldPrefix    = "old-"

	// boltWait is shorter than bbolt's pause between two tries: it tries once.
	boltWait = "1ms"
)

var (
	errHeld  = errors.New("another process holds the index")
	errNone  = errors.New("no index of this book")
	errWrong = errors.New("the index is broken")

	ours = regexp.MustCompile(`^(` + newPrefix + `|` + oldPrefix + `)[0-9]+$|^[0-9a-f]{32}$`)
)

// manifest is what the index says of itself.
type manifest struct {
	Format      int        `json:"format"`
	Key         string     `json:"key"`
	Fingerprint string     `json:"fingerprint"`
	Recipes     int        `json:"recipes"`
	Files       []fileInfo `json:"files"`
}

type fileInfo struct {
	Path string `json:"path"`
	Size int64  `json:"size"`
	Sum  string `json:"crc32c"`
}

// key hashes all that the index is made from and its form: the book's bytes, the
// order of recipes, and what the larder calls their ingredients.
func key(s *kb.Snapshot) string {
	h := sha256.New()
	say := func(words ...string) {
		var n [8]byte
		for _, w := range words {
			binary.BigEndian.PutUint64(n[:], uint64(len(w)))
			h.Write(n[:])
			io.WriteString(h, w)
		}
	}
	say(fmt.Sprint(format), s.Fingerprint(), fmt.Sprint(len(s.Recipes)))
	seen := map[*larder.Item]bool{}
	for _, r := range s.Recipes {
		say(string(r.ID), r.Name)
		for i := range r.Lines {
			if it := r.Lines[i].Item; it != nil && !seen[it] {
				seen[it] = true
				say(it.Name)
			}
		}
	}
	return hex.EncodeToString(h.Sum(nil)[:16])
}

// openDisk opens the index of the snapshot if it is there and whole. It reads only.
func (x *Index) openDisk() (*opened, error) {
	k := key(x.snap)
	dir := filepath.Join(x.dir, k)
	free, err := share(filepath.Join(dir, "store", "root.bolt"))
	if err != nil {
		return nil, err
	}
	defer free()
	if err := check(dir, manifest{Format: format, Key: k, Fingerprint: x.snap.Fingerprint(), Recipes: len(x.snap.Recipes)}); err != nil {
		return nil, err
	}
	b, err := bleve.OpenUsing(dir, map[string]any{"read_only": true, "bolt_timeout": boltWait})
	switch {
	case errors.Is(err, bolterrors.ErrTimeout):
		return nil, errHeld
	case err != nil:
		return nil, fmt.Errorf("%w: %w", errWrong, err)
	}
	if n, err := b.DocCount(); err != nil || n != uint64(len(x.snap.Recipes)) {
		b.Close()
		return nil, fmt.Errorf("%w: it holds %d of %d recipes", errWrong, n, len(x.snap.Recipes))
	}
	return &opened{index: b, recipes: len(x.snap.Recipes), onDisk: true}, nil
}

// share takes bleve's own lock as one of many readers, so that nobody writes while
// the files are checked. It does not wait.
func share(file string) (free func(), err error) {
	lock := flock.New(file, flock.SetFlag(os.O_RDONLY))
	got, err := lock.TryRLock()
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, errNone
	case err != nil:
		return nil, fmt.Errorf("%w: %w", errWrong, err)
	case !got:
		return nil, errHeld
	}
	return func() { lock.Close() }, nil
}

// buildDisk builds the index in a new folder, puts it in the old one's place and
// opens it.
func (x *Index) buildDisk() (*opened, error) {
	if err := os.MkdirAll(x.dir, 0o755); err != nil {
		return nil, err
	}
	lock := flock.New(filepath.Join(x.dir, lockName))
	got, err := lock.TryLock()
	if err != nil {
		return nil, err
	}
	if !got {
		return nil, errHeld
	}
	defer lock.Close()
	x.sweep("") // what a process left that ended while it built
	fresh, err := os.MkdirTemp(x.dir, newPrefix)
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(fresh)
	if err := x.writeDisk(fresh); err != nil {
		return nil, err
	}
	k := key(x.snap)
	if err := x.swap(fresh, k); err != nil {
		return nil, err
	}
	o, err := x.openDisk()
	if err == nil {
		x.sweep(k)
	}
	return o, err
}

func (x *Index) writeDisk(dir string) error {
	// bleve wants to make its folder itself
	if err := os.Remove(dir); err != nil {
		return err
	}
	b, err := bleve.NewUsing(dir, bleve.NewIndexMapping(), scorch.Name, scorch.Name, map[string]any{"bolt_timeout": boltWait})
	if err != nil {
		return err
	}
	err = x.fill(b)
	if err := errors.Join(err, b.Close()); err != nil {
		return err
	}
	m := manifest{Format: format, Key: key(x.snap), Fingerprint: x.snap.Fingerprint(), Recipes: len(x.snap.Recipes)}
	if m.Files, err = sums(dir); err != nil {
		return err
	}
	data, err := json.MarshalIndent(m, "", "  ")
	if err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(dir, manifestName), append(data, '\n'), 0o644)
}

// swap puts a new index where its key says; one that is there is broken.
func (x *Index) swap(fresh, key string) error {
	at := filepath.Join(x.dir, key)
	if _, err := os.Lstat(at); err == nil {
		old, err := os.MkdirTemp(x.dir, oldPrefix)
		if err != nil {
			return err
		}
		if err := os.Rename(at, filepath.Join(old, key)); err != nil {
			return err
		}
	}
	return os.Rename(fresh, at)
}

// sweep removes the folders that indexes left, but the one to keep; with "" only
// unfinished ones. What is open elsewhere and cannot be removed goes next time.
func (x *Index) sweep(keep string) {
	entries, err := os.ReadDir(x.dir)
	if err != nil {
		x.log.Info("old search indexes stay", "folder", x.dir, "why", err)
		return
	}
	for _, e := range entries {
		n := e.Name()
		if !ours.MatchString(n) || n == keep || keep == "" && !strings.Contains(n, "-") {
			continue
		}
		if err := os.RemoveAll(filepath.Join(x.dir, n)); err != nil {
			x.log.Info("an old search index stays", "folder", n, "why", err)
		}
	}
}

// check reports whether dir holds an index that says what want says, with all
// its bytes as they were written.
func check(dir string, want manifest) error {
	data, err := os.ReadFile(filepath.Join(dir, manifestName))
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return errNone
	case err != nil:
		return err
	}
	var m manifest
	if err := json.Unmarshal(data, &m); err != nil {
		return fmt.Errorf("%w: %w", errWrong, err)
	}
	if m.Format != want.Format || m.Key != want.Key || m.Fingerprint != want.Fingerprint || m.Recipes != want.Recipes {
		return fmt.Errorf("%w: it is of another book", errWrong)
	}
	have, err := sums(dir)
	if err != nil {
		return fmt.Errorf("%w: %w", errWrong, err)
	}
	if !slices.Equal(have, m.Files) {
		return fmt.Errorf("%w: its files are not as they were written", errWrong)
	}
	return nil
}

var castagnoli = crc32.MakeTable(crc32.Castagnoli)

// sums reads all files below dir but the manifest, in order of path.
func sums(dir string) ([]fileInfo, error) {
	var out []fileInfo
	err := filepath.WalkDir(dir, func(path string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		rel, err := filepath.Rel(dir, path)
		if err != nil || rel == manifestName {
			return err
		}
		if !e.Type().IsRegular() {
			return fmt.Errorf("%s is no plain file", rel)
		}
		f, err := os.Open(path)
		if err != nil {
			return err
		}
		defer f.Close()
		h := crc32.New(castagnoli)
		n, err := io.Copy(h, f)
		out = append(out, fileInfo{Path: filepath.ToSlash(rel), Size: n, Sum: fmt.Sprintf("%08x", h.Sum32())})
		return err
	})
	return out, err
}
