package question

// labels reports whether the number at token i only tells which one: "table 12".
func (l *lattice) labels(i int) bool {
	if i+2 < len(l.tokens) && l.tokens[i].number && l.tokens[i+1].plain == "of" && l.tokens[i+2].plain == "us" { // "3 of us here"
		return true
	}
	if i == 0 {
		return false
	}
	if l.dayOf(i) {
		return true
	}
	switch w := l.tokens[i-1].plain; w {
	case "and", "n", "or", "+": // "oven 2 and 3"
		return i > 2 && l.tokens[i].number && l.tokens[i-2].number && l.labels(i-2)
	case "t", "tb", "tab", "s", "rm": // "T14 no dairy": a table, not "T55 flour"
		return l.tokens[i].number && len(l.tokens[i].plain) <= 3 && l.tokens[i-1].end == l.tokens[i].start && l.ofAllergens()
	case "order", "ord", "po", "docket", "invoice": // "order 214, 3x the base", not "order 3 leeks"
		return l.tokens[i].number && i+1 < len(l.tokens) && l.tokens[i+1].breaks
	case "oven": // "oven 2 is free", not "oven 180"
		return l.tokens[i].number && len(l.tokens[i].plain) == 1
	case "table", "tbl", "seat", "ticket", "check", "room", "station", "step", "page", "number", "nr", "shift", "bench", "rack", "shelf", "locker", "extension":
		return l.tokens[i].number
	}
	return false
}

// dayOf reports whether the number at token i counts days gone by: "my 2nd day".
func (l *lattice) dayOf(i int) bool {
	if i+2 >= len(l.tokens) || !l.tokens[i].number || l.tokens[i+1].breaks || l.tokens[i+2].breaks {
		return false
	}
	switch l.tokens[i+1].plain {
	case "st", "nd", "rd", "th":
	default:
		return false
	}
	switch l.tokens[i+2].plain {
	case "day", "week", "month", "year", "shift", "night", "service", "floor":
		return true
	}
	return false
}

// addLabels takes the number that tells which one together with what it labels:
// "order 214", "2nd day".
func (l *lattice) addLabels() {
	for i := range l.tokens {
		switch {
		case i > 0 && l.tokens[i].number && deny(l.tokens[i-1].plain) && !l.tokens[i].breaks && (i+1 == len(l.tokens) || l.tokens[i+1].breaks) && l.factors() > 0 && !l.amounts(): // "sorry x5 not 2"
			l.add(span{kind: spanCue, from: i - 1, to: i + 1, cost: costCue, cues: cueSet{}.with(cueFiller)})
		case !l.labels(i):
		case l.dayOf(i):
			l.add(span{kind: spanCue, from: i, to: i + 3, cost: costLoose, cues: cueSet{}.with(cueFiller)})
		case i > 0 && !l.tokens[i].breaks && !l.tokens[i-1].number && !(i+1 < len(l.tokens) && l.tokens[i+1].plain == "of"):
			l.add(span{kind: spanCue, from: i - 1, to: i + 1, cost: costLoose, cues: cueSet{}.with(cueFiller)})
		}
	}
}

// factors counts the sizes in batches.
func (l *lattice) factors() int {
	n := 0
	for i := range l.starts {
		for k := range l.starts[i] {
			if l.starts[i][k].kind == spanFactor {
				n++
			}
		}
	}
	return n
}

// amounts reports whether a mass or a volume is told.
func (l *lattice) amounts() bool {
	for i := range l.starts {
		for k := range l.starts[i] {
			if s := &l.starts[i][k]; s.kind == spanQuantity && s.q.Q.Unit.Symbol != "" {
				return true
			}
		}
	}
	return false
}
