package recipe

import (
	"strings"

	"tamis/calc/quantity"
	"tamis/kb/yamldoc"
)

// method reads the steps.
func (p *reader) method(n yamldoc.Node) []Step {
	const example = "- cook: over the yolks, stirring all the time"
	if n.Empty() {
		return nil
	}
	if !p.faults.Seq(n, "method", "each step with a dash, such as "+example) {
		return nil
	}
	out := make([]Step, 0, n.Len())
	for _, item := range n.Items() {
		switch {
		case item.Kind() == yamldoc.Map && item.Len() > 0:
			out = append(out, p.step(item))
		case item.Kind() == yamldoc.Text && item.Text() != "":
			p.faults.Add(item, CodeVerb, "The step has no verb with a colon before its words: "+quoted(item.Text())+".", "- VERB: WORDS, such as "+example)
		default:
			p.faults.Add(item, CodeVerb, "A step is a verb with its words.", example)
		}
	}
	return out
}

// step reads one step: the first key is its verb.
func (p *reader) step(n yamldoc.Node) Step {
	var s Step
	for i := range n.Len() {
		k, v := n.Entry(i)
		key := k.Text()
		switch {
		case i == 0 && (key == "hold" || !has(stepKeys, key)):
			s.Pos, s.Verb, s.Words = p.pos(k), spaces(key), p.text(v, key)
			p.named(k, s.Verb)
		case i == 0:
			s.Pos = p.pos(k)
			p.faults.Add(k, CodeVerb, "A step begins with its verb, not with "+key+":.", "- VERB: WORDS first, then "+key+":")
			p.stepKey(&s, k, v)
		default:
			p.stepKey(&s, k, v)
		}
	}
	p.target(&s, n)
	return s
}

// stepKey reads one of the method keys.
func (p *reader) stepKey(s *Step, k, v yamldoc.Node) {
	switch key := k.Text(); key {
	case "to":
		if t, ok := value(p, v, key, p.parseTarget); ok {
			s.To = &t
		}
	case "from":
		s.From = p.positive(v, key, quantity.Mass, "from: 1.6 kg")
	case "of":
		s.Of = p.texts(v, key)
	case "at":
		if at, ok := value(p, v, key, parsePlace); ok {
			s.At = &at
		}
	case "for":
		s.For = p.span(v, key)
	case "hold":
		s.Hold = p.span(v, key)
	case "until":
		s.Until = p.text(v, key)
		if strings.HasPrefix(s.Until, "core ") && !p.tooLong(v, key, s.Until) {
			s.UntilCore = p.core(v, s.Until)
		}
	case "where":
		s.Where = p.text(v, key)
	case "in":
		s.In = p.text(v, key)
	case "hands":
		s.Hands = p.minutes(v, key)
	case "stir every":
		s.StirEvery = p.minutes(v, key)
	case "uses":
		s.Uses = p.uses(v)
	case "ahead":
		s.Ahead = p.span(v, key)
	case "caution":
		s.Caution = p.text(v, key)
	case "with":
		s.With = p.text(v, key)
	case "speed":
		s.Speed = p.text(v, key)
	case "humidity":
		s.Humidity = p.text(v, key)
	case "": // told with the file's form
	default:
		p.faults.UnknownKey(k, stepKeys)
	}
}

func (p *reader) span(v yamldoc.Node, key string) *Span {
	if sp, ok := value(p, v, key, ParseSpan); ok {
		return &sp
	}
	return nil
}

func (p *reader) minutes(v yamldoc.Node, key string) *quantity.Quantity {
	if q, ok := value(p, v, key, parseMinutes); ok {
		return &q
	}
	return nil
}

// target checks `to:` against `from:` and `of:`.
func (p *reader) target(s *Step, n yamldoc.Node) {
	if s.To == nil || s.From != nil || n.Get("from").Exists() {
		return
	}
	of := n.Get("of").Exists()
	switch {
	case s.To.Mass != nil && !of:
		p.faults.Add(n.Get("to"), CodeTarget, "It says to what mass, not from what.", "from: with the mass at the start, or of: [names of the lines in the pan]")
	case s.To.Half && !of:
		p.faults.Add(n.Get("to"), CodeTarget, "It says to half, not of what.", "from: with the mass at the start, or of: [names of the lines in the pan]")
	}
}

