package index_test

import (
	"context"
	"fmt"
	"log/slog"
	"runtime"
	"strings"
	"testing"

	"tamis/kb"
	"tamis/kb/index"
	"tamis/kb/index/internal/made"
)

var sizes = []int{300, 10_000}

func forSizes(b *testing.B, run func(b *testing.B, s *kb.Snapshot, all []made.Recipe)) {
	for _, n := range sizes {
		b.Run(fmt.Sprint(n), func(b *testing.B) { run(b, madeBook(b, n), made.Recipes(n)) })
	}
}

// BenchmarkBuild makes the index in memory; heap-KB is what it then holds.
func BenchmarkBuild(b *testing.B) {
	forSizes(b, func(b *testing.B, s *kb.Snapshot, _ []made.Recipe) {
		b.ReportAllocs()
		var held uint64
		for b.Loop() {
			before := heap()
			x := index.New(s)
			x.Search(context.Background(), "pear", 1)
			held = heap() - before
			x.Close()
		}
		b.ReportMetric(float64(held)/1e3, "heap-KB")
	})
}

func heap() uint64 {
	for range 3 { // what pools keep goes with the second
		runtime.GC()
	}
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return m.HeapAlloc
}

// BenchmarkBuildDisk makes the index in a folder.
func BenchmarkBuildDisk(b *testing.B) {
	forSizes(b, func(b *testing.B, s *kb.Snapshot, _ []made.Recipe) {
		for b.Loop() {
			x, err := index.Open(context.Background(), s, b.TempDir(), slog.New(slog.DiscardHandler))
			if err != nil {
				b.Fatal(err)
			}
			x.Search(context.Background(), "pear", 1)
			x.Close()
		}
	})
}

// BenchmarkOpenDisk opens an index that is on disk, with all its checks.
func BenchmarkOpenDisk(b *testing.B) {
	forSizes(b, func(b *testing.B, s *kb.Snapshot, _ []made.Recipe) {
		dir := b.TempDir()
		open := func() *index.Index {
			x, err := index.Open(context.Background(), s, dir, nil)
			if err != nil {
				b.Fatal(err)
			}
			return x
		}
		x := open()
		x.Search(context.Background(), "pear", 1)
		x.Close()
		for b.Loop() {
			x := open()
			if !x.OnDisk() {
				b.Fatal("not on disk")
			}
			x.Close()
		}
	})
}

func benchmarkSearch(b *testing.B, text func(made.Recipe) string) {
	forSizes(b, func(b *testing.B, s *kb.Snapshot, all []made.Recipe) {
		x := index.New(s)
		defer x.Close()
		hits, err := x.Search(context.Background(), text(all[0]), 5)
		if err != nil || len(hits) == 0 {
			b.Fatal(hits, err)
		}
		b.ReportAllocs()
		i := 0
		for b.Loop() {
			if _, err := x.Search(context.Background(), text(all[i%len(all)]), 5); err != nil {
				b.Fatal(err)
			}
			i++
		}
	})
}

// BenchmarkMatch asks for one word of a name.
func BenchmarkMatch(b *testing.B) {
	benchmarkSearch(b, func(r made.Recipe) string { return r.Name[strings.LastIndexByte(r.Name, ' ')+1:] })
}

// BenchmarkFuzzy asks for the same word with two letters swapped.
func BenchmarkFuzzy(b *testing.B) { benchmarkSearch(b, made.Mistyped) }

// BenchmarkWholeName asks for a whole name.
func BenchmarkWholeName(b *testing.B) {
	benchmarkSearch(b, func(r made.Recipe) string { return r.Name })
}

// BenchmarkIngredients asks for something with two ingredients.
func BenchmarkIngredients(b *testing.B) {
	benchmarkSearch(b, func(r made.Recipe) string { return "something with " + r.Ingredients[0] + " and " + r.Ingredients[1] })
}
