package bot

import (
	"regexp"
	"strings"
	"unicode"

	"tamis/bot/question"
)

// Words of courtesy around what is asked say nothing of it: "hey chef, make that 8 pls thx".
var (
	courtesyFirst = regexp.MustCompile(`(?i)^(?:(?:hey|hi|hiya|hello|yo|oi|good morning|good evening)[ ,!.]+(?:(?:chef|guys|all|team|mate|everyone)[ ,!.]+)?|(?:chef|guys|team|mate)[,!]\s*)`)
	courtesyLast  = regexp.MustCompile(`(?i)(?:[ ,.!]+(?:pls|plz|please|thx|thanks|thank you|ty|ta|cheers|chef|merci|danke|gracias))+[.!]*$`)
	sentenceEnd   = regexp.MustCompile(`[.!;…]+\s+`)
	asksNicely    = regexp.MustCompile(`(?i)\b(?:pls|plz|please)\b`)
)

// bare is a message without the words of courtesy that lead and end it and the
// sentence before it that tells of the day only, where what is left says something
// by itself; else the message. "All good thanks" is thanks.
func bare(x *question.Lexicon, said string) string {
	text := strings.TrimRightFunc(said, picture)
	if text == "" && strings.ContainsAny(said, "👍👌✅") {
		return "ok"
	} else if text == "" {
		return said
	}
	out := courtesyFirst.ReplaceAllString(strings.TrimSpace(text), "")
	if end := sentenceEnd.FindStringIndex(out); end != nil && question.Aside(x, out[:end[0]]) {
		out = out[end[1]:]
	}
	tail := courtesyLast.FindString(out)
	out = strings.TrimSpace(out[:len(out)-len(tail)])
	words := strings.Fields(out)
	if courtesyLast.ReplaceAllString(" "+out, "") == "" {
		return text // "hi chef"
	}
	switch {
	case len(words) == 0:
		return text
	case tail != "" && !asksNicely.MatchString(tail) && len(words) < 3 && !strings.ContainsAny(out, "0123456789?"):
		return text
	}
	return out
}

// picture reports whether a rune is a picture or part of one: "from now on 🙏🏽".
func picture(r rune) bool {
	return r >= 0x2190 && unicode.In(r, unicode.So, unicode.Sk) || r == 0xFE0F || r == 0x200D || unicode.IsSpace(r)
}
