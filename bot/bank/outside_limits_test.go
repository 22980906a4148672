package bank

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"
)

// soups are recipes for logs, each with one run of temperatures; names are invented.
const soups = 24

func soup(i int) string {
	heads := []string{"stew", "broth", "gruel", "pottage"}
	kinds := []string{"orbal", "tessim", "luvek", "pardin", "quorin", "ostrel"}
	return kinds[i/len(heads)] + " " + heads[i%len(heads)]
}

func loggingHouse(t *testing.T, code, keeps string) string {
	t.Helper()
	var recipes []string
	for i := range soups {
		recipes = append(recipes, fmt.Sprintf("recipe: %s\n%singredients:\n  - water: 1 kg\n  - mushroom: 1 kg\nmethod:\n  - simmer: slowly\n    for: 40 min\n", soup(i), keeps))
	}
	return folder(t, "house: Lodehavn annex\ntime zone: Europe/Oslo\nfood code: "+code+"\n", "[]\n", recipes...)
}

// reading is a temperature told at a clock time of 14 March.
type reading struct{ c, at string }

// logged is a run and what its last line must say.
type logged struct {
	row    string // of food-safety-limits.csv
	run    []reading
	met    []string // moments at which a limit was met
	missed []string // "21 °C by 17:00"; what must stand in a caution that it was missed
	by     []string // "21 17:00": a limit still told with its moment
	limit  []string // "57 hot holding, at least": a limit told
}

func clock(hhmm string) string { return "2026-03-14T" + hhmm + ":00+01:00" }

func checkLogs(t *testing.T, code string, cases []logged) {
	t.Helper()
	if len(cases) > soups {
		t.Fatal("more runs than recipes")
	}
	var in []asked
	last := make([]int, len(cases))
	for i, c := range cases {
		for _, r := range c.run {
			in = append(in, asked{Text: fmt.Sprintf("%s %s at %s", soup(i), r.c, r.at), Channel: c.row, Now: strings.Replace(clock(r.at), ":00+", ":30+", 1)})
		}
		last[i] = len(in) - 1
	}
	rs := conversation(t, loggingHouse(t, code, ""), in)
	for i, c := range cases {
		r := rs[last[i]]
		name := fmt.Sprintf("%s %v", c.row, c.run)
		if r.Status != "answer" || r.About != "log" {
			t.Errorf("%s: %s %s", name, r.Status, r.Text)
			continue
		}
		var met []string
		told := map[string]bool{}
		for _, f := range r.Facts {
			switch {
			case f.What == "limit met":
				met = append(met, f.moment())
			case f.What == "limit" && f.moment() != "":
				told[strings.TrimSuffix(f.At, " or below")+" "+f.moment()] = true
			case f.What == "limit":
				n, _ := f.number()
				told[fmt.Sprintf("%g %s", n, f.At)] = true
			}
		}
		var want []string
		for _, m := range c.met {
			want = append(want, clock(m))
		}
		if strings.Join(met, " ") != strings.Join(want, " ") {
			t.Errorf("%s: met %v, want %v\n%s", name, met, want, r.Text)
		}
		missed := 0
		for _, k := range r.Cautions {
			if k.Code == "limit missed" {
				missed++
			}
		}
		if missed != len(c.missed) {
			t.Errorf("%s: %d missed, want %v\n%s", name, missed, c.missed, r.Text)
		}
		for _, m := range c.missed {
			if !strings.Contains(r.Text, "Missed: "+m) {
				t.Errorf("%s: not said: missed %s\n%s", name, m, r.Text)
			}
		}
		for _, b := range c.by {
			deg, at, _ := strings.Cut(b, " ")
			if !told[deg+" °C "+clock(at)] {
				t.Errorf("%s: not told: %s °C by %s\n%s", name, deg, at, r.Text)
			}
		}
		for _, l := range c.limit {
			if !told[l] {
				t.Errorf("%s: not told: %s, but %v\n%s", name, l, told, r.Text)
			}
		}
		if strings.Contains(strings.ToLower(r.Text), "safe") {
			t.Errorf("%s: called safe\n%s", name, r.Text)
		}
	}
}

