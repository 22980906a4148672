package recipe

import (
	"fmt"
	"strings"
	"time"
	_ "time/tzdata" // the zones, where the machine has none

	"tamis/calc/quantity"
	"tamis/kb/name"
	"tamis/kb/yamldoc"
)

var houseKeys = []string{
	"house", "time zone", "language", "currency", "altitude", "food code", "allergens", "spoons", "service", "shifts", "scales", "pans",
	"moulds", "machines", "cold", "team", "rules", "suppliers",
}

// ParseHouse reads house.yaml and returns every fault of it. It never returns
// nil: what is not written or cannot be read keeps its default (UTC, English,
// allergens of the EU, metric spoons).
func ParseHouse(file string, data []byte) (*House, []Fault) {
	h := &House{Pos: Pos{File: file, Line: 1, Column: 1}, Language: "en", Allergens: "EU"}
	p := reader{file: file}
	root, found := yamldoc.Read(data, yamldoc.Limits{Bytes: MaxHouseBytes})
	p.faults.Put(found...)
	if root.Exists() && p.faults.Map(root, "house.yaml", "house: NAME, then its keys") {
		// Spoons first: they size volumes.
		if v := root.Get("spoons"); v.Exists() {
			h.Spoons = p.spoons(v)
			p.m = h.Spoons
		}
		for k, v := range root.Entries() {
			p.houseKey(h, k, v)
		}
	}
	return h, FromYAML(file, "", p.faults.List())
}

func (p *reader) houseKey(h *House, k, v yamldoc.Node) {
	switch key := k.Text(); key {
	case "house":
		h.Name, h.Pos = p.text(v, key), p.pos(k)
	case "time zone":
		h.Zone, _ = value(p, v, key, parseZone)
	case "language":
		if s := p.text(v, key); s != "" {
			h.Language = s
		}
	case "currency":
		h.Currency, _ = value(p, v, key, parseCurrency)
	case "altitude":
		h.Altitude = p.quantity(v, key, quantity.Length, "altitude: 12 m")
	case "food code":
		h.FoodCode = p.text(v, key)
	case "allergens":
		if s := p.oneOf(v, key, "EU", "US"); s != "" {
			h.Allergens = s
		}
	case "spoons": // read before
	case "service":
		h.Service = p.clocks(v, key)
	case "shifts":
		h.Shifts = items(p, v, key, "shifts: [{name: early, from: 08:00, to: 16:00, people: 2, days: [Tue, Wed]}]", p.shift)
	case "scales":
		h.Scales = items(p, v, key, "scales: [{name: bench scale, reads: 1 g, up to: 6 kg}]", p.scale)
	case "pans":
		h.Pans = items(p, v, key, "pans: [{name: wide pan, empty: 870 g, holds: 4 l}]", p.pan)
	case "moulds":
		h.Moulds = items(p, v, key, "moulds: [{name: dome 45, cells: 24, volume: 38 ml, count: 4}]", p.mould)
	case "machines":
		h.Machines = items(p, v, key, "machines: [{name: batch freezer, batch: 2 kg, at least: 600 g, takes: 12 min}]", p.machine)
	case "cold":
		h.Cold = items(p, v, key, "cold: [{name: fridge, at: 3 °C}]", p.cold)
	case "team":
		h.Team = p.team(v)
	case "rules":
		h.Rules = p.rules(v)
	case "suppliers":
		h.Suppliers = items(p, v, key, "suppliers: [{name: dairy round, delivers: [Mon, Wed, Fri], order by: 22:00}]", p.supplier)
	case "": // told with the file's form
	default:
		p.faults.UnknownKey(k, houseKeys)
	}
}

func (p *reader) spoons(v yamldoc.Node) quantity.Measure {
	switch p.oneOf(v, "spoons", "metric", "US", "Australian", "UK") {
	case "US":
		return quantity.US
	case "Australian":
		return quantity.Australian
	case "UK":
		return quantity.UK
	}
	return quantity.Metric
}

