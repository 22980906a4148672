package larder

import (
	"strings"
	"testing"
)

func TestPut(t *testing.T) {
	const source = "# dairy\n- ingredient: milk\n  density: 1.03 g/ml   # ours\n\n# fruit\n- ingredient: pear puree\n  brix: 10\n"
	for _, c := range []struct{ entries, want string }{
		{"- ingredient: Pear Puree\n  brix: 11\n", strings.Replace(source, "- ingredient: pear puree\n  brix: 10", "- ingredient: Pear Puree\n  brix: 11", 1)},
		{"- ingredient: milk\n  density: 1.04 g/ml", strings.Replace(source, "  density: 1.03 g/ml   # ours", "  density: 1.04 g/ml", 1)},
		{"- ingredient: sorrel\n  contains: []\n", source + "- ingredient: sorrel\n  contains: []\n"},
		{"- ingredient: sorrel\n- ingredient: milk\n", strings.Replace(source, "- ingredient: milk\n  density: 1.03 g/ml   # ours\n", "- ingredient: milk\n", 1) + "- ingredient: sorrel\n"},
	} {
		got, err := Put([]byte(source), []byte(c.entries))
		if err != nil || string(got) != c.want {
			t.Errorf("%q: %v\n%s", c.entries, err, got)
		}
	}
	for _, bad := range []string{"", "pear", "- ingredient: pear\n  colour: green\n"} {
		if got, err := Put([]byte(source), []byte(bad)); err == nil {
			t.Errorf("%q is taken: %s", bad, got)
		}
	}
}