// TestLogsUSFoodCode: runs just within and just outside the rows of the FDA Food Code 2022 (calc/foodcode/testdata: 3-501.14(A)(1)
// and (2), 3-501.16). The rows give 21 °C and 70 °F, which is 21.1 °C: either figure of the code is within.
func TestLogsUSFoodCode(t *testing.T) {
	t.Parallel()
	hot := reading{"57", "13:00"}
	checkLogs(t, "US Food Code 2022", []logged{
		{row: "cool-1", run: []reading{hot, {"21", "15:00"}}, met: []string{"15:00"}, by: []string{"5 19:00"}},
		{row: "cool-1", run: []reading{hot, {"21.1", "15:00"}}, met: []string{"15:00"}, by: []string{"5 19:00"}},
		{row: "cool-1", run: []reading{hot, {"21.2", "15:00"}}, missed: []string{"21 °C by 15:00"}, by: []string{"5 19:00"}},
		{row: "cool-1", run: []reading{hot, {"21", "15:01"}}, missed: []string{"21 °C by 15:00"}, by: []string{"5 19:00"}},
		{row: "cool-1", run: []reading{hot, {"21.2", "14:59"}}, by: []string{"21 15:00", "5 19:00"}},
		{row: "cool-1", run: []reading{{"80", "12:00"}, hot, {"56.9", "13:30"}, {"21", "15:00"}}, met: []string{"15:00"}, by: []string{"5 19:00"}},
		{row: "cool-1", run: []reading{{"80", "12:00"}, {"56.9", "13:00"}, {"21", "14:01"}}, missed: []string{"21 °C by 14:00"}, by: []string{"5 18:00"}},
		{row: "cool-2", run: []reading{hot, {"21", "15:00"}, {"5", "19:00"}}, met: []string{"15:00", "19:00"}},
		{row: "cool-2", run: []reading{hot, {"21", "15:00"}, {"5.1", "19:00"}}, met: []string{"15:00"}, missed: []string{"5 °C by 19:00"}},
		{row: "cool-2", run: []reading{hot, {"21", "15:00"}, {"5", "19:01"}}, met: []string{"15:00"}, missed: []string{"5 °C by 19:00"}},
		{row: "cool-2", run: []reading{hot, {"21", "15:00"}, {"5.1", "18:59"}}, met: []string{"15:00"}, by: []string{"5 19:00"}},
		{row: "cool-2", run: []reading{hot, {"5", "14:59"}}, met: []string{"14:59", "14:59"}},
		{row: "hot-hold-US", run: []reading{{"57", "13:00"}}, by: []string{"21 15:00", "5 19:00"}, limit: []string{"57 hot holding, at least"}},
		{row: "cold-hold-US", run: []reading{{"5", "13:00"}}, limit: []string{"5 cold holding, at most"}},
	})
}

// TestLogsUK: runs about the rows of schedule 4 of the Food Hygiene Regulations: 63 and 8 °C, and once for service 2 h below the one
// and 4 h above the other.
func TestLogsUK(t *testing.T) {
	t.Parallel()
	checkLogs(t, "UK", []logged{
		{row: "hot-UK", run: []reading{{"63", "12:00"}}, limit: []string{"63 hot holding, at least"}},
		{row: "hot-UK-tol", run: []reading{{"63", "12:00"}, {"62.9", "13:59"}}, limit: []string{"63 hot holding, at least", "8 chill holding, at most"}},
		{row: "hot-UK-tol", run: []reading{{"63", "12:00"}, {"62.9", "14:01"}}, missed: []string{"63 °C by 14:00"}},
		{row: "hot-UK-tol", run: []reading{{"70", "12:00"}, {"60", "13:00"}, {"63", "13:59"}}, limit: []string{"63 hot holding, at least"}},
		{row: "chill-UK", run: []reading{{"8", "12:00"}}, limit: []string{"8 chill holding, at most"}},
		{row: "chill-UK-tol", run: []reading{{"8", "12:00"}, {"8.1", "15:59"}}, limit: []string{"8 chill holding, at most"}},
		{row: "chill-UK-tol", run: []reading{{"8", "12:00"}, {"8.1", "16:01"}}, missed: []string{"8 °C by 16:00"}},
	})
}

