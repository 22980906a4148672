// Package allergen tells which allergens the lines of a recipe list, and the way
// to each: a tree of recipes and ingredients with what is stated of them flows
// in, names with ways and what is not known flow out. It never says that
// something is free of an allergen: only what is listed, and what states nothing.
package allergen
