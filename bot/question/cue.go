package question

import (
	"bufio"
	"embed"
	"fmt"
	"io/fs"
	"sort"
	"strings"
	"sync"

	"tamis/kb/name"
)

//go:embed words
var wordFiles embed.FS

// cue is one tag of the word files: what a word tells about the question.
type cue uint8

// cueSet is a set of cues.
type cueSet [3]uint64

func (s cueSet) has(c cue) bool { return s[c>>6]&(1<<(c&63)) != 0 }

func (s cueSet) with(cs ...cue) cueSet {
	for _, c := range cs {
		s[c>>6] |= 1 << (c & 63)
	}
	return s
}

func (s cueSet) meets(t cueSet) bool { return s[0]&t[0] != 0 || s[1]&t[1] != 0 || s[2]&t[2] != 0 }

func (s cueSet) or(t cueSet) cueSet {
	return cueSet{s[0] | t[0], s[1] | t[1], s[2] | t[2]}
}

func (s cueSet) empty() bool { return s == cueSet{} }

// each calls f for every cue of s, in order.
func (s cueSet) each(f func(cue)) {
	for c := cue(0); int(c) < len(cueNames); c++ {
		if s.has(c) {
			f(c)
		}
	}
}

// cueTable is the word files read once: phrases in a trie of folded words.
type cueTable struct {
	root    *cueNode
	words   map[string]bool // every word of a phrase, so that none is taken for a typo
	english map[string]bool // those of English phrases
}

type cueNode struct {
	next map[string]*cueNode
	set  cueSet
	lang string // of the file the phrase stands in; English wins
}

var cues = sync.OnceValue(func() *cueTable {
	t := &cueTable{root: &cueNode{}, words: map[string]bool{}, english: map[string]bool{}}
	files, err := fs.Glob(wordFiles, "words/??.txt")
	if err != nil {
		panic(err) // the pattern is constant
	}
	sort.Slice(files, func(i, j int) bool { // English first: its tags win
		if ei, ej := strings.HasSuffix(files[i], "en.txt"), strings.HasSuffix(files[j], "en.txt"); ei != ej {
			return ei
		}
		return files[i] < files[j]
	})
	for _, f := range files {
		if err := t.read(f); err != nil {
			panic(err) // embedded data, a test reads it too
		}
	}
	return t
})

func (t *cueTable) read(file string) error {
	data, err := wordFiles.ReadFile(file)
	if err != nil {
		return err
	}
	lang := strings.TrimSuffix(strings.TrimPrefix(file, "words/"), ".txt")
	sc := bufio.NewScanner(strings.NewReader(string(data)))
	sc.Buffer(nil, 1<<20)
	for n := 1; sc.Scan(); n++ {
		line := strings.TrimSpace(sc.Text())
		if line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		tag, list, ok := strings.Cut(line, ":")
		c, known := cueNamed(strings.TrimSpace(tag))
		if !ok || !known {
			return fmt.Errorf("%s:%d: no such tag: %q", file, n, tag)
		}
		for _, p := range strings.Split(list, ";") {
			t.add(name.Words(p), c, lang)
		}
	}
	return sc.Err()
}

func (t *cueTable) add(words []string, c cue, lang string) {
	if len(words) == 0 {
		return
	}
	n := t.root
	for _, w := range words {
		t.words[w] = true
		if lang == "en" {
			t.english[w] = true
		}
		if n.next == nil {
			n.next = map[string]*cueNode{}
		}
		m := n.next[w]
		if m == nil {
			m = &cueNode{}
			n.next[w] = m
		}
		n = m
	}
	if !n.set.empty() && n.lang != lang {
		return
	}
	n.set, n.lang = n.set.with(c), lang
}

func cueNamed(s string) (cue, bool) {
	for i, n := range cueNames {
		if n == s {
			return cue(i), true
		}
	}
	return 0, false
}