// parseTarget reads `to:`: a temperature, a mass, `N °Bx`, `half`.
func (p *reader) parseTarget(s string) (Target, error) {
	const example = "84 °C, 82 °C to 84 °C, 180 g, 65 °Bx, or half"
	t := Target{Text: spaces(s)}
	switch {
	case t.Text == "":
		return t, bad(CodeMissing, example, "The target is missing.")
	case strings.EqualFold(t.Text, "half"):
		t.Half = true
		return t, nil
	case !startsNumber(t.Text) && !startsMinus(t.Text):
		return t, bad(CodeTarget, "until: "+t.Text, "Words that say when to stop have their own key: %s.", quoted(t.Text))
	}
	lo, hi, err := parseTemperatures(t.Text)
	if err == nil {
		t.Temperature, t.TempHi = lo, hi
		return t, nil
	}
	q, other := quantity.ParseQuantity(t.Text, p.m, quantity.Book)
	if other != nil {
		return t, err
	}
	switch q.Unit.Dim {
	case quantity.Mass:
		if q.N.Sign() <= 0 {
			return t, bad(CodeTarget, example, "The target is nothing: %s.", quoted(t.Text))
		}
		t.Mass = &q
	case quantity.Brix:
		if q.N.Sign() <= 0 || q.N.Cmp(quantity.Int(100)) > 0 {
			return t, bad(CodeTarget, "65 °Bx", "Brix is over 0 and at most 100: %s.", quoted(t.Text))
		}
		t.Brix = &q
	case quantity.None:
		return t, bad(CodeNoUnit, t.Text+" °C, or g", "The unit is missing behind %s.", quoted(t.Text))
	case quantity.Count:
		return t, bad(CodeUnit, example, "%s is no target.", quoted(t.Text))
	default:
		return t, bad(CodeUnit, example, "%s is a %s, which no step cooks to.", quoted(t.Text), q.Unit.Dim)
	}
	return t, nil
}

func startsMinus(s string) bool {
	return strings.HasPrefix(s, "-") || strings.HasPrefix(s, "−") || strings.HasPrefix(s, "–")
}

// parseTemperatures reads `84 °C`, or `82 °C to 84 °C` with an upper end.
func parseTemperatures(s string) (lo, hi *quantity.Quantity, err error) {
	const example = "84 °C, or 82 °C to 84 °C"
	a, b, isRange := strings.Cut(s, " to ")
	if !isRange && startsNumber(s) {
		a, b, isRange = cutDash(s)
	}
	if !isRange {
		q, err := parseQuantity(s, quantity.Metric, quantity.Temperature, example)
		return &q, nil, checkTemperature(q, err)
	}
	top, err := parseQuantity(b, quantity.Metric, quantity.Temperature, example)
	if err = checkTemperature(top, err); err != nil {
		return nil, nil, err
	}
	bottom, err := parseQuantity(a, quantity.Metric, quantity.Temperature, example)
	if form, ok := err.(*FormError); ok && form.Code == CodeNoUnit { // 82-84 °C
		bottom, err = parseQuantity(a+" "+top.Unit.Symbol, quantity.Metric, quantity.Temperature, example)
	}
	if err = checkTemperature(bottom, err); err != nil {
		return nil, nil, err
	}
	if top.Base().Less(bottom.Base()) {
		return nil, nil, bad(CodeTarget, "the lower temperature first", "The range %s runs backwards.", quoted(s))
	}
	return &bottom, &top, nil
}

func checkTemperature(q quantity.Quantity, err error) error {
	if err == nil && (q.Base().Less(quantity.MustDecimal("-273.15")) || q.Base().Cmp(quantity.Int(2000)) > 0) {
		return bad(CodeNumber, "a temperature of a kitchen", "No kitchen has %s.", q)
	}
	return err
}

// cutDash cuts `82-84 °C`.
func cutDash(s string) (a, b string, ok bool) {
	for _, dash := range []string{"-", "–", "—"} {
		if a, b, ok = strings.Cut(s, dash); ok {
			return strings.TrimSpace(a), strings.TrimSpace(b), true
		}
	}
	return s, "", false
}