// TestLogsWithoutStart: nobody told when the limit was passed, but what was told is already too long: it is missed, whenever it
// began. Until then nothing is called met or missed, as the clock may have begun long before.
func TestLogsWithoutStart(t *testing.T) {
	t.Parallel()
	checkLogs(t, "US Food Code 2022", []logged{
		{row: "cool-1", run: []reading{{"56.9", "13:00"}, {"22", "14:59"}}, limit: []string{"120 57 °C to 21 °C", "360 57 °C to 5 °C"}},
		{row: "cool-1", run: []reading{{"56.9", "13:00"}, {"22", "15:01"}}, missed: []string{"21 °C"}, limit: []string{"360 57 °C to 5 °C"}},
		{row: "cool-2", run: []reading{{"56.9", "13:00"}, {"20", "14:30"}, {"6", "19:01"}}, missed: []string{"5 °C"}},
		{row: "cool-1", run: []reading{{"30", "13:00"}, {"50", "15:30"}}, limit: []string{"120 57 °C to 21 °C"}}, // on its way up, perhaps
	})
	checkLogs(t, "UK", []logged{
		{row: "hot-UK-tol", run: []reading{{"62.9", "13:00"}, {"61", "14:59"}}, limit: []string{"120 below 63 °C, only for service, once"}},
	})
}

