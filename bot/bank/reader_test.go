package bank

import (
	"path/filepath"
	"testing"
)

var testBooks = []string{"fjordkro", "tidewater", "kornhuset"}

func bookDir(name string) string {
	if name == "demo" {
		return filepath.Join("..", "..", "kb", "store", "demo")
	}
	return filepath.Join("..", "..", "testdata", "books", name)
}

func openBook(t testing.TB, name string) *book {
	t.Helper()
	b, err := readBook(bookDir(name))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func TestDump(t *testing.T) {
	for _, name := range append(testBooks, "demo") {
		b := openBook(t, name)
		for _, r := range b.recipes {
			m, ok := b.finished(r)
			if ok {
				t.Logf("%s / %s: %s g, count %v", name, r.name, decimal(m), r.count)
			} else {
				t.Logf("%s / %s: finished not known", name, r.name)
			}
			for _, l := range r.lines {
				if g, ok := b.grams(r, l); ok {
					t.Logf("      %s %s = %s g", l.name, l.amount.written, decimal(g))
				} else {
					t.Logf("      %s %s = ?", l.name, l.amount.written)
				}
			}
		}
	}
}
