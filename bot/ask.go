package bot

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"sync"
	"time"

	"tamis/bot/answer"
	"tamis/bot/phrase"
	"tamis/bot/question"
	"tamis/bot/reply"
	"tamis/kb"
)

// Head returns the newest snapshot of the house's book. It may read a disk the
// first time.
type Head func(ctx context.Context) (*kb.Snapshot, error)

// Asker answers the messages of one house.
type Asker struct {
	head   Head
	words  *reply.Catalogue
	talks  *talks
	search Search

	mu   sync.Mutex
	book *answer.Book // of the snapshot last seen

	below, margin int // bounds of the decision, see question.AnswerBelow and question.Margin

	phraser Phraser // nil: replies stay as they are
	first   bool    // the template goes out first

	keeper Keeper // nil: the book is only read
	how    string
	open   *open

	waiting Proposals
	lasting bool // what waits outlasts the program
	hints   bool // of what waits
	news    news
	speaker Speaker // nil: nobody is told in a channel
	saying  sync.WaitGroup

	timers Timers // nil: no timers run
	house  string
	speaks bool
}

// Search finds the recipes of a snapshot that hold words, nearest first. It may
// build an index the first time; it ends when ctx does.
type Search func(ctx context.Context, s *kb.Snapshot, text string, n int) ([]*kb.Recipe, error)

// Phraser words the body of a reply anew, or says why it stays as it is.
type Phraser interface {
	Phrase(ctx context.Context, r phrase.Request) (phrase.Phrased, phrase.Reason)
}

// WithPhraser lets a language model choose the words around what is said.
func WithPhraser(p Phraser) Option { return func(k *Asker) { k.phraser = p } }

// WithTemplateFirst gives out a reply at once and words it afterwards, where the
// adapter can put one text in another's place.
func WithTemplateFirst() Option { return func(k *Asker) { k.first = true } }

// WithBounds moves the bounds of the decision: how dear a reading may be and
// still be answered, and how near another answer may come before it is asked
// about. For measuring what they cost; a kitchen keeps the defaults.
func WithBounds(below, margin int) Option {
	return func(k *Asker) { k.below, k.margin = below, margin }
}

// Option changes how an Asker works.
type Option func(*Asker)

// WithSearch lets an Asker look for what the names of the book leave over; it
// is used at most once a message.
func WithSearch(s Search) Option { return func(k *Asker) { k.search = s } }

// NewAsker returns an Asker for the book that head gives.
func NewAsker(head Head, options ...Option) (*Asker, error) {
	words, err := reply.NewCatalogue()
	if err != nil {
		return nil, err
	}
	k := &Asker{head: head, words: words, talks: newTalks(), below: question.AnswerBelow, margin: question.Margin}
	for _, o := range options {
		o(k)
	}
	return k, nil
}

