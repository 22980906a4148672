package store

import (
	"reflect"
	"testing"
	"unsafe"

	"github.com/google/go-cmp/cmp"

	"tamis/calc/quantity"
	"tamis/calc/scale"
	"tamis/kb"
	"tamis/kb/larder"
)

// sameValue reports what an empty cmp.Diff with exactly says, in a small part of
// the time: nothing is kept of where values differ. Where they do, cmp says how.
func sameValue(a, b any) bool {
	box := func(v any) reflect.Value { // all below can then be read, whatever its name
		p := reflect.New(reflect.TypeOf(v)).Elem()
		p.Set(reflect.ValueOf(v))
		return p
	}
	return reflect.TypeOf(a) == reflect.TypeOf(b) && sameValues(box(a), box(b))
}

func sameValues(a, b reflect.Value) bool {
	switch x := readable(a).(type) {
	case quantity.Number:
		y := readable(b).(quantity.Number)
		none := quantity.Number{}
		return (x == none) == (y == none) && x.Equal(y)
	case quantity.Unit:
		return x == readable(b).(quantity.Unit)
	case *larder.Item:
		y := readable(b).(*larder.Item)
		return x == nil && y == nil || x != nil && y != nil && x.Name == y.Name && x.House == y.House
	case *kb.Recipe:
		y := readable(b).(*kb.Recipe)
		return x == nil && y == nil || x != nil && y != nil && x.ID == y.ID
	case *scale.Formula:
		y := readable(b).(*scale.Formula)
		return x == nil && y == nil || x != nil && y != nil && x.Name == y.Name
	}
	switch a.Kind() {
	case reflect.Struct:
		for i := range a.NumField() {
			if !sameValues(field(a, i), field(b, i)) {
				return false
			}
		}
		return true
	case reflect.Slice:
		if a.IsNil() != b.IsNil() || a.Len() != b.Len() {
			return false
		}
		for i := range a.Len() {
			if !sameValues(a.Index(i), b.Index(i)) {
				return false
			}
		}
		return true
	case reflect.Array:
		for i := range a.Len() {
			if !sameValues(a.Index(i), b.Index(i)) {
				return false
			}
		}
		return true
	case reflect.Pointer:
		return a.IsNil() && b.IsNil() || !a.IsNil() && !b.IsNil() && sameValues(a.Elem(), b.Elem())
	case reflect.Map:
		if a.IsNil() != b.IsNil() || a.Len() != b.Len() {
			return false
		}
		for _, k := range a.MapKeys() {
			x, y := a.MapIndex(k), b.MapIndex(k)
			if !y.IsValid() || !sameValue(x.Interface(), y.Interface()) {
				return false
			}
		}
		return true
	case reflect.Interface, reflect.Func, reflect.Chan, reflect.UnsafePointer:
		return a.IsNil() && b.IsNil() || a.Kind() == reflect.Interface && !a.IsNil() && !b.IsNil() && sameValue(a.Interface(), b.Interface())
	}
	return a.Equal(b)
}

// field is a field that can be read like an exported one.
func field(v reflect.Value, i int) reflect.Value {
	f := v.Field(i)
	if f.CanInterface() {
		return f
	}
	return reflect.NewAt(f.Type(), unsafe.Pointer(f.UnsafeAddr())).Elem()
}

// readable is a value where its type is one that is compared in its own way, else nil.
func readable(v reflect.Value) any {
	switch v.Type() {
	case numberType, unitType, itemType, recipeType, formulaType:
		return v.Interface()
	}
	return nil
}

var (
	numberType  = reflect.TypeFor[quantity.Number]()
	unitType    = reflect.TypeFor[quantity.Unit]()
	itemType    = reflect.TypeFor[*larder.Item]()
	recipeType  = reflect.TypeFor[*kb.Recipe]()
	formulaType = reflect.TypeFor[*scale.Formula]()
)

// TestSameValueIsWhatCmpSays: over neighbours of a book, field by field and with
// one leaf of a recipe changed after the other, both say the same.
func TestSameValueIsWhatCmpSays(t *testing.T) {
	s, err := Load(t.Context(), demoFS())
	if err != nil {
		t.Fatal(err)
	}
	agree := func(what string, a, b any) {
		t.Helper()
		if got, want := sameValue(a, b), cmp.Equal(a, b, exactly); got != want {
			t.Errorf("%s: %v, cmp says %v", what, got, want)
		}
	}
	for i := 1; i < len(s.Recipes); i += 4 {
		x, y := reflect.ValueOf(s.Recipes[i-1].Recipe).Elem(), reflect.ValueOf(s.Recipes[i].Recipe).Elem()
		for f := range x.NumField() {
			agree(x.Type().Field(f).Name, x.Field(f).Interface(), y.Field(f).Interface())
		}
		agree("itself", *s.Recipes[i], *s.Recipes[i])
		agree("its neighbour", *s.Recipes[i], *s.Recipes[i-1])
	}
	r, _ := s.RecipeNamed("buckwheat tuile")
	leaves := 0
	var poke func(v reflect.Value)
	poke = func(v reflect.Value) {
		changed := func(to reflect.Value) {
			was := reflect.New(v.Type()).Elem()
			was.Set(v)
			before := *r.Recipe
			before.Lines, before.Method, before.Keeps = append(before.Lines[:0:0], before.Lines...), append(before.Method[:0:0], before.Method...), append(before.Keeps[:0:0], before.Keeps...)
			v.Set(to)
			agree(v.Type().String(), before, *r.Recipe)
			v.Set(was)
			leaves++
		}
		switch v.Kind() {
		case reflect.Struct:
			for i := range v.NumField() {
				if v.Type().Field(i).IsExported() {
					poke(v.Field(i))
				}
			}
		case reflect.Slice:
			for i := range v.Len() {
				poke(v.Index(i))
			}
			changed(reflect.MakeSlice(v.Type(), 0, 0))
		case reflect.Pointer:
			changed(reflect.Zero(v.Type()))
		case reflect.String:
			changed(reflect.ValueOf(v.String() + "x").Convert(v.Type()))
		case reflect.Bool:
			changed(reflect.ValueOf(!v.Bool()).Convert(v.Type()))
		case reflect.Int:
			changed(reflect.ValueOf(v.Int() + 1).Convert(v.Type()))
		}
	}
	poke(reflect.ValueOf(r.Recipe).Elem())
	if leaves < 100 {
		t.Errorf("only %d leaves", leaves)
	}
}
