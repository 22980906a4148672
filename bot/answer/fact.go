package answer

import (
	"bytes"
	"encoding/json"
	"strconv"
	"time"

	"tamis/calc/quantity"
)

// Fact is one number or set of names that an answer states, with its unit and
// where it comes from. It is what tests compare first.
type Fact struct {
	What  string
	Value *quantity.Number
	Time  *time.Time // a moment; Unit is "time"
	Unit  string
	Items []string // names; HasItems tells an empty set from none
	// HasItems: the fact is a set of names.
	HasItems bool
	Shown    string
	// Min, Max and Never in place of or beside Value.
	Min, Max, Never *quantity.Number
	Of              string // the recipe
	Part            string
	At              string // the condition or place it holds for
	Was             *quantity.Number
	WasShown        string // Was, or what stood there, as people read it
	PlusMinus       *quantity.Number
	How             string
	From            string // where it comes from: see the constants
	Source          string
	// Group is where the fact is said: the heading that running work stands under,
	// or GroupNote. It is layout, no part of the fact.
	Group string
}

// GroupNote marks a fact that a note says: it gets no line of its own.
const GroupNote = "note"

// Where a fact comes from.
const (
	FromBook       = "book"
	FromLarder     = "larder"
	FromHouse      = "house"
	FromCalculated = "calculated"
	FromReference  = "reference"
	FromAsked      = "asked"
	FromClock      = "clock"
	FromPractice   = "common practice"
)

// number writes n for JSON with at most 10 significant digits.
func number(n quantity.Number) json.RawMessage {
	return json.RawMessage(strconv.FormatFloat(n.Float(), 'g', 10, 64))
}

// MarshalJSON writes the fact as the answer format says, absent fields left out.
func (f Fact) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	b.WriteByte('{')
	put := func(key string, v any) error {
		data, err := marshal(v)
		if err != nil {
			return err
		}
		if b.Len() > 1 {
			b.WriteByte(',')
		}
		b.WriteString(`"` + key + `":`)
		b.Write(data)
		return nil
	}
	text := func(key, s string) error {
		if s == "" {
			return nil
		}
		return put(key, s)
	}
	num := func(key string, n *quantity.Number) error {
		if n == nil {
			return nil
		}
		return put(key, number(*n))
	}
	var err error
	do := func(e error) {
		if err == nil {
			err = e
		}
	}
	do(put("what", f.What))
	do(num("value", f.Value))
	if f.Time != nil {
		do(put("value", f.Time.Format(time.RFC3339)))
	}
	do(text("unit", f.Unit))
	if f.HasItems {
		items := f.Items
		if items == nil {
			items = []string{}
		}
		do(put("items", items))
	}
	do(num("min", f.Min))
	do(num("max", f.Max))
	do(num("never", f.Never))
	do(text("shown", f.Shown))
	do(text("of", f.Of))
	do(text("part", f.Part))
	do(text("at", f.At))
	do(num("was", f.Was))
	do(num("plus_minus", f.PlusMinus))
	do(text("how", f.How))
	do(text("from", f.From))
	do(text("source", f.Source))
	b.WriteByte('}')
	return b.Bytes(), err
}

func marshal(v any) ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(v); err != nil {
		return nil, err
	}
	return bytes.TrimRight(b.Bytes(), "\n"), nil
}