// oneOf reads one of a few words in any case.
func (p *reader) oneOf(v yamldoc.Node, key string, words ...string) string {
	s, ok := p.faults.Text(v, key)
	if !ok {
		return ""
	}
	for _, w := range words {
		if strings.EqualFold(w, spaces(s)) {
			return w
		}
	}
	p.faults.Add(v, CodeSetting, fmt.Sprintf("%s is not known for %s.", quoted(s), key), key+": "+strings.Join(words, ", or "))
	return ""
}

func parseZone(s string) (string, error) {
	zone := spaces(s)
	if zone == "" {
		return "", nil
	}
	if _, err := time.LoadLocation(zone); err != nil || zone == "Local" || len(zone) > longestValue {
		return "", bad(CodeSetting, "a name such as Europe/Oslo", "There is no time zone %s.", quoted(zone))
	}
	return zone, nil
}

func parseCurrency(s string) (string, error) {
	code := spaces(s)
	if len(code) != 3 || strings.Trim(code, "ABCDEFGHIJKLMNOPQRSTUVWXYZ") != "" {
		return "", bad(CodeSetting, "its code of three letters, such as EUR", "%s is no currency.", quoted(code))
	}
	return code, nil
}

func (p *reader) clock(v yamldoc.Node, key string) (Clock, bool) { return value(p, v, key, ParseClock) }

func (p *reader) clocks(v yamldoc.Node, key string) []Clock {
	if v.Kind() == yamldoc.Text {
		if c, ok := p.clock(v, key); ok {
			return []Clock{c}
		}
		return nil
	}
	if !p.faults.Seq(v, key, key+": [12:00, 18:30]") {
		return nil
	}
	var out []Clock
	for _, item := range v.Items() {
		if c, ok := p.clock(item, key); ok {
			out = append(out, c)
		}
	}
	return out
}

var weekDays = []string{"Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"}

func (p *reader) days(v yamldoc.Node, key string) []string {
	var out []string
	for _, s := range p.texts(v, key) {
		found := ""
		for _, d := range weekDays {
			if len(s) >= 3 && strings.EqualFold(s[:3], d) && strings.HasPrefix(strings.ToLower(fullDay(d)), strings.ToLower(s)) {
				found = d
			}
		}
		if found == "" {
			p.faults.Add(v, CodeSetting, quoted(s)+" is no day of the week.", key+": ["+strings.Join(weekDays, ", ")+"]")
			continue
		}
		out = append(out, found)
	}
	return out
}

func fullDay(d string) string {
	switch d {
	case "Tue":
		return "Tuesday"
	case "Wed":
		return "Wednesday"
	case "Thu":
		return "Thursday"
	case "Sat":
		return "Saturday"
	}
	return d + "day"
}

// whole reads a whole number from 0.
func (p *reader) whole(v yamldoc.Node, key string) int {
	n := p.count(v, key)
	if n == nil {
		return 0
	}
	i, ok := n.Int64()
	if !ok || i > 1_000_000 {
		p.faults.Add(v, CodeNumber, fmt.Sprintf("%s is a whole number, not %s.", key, quoted(v.Text())), key+": 4")
		return 0
	}
	return int(i)
}

func (p *reader) count(v yamldoc.Node, key string) *quantity.Number {
	n, ok := value(p, v, key, func(s string) (quantity.Number, error) {
		n, rest, err := readNumber(spaces(s))
		if err == nil && (rest != "" || n.Sign() < 0) {
			err = bad(CodeNumber, key+": 4", "%s is a number alone, not %s.", key, quoted(s))
		}
		return n, err
	})
	if !ok {
		return nil
	}
	return &n
}

