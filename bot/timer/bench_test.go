package timer

import (
	"context"
	"fmt"
	"path/filepath"
	"runtime"
	"testing"
	"time"

	"go.etcd.io/bbolt"
)

// thousands fills a file with n timers that come due through a day.
func thousands(b *testing.B, n int) string {
	path := filepath.Join(b.TempDir(), FileName)
	e := open(b, path, night, Options{})
	err := e.f.db.Update(func(tx *bbolt.Tx) error {
		bucket := tx.Bucket(bucketTimers)
		for i := range n {
			t := domes(night)
			t.Channel, t.Much, t.Who = fmt.Sprintf("channel %d", i%40), "3 tubs", "pelle"
			t.Least = time.Duration(1+i*86400/n) * time.Second
			t.begin(night)
			id, err := bucket.NextSequence()
			if err != nil {
				return err
			}
			t.ID = ID(id)
			if err := put(bucket, id, &t); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		b.Fatal(err)
	}
	if err := e.Close(); err != nil {
		b.Fatal(err)
	}
	return path
}

// BenchmarkStart opens a file of ten thousand running timers: the time and the
// memory of a start.
func BenchmarkStart(b *testing.B) {
	path := thousands(b, 10_000)
	var held uint64
	for b.Loop() {
		var before, after runtime.MemStats
		b.StopTimer()
		runtime.GC()
		runtime.ReadMemStats(&before)
		b.StartTimer()
		e := open(b, path, night, Options{})
		b.StopTimer()
		runtime.GC()
		runtime.ReadMemStats(&after)
		held = after.HeapAlloc - before.HeapAlloc
		if _, ok := e.Next(); !ok {
			b.Fatal("nothing is due")
		}
		if err := e.Close(); err != nil {
			b.Fatal(err)
		}
		b.StartTimer()
	}
	b.ReportMetric(float64(held)/1e6, "MB-held")
}

// saying is how long a channel takes to say a notice, in simulated time.
const saying = 100 * time.Millisecond

// late is how late notices are said.
type late struct {
	clock *fake
	worst time.Duration
	n     int
}

func (l *late) Speak(_ context.Context, n Notice) error {
	l.clock.pass(saying)
	for _, it := range n.Items {
		if it.Kind == KindReady {
			l.worst = max(l.worst, l.clock.Now().Sub(it.Due))
			l.n++
		}
	}
	return nil
}

// BenchmarkDay runs ten thousand timers through a simulated day and reports how
// late the latest was, in simulated time.
func BenchmarkDay(b *testing.B) {
	const n = 10_000
	path := thousands(b, n)
	for b.Loop() {
		b.StopTimer()
		e, err := Open(path, night, Options{})
		if err != nil {
			b.Fatal(err)
		}
		e.f.db.NoSync = true // the time is simulated, the disk's is not what is measured
		c := &fake{now: night}
		l := &late{clock: c}
		ctx, stop := context.WithCancel(context.Background())
		ended := make(chan error)
		b.StartTimer()
		go func() { ended <- e.Run(ctx, c, l, func(err error) { b.Error(err) }) }()
		end := night.Add(24*time.Hour + 2*time.Second)
		for c.Now().Before(end) {
			if !c.forward(end) {
				runtime.Gosched()
			}
		}
		stop()
		<-ended
		if l.n != n {
			b.Fatalf("%d of %d timers spoke", l.n, n)
		}
		if l.worst > time.Second {
			b.Fatalf("one was %v late", l.worst)
		}
		b.ReportMetric(l.worst.Seconds(), "s-late-at-worst")
		b.StopTimer()
		if err := e.Close(); err != nil {
			b.Fatal(err)
		}
		path = thousands(b, n)
		b.StartTimer()
	}
}