// TestLimitsAsked: the rows that are asked for, not logged, with their temperature and their time: FDA Food Code 2022, 9 CFR 590.570,
// 21 CFR 1240.61.
func TestLimitsAsked(t *testing.T) {
	t.Parallel()
	rows := map[string]map[string]string{}
	for _, r := range published(t, "calc/foodcode/testdata/food-safety-limits.csv") {
		rows[r["id"]] = r
	}
	minutes := func(s string) float64 {
		var n float64
		var unit string
		if _, err := fmt.Sscanf(strings.ReplaceAll(s, ",", ""), "%g %s", &n, &unit); err != nil {
			t.Fatal(s, err)
		}
		return n * map[string]float64{"s": 1. / 60, "min": 1, "h": 60, "days": 24 * 60}[unit]
	}
	asks := []struct {
		text, ids string
		only      bool // nothing else may be told
	}{
		{"how fast must the orbal stew cool", "cool-1 cool-2 cool-3", true},
		{"what temp must the fridge be by law", "egg-storage cold-hold-US", true},
		{"what temp must raw eggs be stored at by law", "egg-storage", false},
		{"hot holding temp?", "hot-hold-US", true},
		{"date marking", "date-mark", true},
		{"what temp for eggs cooked to order", "cook-egg", true},
		{"eggs cooked to order, what does the code say", "cook-egg", true},
		{"how hot must I reheat the orbal stew", "reheat", false},
		{"what temp to pasteurise milk", "milk-1 milk-2 milk-4 milk-6", true},
		{"what temp to pasteurise whole milk", "milk-1 milk-2 milk-4 milk-6", true},
		{"what temp to pasteurise milk and cream", "milk-1 milk-2 milk-4 milk-6", true},
		{"what temp to pasteurise ice cream mix", "eggnog-1 eggnog-3", true},
		{"how cold must I keep shell eggs by law", "egg-storage", false},
		{"what temp to pasteurise egg white", "liq-1", true},
		{"what temp to pasteurise whole egg", "liq-3 liq-5 liq-9 liq-11", true},
		{"how long to pasteurise yolks", "liq-13 liq-15", true},
	}
	var in []asked
	for i, a := range asks {
		in = append(in, asked{Text: a.text, Channel: fmt.Sprint(i)})
	}
	rs := conversation(t, loggingHouse(t, "US Food Code 2022", ""), in)
	for i, a := range asks {
		if rs[i].Status != "answer" {
			t.Errorf("%s: %s %s", a.text, rs[i].Status, rs[i].Text)
			continue
		}
		var have []float64
		for _, f := range rs[i].Facts {
			if f.Unit == "°C" || f.Unit == "min" {
				have = append(have, f.numbers()...)
			}
		}
		left := append([]float64(nil), have...)
		take := func(id string, v float64) {
			found := false
			for _, n := range have {
				found = found || math.Abs(n-v) <= 1e-6*v
			}
			if !found {
				t.Errorf("%s: %s wants %g, told %v\n%s", a.text, id, v, have, rs[i].Text)
			}
			keep := left[:0]
			for _, n := range left {
				if math.Abs(n-v) > 1e-6*v {
					keep = append(keep, n)
				}
			}
			left = keep
		}
		for _, id := range strings.Fields(a.ids) {
			r := rows[id]
			if r == nil {
				t.Fatal(id)
			}
			if _, to, fall := strings.Cut(r["temp_C"], "->"); fall {
				// told as a fall in the fact's place, not as a value
				if !strings.Contains(rs[i].Text, strings.TrimSpace(to)+" °C") {
					t.Errorf("%s: %s wants %s", a.text, id, to)
				}
			} else if id != "date-mark" {
				take(id, figure(t, r["temp_C"]))
			}
			if strings.Contains(r["rule"], "add 3 C") {
				take(id, 3)
			}
			if r["time"] != "" {
				first, within, two := strings.Cut(r["time"], ", within ")
				take(id, minutes(first))
				if two {
					take(id, minutes(within))
				}
			}
		}
		if a.only && len(left) > 0 {
			t.Errorf("%s: also told %v\n%s", a.text, left, rs[i].Text)
		}
	}
}

// TestPasteurisedCream: cream has 18 % of milk fat at least (21 CFR 131.3) and what is sweetened is no plain milk either, so the two
// lower rows of 21 CFR 1240.61 are 3 °C more for them: 66 and 75 °C. The figure for plain milk is then not told.
func TestPasteurisedCream(t *testing.T) {
	t.Parallel()
	texts := []string{"what temp to pasteurise cream", "pasteurising cream, what temperature", "at what temp do we pasteurise sweetened milk"}
	var in []asked
	for i, s := range texts {
		in = append(in, asked{Text: s, Channel: fmt.Sprint(i)})
	}
	for i, r := range conversation(t, loggingHouse(t, "US Food Code 2022", ""), in) {
		var got []float64
		for _, f := range r.Facts {
			if f.Unit == "°C" {
				got = append(got, f.numbers()...)
			}
		}
		if fmt.Sprint(got) != "[66 75 90 96]" {
			t.Errorf("%s: %v\n%s", texts[i], got, r.Text)
		}
	}
}

