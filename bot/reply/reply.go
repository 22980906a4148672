package reply

import (
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"tamis/bot/answer"
	"tamis/calc/quantity"
)

// Reply is an answer in words.
type Reply struct {
	Text     string
	Assumed  []string
	Cautions []Caution
	Ask      string
	// Body is what of Text may be said in other words, nil if nothing may; Tail
	// is what then follows it, word for word.
	Body *Template
	Tail string
	// Lines are the lines of the text as it was before any model worded it.
	Lines []Line
}

// Caution is one caution with its code.
type Caution struct {
	Code string `json:"code"`
	Text string `json:"text"`
}

// Render puts an answer into words. It fills in what of the facts' Shown is
// said in words (times with "at least").
func (w *Words) Render(a *answer.Answer) Reply {
	var r Reply
	for i := range a.Facts {
		w.span(&a.Facts[i])
	}
	for _, p := range a.Assumed {
		r.Assumed = append(r.Assumed, w.Say(p))
	}
	for _, p := range a.Cautions {
		code := p.Code
		if code == "book" && len(p.Args) > 0 {
			code = p.Args[0]
		}
		c := Caution{code, w.Say(answer.Phrase{Code: "caution " + p.Code, Args: p.Args})}
		if !has(r.Cautions, c) {
			r.Cautions = append(r.Cautions, c)
		}
	}
	if a.Ask != nil {
		r.Ask = w.Say(*a.Ask)
	}
	var b block
	switch {
	case a.Status == answer.StatusAsk:
		if a.Form == answer.FormChange {
			w.changes(&b, a)
		}
		b.as(KindQuestion, r.Ask)
		for i, c := range a.Choices {
			n := quantity.Int(int64(i + 1)).String()
			b.put(Line{Kind: KindChoice, Text: n + "  " + c, Lead: n, Rest: c})
		}
	case a.Why != nil:
		b.line(w.Say(*a.Why))
		if len(a.Choices) > 0 {
			b.line(w.Say(answer.Phrase{Code: "nearest", Args: a.Choices}))
		}
	default:
		w.body(&b, a)
		r.Body = b.template(a)
	}
	body := b.Len()
	for _, n := range once(a.Notes) {
		b.as(KindNote, w.Say(n))
	}
	if len(r.Assumed) > 0 && a.Status == answer.StatusAnswer {
		b.as(KindAssumed, w.Say(answer.Phrase{Code: "assumed", Args: r.Assumed}))
	}
	for _, c := range r.Cautions {
		b.put(Line{Kind: KindCaution, Text: w.Say(answer.Phrase{Code: "caution line", Args: []string{c.Text}}), Rest: c.Text})
	}
	r.Text, r.Lines = b.String(), b.lines
	r.Tail = strings.TrimPrefix(r.Text[body:], "\n")
	return r
}

func has(cs []Caution, c Caution) bool {
	for _, o := range cs {
		if o == c {
			return true
		}
	}
	return false
}

func once(ps []answer.Phrase) []answer.Phrase {
	var out []answer.Phrase
	seen := map[string]bool{}
	for _, p := range ps {
		k := p.Code + "\x00" + strings.Join(p.Args, "\x00")
		if !seen[k] {
			seen[k] = true
			out = append(out, p)
		}
	}
	return out
}

// block collects lines.
type block struct {
	strings.Builder
	slots []Slot
	lines []Line
}

func (b *block) line(s string) { b.as(KindTalk, s) }

// putAs writes a line; inline is the same within a sentence, means what it is.
func (b *block) putAs(l Line, inline, means string) {
	if l.Text == "" {
		return
	}
	if b.Len() > 0 {
		b.WriteByte('\n')
	}
	b.WriteString(l.Text)
	b.lines = append(b.lines, l)
	if inline == "" {
		inline = strings.Join(strings.Fields(l.Text), " ")
	}
	b.slots = append(b.slots, Slot{Text: inline, Means: means})
}

// span writes a time or temperature with open ends: "at least 8 h".
func (w *Words) span(f *answer.Fact) {
	if f.Min == nil && f.Max == nil && f.Never == nil || f.Shown != "" && f.Never == nil && (f.Min == nil || f.Unit != "min") {
		return
	}
	show := func(n *quantity.Number) string {
		switch f.Unit {
		case "min":
			return quantity.ShowTime(quantity.RoundTime(*n))
		case "g":
			return n.Fixed(1) + " g"
		default:
			return strings.TrimSpace(n.Fixed(2) + " " + f.Unit)
		}
	}
	s := f.Shown
	switch {
	case f.Value != nil && s != "":
	case f.Min != nil && f.Max != nil:
		lo := show(f.Min)
		if cut, ok := strings.CutSuffix(lo, " "+f.Unit); ok && f.Unit != "min" {
			lo = cut
		}
		s = w.say("span range", lo, show(f.Max))
	case f.Min != nil:
		s = w.say("span at least", show(f.Min))
	case f.Max != nil:
		s = w.say("span at most", show(f.Max))
	}
	if f.Never != nil {
		s = w.say("span never", s, show(f.Never))
	}
	f.Shown = s
}

