package timer

import (
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime/debug"
	"strconv"
	"time"

	"go.etcd.io/bbolt"
	berrors "go.etcd.io/bbolt/errors"
)

// Errors of the file.
var (
	// ErrOwned: another process keeps the timers; nobody waits for it.
	ErrOwned = errors.New("another program keeps the timers of this house")
	// ErrGone: no timer has that number.
	ErrGone = errors.New("no such timer")
)

// FileName is the timers' file in the data folder.
const FileName = "timers.db"

var (
	bucketTimers   = []byte("timers")
	bucketOutbox   = []byte("outbox")
	bucketReadings = []byte("readings")
	bucketTrials   = []byte("trials")
	bucketMeta     = []byte("meta")
	keyBorn        = []byte("born")
)

// briefly is how long opening tries for a lock that another process holds for
// one write; it is no waiting for an owner.
const briefly = 120 * time.Millisecond

// file is the bbolt file: every change is synced before its function returns.
type file struct {
	db   *bbolt.DB
	born string
	lost string // what was there and could not be read
}

func openFile(path string, now time.Time, load func(*bbolt.Tx) error) (*file, error) {
	f, err := tryFile(path, now, load)
	if err == nil || !broken(err) {
		return f, err
	}
	aside := path + ".unreadable-" + now.UTC().Format("20060102T150405")
	if rerr := os.Rename(path, aside); rerr != nil {
		return nil, fmt.Errorf("the timers' file %s can't be read (%w) and can't be put aside: %w", path, err, rerr)
	}
	why := err
	if f, err = tryFile(path, now, load); err != nil {
		return nil, err
	}
	f.lost = fmt.Sprintf("the timers' file could not be read (%v); it lies beside as %s, and the timers start empty", why, filepath.Base(aside))
	return f, nil
}

// broken reports whether an error of opening is the file's own.
func broken(err error) bool {
	return errors.Is(err, berrors.ErrInvalid) || errors.Is(err, berrors.ErrChecksum) || errors.Is(err, berrors.ErrVersionMismatch) || errors.Is(err, errDamaged)
}

var errDamaged = errors.New("damaged")

func tryFile(path string, now time.Time, load func(*bbolt.Tx) error) (f *file, err error) {
	var db *bbolt.DB
	defer func() {
		if p := recover(); p != nil { // bbolt panics on pages that make no sense
			err = fmt.Errorf("%w: %v", errDamaged, p)
		}
		if err != nil && db != nil {
			err = errors.Join(err, db.Close())
			f = nil
		}
	}()
	info, statErr := os.Stat(path)
	fresh := errors.Is(statErr, os.ErrNotExist)
	// a page that the file ends before would be a fault, not a panic
	defer debug.SetPanicOnFault(debug.SetPanicOnFault(true))
	db, err = bbolt.Open(path, 0o600, &bbolt.Options{Timeout: briefly, FreelistType: bbolt.FreelistMapType})
	switch {
	case errors.Is(err, berrors.ErrTimeout):
		return nil, ErrOwned
	case err != nil && statErr == nil && info.Mode().IsRegular() && info.Size() > 0 && !errors.Is(err, os.ErrPermission):
		return nil, fmt.Errorf("%w: %w", errDamaged, err)
	case err != nil:
		return nil, fmt.Errorf("the timers' file: %w", err)
	}
	f = &file{db: db}
	err = db.View(func(tx *bbolt.Tx) error { return f.look(tx, load) })
	if err == nil && f.born == "" {
		err = db.Update(func(tx *bbolt.Tx) error { return f.found(tx, now) })
	}
	if err == nil && fresh {
		err = syncFolder(filepath.Dir(path))
	}
	return f, err
}

// look reads the whole file once, so that what can't be read shows now.
func (f *file) look(tx *bbolt.Tx, load func(*bbolt.Tx) error) error {
	b := tx.Bucket(bucketMeta)
	if b == nil {
		return nil
	}
	f.born = string(b.Get(keyBorn))
	return load(tx)
}

// found makes the buckets of a new file.
func (f *file) found(tx *bbolt.Tx, now time.Time) error {
	for _, name := range [][]byte{bucketTimers, bucketOutbox, bucketReadings, bucketTrials, bucketMeta} {
		if _, err := tx.CreateBucketIfNotExists(name); err != nil {
			return err
		}
	}
	f.born = strconv.FormatInt(now.Unix(), 36)
	return tx.Bucket(bucketMeta).Put(keyBorn, []byte(f.born))
}

func syncFolder(dir string) error {
	d, err := os.Open(dir)
	if err != nil {
		return err
	}
	return errors.Join(d.Sync(), d.Close())
}

func key(n uint64) []byte { return binary.BigEndian.AppendUint64(nil, n) }

func put(b *bbolt.Bucket, n uint64, v any) error {
	data, err := json.Marshal(v)
	if err != nil {
		return err
	}
	return b.Put(key(n), data)
}

// each reads all values of a bucket, by rising key.
func each[T any](tx *bbolt.Tx, bucket []byte, visit func(n uint64, v T)) error {
	b := tx.Bucket(bucket)
	if b == nil {
		return fmt.Errorf("%w: no %s", errDamaged, bucket)
	}
	return b.ForEach(func(k, data []byte) error {
		var v T
		if len(k) != 8 {
			return fmt.Errorf("%w: a key of %d bytes in %s", errDamaged, len(k), bucket)
		}
		if err := json.Unmarshal(data, &v); err != nil {
			return fmt.Errorf("%w: %s %d: %w", errDamaged, bucket, binary.BigEndian.Uint64(k), err)
		}
		visit(binary.BigEndian.Uint64(k), v)
		return nil
	})
}
