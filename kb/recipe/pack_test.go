package recipe_test

import (
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"tamis/calc/quantity"
	"tamis/kb/recipe"
)

// same compares exactly, but for where numbers and units lie in memory.
var same = cmp.Options{
	cmp.Comparer(func(a, b quantity.Number) bool {
		none := quantity.Number{}
		return (a == none) == (b == none) && a.Equal(b)
	}),
	cmp.Comparer(func(a, b quantity.Unit) bool { return a == b }),
}

func TestPackGivesWhatParseGave(t *testing.T) {
	n, faulty := 0, 0
	for _, dir := range []string{"../store/demo/recipes", "../../testdata/books", "testdata"} {
		err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() {
				return err
			}
			data, err := os.ReadFile(path)
			if err != nil {
				return err
			}
			for m := quantity.Metric; m <= quantity.UK; m++ {
				r, faults := recipe.Parse(path, data, m)
				packed, ok := recipe.Pack(path, m, r, faults)
				if !ok {
					t.Errorf("%s cannot be packed", path)
					continue
				}
				r2, faults2, ok := recipe.NewUnpacker(m).Unpack(path, string(packed))
				if !ok {
					t.Errorf("%s cannot be unpacked", path)
				}
				if d := cmp.Diff(r, r2, same); d != "" {
					t.Errorf("%s: %s", path, d)
				}
				if d := cmp.Diff(faults, faults2); d != "" {
					t.Errorf("%s: %s", path, d)
				}
				n++
				if len(faults) > 0 {
					faulty++
				}
			}
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	if n < 400 || faulty < 20 {
		t.Errorf("only %d files, %d with faults: too few to say anything", n, faulty)
	}
}

// filler puts something else than nothing into every field of a value.
type filler struct {
	r    *rand.Rand
	file string
}

func (f *filler) fill(v reflect.Value, depth int) {
	switch p := v.Addr().Interface().(type) {
	case *quantity.Number:
		*p = [...]quantity.Number{quantity.Int(int64(f.r.IntN(5000)) + 1), quantity.Frac(int64(f.r.IntN(90))+1, 97), quantity.Int(-7)}[f.r.IntN(3)]
		return
	case *quantity.Unit:
		*p = [...]quantity.Unit{quantity.KG, quantity.Fahrenheit, quantity.Pieces("leaves"), quantity.Hour, quantity.BrixDegree, quantity.GPerML}[f.r.IntN(6)]
		return
	case *recipe.Pos:
		*p = recipe.Pos{File: f.file, Line: f.r.IntN(300) + 1, Column: f.r.IntN(80) + 1}
		return
	case *map[string]bool:
		*p = map[string]bool{"recipe": true, fmt.Sprint("key", f.r.IntN(3)): true}
		return
	}
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Type() == reflect.TypeFor[recipe.Amount]() && v.Type().Field(i).Name == "Start" && depth > 0 {
				continue
			}
			d := depth
			if v.Type() == reflect.TypeFor[recipe.Amount]() {
				d++
			}
			f.fill(v.Field(i), d)
		}
	case reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		f.fill(v.Elem(), depth)
	case reflect.Slice:
		v.Set(reflect.MakeSlice(v.Type(), 1+f.r.IntN(2), 4))
		for i := range v.Len() {
			f.fill(v.Index(i), depth)
		}
	case reflect.String:
		v.SetString(strings.Repeat("ä b", 1+f.r.IntN(40)))
	case reflect.Bool:
		v.SetBool(true)
	case reflect.Int:
		v.SetInt(int64(1 + f.r.IntN(400)))
	case reflect.Uint8:
		v.SetUint(uint64(1 + f.r.IntN(6)))
	default:
		panic("a field of " + v.Type().String() + " is new: teach filler and Pack")
	}
}

// A field that Pack forgets comes back empty.
func TestPackKnowsEveryField(t *testing.T) {
	for seed := range uint64(20) {
		f := &filler{rand.New(rand.NewPCG(seed, 1)), "recipes/x.yaml"}
		var r recipe.Recipe
		f.fill(reflect.ValueOf(&r).Elem(), 0)
		faults := make([]recipe.Fault, 2)
		f.fill(reflect.ValueOf(&faults).Elem(), 0)
		for i := range faults {
			faults[i].File = f.file
		}
		packed, ok := recipe.Pack(f.file, quantity.Metric, &r, faults)
		if !ok {
			t.Fatal("cannot be packed")
		}
		r2, faults2, ok := recipe.NewUnpacker(quantity.Metric).Unpack(f.file, string(packed))
		if !ok {
			t.Fatal("cannot be unpacked")
		}
		if d := cmp.Diff(&r, r2, same); d != "" {
			t.Fatal(d)
		}
		if d := cmp.Diff(faults, faults2); d != "" {
			t.Fatal(d)
		}
		for range 20 { // cut short anywhere
			n := f.r.IntN(len(packed))
			if _, _, ok := recipe.NewUnpacker(quantity.Metric).Unpack(f.file, string(packed[:n])); ok {
				t.Fatalf("%d of %d bytes are taken for whole", n, len(packed))
			}
		}
	}
}

func TestPackSaysNo(t *testing.T) {
	other := &recipe.Recipe{Pos: recipe.Pos{File: "recipes/other.yaml"}, Name: "tart"}
	foreign := &recipe.Recipe{Name: "tart", Spare: quantity.Of(quantity.Int(1), quantity.Unit{Symbol: "g", Dim: quantity.Volume})}
	unwritten := &recipe.Recipe{Name: "tart", Written: map[string]bool{"makes": false}}
	nested := &recipe.Recipe{Name: "tart", Lines: []recipe.Line{{Amount: recipe.Amount{Start: &recipe.Amount{Start: &recipe.Amount{}}}}}}
	for what, r := range map[string]*recipe.Recipe{"a place in another file": other, "a unit that nothing names": foreign, "a key not written": unwritten, "a start of a start": nested} {
		if _, ok := recipe.Pack("recipes/x.yaml", quantity.Metric, r, nil); ok {
			t.Errorf("%s is packed", what)
		}
	}
}

func FuzzUnpack(f *testing.F) {
	const file = "recipes/x.yaml"
	err := filepath.WalkDir("../store/demo/recipes", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		r, faults := recipe.Parse(file, data, quantity.Metric)
		packed, _ := recipe.Pack(file, quantity.Metric, r, faults)
		f.Add(packed)
		return nil
	})
	if err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, packed []byte) {
		r, faults, ok := recipe.NewUnpacker(quantity.Metric).Unpack(file, string(packed))
		if !ok {
			return
		}
		again, ok := recipe.Pack(file, quantity.Metric, r, faults)
		if !ok {
			t.Fatal("what was read cannot be written")
		}
		r2, faults2, ok := recipe.NewUnpacker(quantity.Metric).Unpack(file, string(again))
		if !ok || !cmp.Equal(r, r2, same) || !cmp.Equal(faults, faults2) {
			t.Fatalf("read, written and read again it is another\n%s", cmp.Diff(r, r2, same))
		}
	})
}
