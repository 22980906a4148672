package bot

import (
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"context"

	"tamis/kb"
	"tamis/kb/store"
)

// kiloFolder is a book of n recipes of about 1 KB, one in three drawing on another.
func kiloFolder(b *testing.B, n int) string {
	b.Helper()
	dir := b.TempDir()
	if err := os.MkdirAll(filepath.Join(dir, "recipes"), 0o755); err != nil {
		b.Fatal(err)
	}
	for i := range n {
		if err := os.WriteFile(filepath.Join(dir, "recipes", fmt.Sprintf("%06d.yaml", i)), []byte(kiloRecipe(i, 100+i%400)), 0o644); err != nil {
			b.Fatal(err)
		}
	}
	return dir
}

func kiloRecipe(i, milk int) string {
	var t strings.Builder
	fmt.Fprintf(&t, "recipe: made dish %d\nmakes: 1200 g\ningredients:\n  - milk: %d g\n", i, milk)
	for k, f := range []string{"butter", "sugar", "salt", "egg yolk", "cream 35 %", "buckwheat flour", "walnut", "pear", "honey"} {
		fmt.Fprintf(&t, "  - %s: %d g\n", f, 20+(i*7+k*13)%200)
	}
	if i%3 == 2 {
		fmt.Fprintf(&t, "  - made dish %d: 50 g\n", i-1)
	}
	t.WriteString("method:\n")
	for _, s := range []string{"boil: the milk with the cream and half of the sugar", "whisk: the yolk with the rest of the sugar until it is pale", "cook: all of it together, stirring from the bottom of the pan", "strain: through the fine sieve into a clean pan and cool it over ice"} {
		fmt.Fprintf(&t, "  - %s\n    for: 12 min\n    caution: keep an eye on the edge of the pan, and taste before it goes on to the next one\n", s)
	}
	t.WriteString("keeps: 3 days in fridge\n")
	return t.String()
}

// benchmarkPushAsk is from the push to the answer from it, durable in between.
func benchmarkPushAsk(b *testing.B, n int) {
	keep, err := store.OpenKept(b.Context(), store.Home, kiloFolder(b, n), store.Options{Now: func() time.Time { return time.Date(2026, 3, 14, 22, 40, 0, 0, time.UTC) }})
	if err != nil {
		b.Fatal(err)
	}
	defer keep.Close()
	k, err := NewAsker(func(ctx context.Context) (*kb.Snapshot, error) { return keep.Head(ctx, store.Home) })
	if err != nil {
		b.Fatal(err)
	}
	at := time.Date(2026, 3, 14, 22, 40, 0, 0, time.UTC)
	ask := func(i int) string {
		r, err := k.Ask(b.Context(), Message{Conversation: "c", At: at, Text: "how much milk for made dish 7", Role: Commis})
		if err != nil || !strings.Contains(r.Text, fmt.Sprint(i)+" g") {
			b.Fatal(r.Text, err)
		}
		return r.Text
	}
	ask(107)
	var took []time.Duration
	for i := 300; b.Loop(); i = 300 + (i-299)%500 {
		t := time.Now()
		if _, err := keep.Commit(b.Context(), store.Home, store.Change{Base: -1, Files: []store.FileChange{{Path: "recipes/000007.yaml", Content: kiloRecipe(7, i)}}}); err != nil {
			b.Fatal(err)
		}
		ask(i)
		took = append(took, time.Since(t))
	}
	slices.Sort(took)
	b.ReportMetric(float64(took[len(took)/2].Microseconds())/1000, "ms-median")
}

func BenchmarkPushAsk300(b *testing.B)   { benchmarkPushAsk(b, 300) }
func BenchmarkPushAsk10000(b *testing.B) { benchmarkPushAsk(b, 10000) }

// benchmarkFirst is from a folder's files to the first answer.
func benchmarkFirst(b *testing.B, n int, kept bool) {
	dir, at := kiloFolder(b, n), store.Places{}
	if kept {
		at.Cache = b.TempDir()
	}
	first := func() *store.Folder {
		f, err := store.OpenFolderAt(b.Context(), store.Home, dir, at)
		if err != nil {
			b.Fatal(err)
		}
		k, err := NewAsker(func(ctx context.Context) (*kb.Snapshot, error) { return f.Head(ctx, store.Home) })
		if err != nil {
			b.Fatal(err)
		}
		r, err := k.Ask(b.Context(), Message{Conversation: "c", At: time.Date(2026, 3, 14, 22, 40, 0, 0, time.UTC), Text: "how much milk for made dish 7", Role: Commis})
		if err != nil || r.Status != "answer" {
			b.Fatal(r.Text, err)
		}
		return f
	}
	if kept {
		if err := first().SaveCache(); err != nil {
			b.Fatal(err)
		}
	}
	for b.Loop() {
		first()
	}
	sizes(b, dir, "book-KB")
	if kept {
		sizes(b, at.Cache, "cache-KB")
	}
}

// sizes reports the bytes of all files in a folder.
func sizes(b *testing.B, dir, unit string) {
	size := int64(0)
	err := filepath.WalkDir(dir, func(_ string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		info, err := d.Info()
		if err != nil {
			return err
		}
		size += info.Size()
		return nil
	})
	if err != nil {
		b.Fatal(err)
	}
	b.ReportMetric(float64(size>>10), unit)
}

// With nothing kept, and with what the last run kept.
func BenchmarkFirstAnswer300(b *testing.B)        { benchmarkFirst(b, 300, false) }
func BenchmarkFirstAnswer10000(b *testing.B)      { benchmarkFirst(b, 10000, false) }
func BenchmarkFirstAnswer100000(b *testing.B)     { benchmarkFirst(b, 100000, false) }
func BenchmarkFirstAnswerKept300(b *testing.B)    { benchmarkFirst(b, 300, true) }
func BenchmarkFirstAnswerKept10000(b *testing.B)  { benchmarkFirst(b, 10000, true) }
func BenchmarkFirstAnswerKept100000(b *testing.B) { benchmarkFirst(b, 100000, true) }