func (w *Words) say(code string, args ...string) string {
	return w.Say(answer.Phrase{Code: code, Args: args})
}

func (w *Words) heading(t answer.Title) string {
	switch {
	case t.Recipe == "":
		return ""
	case t.Size != "":
		return w.say("title size", t.Recipe, t.Size)
	case t.Factor != "":
		return w.say("title factor", t.Recipe, t.Factor)
	}
	return t.Recipe
}

// isSize tells the facts that the heading already says.
func isSize(f *answer.Fact) bool {
	return f.What == "factor" || f.What == "size" || f.From == answer.FromAsked
}

func (w *Words) body(b *block, a *answer.Answer) {
	switch a.Form {
	case answer.FormTalk:
	case answer.FormCard:
		w.card(b, a)
	case answer.FormMethod:
		b.as(KindHeading, w.heading(a.Title))
		for i, s := range a.Words {
			if i >= a.Steps {
				b.as(KindStep, s)
				continue
			}
			n := quantity.Int(int64(i + 1)).String()
			b.put(Line{Kind: KindStep, Text: n + "  " + s, Lead: n, Rest: s})
		}
		w.lines(b, a)
	case answer.FormChange:
		w.changes(b, a)
	case answer.FormWords:
		for _, s := range a.Words {
			b.as(KindQuote, s)
		}
		b.as(KindHeading, w.heading(a.Title))
	case answer.FormConvert:
		w.convert(b, a)
	case answer.FormWork:
		w.work(b, a)
	case answer.FormSets:
		w.sets(b, a)
		w.factor(b, a)
	case answer.FormAmounts:
		w.amounts(b, a)
		b.as(KindHeading, w.heading(a.Title))
		w.factor(b, a)
	default:
		w.lines(b, a)
		for _, s := range a.Words {
			b.as(KindQuote, s)
		}
		b.as(KindHeading, w.heading(a.Title))
		w.factor(b, a)
	}
}

// factor says how many batches a size comes to, where the heading doesn't.
func (w *Words) factor(b *block, a *answer.Answer) {
	if a.Title.Factor != "" {
		return
	}
	for i := range a.Facts {
		if f := &a.Facts[i]; f.What == "factor" && f.Shown != "1" {
			b.as(KindHeading, "× "+f.Shown+" "+w.label("factor"))
		}
	}
}

// amounts writes the asked masses and counts, number first.
func (w *Words) amounts(b *block, a *answer.Answer) {
	ofs := map[string]bool{}
	for i := range a.Facts {
		if f := &a.Facts[i]; !isSize(f) && f.Of != "" {
			ofs[f.Of] = true
		}
	}
	for i := 0; i < len(a.Facts); i++ {
		f := &a.Facts[i]
		if isSize(f) {
			continue
		}
		if f.HasItems {
			w.set(b, f)
			continue
		}
		s := f.Shown + " " + w.label(f.What)
		if i+1 < len(a.Facts) { // "5 leaves gelatine leaf · 10 g"
			if g := &a.Facts[i+1]; !isSize(g) && g.What == f.What && g.Of == f.Of && g.Part == f.Part && g.At == f.At && g.Unit != f.Unit {
				s += " · " + g.Shown
				i++
			}
		}
		var tail []string
		if f.Part != "" {
			tail = append(tail, f.Part)
		}
		if f.At != "" {
			tail = append(tail, f.At)
		}
		if len(ofs) > 1 && f.Of != "" {
			tail = append(tail, f.Of)
		}
		inline := s
		if len(tail) > 0 {
			s += " (" + strings.Join(tail, ", ") + ")"
			inline = s
		}
		b.putAs(Line{Kind: KindFigure, Text: s, Lead: f.Shown, Rest: after(s, f.Shown), At: f.Time}, inline, "how much: "+w.label(f.What))
	}
}

// lines writes one fact a line, number first.
func (w *Words) lines(b *block, a *answer.Answer) {
	for i := range a.Facts {
		f := &a.Facts[i]
		if isSize(f) && f.What != "reading now" || f.HasItems || f.Group == answer.GroupNote {
			continue
		}
		s := strings.TrimRight(f.Shown+"  "+w.named(f), " ")
		var tail []string
		if f.Of != "" && f.Of != a.Title.Recipe && !strings.HasPrefix(f.What, f.Of) {
			tail = append(tail, f.Of)
		}
		if f.At != "" && !strings.HasSuffix(f.Shown, f.At) {
			tail = append(tail, f.At)
		}
		if f.Was != nil && f.WasShown != "" {
			tail = append(tail, w.Say(answer.Phrase{Code: "was", Args: []string{f.WasShown}}))
		}
		label := w.named(f)
		inline := strings.TrimSpace(f.Shown + " " + label)
		_, computed := w.find("label " + f.What)
		if label != "" && (computed || strings.HasSuffix(label, " at") || strings.HasSuffix(label, " to") || f.Unit == "min") {
			inline = label + " " + f.Shown // "bake at 160 °C"
		}
		if len(tail) > 0 {
			s += " (" + strings.Join(tail, ", ") + ")"
			inline += " (" + strings.Join(tail, ", ") + ")"
		}
		b.putAs(Line{Kind: KindFigure, Text: s, Lead: f.Shown, Rest: after(s, f.Shown), At: f.Time}, inline, "figure: "+strings.TrimSpace(label))
	}
}

