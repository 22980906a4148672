package scale_test

import (
	"errors"
	"strings"
	"testing"

	"tamis/calc/scale"
)

func TestBatches(t *testing.T) {
	for _, c := range []struct{ total, least, most, n, each string }{
		{"1800", "600", "2000", "1", "1800"},
		{"2000", "600", "2000", "1", "2000"},
		{"2100", "600", "2000", "2", "1050"},
		{"5000", "600", "2000", "3", "5000/3"},
		{"600", "600", "2000", "1", "600"},
		{"4000", "2000", "2000", "2", "2000"},
		{"10", "0", "3", "4", "2.5"},
	} {
		got, err := scale.Batches(num(c.total), num(c.least), num(c.most))
		want(t, c.total, got.N, err, c.n)
		want(t, c.total, got.Each, nil, c.each)
	}
	for _, c := range []struct{ total, least, most, lessN, less, moreN, more string }{
		{"2200", "1500", "2000", "1", "2000", "2", "1500"},
		{"500", "600", "2000", "0", "0", "1", "600"},
		{"4100", "1900", "2000", "2", "2000", "3", "1900"},
	} {
		_, err := scale.Batches(num(c.total), num(c.least), num(c.most))
		var split *scale.SplitError
		if !errors.As(err, &split) || !errors.Is(err, scale.ErrNoSplit) {
			t.Errorf("%s: %v", c.total, err)
			continue
		}
		want(t, c.total, split.Less.N, nil, c.lessN)
		want(t, c.total, split.Less.Each, nil, c.less)
		want(t, c.total, split.More.N, nil, c.moreN)
		want(t, c.total, split.More.Each, nil, c.more)
		if possible := strings.Contains(err.Error(), c.moreN+" × "+c.more); !possible {
			t.Errorf("%v does not say what is possible", err)
		}
	}
	for _, c := range [][3]string{{"0", "1", "2"}, {"1", "-1", "2"}, {"1", "0", "0"}, {"1", "3", "2"}} {
		if _, err := scale.Batches(num(c[0]), num(c[1]), num(c[2])); !errors.Is(err, scale.ErrRange) {
			t.Errorf("%v: %v", c, err)
		}
	}
}

func TestWholePieces(t *testing.T) {
	for _, c := range []struct{ count, each, whole, rest, mass, restMass string }{
		{"2.5", "50", "2", "0.5", "125", "25"},
		{"3", "50", "3", "0", "150", "0"},
		{"1/3", "60", "0", "1/3", "20", "20"},
		{"0", "50", "0", "0", "0", "0"},
	} {
		got, err := scale.WholePieces(num(c.count), num(c.each))
		want(t, c.count, got.Whole, err, c.whole)
		want(t, c.count, got.Rest, nil, c.rest)
		want(t, c.count, got.Mass, nil, c.mass)
		want(t, c.count, got.RestMass, nil, c.restMass)
		if !got.HasMass {
			t.Errorf("%s: no mass", c.count)
		}
	}
	if got, err := scale.WholePieces(num("2.5"), num("0")); err != nil || got.HasMass || !got.Rest.Equal(num("0.5")) {
		t.Errorf("without a mass: %+v, %v", got, err)
	}
	for _, c := range [][2]string{{"-1", "50"}, {"1", "-50"}} {
		if _, err := scale.WholePieces(num(c[0]), num(c[1])); !errors.Is(err, scale.ErrRange) {
			t.Errorf("%v: %v", c, err)
		}
	}
}
