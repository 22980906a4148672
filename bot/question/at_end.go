package question

import (
	"slices"
	"strings"
)

// atTheEnd are words for when a reduction is over.
var atTheEnd = []string{"at the end", "in the end", "at end", "by the end", "when done", "when its done", "when it is done", "when finished", "when its finished", "when ready", "when its ready", "when it is ready",
	"once done", "once its done", "once ready", "once its ready", "once finished", "once reduced", "when its reduced", "after reducing", "end reading", "final reading", "end weight", "final weight", "finished weight"}

// atEnd reports whether the message speaks of when a reduction is over.
func (l *lattice) atEnd() bool { return l.saysAny(atTheEnd) }

// AtEnd is the same for answers.
func (q *Question) AtEnd() bool {
	say := " " + strings.Join(Words(q.Say), " ") + " "
	return slices.ContainsFunc(atTheEnd, func(w string) bool { return strings.Contains(say, " "+w+" ") })
}
