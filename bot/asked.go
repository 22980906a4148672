package bot

import (
	"regexp"
	"strings"
)

// A question is never a change, however much it sounds like one: what is asked,
// supposed or hedged leaves the book as it is.
var (
	askedFirst = regexp.MustCompile(`^(?:so |and |but |well |hm+ |quick question )*(?:how|what|whats|what's|what’s|who|whos|who's|whom|whose|when|why|which|where|since when|is|isnt|isn't|are|arent|aren't|was|wasnt|were|am|does|doesnt|doesn't|do|dont|don't|did|didnt|didn't|has|hasnt|have|havent|had|can|can't|could|may|might|should|shall|would|will|won't|if|any|anyone|anybody|suppose|supposing|imagine|assuming|wondering|maybe|perhaps|possibly|not sure|unless|` +
		`wie|was|wer|wann|warum|wieso|welche[rsmn]?|kann|können|koennen|soll|sollen|darf|dürfen|duerfen|ist|sind|hat|wird|würde|wuerde|wenn|ob|` +
		`cómo|como|cuánto|cuanto|cuánta|cuanta|qué|que|quién|quien|cuándo|cuando|puedo|podemos|debo|` +
		`combien|comment|pourquoi|quand|quel|quelle|qui|est-ce|peut-on|puis-je|dois-je|faut-il|si|` +
		`quanto|quanta|quanti|come|perché|perche|quando|chi|posso|possiamo|devo|` +
		`quantos|quantas|quem|posso|podemos|hva|hvor|hvem|hvorfor|når|kan|skal)\b`)
	askedWithin = regexp.MustCompile(`\b(?:what if|what about|how about|would happen|wonder|wonders|wondering|whether|should i|should we|shall i|shall we|can i|can we|could i|could we|may i|or not|maybe|perhaps|might|thinking (?:of|about)|what happens|not sure|if|unless|just asking|hypothetically|in theory|supposed to|hva hvis|was wenn|et si|y si|e se)\b`)
	askedLast   = regexp.MustCompile(`(?:[,\s](?:right|correct|eh|huh|or|innit|true|isn't it|isnt it|or what)|,\s*(?:no|yes|yeah|ok))$`)
	oneOrOther  = regexp.MustCompile(`[0-9]\S*(?: ?[a-z°]+)? or (?:[a-z]+ )?[0-9]`)
	askedNicely = regexp.MustCompile(`^(?:(?:chef|hey|hi|ok|okay|please|and)[,:]?\s+)*(?:please|can you|could you|would you|will you)[,]?\s+`)
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
