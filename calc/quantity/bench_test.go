package quantity_test

import (
	"fmt"
	"maps"
	"slices"
	"testing"

	"tamis/calc/quantity"
)

func BenchmarkScan(b *testing.B) {
	const text = "need two and a half kilos of brown butter ice cream for 60 covers tonight, 3-4 g salt, cook to 84 °C, rest 8 h"
	b.SetBytes(int64(len(text)))
	for b.Loop() {
		quantity.Scan(text, quantity.Metric)
	}
}

// BenchmarkScanHostile shows by its MB/s that time grows with length only.
func BenchmarkScanHostile(b *testing.B) {
	for _, name := range slices.Sorted(maps.Keys(hostile(1))) {
		for _, size := range []int{1000, 4000} {
			text := hostile(size)[name]
			b.Run(fmt.Sprintf("%s-%d", name, size), func(b *testing.B) {
				b.SetBytes(int64(size))
				for b.Loop() {
					quantity.Scan(text, quantity.Metric)
				}
			})
		}
	}
}

func BenchmarkParseQuantity(b *testing.B) {
	for _, text := range []string{"540 g", "3 lb 4 oz", "1 1/2 tsp"} {
		b.Run(text, func(b *testing.B) {
			for b.Loop() {
				if _, err := quantity.ParseQuantity(text, quantity.Metric, quantity.Book); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
	b.Run("words", func(b *testing.B) {
		for b.Loop() {
			if _, err := quantity.ParseQuantity("two and a half kilos", quantity.Metric, quantity.Chat); err != nil {
				b.Fatal(err)
			}
		}
	})
}

func BenchmarkRound(b *testing.B) {
	exact := quantity.MustDecimal("11.18033989")
	for b.Loop() {
		quantity.Round(exact, houseScales)
	}
}
