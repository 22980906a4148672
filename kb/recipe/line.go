package recipe

import (
	"strings"

	"tamis/kb/yamldoc"
)

// lines reads `ingredients:` or `plate:`.
func (p *reader) lines(n yamldoc.Node, key string, known []string) []Line {
	const example = "- milk: 540 g"
	if n.Empty() {
		p.faults.Add(n, CodeMissing, "There are no lines under "+key+".", "a line for each, such as "+example)
		return nil
	}
	if !p.faults.Seq(n, key, "each on its own line with a dash, such as "+example) {
		return nil
	}
	out := make([]Line, 0, n.Len())
	for _, item := range n.Items() {
		switch item.Kind() {
		case yamldoc.Map:
			out = append(out, p.line(item, known))
		case yamldoc.Text:
			p.bareLine(item)
		default:
			p.faults.Map(item, "A line", example)
		}
	}
	return out
}

// bareLine tells what a line without a key lacks.
func (p *reader) bareLine(n yamldoc.Node) {
	s := spaces(n.Text())
	before, after, colon := strings.Cut(s, ":")
	switch {
	case s == "":
		p.faults.Add(n, CodeMissing, "There is a dash and nothing behind it.", "- milk: 540 g")
	case colon && after != "":
		p.faults.Add(n, CodeMissing, "A space is missing behind the colon in "+quoted(s)+".", "- "+before+": "+strings.TrimSpace(after))
	default:
		p.faults.Add(n, CodeMissing, "The amount of "+quoted(s)+" is missing.", "- "+s+": 120 g, or to taste")
	}
}

// line reads one line: the first key is its name, what may stand beside it in
// a plate are its own keys.
func (p *reader) line(n yamldoc.Node, known []string) Line {
	var l Line
	for i := range n.Len() {
		k, v := n.Entry(i)
		if i == 0 {
			l.Pos = p.pos(k)
			l.Name, l.Bought = cutBought(spaces(k.Text()))
			p.named(k, l.Name)
			p.lineValue(&l, v, known)
			continue
		}
		if !p.lineKey(&l, k, v, known[1:]) {
			p.faults.Add(k, yamldoc.CodeUnknownKey, quoted(k.Text())+" stands under the dash of "+quoted(l.Name)+".", "- before each ingredient, or {amount: …, note: …} for more about one")
		}
	}
	if n.Len() == 0 {
		p.faults.Add(n, CodeMissing, "There is a dash and nothing behind it.", "- milk: 540 g")
	}
	return l
}

func cutBought(s string) (name string, bought bool) {
	if len(s) > 7 && strings.EqualFold(s[:7], "bought ") {
		return s[7:], true
	}
	return s, false
}

// lineValue reads what stands behind the name: an amount, or keys.
func (p *reader) lineValue(l *Line, v yamldoc.Node, known []string) {
	switch v.Kind() {
	case yamldoc.Text:
		if v.Text() == "" && !v.Quoted() {
			p.faults.Add(v, CodeMissing, "The amount of "+quoted(l.Name)+" is missing.", "- "+l.Name+": 120 g, or to taste")
			return
		}
		p.amount(l, v)
	case yamldoc.Map:
		p.lineKeys(l, v, known)
		if !v.Get("amount").Exists() {
			p.faults.Add(v, CodeMissing, "The amount of "+quoted(l.Name)+" is missing.", "{amount: 120 g, …}")
		}
	default:
		p.faults.Add(v, yamldoc.CodeKind, "The amount of "+quoted(l.Name)+" is a list.", "- "+l.Name+": 120 g, or {amount: 120 g, note: …}")
	}
}

func (p *reader) lineKeys(l *Line, m yamldoc.Node, known []string) {
	for k, v := range m.Entries() {
		if !p.lineKey(l, k, v, known) {
			p.faults.UnknownKey(k, known)
		}
	}
}

// lineKey reads one key of a line; false if it is not among the known ones.
func (p *reader) lineKey(l *Line, k, v yamldoc.Node, known []string) bool {
	key := k.Text()
	if !has(known, key) {
		return key == "" // told with the file's form
	}
	switch key {
	case "amount":
		p.amount(l, v)
	case "part":
		l.Part = p.text(v, key)
	case "note":
		l.Note = p.text(v, key)
	case "prep":
		l.Prep = p.text(v, key)
	case "as":
		l.As = p.text(v, key)
	case "on":
		l.On = p.text(v, key)
	case "out":
		l.Out = p.span(v, key)
	}
	return true
}

func (p *reader) amount(l *Line, v yamldoc.Node) {
	s, ok := p.faults.Text(v, "amount")
	if !ok || p.tooLong(v, "The amount", s) {
		return
	}
	a, err := ParseAmount(s, p.m)
	if err != nil {
		p.wrong(v, err)
	}
	l.Amount = a
}

func has(all []string, s string) bool {
	for _, a := range all {
		if a == s {
			return true
		}
	}
	return false
}

// insteads reads the chef's word on lines that are missing.
func (p *reader) insteads(n yamldoc.Node) []Instead {
	const example = "instead: [{walnuts: sorrel tuile 1 each}, {milk: not possible}]"
	var out []Instead
	add := func(m yamldoc.Node) {
		if !p.faults.Map(m, "An entry of instead", example) {
			return
		}
		for k, v := range m.Entries() {
			in := Instead{Pos: p.pos(k), Line: spaces(k.Text())}
			p.named(k, in.Line)
			if v.Kind() == yamldoc.Map && v.Len() == 1 { // {walnuts: {sorrel tuile: 1 each}}
				name, amount := v.Entry(0)
				in.Name = spaces(name.Text())
				if a, ok := value(p, amount, "instead", func(s string) (Amount, error) { return ParseAmount(s, p.m) }); ok {
					in.Amount, in.Text = a, in.Name+" "+a.Text
					out = append(out, in)
				}
				continue
			}
			s, ok := p.faults.Text(v, "instead")
			if !ok || p.tooLong(v, "What takes its place", s) {
				continue
			}
			if in.Text = spaces(s); in.Text == "" {
				p.faults.Add(v, CodeMissing, "It does not say what takes the place of "+quoted(in.Line)+".", example)
				continue
			}
			if strings.EqualFold(in.Text, "not possible") {
				in.NotPossible = true
				out = append(out, in)
				continue
			}
			var err error
			if in.Name, in.Amount, err = p.nameAndAmount(in.Text); err != nil {
				p.wrong(v, err)
				continue
			}
			out = append(out, in)
		}
	}
	p.entries(n, "instead", example, add)
	return out
}

// nameAndAmount cuts `sorrel tuile 1 each` where the longest amount begins;
// without one the whole is the name.
func (p *reader) nameAndAmount(s string) (string, Amount, error) {
	for i := 1; i < len(s); i++ {
		if s[i-1] != ' ' || !startsNumber(s[i:]) && !strings.HasPrefix(s[i:], "to taste") && !strings.HasPrefix(s[i:], "a pinch") {
			continue
		}
		a, err := ParseAmount(s[i:], p.m)
		if err == nil {
			return strings.TrimSpace(s[:i]), a, nil
		}
		if form, ok := err.(*FormError); ok && form.Code == CodeAmbiguous {
			return s, a, err
		}
	}
	return s, Amount{}, nil
}
