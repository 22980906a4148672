package question

import (
	"slices"
	"strings"

	"tamis/calc/quantity"
)

// leafWords are what gelatine is counted by, in the languages of the trade; folded or not.
var leafWords = []string{"leaf", "leave", "leaves", "sheet", "sheets", "blatt", "blatter", "blaetter", "blad", "blade", "plade", "plader", "plate", "feuille", "feuilles", "foglio", "fogli", "hoja", "hojas", "folha", "folhas", "lamina", "laminas"}

// frameLeaves: gelatine counted in leaves, in grams: "6 sheets of gelatine in g",
// "colla di pesce 6 fogli in g".
func frameLeaves(s *sense) []reading {
	if len(s.quant) != 1 || len(s.units) == 0 && !s.any(cueWeigh) {
		return nil
	}
	i := s.quant[0]
	sp := s.span(i)
	if sp.kind != spanQuantity || sp.q.Q.Unit.Dim != quantity.None && sp.q.Q.Unit.Dim != quantity.Count || sp.q.Ambiguous != nil || sp.q.Hi != nil {
		return nil
	}
	counted := sp.q.Q.Unit.Dim == quantity.Count || sp.to < len(s.l.tokens) && slices.Contains(leafWords, s.l.tokens[sp.to].plain)
	if !counted {
		return nil
	}
	for _, j := range s.names {
		it, ok := s.item(j)
		if !ok || it.Larder == nil || !strings.Contains(it.Larder.TradeName(), "gelatine") {
			continue
		}
		if !it.Larder.House && !strings.Contains(it.Larder.TradeName(), "leaf") {
			if it = s.larderItem("gelatine leaf"); it.Larder == nil {
				return nil
			}
		}
		r := s.reading(WantConvert, "convert")
		r.q.Quantity, r.q.HasQty = quantity.Of(sp.q.Q.N, quantity.Unit{}), true
		r.q.Items = []Item{it}
		r.used[i], r.used[j] = true, true
		for k := range s.p.spans {
			if x := s.span(k); x.to == x.from+1 && slices.Contains(leafWords, s.l.tokens[x.from].plain) {
				r.used[k] = true
			}
		}
		r.consumes = plainCues.with(cueConvert, cueHowmuch, cueHowmany, cueWeigh, cueMoulds, cuePiece, cueGel)
		s.unit(&r)
		return []reading{r}
	}
	return nil
}
