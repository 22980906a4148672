package kb

import (
	"tamis/calc/quantity"
	"tamis/calc/scale"
	"tamis/kb/larder"
	"tamis/kb/recipe"
)

// RecipeID is a recipe's internal id; it stays through renames.
type RecipeID string

// Snapshot is one state of a house's book. Nothing in it changes after it is
// made; an answer is made from exactly one.
type Snapshot struct {
	House    *recipe.House // never nil
	Larder   *larder.Larder
	Revision int          // of the book: number of commits; 0 without a log
	Recipes  []*Recipe    // the good ones, in order of name
	Out      []*OutRecipe // faulty ones with their reasons
	Faults   []recipe.Fault
	Warnings []recipe.Fault

	fingerprint string
	index       index
	kept        *kept // what the next snapshot can be made from; nil: nothing
}

// OutRecipe is a recipe that is out of the book for now. It keeps its names.
type OutRecipe struct {
	Name   string
	Also   []string
	Faults []recipe.Fault
}

// Recipe is a recipe with variants applied, links and amounts resolved.
type Recipe struct {
	*recipe.Recipe
	ID       RecipeID
	Revision int // the recipe's commits; 0 without a log
	Lines    []Line
	Formula  *scale.Formula // its Lines are those above, one for one
	// Finished is the mass of one batch in g; HasFinished false: it cannot be known (Formula.Unknown says why).
	Finished    quantity.Number
	HasFinished bool
	plain       string // of Name: the order of recipes
	// Losses are the masses that leave the pan, one entry a step with from and to, in order: those of Formula.Steps.
	Losses []StepLoss
}

// StepLoss is what leaves the pan in one step of one batch.
type StepLoss struct {
	Step  *recipe.Step
	Start quantity.Number // g in the pan before it
	Mass  quantity.Number // g
	// Pan are the lines in the pan, by index; nil: the book does not say which.
	Pan []int
}

// Line is a recipe line, resolved.
type Line struct {
	recipe.Line
	Fold, FoldAs string       // of Name and As
	Link         *Recipe      // the recipe it draws on, or nil
	Item         *larder.Item // the ingredient, nil for links and for what no larder knows
	// Grams of one batch (a range's middle); HasGrams false: in no mass.
	Grams    quantity.Number
	HasGrams bool
	// MassFrom: "book" (written as a mass, or in brackets), "house", "larder" (piece or density), "calculated" (% of, parts).
	MassFrom   string
	MassSource string
	IsLiquid   bool
}

// NameKind says what a name stands for.
type NameKind uint8

// The kinds of names a book holds.
const (
	RecipeName NameKind = iota
	RecipeAlias
	OutName        // of a recipe that is out
	IngredientName // a larder item or a line's name
	IngredientAlias
	PanName
	MouldName
	MachineName
	ColdName
	ScaleName
)

// Name is one name of the book with what it stands for.
type Name struct {
	Text   string // as written
	Fold   string // folded
	Kind   NameKind
	Recipe *Recipe      // RecipeName, RecipeAlias
	Out    *OutRecipe   // OutName
	Item   *larder.Item // IngredientName, IngredientAlias; nil: only a line's name
	InBook bool         // ingredients: a line of some recipe uses it
}
