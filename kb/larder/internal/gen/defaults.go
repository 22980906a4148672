package main

import "slices"

// What a thing lacks by nature, by category: no lactose outside milk, no fibre
// in oil. An entry takes a key out again with `?`.
func natureZeros(category string) []string {
	z := []string{"milk fat", "lactose", "cocoa butter", "alcohol", "glycerol"}
	switch category {
	case "dairy":
		z = []string{"cocoa butter", "alcohol", "glycerol", "starch", "fibre", "polyols"}
	case "egg", "meat", "fish", "shellfish":
		z = append(z, "starch", "fibre", "polyols", "acid", "other carbohydrate")
	case "sugar":
		z = append(z, "fat", "protein", "starch", "fibre", "polyols", "acid")
	case "fat":
		z = append(z, "protein", "sugars", "starch", "fibre", "polyols", "acid", "other carbohydrate", "ash", "salt")
	case "flour", "starch", "nut", "pulse", "grain", "leavening", "spice":
		z = append(z, "polyols", "acid")
	case "herb", "vegetable":
		z = append(z, "polyols")
	case "salt", "water":
		z = append(z, "fat", "protein", "sugars", "starch", "fibre", "polyols", "acid", "other carbohydrate")
	case "acid":
		z = append(z, "fat", "starch", "fibre", "polyols")
	case "alcohol":
		z = []string{"milk fat", "lactose", "cocoa butter", "fat", "starch", "fibre", "polyols"}
	case "gelling", "thickener":
		z = append(z, "polyols", "acid")
	case "chocolate":
		z = []string{"alcohol", "glycerol", "polyols", "acid"}
	case "sauce", "stock", "drink", "bread", "other":
		z = []string{"milk fat", "lactose", "cocoa butter", "glycerol", "polyols"}
		if category != "sauce" {
			z = append(z, "alcohol")
		}
	}
	return z
}

// plainPlants are the plants and minerals that a diet's usual rules leave no doubt about.
var plainPlants = []string{"sugar", "flour", "starch", "nut", "fruit", "vegetable", "herb", "spice", "salt", "pulse", "grain", "water"}

func defaultSuits(category string) string {
	switch {
	case category == "fat":
		return "vegetarian vegan halal"
	case slices.Contains(plainPlants, category):
		return "vegetarian vegan halal kosher"
	case category == "meat", category == "shellfish":
		return "-"
	case category == "fish":
		return "halal kosher"
	case category == "egg":
		return "vegetarian halal kosher"
	}
	return "?"
}

func defaultContains(category string) string {
	switch category {
	case "dairy":
		return "milk"
	case "egg":
		return "eggs"
	case "fish":
		return "fish"
	case "sugar", "starch", "fat", "fruit", "vegetable", "herb", "spice", "salt", "meat", "water", "acid":
		return "-"
	}
	return "" // must be written
}
