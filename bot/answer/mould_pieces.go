package answer

import (
	"tamis/calc/quantity"
	"tamis/calc/scale"
	"tamis/kb"
)

// pieceVessel is the one mould that a recipe of pieces is made in by its steps,
// where its makes names none: "bake: in: tartlet 70". A tray of no cells holds as
// many as fit.
func (b *Book) pieceVessel(r *kb.Recipe) (v scale.Vessel, ok bool) {
	if r.Formula.Vessel != nil || r.Formula.Pieces.Sign() <= 0 {
		return v, false
	}
	for i := range r.Method {
		in, is := b.vessel(r.Method[i].In)
		if !is || in.Cells.Cmp(quantity.Int(2)) < 0 || ok && in.Name == v.Name {
			continue
		}
		if ok {
			return v, false
		}
		v, ok = in, true
	}
	return v, ok
}

// piecesIn is how many moulds so many pieces take, a piece to a cell.
func (b *Book) piecesIn(a *Answer, r *kb.Recipe, s sized, v scale.Vessel) {
	n, err := scale.Pieces(r.Formula, s.factor)
	if err != nil {
		b.sizeError(a, r, err)
		return
	}
	n = n.Ceil()
	sh := count("moulds", n.Div(v.Cells).Ceil(), "")
	sh.Of, sh.From, sh.At, sh.How = r.Name, FromCalculated, v.Name, n.String()+" ÷ "+v.Cells.String()
	p := count("pieces", n, "")
	p.Of, p.From, p.At = r.Name, FromCalculated, v.Name
	a.add(sh, p)
	a.note("a piece a cell", v.Name, v.Cells.String())
	a.add(s.facts...)
	a.Title = s.title
}
