package bank

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

var noon = time.Date(2026, 4, 14, 12, 0, 0, 0, time.UTC)

// TestGenerated asks made-up questions of the three books, of the same under other names, and of books made of random lines:
// no number is wrong. TAMIS_BANK=full asks 10,000, otherwise it is 600.
func TestGenerated(t *testing.T) {
	size := 600
	if os.Getenv("TAMIS_BANK") == "full" {
		size = 10000
	}
	order, dirs := generatedBooks(t)
	kinds := map[string]*tally{}
	var all tally
	for i, name := range order {
		cases := makeCases(t, dirs[name], size/len(order), uint64(i+1))
		askMade(t, name, dirs[name], cases, func(c made, at int, r reply, v verdict, why string) {
			if kinds[c.kind] == nil {
				kinds[c.kind] = &tally{}
			}
			kinds[c.kind].add(v)
			all.add(v)
			if v == wrong {
				t.Errorf("[%s] %s, %s: %q: %s", v, name, c.kind, strings.Join(c.lines[:at+1], " › "), why)
			}
		})
	}
	for _, k := range sortedKeys(kinds) {
		t.Logf("%-10s %s", k, kinds[k])
	}
	t.Logf("all        %s", all)
	if all.share() < 70 {
		t.Errorf("only %.1f %% are right: a program that answers nothing is never wrong either", all.share())
	}
}

// generatedBooks are the folders that made-up questions are asked of.
func generatedBooks(t testing.TB) (order []string, dirs map[string]string) {
	t.Helper()
	dirs = map[string]string{}
	for i, name := range testBooks {
		dirs[name] = bookDir(name)
		other := name + ", renamed"
		dirs[other] = filepath.Join(t.TempDir(), "renamed")
		newRenaming(openBook(t, bookDir(name)).names(), uint64(7+i)).book(t, bookDir(name), dirs[other])
		order = append(order, name, other)
	}
	for i := range 4 {
		name := fmt.Sprint("made up ", i+1)
		dirs[name] = filepath.Join(t.TempDir(), "made")
		makeBook(t, dirs[name], uint64(40+i))
		order = append(order, name)
	}
	return order, dirs
}

func makeCases(t testing.TB, dir string, lines int, seed uint64) []made {
	m := &maker{openBook(t, dir), rand.New(rand.NewPCG(seed, 11))}
	var out []made
	for n := 0; n < lines; {
		c := m.next()
		out = append(out, c)
		n += len(c.lines)
	}
	return out
}

// askMade asks every case in a conversation of its own and hands each reply on with its verdict.
func askMade(t testing.TB, name, dir string, cases []made, each func(c made, at int, r reply, v verdict, why string)) {
	t.Helper()
	names := openBook(t, dir).names()
	var in []asked
	for i, c := range cases {
		for j, l := range c.lines {
			a := asked{Text: l, Who: "generator", Role: "commis", Channel: fmt.Sprint(name, " ", i)}
			if c.who != nil {
				a.Who = c.who[j]
			}
			if c.after != nil {
				a.Now = noon.Add(time.Duration(c.after[j]) * time.Minute).Format(time.RFC3339)
			}
			in = append(in, a)
		}
	}
	replies := conversation(t, dir, in)
	for _, c := range cases {
		for at := range c.lines {
			v, why := c.truth[at].weigh(replies[0], names)
			each(c, at, replies[0], v, why)
			replies = replies[1:]
		}
	}
}
