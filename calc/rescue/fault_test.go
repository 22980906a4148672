package rescue

import (
	"errors"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode"

	"github.com/google/go-cmp/cmp"

	"tamis/calc/quantity"
)

var sourceID = regexp.MustCompile(`^S-[67][0-9]{2}$`)

// Every number of a remedy is a fact of its own: texts hold none, in figures or in words.
func TestNoNumberInTexts(t *testing.T) {
	word := regexp.MustCompile(`\b(two|three|four|five|six|seven|eight|nine|ten|twenty|hundred|half|double|twice|minutes|hours of|degrees)\b`)
	var texts []string
	for _, f := range faults() {
		texts = append(texts, f.Cause, f.Test, f.Remedy, f.Bin)
	}
	for _, f := range forgotten() {
		texts = append(texts, f.How...)
	}
	for _, s := range sensitives() {
		texts = append(texts, s.hurt)
	}
	for _, s := range texts {
		if strings.ContainsFunc(s, unicode.IsDigit) || strings.ContainsAny(s, "°%½¼") || word.MatchString(s) && !strings.Contains(s, "two layers") {
			t.Errorf("a number in %q", s)
		}
		if strings.ContainsFunc(s, func(r rune) bool { return r > unicode.MaxASCII }) || strings.TrimSpace(s) == "" {
			t.Errorf("%q", s)
		}
	}
}

func TestFaultsFile(t *testing.T) {
	all := faults()
	if len(all) < 60 {
		t.Errorf("%d faults", len(all))
	}
	for _, f := range all {
		if !sourceID.MatchString(f.Source) {
			t.Errorf("%s: source %q", f.ID, f.Source)
		}
		for _, n := range f.Facts {
			if !sourceID.MatchString(n.Source) || !slices.Contains([]string{"°C", "%", "min", "h", "ml", "pH"}, n.Unit) {
				t.Errorf("%s: %+v", f.ID, n)
			}
		}
	}
	for _, must := range []string{"split", "grainy", "scorched", "weeping", "lumpy", "too thick", "too thin", "not set", "too sweet", "too salty", "too sour",
		"collapsed", "seized", "sandy", "icy", "tough", "overwhipped", "curdled", "dull", "soft", "crystallised", "bloom", "sunk", "dense", "overproofed"} {
		if !slices.Contains(FaultNames(), must) {
			t.Errorf("nothing is known of %q", must)
		}
	}
	codes := []string{"botulism", "egg", "hot oil", "hot sugar", "mould", "raw egg", "raw flour", "refreeze", "safety", "siphon", "stood warm"}
	if diff := cmp.Diff(codes, FaultCautions()); diff != "" {
		t.Errorf("caution codes (-want +have):\n%s", diff)
	}
}

// Food that spoils is never warmed again without a word on how it was kept.
func TestNoRescueMakesFoodUnsafe(t *testing.T) {
	spoils := []string{"custard", "ice cream base", "egg cream", "baked custard", "pastry cream", "white sauce", "hollandaise", "butter sauce", "mayonnaise",
		"panna cotta", "mousse", "set cream", "bavarois", "whipped cream", "buttercream", "ice cream", "parfait", "tart", "pie", "pie filling", "rice", "risotto", "stock", "fish",
		"braise", "stew", "ganache", "caramel"}
	warms := regexp.MustCompile(`\b(boil|warm|heat|melt|bake on|cook on|reduce)\b`)
	careful := regexp.MustCompile(`fresh|kept cold|just out|code's time|stood warm|held warm|burnt|burns|hot enough`)
	checked := 0
	for _, f := range faults() {
		if !slices.ContainsFunc(f.Kinds, func(k string) bool { return slices.Contains(spoils, k) }) || !warms.MatchString(f.Remedy) {
			continue
		}
		checked++
		if !careful.MatchString(f.Remedy+" "+f.Bin) && !slices.Contains(f.Cautions, "stood warm") && !slices.Contains(f.Cautions, "refreeze") {
			t.Errorf("%s: %q, bin: %q, cautions %v", f.ID, f.Remedy, f.Bin, f.Cautions)
		}
	}
	if checked < 10 {
		t.Errorf("only %d remedies warm food that spoils", checked)
	}
	// what cannot be made safe is binned
	for _, id := range []string{"jam-mould", "chocolate-scorched"} {
		at := slices.IndexFunc(faults(), func(f Fault) bool { return f.ID == id })
		if at < 0 || faults()[at].Bin != "always" {
			t.Errorf("%s is not always binned", id)
		}
	}
	for _, kind := range []string{"curing salt", "salt of a ferment"} {
		for _, f := range forgotten() {
			if f.Kind == kind && f.Verdict != Refuse {
				t.Errorf("%s in %s: %s", kind, f.State, f.Verdict)
			}
		}
	}
	for _, kind := range []string{"acid of a preserve", "sugar of a preserve"} {
		if f, err := ForgotToAdd(kind, "in jars"); err != nil || f.Verdict != Refuse {
			t.Errorf("%s: %+v, %v", kind, f, err)
		}
	}
}

