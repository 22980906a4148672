package allergen

import (
	"fmt"
	"slices"
)

// Verdict answers whether something suits a diet.
type Verdict uint8

// The answers. Unknown: something in it states nothing.
const (
	Unknown Verdict = iota
	Yes
	No
)

// Suit is the answer for one diet.
type Suit struct {
	Diet    string
	Verdict Verdict
	Lacks   []Way // to what states its diets without this one
	Silent  []Way // to what states nothing
}

// implied are diets that another one includes by its meaning: what is of no animal at all is of no slaughtered one.
var implied = map[string]string{"vegetarian": "vegan"}

// Suits answers by what is stated only: by the node's own word if it has one, else by that of everything in it. One part that
// states its diets without this one makes it No; one that states nothing makes it Unknown.
//
//   - Errors: [ErrCircle].
func Suits(n *Node, diet string) (Suit, error) {
	s := suiter{diet: diet, done: map[*Node]*Suit{}}
	p, err := s.suit(n)
	if err != nil {
		return Suit{}, err
	}
	return *p, nil
}

type suiter struct {
	diet string
	done map[*Node]*Suit
}

func (s *suiter) suit(n *Node) (*Suit, error) {
	if p, ok := s.done[n]; ok {
		if p == nil {
			return nil, fmt.Errorf("%w: %s", ErrCircle, n.Name)
		}
		return p, nil
	}
	s.done[n] = nil
	p := &Suit{Diet: s.diet, Verdict: Yes}
	switch {
	case n.SuitsStated:
		if !slices.Contains(n.Suits, s.diet) && !slices.Contains(n.Suits, implied[s.diet]) {
			p.Lacks = []Way{{}}
		}
	case len(n.Children) == 0:
		p.Silent = []Way{{}}
	default:
		for _, c := range n.Children {
			q, err := s.suit(c)
			if err != nil {
				return nil, err
			}
			for _, w := range q.Lacks {
				p.Lacks = addUnknown(p.Lacks, w.below(c.Name))
			}
			for _, w := range q.Silent {
				p.Silent = addUnknown(p.Silent, w.below(c.Name))
			}
		}
	}
	switch {
	case len(p.Lacks) > 0:
		p.Verdict = No
	case len(p.Silent) > 0:
		p.Verdict = Unknown
	}
	s.done[n] = p
	return p, nil
}

// Diets returns all diets that anything in the tree states, by letters.
func Diets(n *Node) []string {
	seen := map[*Node]bool{}
	var all []string
	var walk func(*Node)
	walk = func(n *Node) {
		if seen[n] {
			return
		}
		seen[n] = true
		for _, d := range n.Suits {
			if !slices.Contains(all, d) {
				all = append(all, d)
			}
		}
		for _, c := range n.Children {
			walk(c)
		}
	}
	walk(n)
	slices.Sort(all)
	return all
}
