package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tamis/kb/larder/internal/refrow"
)

// The data files are what the entries and tables give today.
func TestDataIsGenerated(t *testing.T) {
	out := t.TempDir()
	if err := run("spec", "../../testdata", out); err != nil {
		t.Fatal(err)
	}
	for _, f := range []string{"items.tsv", "values.tsv", "names.tsv", "index.tsv", "spellings.tsv"} {
		got, err := os.ReadFile(filepath.Join(out, f))
		if err != nil {
			t.Fatal(err)
		}
		want, err := os.ReadFile(filepath.Join("../../data", f))
		if err != nil {
			t.Fatal(err)
		}
		if string(got) != string(want) {
			t.Errorf("%s is not what the entries give: go generate ./kb/larder", f)
		}
	}
}

// A bad entry stops the generator and says why.
func TestBadEntries(t *testing.T) {
	tests := []struct{ name, spec, want string }{
		{"no row", "+ x | fruit\nc usda:99999", "no row usda:99999"},
		{"no column", "+ x | fruit\nx w = watr_g @ usda:01145", "no watr_g"},
		{"a cell that is no number", "+ x | fruit\nx f = lipides_g @ ciqual:13014", "below what the table can tell"},
		{"no directive", "+ x | fruit\nq 3", "no directive"},
		{"no key", "+ x | fruit\nm water=80 wtr=3", "no key"},
		{"too much", "+ x | fruit\nm w=80 su=30", "sums to 110 g"},
		{"kinds above the whole", "+ x | fruit\nm w=80 su=3 suc=5", "kinds sum"},
		{"one name twice", "+ x | fruit | y\nm w=80\n+ z | fruit | Y", "a name of x too"},
		{"contains nothing said", "+ x | nut\nm w=5", "what does it contain?"},
		{"blend of nobody", "+ x | other\nmix 50 butter + 50 flour\na -", "no entry"},
		{"before the first", "c usda:01145", "no entry yet"},
		{"density without measure", "+ x | fruit\nd usda:01123/1 large", "no rule for density"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			dir := t.TempDir()
			if err := os.WriteFile(filepath.Join(dir, "a.txt"), []byte(tt.spec), 0o600); err != nil {
				t.Fatal(err)
			}
			err := run(dir, "../../testdata", t.TempDir())
			if err == nil || !strings.Contains(err.Error(), tt.want) {
				t.Errorf("got %v, want %q in it", err, tt.want)
			}
		})
	}
}

func TestRules(t *testing.T) {
	tab, err := refrow.Open("../../testdata")
	if err != nil {
		t.Fatal(err)
	}
	for rule, want := range map[string]string{
		"water_g": "17.94", "2*(3+4)/7-1": "1", "max(0,1-3)": "0", "max(2, 1)": "2", "[usda:01125 water_g]-50": "2.31", "100 - water_g - fat_g": "0.95",
	} {
		n, err := compute(tab, "usda:01145", rule, nil)
		if err != nil || n.String() != want {
			t.Errorf("%s = %s, %v, want %s", rule, n, err, want)
		}
	}
	for _, bad := range []string{"", "1+", "(1", "1/0", "max(1)", "low(water_g)", "[usda:01125]", "1 2", "water_g)"} {
		if n, err := compute(tab, "usda:01145", bad, nil); err == nil {
			t.Errorf("%q gives %s", bad, n)
		}
	}
}
