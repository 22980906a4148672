package bank

import (
	"fmt"
	"io/fs"
	"math/big"
	"os"
	"path/filepath"
	"sort"
	"strings"

	"gopkg.in/yaml.v3"
)

// book is what the independent reader knows of a book folder.
type book struct {
	name, dir string
	spoons    string
	currency  string
	zone      string
	foodCode  string
	mayPush   []string
	scales    []scaleOf
	pans      map[string]pan
	moulds    map[string]mould
	larder    []*item
	recipes   []*recipe
	byName    map[string][]*recipe // names and aliases, folded
	byItem    map[string]*item
}

type scaleOf struct{ reads, upTo *big.Rat }

type pan struct {
	name  string
	empty *big.Rat // g
	holds *big.Rat // ml
}

type mould struct {
	name  string
	cells int64
	count int64
}

type item struct {
	name          string
	also          []string
	density       *big.Rat // g/ml
	piece         map[string]*big.Rat
	contains      []string
	statesContent bool
	mayContain    []string
	suits         []string
	statesSuits   bool
	price         *big.Rat // a gram
	perPiece      *big.Rat
	usable        *big.Rat
	pours         bool
	keeps         string
}

type recipe struct {
	name      string
	also      []string
	makes     string
	count     *big.Rat // pieces, covers, cells
	countWord string
	mass      *big.Rat // of all, g
	frame     []string
	share     *big.Rat // what is kept after the loss, as a factor
	lossMass  *big.Rat
	lines     []line
	dish      bool
	steps     []step
	keeps     []string
	suits     []string
	suitsSet  bool
	shared    []string
	pours     bool
	season    string
	instead   map[string]string
	basedOn   string
	file      string
}

type line struct {
	name   string
	bought bool
	part   string
	amount amount
}

type step struct {
	verb, words string
	keys        map[string]string
	of          []string
}

// readBook reads a folder in the book format; what these books do not use is an error, so that nothing is skipped unseen.
func readBook(dir string) (*book, error) {
	b := &book{name: filepath.Base(dir), dir: dir, pans: map[string]pan{}, moulds: map[string]mould{},
		byName: map[string][]*recipe{}, byItem: map[string]*item{}, spoons: "metric"}
	house, err := readFile(filepath.Join(dir, "house.yaml"))
	if err != nil {
		return nil, err
	}
	if err := b.readHouse(house); err != nil {
		return nil, err
	}
	larder, err := readFile(filepath.Join(dir, "larder.yaml"))
	if err != nil {
		return nil, err
	}
	for _, n := range larder.Content {
		if err := b.readItem(n); err != nil {
			return nil, err
		}
	}
	if err := b.readRecipes(filepath.Join(dir, "recipes")); err != nil {
		return nil, err
	}
	return b, nil
}

func (b *book) readRecipes(dir string) error {
	trees := map[string]*yaml.Node{}
	var order []string
	files := map[string]string{}
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || filepath.Ext(path) != ".yaml" {
			return err
		}
		n, err := readFile(path)
		if err != nil {
			return err
		}
		name := text(n, "recipe")
		trees[name], files[name] = n, path
		order = append(order, name)
		return nil
	})
	if err != nil {
		return err
	}
	sort.Strings(order)
	alias := map[string]string{}
	for _, name := range order {
		alias[folded(name)] = name
	}
	for _, name := range order {
		for _, a := range words(child(trees[name], "also")) {
			if _, taken := alias[folded(a)]; !taken {
				alias[folded(a)] = name
			}
		}
	}
	for _, name := range order {
		n := trees[name]
		for depth := 0; text(n, "based on") != "" && depth < 5; depth++ {
			base := trees[alias[folded(text(n, "based on"))]]
			if base == nil {
				return fmt.Errorf("%s: no base %q", name, text(n, "based on"))
			}
			n = vary(base, n)
		}
		r, err := b.readRecipe(n)
		if err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
		r.file = files[name]
		b.recipes = append(b.recipes, r)
	}
	for _, r := range b.recipes {
		for _, n := range append([]string{r.name}, r.also...) {
			b.byName[folded(n)] = append(b.byName[folded(n)], r)
		}
	}
	return nil
}

// vary lays a variant over its base: its own keys, and the changes to the base's lines.
func vary(base, variant *yaml.Node) *yaml.Node {
	own := map[string]bool{"also": true, "picture": true, "notes": true, "change": true, "based on": true}
	for _, p := range pairs(variant) {
		own[p.key.Value] = true
	}
	out := &yaml.Node{Kind: yaml.MappingNode}
	for _, p := range pairs(variant) {
		if p.key.Value != "change" && p.key.Value != "based on" {
			out.Content = append(out.Content, p.key, p.value)
		}
	}
	for _, p := range pairs(base) {
		if p.key.Value == "based on" {
			out.Content = append(out.Content, p.key, p.value)
		}
		if own[p.key.Value] {
			continue
		}
		if p.key.Value == "ingredients" {
			out.Content = append(out.Content, p.key, changed(p.value, child(variant, "change")))
			continue
		}
		out.Content = append(out.Content, p.key, p.value)
	}
	return out
}

