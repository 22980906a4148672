package allergen

import (
	"slices"
	"strings"
)

// Allergen is a class with the kind that may follow it: nuts (walnut).
type Allergen struct{ Name, Kind string }

// String writes it as the book does: "nuts (walnut)".
func (a Allergen) String() string {
	if a.Kind == "" {
		return a.Name
	}
	return a.Name + " (" + a.Kind + ")"
}

// The names of the classes as a book writes them, in the order of the annex.
const (
	Gluten      = "cereals containing gluten"
	Crustaceans = "crustaceans"
	Eggs        = "eggs"
	Fish        = "fish"
	Peanuts     = "peanuts"
	Soybeans    = "soybeans"
	Milk        = "milk"
	Nuts        = "nuts"
	Celery      = "celery"
	Mustard     = "mustard"
	Sesame      = "sesame"
	Sulphites   = "sulphites"
	Lupin       = "lupin"
	Molluscs    = "molluscs"
)

// Class is one class of the EU's annex.
type Class struct {
	No      int    // in annex II
	Name    string // as a book writes it
	Legal   string // as the annex heads it
	Members []string
	Exempt  []string
	US      string // its name among the nine; "" if it lies outside. Of cereals only wheat is inside.
}

// eu is the list of Regulation (EU) No 1169/2011, annex II, as amended by
// Delegated Regulation (EU) No 78/2014; wording shortened. The UK kept it. US names: 21 U.S.C.
// 321(qq) (Food Allergen Labeling and Consumer Protection Act of 2004, section 203(c)) and the FASTER
// Act of 2021 (sesame), from memory.
var eu = [...]Class{
	{1, Gluten, "Cereals containing gluten",
		[]string{"wheat", "spelt", "khorasan wheat", "rye", "barley", "oats"},
		[]string{"wheat-based glucose syrups incl. dextrose", "wheat-based maltodextrins", "barley-based glucose syrups", "cereals for alcoholic distillates"}, ""},
	{2, Crustaceans, "Crustaceans", nil, nil, "crustacean shellfish"},
	{3, Eggs, "Eggs", nil, nil, "eggs"},
	{4, Fish, "Fish", nil,
		[]string{"fish gelatine as carrier for vitamins or carotenoids", "fish gelatine or isinglass as fining agent in beer and wine"}, "fish"},
	{5, Peanuts, "Peanuts", nil, nil, "peanuts"},
	{6, Soybeans, "Soybeans", nil,
		[]string{"fully refined soybean oil and fat", "mixed tocopherols (E306) and natural D-alpha tocopherols from soy", "phytosterols and stanol esters from soy oil"}, "soybeans"},
	{7, Milk, "Milk (including lactose)", nil, []string{"whey for alcoholic distillates", "lactitol"}, "milk"},
	{8, Nuts, "Nuts",
		[]string{"almond", "hazelnut", "walnut", "cashew", "pecan", "Brazil nut", "pistachio", "macadamia"},
		[]string{"nuts for alcoholic distillates"}, "tree nuts"},
	{9, Celery, "Celery", nil, nil, ""},
	{10, Mustard, "Mustard", nil, nil, ""},
	{11, Sesame, "Sesame seeds", nil, nil, "sesame"},
	{12, Sulphites, "Sulphur dioxide and sulphites", []string{"more than 10 mg/kg or 10 mg/L as total SO2, as consumed"}, nil, ""},
	{13, Lupin, "Lupin", nil, nil, ""},
	{14, Molluscs, "Molluscs", nil, nil, ""},
}

// Classes returns the fourteen classes in the order of the annex.
func Classes() []Class { return slices.Clone(eu[:]) }

// classNo is the place of a class in the annex; 0: none of it.
func classNo(name string) int {
	for i := range eu {
		if eu[i].Name == name {
			return eu[i].No
		}
	}
	return 0
}

// List is a statutory list of allergens.
type List uint8

// The lists a house may follow.
const (
	EU List = iota // the fourteen
	US             // the nine
)

// us is the order of the statute, with sesame at the end.
var us = [...]string{"milk", "eggs", "fish", "crustacean shellfish", "tree nuts", "wheat", "peanuts", "soybeans", "sesame"}

// Names returns the list's names in its order.
func (l List) Names() []string {
	if l == US {
		return slices.Clone(us[:])
	}
	names := make([]string, len(eu))
	for i := range eu {
		names[i] = eu[i].Name
	}
	return names
}

// wheats are the cereals that count as wheat.
//
//   - Source: annex II names spelt and khorasan wheat as wheat; the others are
//     species and products of Triticum (from memory).
var wheats = []string{"wheat", "spelt", "khorasan wheat", "khorasan", "durum", "durum wheat", "emmer", "einkorn", "semolina", "triticale"}

// Name returns what the list calls a and whether it lies inside the list. What lies
// outside keeps its EU name and is still to be told. Cereals of no stated
// kind may be wheat: for the nine they count as inside, under their EU name.
func (l List) Name(a Allergen) (name string, inside bool) {
	no := classNo(a.Name)
	if no == 0 {
		return a.String(), false
	}
	if l == EU {
		return a.String(), true
	}
	if a.Name == Gluten {
		kind := strings.ToLower(a.Kind)
		switch {
		case kind == "wheat":
			return "wheat", true
		case slices.Contains(wheats, kind):
			return "wheat (" + a.Kind + ")", true
		}
		return a.String(), kind == ""
	}
	if name = eu[no-1].US; name == "" {
		return a.String(), false
	}
	return Allergen{name, a.Kind}.String(), true
}

// compare orders by class of the annex, then members in its order, then by letters; what
// is no class comes last.
func compare(a, b Allergen) int {
	x, y := a.order(), b.order()
	if c := slices.Compare(x[:], y[:]); c != 0 {
		return c
	}
	if c := strings.Compare(a.Name, b.Name); c != 0 {
		return c
	}
	return strings.Compare(a.Kind, b.Kind)
}

func (a Allergen) order() [2]int {
	no := classNo(a.Name)
	if no == 0 {
		return [2]int{len(eu) + 1, 0}
	}
	if a.Kind == "" {
		return [2]int{no, 0}
	}
	i := slices.Index(eu[no-1].Members, a.Kind)
	if i < 0 {
		i = len(eu[no-1].Members)
	}
	return [2]int{no, i + 1}
}
