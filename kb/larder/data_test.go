package larder

import (
	"errors"
	"fmt"
	"go/ast"
	goparser "go/parser"
	"go/token"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"tamis/calc/mix"
	"tamis/calc/quantity"
	"tamis/kb/larder/internal/refrow"
	"tamis/kb/name"
)

// The published tables are copies with their citations in their header comments:
//
//   - usda-sr.csv, household-measures-usda.csv, trim-yield-usda.csv: US Department of Agriculture, National
//     Nutrient Database for Standard Reference, releases 27 and 28 (2014, 2015); read.
//   - ciqual-ingredients.csv: Anses (2020), Table de composition nutritionnelle des aliments Ciqual; read.
//   - alcohol-strength-oiml.csv: OIML R 22 (1975), International Alcoholometric Tables; read.
//   - solutions-crc.csv: Rumble (ed.), CRC Handbook of Chemistry and Physics, 102nd ed. (2021), section 5; read.
//   - egg-sizes.csv: Commission Regulation (EC) No 589/2008 art. 4; read.
func tables(t testing.TB) *refrow.Tables {
	t.Helper()
	tab, err := refrow.Open("testdata")
	if err != nil {
		t.Fatal(err)
	}
	return tab
}

var bracket = regexp.MustCompile(`\[([^\]]+)\]`)

// recompute works out a rule from the cells of its rows. It is not the
// generator's evaluator: the rule is read as a Go expression, in float64.
func recompute(tab *refrow.Tables, row, rule string, item func(name, key string) (float64, error)) (float64, error) {
	refs := map[string]string{}
	expr := bracket.ReplaceAllStringFunc(rule, func(s string) string {
		id := fmt.Sprintf("ref%d", len(refs))
		refs[id] = s[1 : len(s)-1]
		return id
	})
	e, err := goparser.ParseExpr(expr)
	if err != nil {
		return 0, err
	}
	cell := func(row, col string) (float64, error) {
		c, err := tab.Cell(row, col)
		if err != nil {
			return 0, err
		}
		return strconv.ParseFloat(c, 64) // "traces", "< 0.2" and nothing are errors
	}
	var eval func(ast.Expr) (float64, error)
	eval = func(e ast.Expr) (float64, error) {
		switch e := e.(type) {
		case *ast.ParenExpr:
			return eval(e.X)
		case *ast.BasicLit:
			return strconv.ParseFloat(e.Value, 64)
		case *ast.Ident:
			ref, ok := refs[e.Name]
			if !ok {
				return cell(row, e.Name)
			}
			if n, k, ok := strings.Cut(ref, "|"); ok {
				return item(n, k)
			}
			i := strings.LastIndex(ref, " ")
			return cell(ref[:i], ref[i+1:])
		case *ast.BinaryExpr:
			x, err1 := eval(e.X)
			y, err2 := eval(e.Y)
			if err := errors.Join(err1, err2); err != nil {
				return 0, err
			}
			switch e.Op {
			case token.ADD:
				return x + y, nil
			case token.SUB:
				return x - y, nil
			case token.MUL:
				return x * y, nil
			case token.QUO:
				return x / y, nil
			}
		case *ast.CallExpr:
			switch e.Fun.(*ast.Ident).Name {
			case "max":
				x, err1 := eval(e.Args[0])
				y, err2 := eval(e.Args[1])
				return math.Max(x, y), errors.Join(err1, err2)
			case "low":
				c, err := tab.Cell(row, e.Args[0].(*ast.Ident).Name)
				if err != nil {
					return 0, err
				}
				if c == "traces" {
					return 0, nil
				}
				below, ok := strings.CutPrefix(c, "<")
				if n, err := strconv.ParseFloat(strings.TrimSpace(below), 64); !ok || err != nil || n > 0.5 {
					return 0, fmt.Errorf("%q does not say under 0.5", c)
				}
				return 0, nil
			}
		}
		return 0, fmt.Errorf("what is %T in %q?", e, rule)
	}
	return eval(e)
}

// Every value is worked out again from its row, or says that it has none.
func TestEveryValueHasItsSource(t *testing.T) {
	tab := tables(t)
	written := map[string]float64{}
	for f := range rows(valuesTSV, 6) {
		for k := range strings.SplitSeq(f[1], ";") {
			v, err := strconv.ParseFloat(f[2], 64)
			if err != nil {
				t.Fatalf("%s %s: %v", f[0], k, err)
			}
			if _, twice := written[f[0]+"|"+k]; twice {
				t.Errorf("%s has %s twice", f[0], k)
			}
			written[f[0]+"|"+k] = v
		}
	}
	item := func(n, k string) (float64, error) {
		v, ok := written[n+"|"+k]
		if !ok {
			return 0, fmt.Errorf("%s has no %s", n, k)
		}
		return v, nil
	}
	recomputed := 0
	for f := range rows(valuesTSV, 6) {
		what := f[0] + " " + f[1]
		v, _ := strconv.ParseFloat(f[2], 64)
		switch f[3] {
		case "row", "blend":
			if f[4] == "" || f[5] == "" {
				t.Errorf("%s: a row or a rule is missing", what)
				continue
			}
			got, err := recompute(tab, f[4], f[5], item)
			if err != nil || math.Abs(got-v) > 0.000051 {
				t.Errorf("%s is %s, but %s of %s gives %v, %v", what, f[2], f[5], f[4], got, err)
			}
			recomputed++
		case "nature":
			if v != 0 || f[4] != "" || f[5] != "" {
				t.Errorf("%s: by nature is 0 and nothing else", what)
			}
		case "memory", "practice":
			if f[4] != "" || f[5] != "" {
				t.Errorf("%s: %s has no row", what, f[3])
			}
		default:
			t.Errorf("%s has no source but %q", what, f[3])
		}
	}
	if recomputed < 2000 {
		t.Errorf("only %d values were worked out again", recomputed)
	}
}

