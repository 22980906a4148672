package store_test

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"tamis/kb/store"
)

// madeFolder is a book of n made recipes, one in three drawing on another.
func madeFolder(b *testing.B, n int) string {
	b.Helper()
	dir := b.TempDir()
	if err := os.MkdirAll(filepath.Join(dir, "recipes"), 0o755); err != nil {
		b.Fatal(err)
	}
	for i := range n {
		text := fmt.Sprintf("recipe: made dish %d\ningredients:\n  - milk: %d g\n  - butter: 120 g\n  - salt: 2 g\n", i, 100+i%400)
		if i%3 == 2 {
			text += fmt.Sprintf("  - made dish %d: 50 g\n", i-1)
		}
		text += "method:\n  - boil: all of it\n    for: 12 min\n"
		if err := os.WriteFile(filepath.Join(dir, "recipes", fmt.Sprintf("%05d.yaml", i)), []byte(text), 0o644); err != nil {
			b.Fatal(err)
		}
	}
	return dir
}

// benchmarkPush is from the call to the head that answers from it, durable.
func benchmarkPush(b *testing.B, n int) {
	dir := madeFolder(b, n)
	k, err := store.OpenKept(b.Context(), store.Home, dir, options())
	if err != nil {
		b.Fatal(err)
	}
	defer k.Close()
	i := 0
	for b.Loop() {
		i++
		c := store.Change{Base: -1, Files: []store.FileChange{{Path: "recipes/00000.yaml", Content: fmt.Sprintf("recipe: made dish 0\ningredients:\n  - milk: %d g\n", i)}}}
		if _, err := k.Commit(b.Context(), store.Home, c); err != nil {
			b.Fatal(err)
		}
		if h, _ := k.Head(b.Context(), store.Home); h.Revision != i+1 {
			b.Fatal("the head lags behind")
		}
	}
}

func BenchmarkPush300(b *testing.B)   { benchmarkPush(b, 300) }
func BenchmarkPush10000(b *testing.B) { benchmarkPush(b, 10000) }

// BenchmarkSync is what the disk alone takes: 200 bytes appended and synced.
func BenchmarkSync(b *testing.B) {
	f, err := os.Create(filepath.Join(b.TempDir(), "log"))
	if err != nil {
		b.Fatal(err)
	}
	defer f.Close()
	line := make([]byte, 200)
	for b.Loop() {
		if _, err := f.Write(line); err != nil {
			b.Fatal(err)
		}
		if err := f.Sync(); err != nil {
			b.Fatal(err)
		}
	}
}