func changed(lines, change *yaml.Node) *yaml.Node {
	out := &yaml.Node{Kind: yaml.SequenceNode}
	used := map[string]bool{}
	for _, l := range lines.Content {
		name := pairs(l)[0].key.Value
		to := child(change, name)
		switch {
		case to == nil:
			out.Content = append(out.Content, l)
			continue
		case to.Kind == yaml.ScalarNode && to.Value == "none":
		case to.Kind == yaml.MappingNode && !amountMap(to):
			out.Content = append(out.Content, to)
		default:
			out.Content = append(out.Content, &yaml.Node{Kind: yaml.MappingNode, Content: []*yaml.Node{pairs(l)[0].key, to}})
		}
		used[name] = true
	}
	for _, p := range pairs(change) {
		if !used[p.key.Value] {
			out.Content = append(out.Content, &yaml.Node{Kind: yaml.MappingNode, Content: []*yaml.Node{p.key, p.value}})
		}
	}
	return out
}

func amountMap(n *yaml.Node) bool { return child(n, "amount") != nil }

func readFile(path string) (*yaml.Node, error) {
	data, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	n, err := document(data)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	return n, nil
}

// recipe returns the one recipe of that name or alias, or nil where there is none or several.
func (b *book) recipe(name string) *recipe {
	found := b.byName[folded(name)]
	if len(found) > 1 {
		for _, r := range found {
			if folded(r.name) == folded(name) {
				return r
			}
		}
		return nil
	}
	if len(found) == 1 {
		return found[0]
	}
	return nil
}

func (b *book) item(name string) *item { return b.byItem[folded(name)] }

// link returns the recipe a line draws on, or nil for a plain ingredient.
func (b *book) link(l line) *recipe {
	if l.bought {
		return nil
	}
	return b.recipe(l.name)
}

func (b *book) readHouse(n *yaml.Node) error {
	b.currency, b.zone, b.foodCode = text(n, "currency"), text(n, "time zone"), text(n, "food code")
	if s := text(n, "spoons"); s != "" {
		b.spoons = s
	}
	list := func(key string) []*yaml.Node {
		if c := child(n, key); c != nil {
			return c.Content
		}
		return nil
	}
	grams := func(s string) *big.Rat {
		a, err := readAmount(s, b.spoons)
		if err != nil {
			panic(err)
		}
		return a.value
	}
	for _, s := range list("scales") {
		b.scales = append(b.scales, scaleOf{grams(text(s, "reads")), grams(text(s, "up to"))})
	}
	for _, p := range list("pans") {
		b.pans[text(p, "name")] = pan{text(p, "name"), grams(text(p, "empty")), grams(text(p, "holds"))}
	}
	for _, m := range list("moulds") {
		var cells, count int64
		fmt.Sscan(text(m, "cells"), &cells)
		fmt.Sscan(text(m, "count"), &count)
		b.moulds[text(m, "name")] = mould{text(m, "name"), cells, count}
	}
	b.mayPush = words(child(child(n, "rules"), "who may push"))
	return nil
}

func (b *book) readItem(n *yaml.Node) error {
	it := &item{name: text(n, "ingredient"), also: words(child(n, "also")), piece: map[string]*big.Rat{},
		pours: text(n, "pours") == "true", keeps: text(n, "keeps"), usable: whole(1)}
	if d := text(n, "density"); d != "" {
		it.density = rat(strings.Fields(d)[0])
	}
	if p := child(n, "piece"); p != nil {
		if p.Kind == yaml.ScalarNode {
			a, err := readAmount(p.Value, b.spoons)
			if err != nil {
				return err
			}
			it.piece[""] = a.value
		}
		for _, q := range pairs(p) {
			a, err := readAmount(q.value.Value, b.spoons)
			if err != nil {
				return err
			}
			it.piece[single(q.key.Value)] = a.value
		}
	}
	if c := child(n, "contains"); c != nil {
		it.contains, it.statesContent = words(c), true
	}
	it.mayContain = words(child(n, "may contain"))
	if c := child(n, "suits"); c != nil {
		it.suits, it.statesSuits = words(c), true
	}
	if u := text(n, "usable"); u != "" {
		it.usable = hundredth(rat(strings.TrimSuffix(u, " %")))
	}
	if c := text(n, "costs"); c != "" {
		if err := it.readCosts(c, b.spoons); err != nil {
			return err
		}
	}
	b.larder = append(b.larder, it)
	for _, name := range append([]string{it.name}, it.also...) {
		b.byItem[folded(name)] = it
	}
	return nil
}

// readCosts reads "5.20 EUR/kg", "3.10 EUR per 500 g" and "2.30 EUR per piece".
func (it *item) readCosts(s, spoons string) error {
	f := strings.Fields(s)
	price := rat(f[0])
	per := strings.TrimPrefix(strings.Join(f[1:], " "), f[1]+" per ")
	if _, unit, ok := strings.Cut(f[1], "/"); ok {
		per = "1 " + unit
	}
	if per == "piece" {
		it.perPiece = price
		return nil
	}
	a, err := readAmount(per, spoons)
	if err != nil {
		return err
	}
	size := a.value
	if a.form == byVolume {
		if it.density == nil {
			return fmt.Errorf("%s: price by volume and no density", it.name)
		}
		size = mul(size, it.density)
	}
	it.price = quo(price, size)
	return nil
}