// Book returns the newest snapshot made ready for answering.
func (k *Asker) Book(ctx context.Context) (*answer.Book, error) {
	s, err := k.head(ctx)
	if err != nil {
		return nil, fmt.Errorf("the book: %w", err)
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.book == nil || k.book.Snap != s {
		k.book = k.book.Next(s)
	}
	return k.book, nil
}

// Ask answers one message.
func (k *Asker) Ask(ctx context.Context, m Message) (Reply, error) {
	b, err := k.Book(ctx)
	if err != nil {
		return Reply{}, err
	}
	was := k.talks.get(m.Conversation, m.At)
	before := was.Fresh(b.Snap)
	if m.Anew {
		before = nil
	}
	if !k.can(b, m, Read) {
		a := refused(b, nil, Read)
		return Reply{Answer: a, Reply: k.words.In(b.Snap.House.Language).Render(a)}, nil
	}
	said := m.Text
	m.Text = bare(b.Lex, said)
	a := k.decide(b, before, m)
	if m.Text != said && a.Status == answer.StatusUnknown && a.Why != nil && a.Why.Code == "not understood" {
		m.Text = said
		if whole := k.decide(b, before, m); whole.About != "talk" { // "who won the match, thanks" is no thanks
			a = whole
		}
	}
	if a.Status == answer.StatusUnknown && a.Why != nil && (a.Why.Code == "no such recipe" || a.Why.Code == "not understood") {
		if name := question.OutRecipe(b.Lex, m.Text); name != "" {
			a = k.out(b, name, a)
		}
	}
	if kept := k.kept(ctx, b, before, m, a); kept != nil {
		a = kept
	} else if w := k.worked(b, m, a); w != nil {
		a = w
	} else {
		a = k.fitted(b, a)
		k.recall(b, m, a)
	}
	k.searched(ctx, b, m, a)
	k.toldNow(b, was, m, a)
	k.talks.put(m.Conversation, m.At, before, a)
	if a.About == "change" { // what was changed in this talk is no news to it
		if now, err := k.Book(ctx); err == nil && now.Snap != b.Snap {
			k.talks.freshen(m.Conversation, now.Snap)
		}
	}
	r := Reply{Answer: a, Reply: k.words.In(b.Snap.House.Language).Render(a)}
	later := k.phraser != nil && k.first && m.InPlace && r.Body != nil
	if !later {
		k.phrase(ctx, b, m, &r)
	}
	if a.Recipe != nil && (a.Status == answer.StatusAnswer || a.Status == answer.StatusUnknown && a.Why != nil && a.Why.Code == "no such line") {
		r.RecipeName, r.Revision = a.Recipe.Name, a.Recipe.Revision
	}
	if later {
		plain := r
		r.Better = func(ctx context.Context) (Reply, bool) {
			better := plain
			k.phrase(ctx, b, m, &better)
			return better, better.Wording.KeptBack == phrase.ReasonNone
		}
	}
	return r, nil
}

// phrase puts a checked wording in place of the body; all else stays.
func (k *Asker) phrase(ctx context.Context, b *answer.Book, m Message, r *Reply) {
	if k.phraser == nil {
		return
	}
	lang := b.Snap.House.Language
	if lang == "" {
		lang = "en"
	}
	if r.Body != nil {
		r.Body.Language = lang
	}
	p, reason := k.phraser.Phrase(ctx, phrase.Request{Question: m.Text, Language: lang, Template: r.Body, Names: b.Lex})
	r.Wording = &Wording{KeptBack: reason}
	if reason != phrase.ReasonNone {
		return
	}
	r.Text = p.Text()
	if r.Tail != "" {
		r.Text += "\n" + r.Tail
	}
}

// searchFor is how long an answer waits for the search.
const searchFor = 2 * time.Second

// searched adds to an answer that found nothing the recipes that hold the words
// left over.
func (k *Asker) searched(ctx context.Context, b *answer.Book, m Message, a *answer.Answer) {
	if k.search == nil || a.Status != answer.StatusUnknown || len(a.Choices) > 0 || a.Why != nil && a.Why.Code == "nothing to mean" || a.Question != nil && (a.Question.Want == question.WantTempLog || a.Question.Want == question.WantStrike || a.Question.Want == question.WantNudge || a.Question.Want == question.WantShould || a.Question.Want == question.WantLimit || a.Question.Want == question.WantHeat) {
		return
	}
	text := question.Leftover(b.Lex, m.Text)
	if text == "" {
		return
	}
	ctx, stop := context.WithTimeout(ctx, searchFor)
	defer stop()
	found, err := k.search(ctx, b.Snap, text, 4)
	if err != nil {
		return // the honest "I don't have that" stands without it
	}
	for _, r := range found {
		a.Choices = append(a.Choices, r.Name)
	}
}

// reading is one reading with what it comes to.
type reading struct {
	q   *question.Question
	a   *answer.Answer
	key string
}

// mostAnswers is how many different readings are worked out.
const mostAnswers = 12

// muchDearer is how far behind a change that is only asked about another reading
// may stand: "what happens if I cut the butter to 180 g" is no size.
const muchDearer = 4

// decide reads the message, works out the likely readings, merges those with
// the same facts, and lets the margin between different answers decide.
func (k *Asker) decide(b *answer.Book, before *question.Context, m Message) *answer.Answer {
	qs, dropped := k.sensible(question.Read(b.Lex, m.Text, before, b.Snap.House.Spoons), b, m)
	if asks(m.Text) { // what else it asks comes before a change that it is not
		if rest := slices.DeleteFunc(slices.Clone(qs), func(q question.Question) bool {
			return q.Want == question.WantChange && q.Say != "yes" && q.Say != "no" && !goesBack(question.Words(m.Text))
		}); len(rest) > 0 && rest[0].Cost <= qs[0].Cost+muchDearer {
			qs = rest
		}
	}
	if len(qs) == 0 {
		if dropped != nil {
			return unknownWork(&answer.Answer{About: dropped.About, Question: dropped}, nothing(dropped))
		}
		return k.lost(b, m, "not understood")
	}
	if dropped != nil && (dropped.Work.Named || dropped.Want == question.WantStrike || dropped.Want == question.WantNudge) && workOnly(dropped, &qs[0]) {
		return unknownWork(&answer.Answer{About: dropped.About, Question: dropped}, nothing(dropped))
	}
	var rs []reading
	for i := range qs {
		q := &qs[i]
		if len(rs) > 0 && (q.Cost > rs[0].q.Cost+k.margin+4 || len(rs) >= mostAnswers) {
			break
		}
		k.warmed(q, m)
		a := k.permitted(b, b.Answer(q, m.At), m)
		key := keyOf(a)
		if !slices.ContainsFunc(rs, func(r reading) bool { return r.key == key }) {
			rs = append(rs, reading{q, a, key})
		}
	}
	best := rs[0]
	// a reading that can be answered beats one that can't at nearly the same price
	if best.a.Status == answer.StatusUnknown && best.a.Why != nil && best.a.Why.Code != "unbuilt" {
		for _, r := range rs[1:] {
			if r.a.Status == answer.StatusAnswer && r.q.Cost <= best.q.Cost+k.margin && !r.q.Lost || r.a.Status == answer.StatusAsk && r.q.Missing == question.MissingRecipe && r.q.Cost <= best.q.Cost {
				best = r
				break
			}
		}
	}
	if best.a.Status == answer.StatusRefused {
		return best.a
	}
	q := best.q
	if q.Modified != "" {
		return k.none(b, m, q, q.Modified)
	}
	if q.Lost {
		if name := question.OutRecipe(b.Lex, m.Text); name != "" {
			return k.out(b, name, best.a)
		}
		if a := k.unplaced(b, m, q, best.a); a != nil {
			return a
		}
	}
	if q.Plain() > k.below || q.Guessed && q.Cost > guessBelow(q)+k.below-question.AnswerBelow {
		if dropped != nil {
			return unknownWork(&answer.Answer{About: dropped.About, Question: dropped}, nothing(dropped))
		}
		for _, r := range rs[1:] { // "x3 cream": which of them it is of can be asked
			if r.a.Status == answer.StatusAsk && r.q.Missing == question.MissingRecipe && len(r.a.Choices) > 1 && r.q.Cost <= q.Cost+k.margin && r.q.Cost <= k.below && !r.q.Lost {
				return r.a
			}
		}
		return k.lost(b, m, "not understood")
	}
	noLine := best.a.Why != nil && best.a.Why.Code == "no such line" && len(q.Targets) == 1 && q.Targets[0].Part
	work := q.IsWork() && unbuilt(best.a)
	if work && (q.Want == question.WantLogTemp || q.Want == question.WantTempLog) { // a log goes on where it has begun
		if r, ok := k.begun(rs, best, m); ok {
			return r.a
		}
	}
	if best.a.Status == answer.StatusAnswer || best.a.Status == answer.StatusAsk && q.Missing == question.MissingNothing || noLine || work {
		if a := k.ambiguous(rs, best); a != nil {
			return a
		}
	}
	if a := shared(before, best); a != nil {
		return a
	}
	if what := strangeAsked(q); what != "" && best.a.Status == answer.StatusAnswer {
		return k.none(b, m, q, what)
	}
	if len(q.Strange) > 0 && best.a.Status == answer.StatusAnswer {
		best.a.Assumed = append(best.a.Assumed, answer.Phrase{Code: "passed over", Args: q.Strange})
	}
	return best.a
}

// workOnly reports whether a question about running work, of which there is none,
// leaves only a guess: "is the base ready" asks for no recipe's card.
func workOnly(dropped, next *question.Question) bool {
	switch dropped.Want {
	case question.WantLeft:
		if next.Want == question.WantReady && next.Has("went") {
			return false // it has just gone in: "bavarois in the fridge now, when is it set"
		}
		return dropped.Work.Since || next.Want == question.WantCard || next.Want == question.WantReady || next.Want == question.WantUnsafe
	case question.WantStrike:
		return dropped.Work.OfLog
	case question.WantNudge:
		return !next.IsWork() && next.Want != question.WantStarted && next.Want != question.WantTimer
	case question.WantTaken:
		return next.Want != question.WantUnsafe
	}
	return false
}

// nothing says what there is nothing of.
func nothing(q *question.Question) string {
	if q.Want == question.WantShould {
		return "nothing told"
	}
	if q.Want == question.WantStrike {
		return "nothing to strike"
	}
	return "nothing to mean"
}

// begun is the one of the nearly equal readings whose food this channel has told
// temperatures of lately; false where that is none or several.
func (k *Asker) begun(rs []reading, best reading, m Message) (found reading, ok bool) {
	for _, r := range rs {
		if r.q.Want != best.q.Want || r.q.Cost > best.q.Cost+k.margin-1 || len(r.q.Targets) != 1 || len(k.lastRun(r.q, m)) == 0 {
			continue
		}
		if ok {
			return reading{}, false
		}
		found, ok = r, true
	}
	return found, ok
}

// guessBelow is how dear a reading may be that no word asks for: less where the
// recipe's name is only a part too.
func guessBelow(q *question.Question) int {
	if len(q.Targets) == 1 && q.Targets[0].Part {
		return question.GuessBelow - 1
	}
	return question.GuessBelow
}

// strangeAsked is a word in no list that the question seems to be about: a
// whole recipe, a total or another unit is then no answer to it.
func strangeAsked(q *question.Question) string {
	switch q.Want {
	case question.WantCard, question.WantConvert, question.WantMakes, question.WantMakeable, question.WantThing, question.WantReading,
		question.WantMoulds, question.WantBatches, question.WantSteps, question.WantBrixTarget:
	case question.WantAmount:
		if len(q.Items) > 0 && len(q.Targets) > 0 && !q.Targets[0].Part && !q.FromTalk {
			return ""
		}
	default:
		return ""
	}
	for _, w := range q.Strange {
		if len(w) > 3 {
			return w
		}
	}
	return ""
}

// keyOf is the same for answers that say the same.
func keyOf(a *answer.Answer) string {
	var s strings.Builder
	s.WriteString(string(a.Status))
	if a.Why != nil {
		s.WriteString(a.Why.Code + strings.Join(a.Why.Args, "|"))
	}
	if a.Ask != nil {
		s.WriteString(a.Ask.Code)
	}
	s.WriteString(strings.Join(a.Choices, "|"))
	if q := a.Question; q != nil && q.IsWork() && unbuilt(a) { // what it comes to is only known when it is done
		s.WriteString(q.Key())
	}
	for _, f := range a.Facts {
		data, err := json.Marshal(f)
		if err != nil {
			continue
		}
		s.Write(data)
	}
	s.WriteString(strings.Join(a.Words, "|"))
	for _, n := range a.Notes {
		s.WriteString(n.Code + strings.Join(n.Args, "|"))
	}
	return s.String()
}

// ambiguous asks back where another answer is as likely: which recipe, or what size.
func (k *Asker) ambiguous(rs []reading, best reading) *answer.Answer {
	var choices []question.Choice
	recipes := true
	for _, r := range rs {
		if r.q.Cost > best.q.Cost+k.margin-1 || r.a.Status != answer.StatusAnswer && r.a.Status != answer.StatusAsk && r.a.Status != best.a.Status || r.q.Want != best.q.Want {
			continue
		}
		if r.q.Missing == question.MissingRecipe { // asked anyway
			continue
		}
		if len(r.q.Targets) != 1 || r.q.Targets[0].Recipe == nil {
			recipes = false
			continue
		}
		c := question.Choice{Label: r.q.Targets[0].Recipe.Name, Recipe: r.q.Targets[0].Recipe}
		if !slices.ContainsFunc(choices, func(o question.Choice) bool { return o.Recipe == c.Recipe }) {
			choices = append(choices, c)
		}
	}
	if !recipes || len(choices) < 2 {
		return nil
	}
	slices.SortFunc(choices, func(x, y question.Choice) int { return strings.Compare(x.Label, y.Label) })
	if len(choices) > 8 {
		choices = choices[:8]
	}
	a := &answer.Answer{Status: answer.StatusAsk, About: best.a.About, Question: best.q, Form: answer.FormTalk, Ask: &answer.Phrase{Code: "ask recipe"}, Pending: choices}
	for _, c := range choices {
		a.Choices = append(a.Choices, c.Label)
	}
	return a
}

// shared asks which recipe is meant where several have the other name that was
// written, though only one of them has what was asked: it may be the other that
// was thought of. What is spoken of already is meant.
func shared(before *question.Context, best reading) *answer.Answer {
	if best.a.Status != answer.StatusAnswer || len(best.q.Targets) != 1 || best.q.FromTalk {
		return nil
	}
	t := best.q.Targets[0]
	if len(t.Shared) < 2 || before != nil && slices.ContainsFunc(before.Targets, func(o question.Target) bool { return slices.Contains(t.Shared, o.Recipe) }) {
		return nil
	}
	a := &answer.Answer{Status: answer.StatusAsk, About: best.a.About, Question: best.q, Form: answer.FormTalk, Ask: &answer.Phrase{Code: "ask recipe"}}
	for _, r := range t.Shared {
		a.Pending = append(a.Pending, question.Choice{Label: r.Name, Recipe: r})
	}
	slices.SortFunc(a.Pending, func(x, y question.Choice) int { return strings.Compare(x.Label, y.Label) })
	for _, c := range a.Pending {
		a.Choices = append(a.Choices, c.Label)
	}
	return a
}

// unplaced decides what a reading with unused names, numbers or food words comes to.
func (k *Asker) unplaced(b *answer.Book, m Message, q *question.Question, a *answer.Answer) *answer.Answer {
	if a.Status == answer.StatusUnknown {
		return nil
	}
	if a.Status == answer.StatusAsk && a.Ask.Code == "ask recipe" && len(a.Choices) > 0 && len(q.Unused) == 0 {
		return nil
	}
	var numbers, others []string
	for _, w := range q.Unused {
		if strings.ContainsAny(w, "0123456789") {
			numbers = append(numbers, w)
		} else if !slices.Contains(q.Strange, w) {
			others = append(others, w)
		}
	}
	switch {
	case len(others) > 0:
		return k.none(b, m, q, strings.Join(others, " "))
	case len(numbers) > 0:
		return &answer.Answer{Status: answer.StatusAsk, About: q.About, Question: q, Form: answer.FormTalk, Ask: &answer.Phrase{Code: "ask unused", Args: numbers}}
	}
	return nil
}

// none is the honest "I don't have that", with the nearest names.
func (k *Asker) none(b *answer.Book, m Message, q *question.Question, what string) *answer.Answer {
	a := &answer.Answer{Status: answer.StatusUnknown, About: q.About, Question: q, Form: answer.FormTalk, Why: &answer.Phrase{Code: "no such recipe", Args: []string{what}}}
	a.Choices = b.Lex.Nearest(what, 4)
	if len(a.Choices) == 0 {
		a.Choices = b.Lex.Nearest(m.Text, 4)
	}
	return a
}

// out says that a recipe is out of the book, and why, in place of an answer.
func (k *Asker) out(b *answer.Book, name string, instead *answer.Answer) *answer.Answer {
	q := instead.Question
	if q == nil {
		q = &question.Question{About: "lookup"}
	}
	why := ""
	for _, o := range b.Snap.OutNamed(name) {
		if len(o.Faults) > 0 {
			why = o.Faults[0].String()
		}
	}
	return &answer.Answer{Status: answer.StatusUnknown, About: q.About, Question: q, Form: answer.FormTalk, Why: &answer.Phrase{Code: "recipe out", Args: []string{name, why}}}
}

// lost is a message that no frame fits.
func (k *Asker) lost(b *answer.Book, m Message, code string) *answer.Answer {
	a := &answer.Answer{Status: answer.StatusUnknown, About: "help", Form: answer.FormTalk, Why: &answer.Phrase{Code: code}}
	a.Choices = b.Lex.Nearest(m.Text, 4)
	a.Spoken = b.Lex.WrittenOut(m.Text, b.Snap.House.Spoons)
	return a
}

// RoleOf is the first role whose members hold the author; commis if none does.
func RoleOf(s *kb.Snapshot, who AuthorID) Role {
	for _, r := range s.House.Team {
		if slices.Contains(r.Members, string(who)) {
			return Role(r.Name)
		}
	}
	return Commis
}