// named is the label of a fact, "" where what is shown says it ("30 pieces").
func (w *Words) named(f *answer.Fact) string {
	if (f.What == "pieces" || f.What == f.At && strings.HasSuffix(f.Shown, f.At)) && strings.ContainsFunc(f.Shown, unicode.IsLetter) {
		return ""
	}
	return w.label(f.What)
}

// sets writes sets of names.
func (w *Words) sets(b *block, a *answer.Answer) {
	b.as(KindHeading, w.heading(a.Title))
	for i := range a.Facts {
		f := &a.Facts[i]
		if !f.HasItems {
			continue
		}
		if f.What == "suits in part" { // a comma between dishes and one between their parts look alike
			b.put(Line{Kind: KindSet, Text: w.label(f.What) + ":", Lead: w.label(f.What)})
			for _, it := range f.Items {
				b.as(KindDetail, "– "+it)
			}
			continue
		}
		if len(f.Items) == 0 && f.What == "contains" && slices.ContainsFunc(a.Facts, func(g answer.Fact) bool {
			return g.What == "not listed" || g.What == "contains" && len(g.Items) > 0
		}) {
			continue // of what was asked; the rest it may well contain
		}
		if first := containsFirst(a.Facts[:i], f); first != nil { // beside what was asked
			g := *f
			if g.What = "also contains"; len(first.Items) == 0 {
				g.What = "does contain"
			}
			w.set(b, &g)
			continue
		}
		w.set(b, f)
	}
}

// containsFirst is the fact that tells of the same dish what it contains of what was
// asked, nil where f is that one itself.
func containsFirst(before []answer.Fact, f *answer.Fact) *answer.Fact {
	k := slices.IndexFunc(before, func(g answer.Fact) bool {
		return f.What == "contains" && g.What == "contains" && g.Of == f.Of && g.At == f.At
	})
	if k < 0 {
		return nil
	}
	return &before[k]
}

func (w *Words) set(b *block, f *answer.Fact) {
	items := strings.Join(f.Items, ", ")
	if items == "" {
		items = w.say("nothing")
	}
	b.put(Line{Kind: KindSet, Text: w.label(f.What) + ": " + items, Lead: w.label(f.What), Rest: items})
}

// after is what of a line follows its lead.
func after(s, lead string) string { return strings.TrimSpace(strings.TrimPrefix(s, lead)) }

// convert writes the result, then what was asked.
func (w *Words) convert(b *block, a *answer.Answer) {
	for i := range a.Facts {
		f := &a.Facts[i]
		if f.From == answer.FromAsked {
			b.putAs(Line{Kind: KindHeading, Text: "= " + f.Shown}, f.Shown, "what was asked")
			continue
		}
		s := f.Shown
		if f.What != "mass" && f.What != "volume" && f.What != "temperature" {
			s += " " + f.What
		}
		b.put(Line{Kind: KindFigure, Text: s, Lead: f.Shown, Rest: after(s, f.Shown)})
	}
}

// card writes a recipe as a table: amounts right-aligned, then names.
func (w *Words) card(b *block, a *answer.Answer) {
	b.as(KindHeading, w.heading(a.Title))
	w.factor(b, a)
	width := 0
	for i := range a.Facts {
		if f := &a.Facts[i]; !isSize(f) && f.At != "by mass" {
			width = max(width, min(16, utf8.RuneCountInString(f.Shown)))
		}
	}
	part, of := "", ""
	for i := range a.Facts {
		f := &a.Facts[i]
		if isSize(f) || f.At == "by mass" {
			continue
		}
		if f.Of != of && strings.Contains(a.Title.Recipe, " + ") {
			b.as(KindGroup, f.Of)
		}
		of = f.Of
		if f.Part != part && f.What != "total" && f.What != "pieces" {
			if f.Part != "" {
				b.as(KindGroup, "– "+f.Part)
			} else {
				b.as(KindGroup, "–")
			}
			part = f.Part
		}
		pad := strings.Repeat(" ", max(0, width-utf8.RuneCountInString(f.Shown)))
		b.put(Line{Kind: KindRow, Text: strings.TrimRight(pad+f.Shown+"  "+w.named(f), " "), Lead: f.Shown, Rest: w.named(f)})
	}
}
