package larder

import (
	_ "embed" // the data file
	"fmt"
	"strconv"
	"strings"
	"sync"
)

//go:embed data/spellings.tsv
var spellingsTSV string

// Spelling is one name of a built-in item as it may stand in a message.
type Spelling struct {
	Plain string // without case and accents
	Text  string // as written
	Fold  string // folded
	Item  *Item
	Alias bool // a synonym, not the item's name
}

var spellings = sync.OnceValue(func() []Spelling {
	all := BuiltIn()
	out := make([]Spelling, 0, strings.Count(spellingsTSV, "\n"))
	for f := range rows(spellingsTSV, 5) {
		s := Spelling{Plain: f[0], Text: f[1], Fold: f[2], Alias: f[4] != ""}
		if s.Text == "" {
			s.Text = s.Plain
		}
		if s.Fold == "" {
			s.Fold = s.Plain
		}
		i, err := strconv.Atoi(f[3])
		if err != nil || i >= len(all) {
			panic(fmt.Sprintf("larder data: no item %q of %s", f[3], s.Text))
		}
		s.Item = all[i]
		out = append(out, s)
	}
	return out
})

// Spellings returns the names of all built-in items without regard to case and
// accents in order, then as written; the caller must not change them.
func Spellings() []Spelling { return spellings() }
