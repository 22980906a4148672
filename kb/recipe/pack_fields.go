package recipe

// What follows names every field of a parsed recipe once. A field that is
// missing here fails TestPackKnowsEveryField.

func (c *coder) parsed(r **Recipe, faults *[]Fault) {
	option(c, r, (*coder).recipe)
	list(c, faults, (*coder).fault)
}

func (c *coder) fault(f *Fault) {
	c.string((*string)(&f.Level))
	c.string(&f.Code)
	c.here(&f.File)
	c.int(&f.Line)
	c.int(&f.Column)
	c.string(&f.Text)
	c.string(&f.Write)
	c.string(&f.Recipe)
}

func (c *coder) recipe(r *Recipe) {
	c.pos(&r.Pos)
	c.string(&r.Name)
	c.strings(&r.Also)
	c.string(&r.Section)
	option(c, &r.Makes, (*coder).makes)
	c.quantity(&r.Loss)
	list(c, &r.Lines, (*coder).line)
	c.bool(&r.IsPlate)
	list(c, &r.Method, (*coder).step)
	list(c, &r.Keeps, (*coder).keep)
	c.strings(&r.Cautions)
	c.string(&r.Notes)
	c.string(&r.BasedOn)
	list(c, &r.Change, (*coder).change)
	c.keys(&r.Written)
	option(c, &r.Season, (*coder).season)
	list(c, &r.Instead, (*coder).instead)
	c.quantity(&r.Spare)
	c.mayQuantity(&r.Density)
	c.mayQuantity(&r.Overrun)
	list(c, &r.SharedWith, (*coder).allergen)
	c.strings(&r.Suits)
	c.bool(&r.SuitsStated)
	list(c, &r.If, (*coder).remedy)
	option(c, &r.Pours, (*coder).bool)
	c.string(&r.Picture)
}

func (c *coder) line(l *Line) {
	c.pos(&l.Pos)
	c.string(&l.Name)
	c.bool(&l.Bought)
	c.amount(&l.Amount)
	c.string(&l.Part)
	c.string(&l.Note)
	c.string(&l.Prep)
	c.string(&l.As)
	c.string(&l.On)
	option(c, &l.Out, (*coder).span)
}

func (c *coder) amount(a *Amount) {
	a.Kind = AmountKind(c.number(uint64(a.Kind)))
	c.exact(&a.Lo)
	one := a.Lo == a.Hi // one number twice stays one
	if c.bool(&one); !one {
		c.exact(&a.Hi)
	} else if c.reads() {
		a.Hi = a.Lo
	}
	c.unit(&a.Unit)
	c.string(&a.Piece)
	c.mayQuantity(&a.Mass)
	c.bool(&a.Each)
	c.strings(&a.Of)
	c.start(a)
	c.string(&a.Text)
}

// start is an amount without a start of its own: a book cannot write one, and
// bytes that say so would nest without end.
func (c *coder) start(a *Amount) {
	if c.inStart {
		c.bad = c.bad || a.Start != nil
		return
	}
	c.inStart = true
	option(c, &a.Start, (*coder).amount)
	c.inStart = false
}

func (c *coder) makes(m *Makes) {
	c.string(&m.Text)
	c.mayQuantity(&m.Mass)
	c.exact(&m.Count)
	c.string(&m.Piece)
	c.mayQuantity(&m.Each)
	c.bool(&m.Fill)
	c.string(&m.Mould)
	c.string(&m.Core)
	c.exact(&m.CoreCount)
	list(c, &m.Frame, (*coder).exact)
}

func (c *coder) step(s *Step) {
	c.pos(&s.Pos)
	c.string(&s.Verb)
	c.string(&s.Words)
	option(c, &s.To, (*coder).target)
	c.mayQuantity(&s.From)
	c.strings(&s.Of)
	option(c, &s.At, (*coder).place)
	option(c, &s.For, (*coder).span)
	option(c, &s.Hold, (*coder).span)
	c.string(&s.Until)
	c.mayQuantity(&s.UntilCore)
	c.string(&s.Where)
	c.string(&s.In)
	c.mayQuantity(&s.Hands)
	c.mayQuantity(&s.StirEvery)
	list(c, &s.Uses, (*coder).use)
	option(c, &s.Ahead, (*coder).span)
	c.string(&s.Caution)
	c.string(&s.With)
	c.string(&s.Speed)
	c.string(&s.Humidity)
}

func (c *coder) target(t *Target) {
	c.string(&t.Text)
	c.mayQuantity(&t.Temperature)
	c.mayQuantity(&t.TempHi)
	c.mayQuantity(&t.Mass)
	c.mayQuantity(&t.Brix)
	c.bool(&t.Half)
}

func (c *coder) place(p *Place) {
	c.string(&p.Text)
	c.mayQuantity(&p.Temperature)
	c.mayQuantity(&p.Hi)
}

func (c *coder) span(s *Span) {
	c.string(&s.Text)
	option(c, &s.Exact, (*coder).exact)
	option(c, &s.Min, (*coder).exact)
	option(c, &s.Max, (*coder).exact)
	option(c, &s.Never, (*coder).exact)
	c.unit(&s.Unit)
}

func (c *coder) use(u *Use) {
	c.pos(&u.Pos)
	c.string(&u.Name)
	c.exact(&u.Share)
	c.mayQuantity(&u.Mass)
}

func (c *coder) keep(k *Keep) {
	c.string(&k.Text)
	c.mayQuantity(&k.Time)
	c.string(&k.Where)
	c.string(&k.After)
}

func (c *coder) season(s *Season) {
	c.string(&s.Text)
	c.int(&s.FromMonth)
	c.int(&s.FromDay)
	c.int(&s.ToMonth)
	c.int(&s.ToDay)
}

func (c *coder) instead(i *Instead) {
	c.pos(&i.Pos)
	c.string(&i.Line)
	c.string(&i.Name)
	c.amount(&i.Amount)
	c.bool(&i.NotPossible)
	c.string(&i.Text)
}

func (c *coder) remedy(r *Remedy) {
	c.string(&r.Fault)
	c.string(&r.Words)
}

func (c *coder) change(ch *Change) {
	c.pos(&ch.Pos)
	c.string(&ch.Line)
	c.bool(&ch.Bought)
	c.bool(&ch.Out)
	option(c, &ch.Amount, (*coder).amount)
	option(c, &ch.Detail, (*coder).line)
	option(c, &ch.With, (*coder).line)
}

func (c *coder) allergen(a *Allergen) {
	c.string(&a.Name)
	c.string(&a.Kind)
}