// parsePlace reads `at:`: a temperature, or words with one in them or not.
func parsePlace(s string) (Place, error) {
	const example = "at: 160 °C, or a place"
	at := Place{Text: spaces(s)}
	if at.Text == "" {
		return at, bad(CodeMissing, example, "It does not say at what.")
	}
	if startsNumber(at.Text) || startsMinus(at.Text) {
		lo, hi, err := parseTemperatures(at.Text)
		if err == nil {
			at.Temperature, at.Hi = lo, hi
			return at, nil
		}
		// A number alone, or with a wrong unit; "160 °C, fan" has words behind.
		if !strings.ContainsAny(at.Text, "°℃℉") {
			return at, err
		}
	}
	q, ok, err := temperatureIn(at.Text)
	if ok {
		at.Temperature = &q
	}
	return at, err
}

// temperatureIn finds the one temperature with ° that stands in words.
func temperatureIn(s string) (q quantity.Quantity, ok bool, err error) {
	words := strings.Fields(strings.NewReplacer("°", " ° ", ",", " ", ";", " ", "(", " ", ")", " ").Replace(s))
	for i, w := range words {
		if i == 0 || i+1 >= len(words) || w != "°" || !startsNumber(words[i-1]) && !startsMinus(words[i-1]) {
			continue
		}
		if ok {
			return q, false, nil // two of them: words only
		}
		if q, err = parseQuantity(words[i-1]+" °"+words[i+1], quantity.Metric, quantity.Temperature, "160 °C"); err != nil {
			return q, false, err
		}
		ok = true
	}
	return q, ok, checkTemperature(q, nil)
}

// core reads the `core 78 °C` of `until:`.
func (p *reader) core(n yamldoc.Node, text string) *quantity.Quantity {
	rest, ok := strings.CutPrefix(text, "core ")
	if !ok || !startsNumber(rest) && !startsMinus(rest) {
		return nil
	}
	q, ok, err := temperatureIn(rest)
	if err == nil && !ok {
		q, err = parseQuantity(rest, quantity.Metric, quantity.Temperature, "until: core 78 °C")
	}
	if err != nil {
		p.wrong(n, err)
		return nil
	}
	return &q
}

// uses reads how much of its lines a step takes.
func (p *reader) uses(n yamldoc.Node) []Use {
	const example = "uses: {sugar: 1/2, milk: all, salt: 2 g}"
	if n.Empty() && n.Kind() == yamldoc.Text || !p.faults.Map(n, "uses", example) {
		return nil
	}
	out := make([]Use, 0, n.Len())
	for k, v := range n.Entries() {
		use := Use{Pos: p.pos(k), Name: spaces(k.Text())}
		s, ok := p.faults.Text(v, "uses")
		if !ok || p.tooLong(v, "uses", s) {
			continue
		}
		if err := use.share(spaces(s), p.m); err != nil {
			p.wrong(v, err)
			continue
		}
		out = append(out, use)
	}
	return out
}

// share reads `1/2`, `all`, `30 g`.
func (u *Use) share(s string, m quantity.Measure) error {
	const example = "a share such as 1/2, all, or a mass such as 30 g"
	switch strings.ToLower(s) {
	case "":
		return bad(CodeMissing, example, "It does not say how much of %s.", quoted(u.Name))
	case "all":
		u.Share = quantity.Int(1)
		return nil
	case "half":
		u.Share = quantity.Frac(1, 2)
		return nil
	}
	if !startsNumber(s) {
		return bad(CodeAmount, example, "How much of %s cannot be read: %s.", quoted(u.Name), quoted(s))
	}
	n, rest, err := readNumber(s)
	switch {
	case err != nil:
		return err
	case rest == "%":
		n = n.Div(quantity.Int(100))
	case rest != "":
		q, err := parseQuantity(s, m, quantity.Mass, example)
		u.Mass = &q
		return err
	}
	if n.Sign() <= 0 || n.Cmp(quantity.Int(1)) > 0 {
		return bad(CodeAmount, example, "A share is over 0 and at most 1, not %s.", quoted(s))
	}
	u.Share = n
	return nil
}
