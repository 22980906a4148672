// Package recipe reads the house book as cooks write it and edits it without
// moving what they did not touch: YAML bytes flow in, typed recipes, the house
// and all faults with line and column flow out.
//
// Links between recipes are names here; package kb resolves them.
package recipe
