package question

import (
	"slices"

	"tamis/calc/quantity"
)

// orderWords make of an amount what the book is to say from then on.
var orderWords = [][]string{
	{"from", "now", "on"}, {"from", "today"}, {"from", "tomorrow"}, {"as", "of", "today"}, {"as", "of", "now"}, {"from", "this", "week"}, {"from", "next", "week"}, {"going", "forward"}, {"in", "future"}, {"for", "good"},
	{"permanently"}, {"into", "the", "book"}, {"for", "the", "book"}, {"into", "the", "recipe"},
	{"save", "that"}, {"save", "this"}, {"save", "it"}, {"save", "the", "change"}, {"write", "it", "down"}, {"write", "that", "down"}, {"write", "this", "down"}, {"write", "it", "in"}, {"write", "that", "in"},
	{"note", "it"}, {"note", "that"}, {"note", "this"}, {"make", "a", "note"}, {"store", "it"}, {"store", "that"}, {"record", "it"}, {"record", "that"}, {"keep", "it", "as"}, {"keep", "that", "as"}, {"put", "it", "in", "the"}, {"put", "that", "in"},
	{"update", "it"}, {"update", "that"}, {"update", "the"},
}

// ordersBook reads the order to write an amount into the book, however it is said:
// "from now on the crisp gets 90 g butter, save that", "crisp butter should be 90 g in
// the recipe". What went into a pan already is no order: "90 g went in, can i save it".
func (s *sense) ordersBook() bool {
	if len(s.names) < 2 || len(s.quant) == 0 || len(s.quant) > 2 || len(s.l.tokens) > 24 || s.pouredWords() || s.overFigure() || s.leftUndone() {
		return false
	}
	for _, i := range s.quant {
		if sp := s.span(i); sp.kind != spanQuantity || sp.q.Q.Unit.Dim != quantity.Mass && sp.q.Q.Unit.Dim != quantity.Volume {
			return false
		}
	}
	if s.any(cueHowmuch, cueHowmany, cueHowlong, cueWhen, cueWhy, cueTemp, cueCovers, cuePortion, cueCost, cueAllergen, cueReading, cueOnly) ||
		s.saysOf("how", "what", "whats", "which", "mistake", "accident", "accidentally", "oops", "wrong", "wrongly", "instead", "too", "went", "poured", "tipped", "dumped", "already", "split", "curdled", "forgot", "fix", "rescue", "got", "gone", "left", "only", "batch", "batches", "enough") {
		return false
	}
	if w := s.l.tokens[0].plain; s.opensYesNo() && w != "can" && w != "could" {
		return false // "is it 90 g butter in the book?"
	}
	var plain []string
	for k := range s.l.tokens {
		plain = append(plain, s.l.tokens[k].plain)
	}
	if saysOrder(plain) || s.getsAtEnd() {
		return true
	}
	switch first := s.l.tokens[0].plain; first {
	case "save", "store", "note", "record", "correct", "correction", "update", "amend": // "save 90 g butter for the crisp"
		return true
	}
	if s.saysOf("put", "write", "make", "enter", "set", "change", "note", "save", "gets") && (s.l.says("in", "the", "book") || s.l.says("in", "the", "recipe") || s.l.says("on", "the", "card")) {
		return true
	}
	return s.saysOf("should", "shall", "must") && s.saysOf("recipe", "book", "card") && s.saysOf("be", "say", "read", "have", "get", "take")
}

// saysOrder reports whether words say that an amount is for good.
func saysOrder(plain []string) bool {
	return slices.ContainsFunc(orderWords, func(p []string) bool {
		for k := 0; k+len(p) <= len(plain); k++ {
			if slices.Equal(plain[k:k+len(p)], p) {
				return true
			}
		}
		return false
	}) || slices.Contains(plain, "put") && slices.Contains(plain, "book")
}

// getsAtEnd reads "the crisp gets 90 g butter": a recipe and what is to go into it,
// and nothing is asked.
func (s *sense) getsAtEnd() bool {
	last := len(s.p.spans) - 1
	if len(s.quant) != 1 || last < 3 || s.span(last).kind != spanName || s.quant[0] >= last || s.before(s.quant[0]) != "gets" {
		return false
	}
	it, ok := s.item(last)
	return ok && it.InBook
}

// writtenDown leaves the "down" of "write it down" out, which lowers nothing.
func writtenDown(plain []string) []string {
	out := slices.Clone(plain)
	for k := range out {
		if out[k] != "down" {
			continue
		}
		for j := max(0, k-2); j < k; j++ {
			switch out[j] {
			case "write", "note", "put", "mark", "jot":
				out[k] = ""
			}
		}
	}
	return out
}
