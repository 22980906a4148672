package recipe

import (
	"encoding/binary"
	"maps"
	"math/big"
	"slices"

	"tamis/calc/quantity"
)

// PackFormat is the number of the packed form. Raise it when the form changes.
const PackFormat = 1

// Pack writes what [Parse] gave of a file, so that [Unpacker.Unpack] gives the
// very same again without reading YAML.
//
//   - False: it holds something that the form has no place for; parse the file again.
func Pack(file string, m quantity.Measure, r *Recipe, faults []Fault) ([]byte, bool) {
	c := coder{file: file, m: m}
	c.parsed(&r, &faults)
	return c.out, !c.bad
}

// Unpacker reads packed recipes; what many of them hold is made once. It is for
// one goroutine.
type Unpacker struct {
	m       quantity.Measure
	ints    [1024]quantity.Number
	numbers map[string]quantity.Number
	units   map[string]quantity.Unit
	written map[string]map[string]bool
}

// NewUnpacker returns a reader of what was packed under the measure m.
func NewUnpacker(m quantity.Measure) *Unpacker {
	return &Unpacker{m: m, numbers: map[string]quantity.Number{}, units: map[string]quantity.Unit{}, written: map[string]map[string]bool{}}
}

// Unpack reads what Pack wrote for a file. Any bytes may be given: false if they
// are not whole. The strings of the result are parts of packed.
func (u *Unpacker) Unpack(file, packed string) (r *Recipe, faults []Fault, ok bool) {
	c := coder{file: file, m: u.m, in: packed, shared: u}
	c.parsed(&r, &faults)
	if c.bad || len(c.in) > 0 {
		return nil, nil, false
	}
	return r, faults, true
}

// coder goes through a value once: it writes what is there, or with shared set
// reads what belongs there. So the two cannot come apart.
type coder struct {
	file   string
	m      quantity.Measure
	out    []byte
	in     string
	shared *Unpacker // nil: it writes
	bad    bool

	inStart bool // of an amount
}

func (c *coder) reads() bool { return c.shared != nil }

func (c *coder) fail() {
	c.bad = true
	c.in = ""
}

// number of something that is not below 0.
func (c *coder) number(n uint64) uint64 {
	if !c.reads() {
		c.out = binary.AppendUvarint(c.out, n)
		return n
	}
	n = 0
	for i := 0; i < len(c.in) && i < binary.MaxVarintLen64; i++ {
		b := c.in[i]
		n |= uint64(b&0x7f) << (7 * i)
		if b < 0x80 {
			c.in = c.in[i+1:]
			return n
		}
	}
	c.fail()
	return 0
}

func (c *coder) int(p *int) {
	*p = int(c.signed(int64(*p)))
}

func (c *coder) signed(n int64) int64 {
	z := c.number(uint64(n)<<1 ^ uint64(n>>63))
	return int64(z>>1) ^ -int64(z&1)
}

func (c *coder) bool(p *bool) {
	var n uint64
	if *p {
		n = 1
	}
	if n = c.number(n); n > 1 {
		c.fail()
	}
	*p = n == 1
}

func (c *coder) string(p *string) {
	n := c.number(uint64(len(*p)))
	if !c.reads() {
		c.out = append(c.out, *p...)
		return
	}
	if n > uint64(len(c.in)) {
		c.fail()
		return
	}
	*p, c.in = c.in[:n], c.in[n:]
}

// list tells a missing list from an empty one. What is read grows with what was
// read, never with what the bytes promise.
func list[T any](c *coder, p *[]T, each func(*coder, *T)) {
	var n uint64
	if *p != nil {
		n = uint64(len(*p)) + 1
	}
	n = c.number(n)
	if !c.reads() {
		for i := range *p {
			each(c, &(*p)[i])
		}
		return
	}
	if n == 0 || n-1 > uint64(len(c.in)) { // each takes a byte
		if n > 0 {
			c.fail()
		}
		return
	}
	all := make([]T, 0, min(n-1, 32))
	for range n - 1 {
		var v T
		all = append(all, v)
		if each(c, &all[len(all)-1]); c.bad {
			return
		}
	}
	*p = all
}

func option[T any](c *coder, p **T, each func(*coder, *T)) {
	there := *p != nil
	if c.bool(&there); !there {
		return
	}
	if c.reads() {
		*p = new(T)
	}
	each(c, *p)
}

func (c *coder) strings(p *[]string) { list(c, p, (*coder).string) }