// items reads a list of mappings, each with its name; two of one name are a fault.
func items[T any](p *reader, n yamldoc.Node, key, example string, read func(m yamldoc.Node, name string) T) []T {
	if n.Kind() == yamldoc.Text && n.Empty() || !p.faults.Seq(n, key, example) {
		return nil
	}
	out := make([]T, 0, n.Len())
	seen := map[string]int{}
	for _, m := range n.Items() {
		if !p.faults.Map(m, "An entry of "+key, example) {
			continue
		}
		called := m.Get("name")
		text := ""
		if !called.Exists() || called.Kind() == yamldoc.Text && called.Empty() {
			p.faults.Add(m, CodeMissing, "An entry of "+key+" has no name.", example)
		} else if text = p.text(called, "name"); text != "" {
			fold := name.Fold(text)
			if line, ok := seen[fold]; ok {
				p.faults.Add(called, CodeTwice, fmt.Sprintf("%s stands twice in %s; the first is on line %d.", quoted(text), key, line), "another name for one of them")
			} else {
				seen[fold] = called.Line()
			}
		}
		out = append(out, read(m, text))
	}
	return out
}

func (p *reader) shift(m yamldoc.Node, called string) Shift {
	s := Shift{Name: called}
	for k, v := range m.Entries() {
		switch key := k.Text(); key {
		case "name":
		case "from":
			s.From, _ = p.clock(v, key)
		case "to":
			s.To, _ = p.clock(v, key)
		case "people":
			s.People = p.whole(v, key)
		case "days":
			s.Days = p.days(v, key)
		default:
			p.faults.UnknownKey(k, []string{"name", "from", "to", "people", "days"})
		}
	}
	p.need(m, "from", "from: 08:00")
	p.need(m, "to", "to: 16:00")
	return s
}

// need adds the fault of a key that must be there.
func (p *reader) need(m yamldoc.Node, key, example string) bool {
	if m.Get(key).Exists() {
		return true
	}
	p.faults.Add(m, CodeMissing, fmt.Sprintf("The key %s is missing.", key), example)
	return false
}

func (p *reader) scale(m yamldoc.Node, called string) Scale {
	s := Scale{Name: called}
	for k, v := range m.Entries() {
		switch key := k.Text(); key {
		case "name":
		case "reads":
			p.into(&s.Reads, v, key, quantity.Mass, "reads: 1 g")
		case "up to":
			p.into(&s.UpTo, v, key, quantity.Mass, "up to: 6 kg")
		default:
			p.faults.UnknownKey(k, []string{"name", "reads", "up to"})
		}
	}
	if p.need(m, "reads", "reads: 1 g") && p.need(m, "up to", "up to: 6 kg") && s.UpTo.N.Sign() > 0 && s.UpTo.Base().Less(s.Reads.Base()) {
		p.faults.Add(m.Get("up to"), CodeNumber, "The scale goes up to less than its step.", "up to: 6 kg")
	}
	return s
}

// into reads a quantity that is more than nothing.
func (p *reader) into(q *quantity.Quantity, v yamldoc.Node, key string, dim quantity.Dimension, example string) {
	if got := p.positive(v, key, dim, example); got != nil {
		*q = *got
	}
}

func (p *reader) pan(m yamldoc.Node, called string) Pan {
	pan := Pan{Name: called, Pos: p.pos(m)}
	for k, v := range m.Entries() {
		switch key := k.Text(); key {
		case "name":
		case "empty":
			p.into(&pan.Empty, v, key, quantity.Mass, "empty: 870 g")
		case "holds":
			pan.Holds = p.positive(v, key, quantity.Volume, "holds: 4 l")
		default:
			p.faults.UnknownKey(k, []string{"name", "empty", "holds"})
		}
	}
	p.need(m, "empty", "empty: 870 g, the pan's own mass")
	return pan
}

func (p *reader) mould(m yamldoc.Node, called string) Mould {
	mould := Mould{Name: called, Pos: p.pos(m)}
	for k, v := range m.Entries() {
		switch key := k.Text(); key {
		case "name":
		case "cells":
			mould.Cells = p.whole(v, key)
		case "volume":
			mould.Volume = p.positive(v, key, quantity.Volume, "volume: 38 ml, of one cell")
		case "count":
			mould.Count = p.whole(v, key)
		case "trays":
			p.number(&mould.Trays, v, key)
		default:
			p.faults.UnknownKey(k, []string{"name", "cells", "volume", "count", "trays"})
		}
	}
	if p.need(m, "cells", "cells: 24") && m.Get("cells").Text() == "0" {
		p.faults.Add(m.Get("cells"), CodeNumber, "The mould has no cells.", "cells: 24")
	}
	return mould
}

