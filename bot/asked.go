package bot

import (
	"regexp"
	"strings"

	"tamis/bot/answer"
	"tamis/bot/question"
	"tamis/calc/quantity"
)

// A question is never a change, however much it sounds like one: what is asked,
// supposed or hedged leaves the book as it is.
var (
	askedFirst = regexp.MustCompile(`^(?:so |and |but |well |hm+ |quick question )*(?:how|what|whats|what's|what’s|who|whos|who's|whom|whose|when|why|which|where|since when|is|isnt|isn't|are|arent|aren't|was|wasnt|were|am|does|doesnt|doesn't|do|dont|don't|did|didnt|didn't|has|hasnt|have|havent|had|can|can't|could|may|might|should|shall|would|will|won't|if|any|anyone|anybody|suppose|supposing|imagine|assuming|next (?:week|month|time|season|batch|year)|(?:some|one) day|eventually|later|wondering|maybe|perhaps|possibly|not sure|unless|apparently|supposedly|heard|rumou?r|i (?:think|guess|believe|heard|hear|assume|suppose)|we (?:think|guess|believe|heard)|show|calculate|compare|explain|check|tell|remind|let me know|see if|find out|in case|just for|only (?:today|tonight)|tonight|this time|yesterday|` +
		`wie|was|wer|wann|warum|wieso|welche[rsmn]?|kann|können|koennen|soll|sollen|darf|dürfen|duerfen|ist|sind|hat|wird|würde|wuerde|wenn|ob|` +
		`cómo|como|cuánto|cuanto|cuánta|cuanta|qué|que|quién|quien|cuándo|cuando|puedo|podemos|debo|` +
		`combien|comment|pourquoi|quand|quel|quelle|qui|est-ce|peut-on|puis-je|dois-je|faut-il|si|` +
		`quanto|quanta|quanti|come|perché|perche|quando|chi|posso|possiamo|devo|` +
		`quantos|quantas|quem|posso|podemos|hva|hvor|hvem|hvorfor|når|kan|skal)\b`)
	askedWithin = regexp.MustCompile(`\b(?:what if|what about|how about|would happen|wonder|wonders|wondering|whether|should i|should we|shall i|shall we|can i|can we|could i|could we|may i|or not|maybe|perhaps|might|thinking (?:of|about)|what happens|not sure|if|unless|just asking|hypothetically|in theory|supposed to|(?:some|any)(?:one|body) (?:said|says|told)|(?:was|were|am|been) told|according to|in case|this time|this batch|(?:just|only) for|for tonight|for once|only today|hva hvis|was wenn|et si|y si|e se)\b`)
	askedLast   = regexp.MustCompile(`(?:[,\s](?:right|correct|eh|huh|or|innit|true|isn't it|isnt it|or what)|,\s*(?:no|yes|yeah|ok))$`)
	oneOrOther  = regexp.MustCompile(`[0-9].* or (?:[a-z]+ ){0,3}[0-9]`)
	askedNicely = regexp.MustCompile(`^(?:(?:chef|hey|hi|ok|okay|please|and)[,:]?\s+)*(?:please|pls|can you|can u|could you|could u|would you|would u|will you|will u)[,]?\s+`)
)

// asks reports whether a message asks, supposes or hedges, and so can be no
// change of the book. "Could you set the salt to 6 g?" asks for a deed, not for an answer.
func asks(text string) bool {
	s := strings.Join(strings.Fields(strings.ToLower(strings.ReplaceAll(text, "’", "'"))), " ")
	marked := strings.ContainsAny(s, "?¿？")
	if deed := askedNicely.ReplaceAllString(s, ""); len(deed) < len(s) {
		s, marked = deed, false
	}
	s = strings.TrimRight(s, " .!?？")
	return marked || askedFirst.MatchString(s) || askedWithin.MatchString(s) || askedLast.MatchString(s) || oneOrOther.MatchString(s)
}

var auxiliary = regexp.MustCompile(`(?i)^(?:(?:so|and|but|well|ok|chef|is it true that|what if|who says|since when|why|when) )*(?:does|do|did|is|are|was|has|have|can|could|should|would|will)?\s*`)

// stepAsked answers a question that holds a figure against a step, such as "does
// the tuile bake 11 min now", with what the book says of that step; nil where no
// one step is meant.
func (k *Asker) stepAsked(b *answer.Book, m Message) *answer.Answer {
	text := strings.TrimRight(strings.TrimSpace(m.Text), " ?!.")
	core := firmly.ReplaceAllString(askedLast.ReplaceAllString(auxiliary.ReplaceAllString(text, ""), ""), "")
	o, ok := stepSaid(b, core, mood{firm: true, lasting: true})
	if !ok {
		return nil
	}
	p, ok, _ := stepPlace(o.recipe, o.edit)
	if !ok {
		return nil
	}
	verb := o.recipe.Recipe.Method[p.step].Verb
	m.Text = "how long does the " + o.recipe.Name + " " + verb
	if o.edit.Amount.Unit.Dim != quantity.Time {
		m.Text = "what temperature does the " + o.recipe.Name + " " + verb + " at"
	}
	a := k.decide(b, nil, m)
	if a.Status != answer.StatusAnswer || a.Recipe == nil || a.Recipe.ID != o.recipe.ID || a.Question == nil || a.Question.Want == question.WantChange {
		return nil
	}
	return a
}