// The forms of a number: missing, whole, and as text.
const (
	noNumber = iota
	wholeNumber
	textNumber
)

func (c *coder) exact(p *quantity.Number) {
	if !c.reads() {
		switch whole, ok := p.Int64(); {
		case *p == quantity.Number{}:
			c.number(noNumber)
		case ok:
			c.number(wholeNumber)
			c.signed(whole)
		default:
			text := p.Rat().String()
			c.number(textNumber)
			c.string(&text)
		}
		return
	}
	switch c.number(0) {
	case noNumber:
	case wholeNumber:
		*p = c.shared.whole(c.signed(0))
	case textNumber:
		var text string
		c.string(&text)
		n, ok := c.shared.text(text)
		if !ok {
			c.fail()
		}
		*p = n
	default:
		c.fail()
	}
}

// whole returns n; the same for the same where it is small, as numbers do not change.
func (u *Unpacker) whole(n int64) quantity.Number {
	if n < 0 || n >= int64(len(u.ints)) {
		return quantity.Int(n)
	}
	if u.ints[n] == (quantity.Number{}) {
		u.ints[n] = quantity.Int(n)
	}
	return u.ints[n]
}

// longestNumber is more than any value of a recipe has room for.
const longestNumber = 4096

func (u *Unpacker) text(s string) (quantity.Number, bool) {
	if n, ok := u.numbers[s]; ok {
		return n, true
	}
	if len(s) > longestNumber {
		return quantity.Number{}, false
	}
	for i := range len(s) {
		if b := s[i]; (b < '0' || b > '9') && b != '/' && (b != '-' || i > 0) {
			return quantity.Number{}, false
		}
	}
	r, ok := new(big.Rat).SetString(s)
	if !ok || r.String() != s {
		return quantity.Number{}, false
	}
	n := quantity.FromRat(r)
	u.numbers[s] = n
	return n, true
}

// The forms of a unit: none, a named one, the word of a piece.
const (
	noUnit = iota
	namedUnit
	pieceUnit
)

// longestUnit is in bytes; a piece's word is a unit too.
const longestUnit = 200

func (c *coder) unit(p *quantity.Unit) {
	kind := uint64(noUnit)
	if !c.reads() && *p != quantity.NoUnit {
		if len(p.Symbol) > longestUnit {
			c.bad = true
			return
		}
		switch known, ok := c.m.UnitNamed(p.Symbol); {
		case ok && known == *p:
			kind = namedUnit
		case quantity.Pieces(p.Symbol) == *p:
			kind = pieceUnit
		default:
			c.bad = true
		}
	}
	kind = c.number(kind)
	if kind == noUnit {
		return
	}
	symbol := p.Symbol
	if c.string(&symbol); !c.reads() {
		return
	}
	if len(symbol) > longestUnit {
		c.fail()
		return
	}
	switch kind {
	case pieceUnit:
		*p = quantity.Pieces(symbol)
	case namedUnit:
		u, ok := c.shared.units[symbol]
		if !ok {
			if u, ok = c.m.UnitNamed(symbol); !ok || u.Symbol != symbol {
				c.fail()
				return
			}
			c.shared.units[symbol] = u
		}
		*p = u
	default:
		c.fail()
	}
}

func (c *coder) quantity(p *quantity.Quantity) {
	c.exact(&p.N)
	c.unit(&p.Unit)
}

func (c *coder) mayQuantity(p **quantity.Quantity) { option(c, p, (*coder).quantity) }

// pos is a place in this very file, or nowhere.
func (c *coder) pos(p *Pos) {
	c.here(&p.File)
	c.int(&p.Line)
	c.int(&p.Column)
}

func (c *coder) here(p *string) {
	is := *p == c.file
	if !is && *p != "" {
		c.bad = true
	}
	if c.bool(&is); is && c.reads() {
		*p = c.file
	}
}

// keys are the names in a set, in order; equal sets are read as one.
func (c *coder) keys(p *map[string]bool) {
	var all []string
	if *p != nil {
		all = slices.Sorted(maps.Keys(*p))
		if all == nil {
			all = []string{}
		}
		for _, is := range *p {
			c.bad = c.bad || !is
		}
	}
	before := c.in
	c.strings(&all)
	if !c.reads() || c.bad || all == nil {
		return
	}
	form := before[:len(before)-len(c.in)]
	m, ok := c.shared.written[form]
	if !ok {
		m = make(map[string]bool, len(all))
		for _, k := range all {
			m[k] = true
		}
		c.shared.written[form] = m
	}
	*p = m
}