func (p *reader) number(to *quantity.Number, v yamldoc.Node, key string) {
	if n := p.count(v, key); n != nil {
		*to = *n
	}
}

func (p *reader) machine(m yamldoc.Node, called string) Machine {
	mc := Machine{Name: called, Pos: p.pos(m)}
	for k, v := range m.Entries() {
		switch key := k.Text(); key {
		case "name":
		case "batch":
			mc.Batch = p.positive(v, key, quantity.Mass, "batch: 2 kg")
		case "at least":
			mc.AtLeast = p.positive(v, key, quantity.Mass, "at least: 600 g")
		case "takes":
			mc.Takes = p.span(v, key)
		case "holds":
			mc.Holds = p.positive(v, key, quantity.Volume, "holds: 5 l")
		case "trays":
			p.number(&mc.Trays, v, key)
		default:
			p.faults.UnknownKey(k, []string{"name", "batch", "at least", "takes", "holds", "trays"})
		}
	}
	if mc.Batch != nil && mc.AtLeast != nil && mc.Batch.Base().Less(mc.AtLeast.Base()) {
		p.faults.Add(m.Get("at least"), CodeNumber, "The machine takes at least more than at most.", "at least: less than batch:")
	}
	return mc
}

func (p *reader) cold(m yamldoc.Node, called string) Cold {
	c := Cold{Name: called}
	for k, v := range m.Entries() {
		switch key := k.Text(); key {
		case "name":
		case "at":
			if q := p.quantity(v, key, quantity.Temperature, "at: 3 °C"); q != nil {
				c.At = *q
			}
		case "trays":
			p.number(&c.Trays, v, key)
		default:
			p.faults.UnknownKey(k, []string{"name", "at", "trays"})
		}
	}
	p.need(m, "at", "at: 3 °C")
	return c
}

// team reads roles with their members.
func (p *reader) team(n yamldoc.Node) []Role {
	if n.Kind() == yamldoc.Text && n.Empty() || !p.faults.Map(n, "team", "team: {chef: [ID], pastry chef: [ID]}") {
		return nil
	}
	var out []Role
	for k, v := range n.Entries() {
		out = append(out, Role{spaces(k.Text()), p.texts(v, k.Text())})
	}
	return out
}

func (p *reader) rules(n yamldoc.Node) Rules {
	var r Rules
	if n.Kind() == yamldoc.Text && n.Empty() || !p.faults.Map(n, "rules", "rules: {who may push: [chef], two pairs of eyes: false}") {
		return r
	}
	for k, v := range n.Entries() {
		switch key := k.Text(); key {
		case "who may read":
			r.WhoMayRead = p.texts(v, key)
		case "who may propose":
			r.WhoMayPropose = p.texts(v, key)
		case "who may push":
			r.WhoMayPush = p.texts(v, key)
		case "who may approve":
			r.WhoMayApprove = p.texts(v, key)
		case "who may change settings":
			r.WhoMaySettings = p.texts(v, key)
		case "two pairs of eyes":
			if b := p.boolean(v, key); b != nil {
				r.TwoPairsOfEyes = *b
			}
		case "changes told in":
			r.ChangesToldIn = p.text(v, key)
		default:
			p.faults.UnknownKey(k, []string{"who may read", "who may propose", "who may push", "who may approve", "who may change settings", "two pairs of eyes", "changes told in"})
		}
	}
	return r
}

func (p *reader) supplier(m yamldoc.Node, called string) Supplier {
	s := Supplier{Name: called}
	for k, v := range m.Entries() {
		switch key := k.Text(); key {
		case "name":
		case "delivers":
			s.Delivers = p.days(v, key)
		case "order by":
			if c, ok := p.clock(v, key); ok {
				s.OrderBy = &c
			}
		default:
			p.faults.UnknownKey(k, []string{"name", "delivers", "order by"})
		}
	}
	return s
}
