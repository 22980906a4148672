package question_test

import (
	"strings"
	"testing"

	"tamis/bot/question"
	"tamis/calc/quantity"
)

// long is a question as long as the program reads, of a piece said again and again.
func long(piece string) string {
	return strings.Repeat(piece, question.MaxText/len(piece))
}

// BenchmarkLong reads questions of the greatest length.
func BenchmarkLong(b *testing.B) {
	lexicon()
	for _, c := range []struct{ name, piece string }{
		{"names", "butter and sugar in the crumble, salt for the tuile, "},
		{"numbers", "3 kg crumble 200 g butter 12 min at 160 "},
		{"words", "so we were wondering whether anybody could tell us about that thing "},
		{"slips", "buter sugr crumbel tuille icecrem yolck "},
		{"syllables", "brotan lirmos quandel wertip asdola "},
	} {
		text := long(c.piece)
		b.Run(c.name, func(b *testing.B) {
			for range b.N {
				question.Read(lexicon(), text, nil, quantity.Metric)
			}
		})
	}
	b.Run("short", func(b *testing.B) {
		for range b.N {
			question.Read(lexicon(), "how much butter for 3x crumble", nil, quantity.Metric)
		}
	})
}