// TestDateMark: ready-to-eat food, the day of making is day 1 of 7 (FDA Food Code 3-501.17), so made on 14 March its last day is the
// 20th, beside the book's own end; the UK rows have no such mark.
func TestDateMark(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ code, keeps, first, mark string }{
		{"US Food Code 2022", "10 days", "2026-03-20", "2026-03-20"},
		{"US Food Code 2022", "6 days", "2026-03-20", "2026-03-20"},
		{"US Food Code 2022", "5 days", "2026-03-19", "2026-03-20"},
		{"UK", "10 days", "2026-03-24", ""},
	} {
		r := conversation(t, loggingHouse(t, c.code, "keeps: ["+c.keeps+" in fridge]\n"), []asked{{Text: "use by for the orbal stew made today", Now: clock("10:00")}})[0]
		mark := ""
		var ends []string
		for _, f := range r.Facts {
			if m := f.moment(); m != "" {
				ends = append(ends, m)
				if strings.Contains(f.At, "date mark") {
					mark = m
				}
			}
		}
		// Where the book's own end is the earlier one the code's need not be told.
		if c.mark != "" && mark == "" && len(ends) > 0 && ends[0] < c.mark+"T23:59" {
			mark = c.mark
		}
		if r.Status != "answer" || len(ends) == 0 || !strings.HasPrefix(ends[0], c.first) || !strings.HasPrefix(mark, c.mark) || c.mark == "" && mark != "" {
			t.Errorf("%s, %s: %v, mark %s\n%s", c.code, c.keeps, ends, mark, r.Text)
		}
	}
}

// TestLethalityOfALog: a run of logged temperatures against lethality-examples.csv (Stumbo 1973; Singh & Heldman): 2.52 min at
// 121.1 °C are 12 log reductions at D 0.21 min; z of 10 °C makes ten times as many of 10 °C more; no figure for an organism without
// a row, and nothing is ever called safe.
func TestLethalityOfALog(t *testing.T) {
	t.Parallel()
	start := time.Date(2026, 3, 14, 12, 0, 0, 0, time.UTC)
	cases := []struct {
		run     []float64     // °C
		every   time.Duration // between them
		minutes float64       // at 121.1 °C
	}{
		{[]float64{121.1, 121.1}, 151200 * time.Millisecond, 2.52},
		{[]float64{111.1, 111.1}, 151200 * time.Millisecond, 0.252},
		{[]float64{101.1, 101.1, 101.1}, 10 * time.Minute, 0.2},
		{[]float64{100, 121.1, 121.1, 95}, 1 * time.Minute, 1 + math.Pow(10, -2.11) + math.Pow(10, -2.61)}, // the colder of two counts
		{[]float64{116.1, 121.1}, 90 * time.Second, 1.5 * math.Pow(10, -0.5)},
	}
	var in []asked
	var at []int
	for i, c := range cases {
		when := start
		for _, temp := range c.run {
			in = append(in, asked{Text: fmt.Sprintf("%s is at %g", soup(i), temp), Channel: fmt.Sprint(i), Now: when.Format(time.RFC3339Nano)})
			when = when.Add(c.every)
		}
		in = append(in, asked{Text: "how many log reductions of botulinum in the " + soup(i), Channel: fmt.Sprint(i), Now: when.Format(time.RFC3339Nano)})
		at = append(at, len(in)-1)
	}
	others := len(in)
	for _, o := range []string{"salmonella", "listeria", "bacillus cereus", "E. coli"} {
		in = append(in, asked{Text: "log reductions of " + o + " in the " + soup(0), Channel: "0", Now: start.Add(20 * time.Minute).Format(time.RFC3339Nano)})
	}
	rs := conversation(t, loggingHouse(t, "US Food Code 2022", ""), in)
	for i, c := range cases {
		r := rs[at[i]]
		want := map[string]float64{"log reductions": c.minutes / 0.21, "equivalent time": c.minutes, "D": 0.21, "z": 10}
		for _, f := range r.Facts {
			n, ok := f.number()
			if w, known := want[f.What]; known && ok {
				if math.Abs(n-w) > 1e-5*w {
					t.Errorf("%v: %s %g, by hand %g", c.run, f.What, n, w)
				}
				delete(want, f.What)
			}
		}
		if len(want) > 0 || r.Status != "answer" || !strings.Contains(r.Text, "never says that food is safe") {
			t.Errorf("%v: %s, not told: %v\n%s", c.run, r.Status, want, r.Text)
		}
	}
	for i, r := range rs[others:] {
		if r.Status == "answer" || len(r.Facts) > 0 {
			t.Errorf("%s: %s", in[others+i].Text, r.Text)
		}
	}
}