func TestFaults(t *testing.T) {
	got, err := Faults("split", "ganache")
	if err != nil || len(got) != 2 || got[0].ID != "ganache-split-warm" {
		t.Fatalf("%+v, %v", got, err)
	}
	if f := got[0].Facts[0]; f.What != "warm to" || !f.Low.Equal(num("32.2")) || f.Unit != "°C" {
		t.Errorf("%+v", f)
	}
	got[0].Kinds[0] = "overwritten"
	if again, _ := Faults("split", "ganache"); again[0].Kinds[0] != "ganache" {
		t.Error("a caller changed the data")
	}
	every, err := Faults("split", "")
	if err != nil || len(every) < 8 {
		t.Errorf("%d ways to split, %v", len(every), err)
	}
	if got, err := Faults("stood warm", "ganache"); err != nil || got[0].Bin == "" {
		t.Errorf("stood warm: %v, %v", got, err)
	}
	for _, pair := range [][2]string{{"split", "bread"}, {"haunted", "ganache"}} {
		if got, err := Faults(pair[0], pair[1]); !errors.Is(err, ErrNoRemedy) || got != nil {
			t.Errorf("%v: %v, %v", pair, got, err)
		}
	}
	if kinds := FaultKinds("icy"); !slices.Equal(kinds, []string{"ice cream", "sorbet", "parfait"}) {
		t.Errorf("icy: %v", kinds)
	}
	if len(FaultKinds("")) < 50 || len(FaultKinds("haunted")) > 0 {
		t.Errorf("%d kinds", len(FaultKinds("")))
	}
}

func TestForgotToAdd(t *testing.T) {
	f, err := ForgotToAdd("gelatine", "in moulds")
	if err != nil || f.Verdict != WarmAgain || f.Fact == nil || !f.Fact.Low.Equal(num("50")) || !f.Fact.High.Equal(num("60")) {
		t.Errorf("%+v, %v", f, err)
	}
	if _, err := ForgotToAdd("gelatine", "on the moon"); !errors.Is(err, ErrNoRemedy) {
		t.Errorf("on the moon: %v", err)
	}
	for _, f := range forgotten() {
		if !sourceID.MatchString(f.Source) {
			t.Errorf("%s, %s: source %q", f.Kind, f.State, f.Source)
		}
	}
	if len(ForgottenKinds()) < 15 || len(ForgottenStates()) < 12 {
		t.Errorf("%v, %v", ForgottenKinds(), ForgottenStates())
	}
	seen := map[string]bool{}
	for _, f := range forgotten() {
		if key := f.Kind + "/" + f.State; seen[key] {
			t.Errorf("%s twice", key)
		} else {
			seen[key] = true
		}
	}
}

// Gelatine forgotten in a mousse that has raw yolk and whipped cream in it: at 50 °C the cream melts and the foam falls, the yolk is not yet cooked.
func TestWarming(t *testing.T) {
	hurts := Warming(num("50"), "raw yolk", "whipped cream", "foam", "salt")
	var got []string
	for _, h := range hurts {
		got = append(got, h.What)
	}
	if !slices.Equal(got, []string{"whipped cream", "foam"}) || !hurts[0].Lost || hurts[1].Lost {
		t.Errorf("%+v", hurts)
	}
	if h := Warming(num("5"), Sensitive()...); len(h) > 0 {
		t.Errorf("in the fridge: %+v", h)
	}
	if h := Warming(num("100"), Sensitive()...); len(h) != len(Sensitive()) {
		t.Errorf("boiling hurts %d of %d", len(h), len(Sensitive()))
	}
}

func TestBelongs(t *testing.T) {
	steps := []Step{
		{Uses: []string{"milk"}, Adds: []string{"custard"}},
		{Uses: []string{"gelatine leaf"}, Adds: []string{"gelatine"}},
		{Uses: []string{"cream 35 %"}, Adds: []string{"whipped cream", "gelatine"}},
		{Adds: []string{"gelatine gel"}},
	}
	s, err := Belongs(steps, "gelatine leaf", 2)
	if err != nil || s.At != 1 || s.Passed != 1 || !slices.Equal(s.In, []string{"custard", "gelatine", "whipped cream"}) {
		t.Errorf("%+v, %v", s, err)
	}
	if s, err := Belongs(steps, "salt", 3); err != nil || s.At != -1 || s.Passed != 0 {
		t.Errorf("%+v, %v", s, err)
	}
	if s, err := Belongs(steps, "cream 35 %", 0); err != nil || s.At != 2 || s.Passed != 0 {
		t.Errorf("still to come: %+v, %v", s, err)
	}
	for _, now := range []int{-1, 4} {
		if _, err := Belongs(steps, "milk", now); !errors.Is(err, ErrNoLine) {
			t.Errorf("step %d: %v", now, err)
		}
	}
}

// A hostile file is an error that says so, never a panic, and nothing is returned beside it.
func FuzzData(f *testing.F) {
	f.Add(string(faultsCSV), string(faultFactsCSV), string(forgottenCSV), string(sensitiveCSV))
	f.Add("id\n1\n", "a,b\n1,2\n", "kind\nx\n", "what,low,high,unit,hurt,source\na,2,1,°C,b,c\n")
	f.Fuzz(func(t *testing.T, text, facts, forgot, sens string) {
		if all, err := parseFaults([]byte(text), []byte(facts)); err != nil && (all != nil || !errors.Is(err, ErrData)) {
			t.Fatal(err)
		}
		if all, err := parseForgotten([]byte(forgot)); err != nil && (all != nil || !errors.Is(err, ErrData)) {
			t.Fatal(err)
		}
		if all, err := parseSensitive([]byte(sens)); err != nil && (all != nil || !errors.Is(err, ErrData)) {
			t.Fatal(err)
		}
	})
}

func BenchmarkRebalance(b *testing.B) {
	var lines []Line
	for i := range 20 {
		lines = append(lines, Line{Name: string(rune('a' + i)), Wanted: quantity.Int(int64(10 + i)), Poured: quantity.Int(int64(11 + i))})
	}
	for b.Loop() {
		if _, err := Rebalance(lines, nil); err != nil {
			b.Fatal(err)
		}
	}
}
