package larder

import "testing"

// BenchmarkColdStart opens the embedded tables and makes a larder without a house.
func BenchmarkColdStart(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		lay(nil, decode())
	}
}

// BenchmarkColdStartWhole reads every value too, as a first look at all items does.
func BenchmarkColdStartWhole(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		lay(nil, decode()).Items()
	}
}

// BenchmarkNew lays a house of 40 entries over the decoded larder.
func BenchmarkNew(b *testing.B) {
	var house []*Item
	for _, it := range BuiltIn()[:40] {
		house = append(house, &Item{Name: it.Name, Supplier: "round"})
	}
	b.ReportAllocs()
	for b.Loop() {
		New(house)
	}
}

func BenchmarkFind(b *testing.B) {
	l := New(nil)
	for _, text := range []string{"butter", "Jaune d'œuf", "no such thing"} {
		b.Run(text, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				l.Find(text)
			}
		})
	}
}