// A value that is changed by hand is noticed.
func TestRecomputeNotices(t *testing.T) {
	tab := tables(t)
	if v, err := recompute(tab, "usda:01145", "water_g", nil); err != nil || v != 17.94 {
		t.Errorf("water of butter: %v, %v", v, err)
	}
	if v, err := recompute(tab, "usda:01085", "water_g*(100-35)/(100-fat_g)", nil); err != nil || math.Abs(v-59.0933) > 0.0001 {
		t.Errorf("water of cream: %v, %v", v, err)
	}
	for _, bad := range []struct{ row, rule string }{
		{"usda:99999", "water_g"}, {"usda:01145", "watr_g"}, {"ciqual:13014", "lipides_g"}, {"ciqual:13014", "low(eau_g)"}, {"ciqual:4090", "sucres_g"},
	} {
		if v, err := recompute(tab, bad.row, bad.rule, nil); err == nil {
			t.Errorf("%s of %s gives %v", bad.rule, bad.row, v)
		}
	}
}

func TestItems(t *testing.T) {
	all := BuiltIn()
	if len(all) < 350 {
		t.Errorf("%d ingredients, want 350 at least", len(all))
	}
	owner := map[string]*Item{}
	withComposition := 0
	for _, it := range all {
		if !slices.Contains(Categories(), it.Category) {
			t.Errorf("%s: category %q", it.Name, it.Category)
		}
		for _, c := range it.Cautions {
			if !slices.Contains(CautionCodes(), c) {
				t.Errorf("%s: caution %q", it.Name, c)
			}
		}
		for _, s := range append([]string{it.Name}, it.Also...) {
			f := name.Fold(s)
			if f == "" || strings.TrimSpace(s) != s {
				t.Errorf("%s: name %q", it.Name, s)
			}
			if o := owner[f]; o != nil && o != it {
				t.Errorf("%q is a name of %s and of %s", s, o.Name, it.Name)
			}
			owner[f] = it
			if builtIn().find(f) != it {
				t.Errorf("%q is not found as %s: go generate?", s, it.Name)
			}
		}
		if !it.ContainsKnown && len(it.Contains) > 0 {
			t.Errorf("%s: contains %v, not known", it.Name, it.Contains)
		}
		if _, ok := it.Comp.Get(mix.Water); ok {
			withComposition++
		}
		checkComposition(t, it)
	}
	if len(owner) != len(builtIn().byName) {
		t.Errorf("the index has %d names, the items %d: go generate", len(builtIn().byName), len(owner))
	}
	t.Logf("%d ingredients, %d with a composition, %d names", len(all), withComposition, len(owner))
}

func checkComposition(t *testing.T, it *Item) {
	t.Helper()
	limit := quantity.MustDecimal("101.5")
	if sum := it.Comp.Total(); limit.Less(sum) {
		t.Errorf("%s sums to %s g", it.Name, sum)
	}
	for k := range mix.NumKeys {
		n, known := it.Comp.Get(k)
		if known != (it.CompSource[k].From != "") {
			t.Errorf("%s: %s known %v, origin %+v", it.Name, k, known, it.CompSource[k])
		}
		if known && (n.Sign() < 0 || quantity.Int(100).Less(n)) {
			t.Errorf("%s: %s is %s", it.Name, k, n)
		}
	}
	if n, ok := it.Comp.Get(mix.Lactose); ok && n.Sign() > 0 && it.ContainsKnown && !contains(it, "milk") && it.Category != "egg" {
		t.Errorf("%s: lactose, but no milk", it.Name)
	}
	if n, ok := it.Comp.Get(mix.Alcohol); ok && quantity.MustDecimal("1.2").Less(n) && !slices.Contains(it.Cautions, "alcohol") {
		t.Errorf("%s: %s g alcohol without the caution", it.Name, n)
	}
	within := func(what string, n *quantity.Number, lo, hi string) {
		if n != nil && (n.Less(quantity.MustDecimal(lo)) || quantity.MustDecimal(hi).Less(*n)) {
			t.Errorf("%s: %s %s", it.Name, what, n)
		}
	}
	within("density", it.Density, "0.05", "3")
	within("usable", it.Usable, "0.1", "1")
	within("energy", it.Energy, "0", "3800")
	within("strength", it.Strength, "0.1", "100")
	within("bloom", it.Bloom, "30", "300")
	for w, g := range it.Piece {
		within("piece "+w, &g, "0.001", "10000")
	}
}

func contains(it *Item, allergen string) bool {
	for _, a := range it.Contains {
		if a.Name == allergen {
			return true
		}
	}
	return false
}
