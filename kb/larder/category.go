package larder

// Categories returns what an item's Category may be, in order: a short closed list.
//
//   - dairy: milk and what is made of it, butter too, which is where the fat of the kitchen starts
//   - egg, sugar (syrups and honey too), flour, starch
//   - fat: oils and fats that are not butter
//   - nut: tree nuts, peanuts, seeds, their pastes
//   - fruit (purees, juices, preserves too), vegetable, herb, spice, salt
//   - acid: acids and vinegars
//   - alcohol, leavening
//   - gelling: what sets; thickener: what only thickens, and emulsifiers
//   - chocolate: cocoa and what is made of it
//   - meat (poultry too), fish, shellfish, stock, sauce, pulse
//   - grain (pasta too), bread (biscuits and bought doughs too)
//   - drink (coffee, tea, plant drinks), water, other
func Categories() []string {
	return []string{
		"dairy", "egg", "sugar", "flour", "starch", "fat", "nut", "fruit", "vegetable", "herb", "spice", "salt", "acid",
		"alcohol", "leavening", "gelling", "thickener", "chocolate", "meat", "fish", "shellfish", "stock", "sauce", "pulse",
		"grain", "bread", "drink", "water", "other",
	}
}

// CautionCodes returns what an item's Cautions may hold. They say what the thing
// is, not that it harms: the person in charge and the local code decide.
func CautionCodes() []string {
	return []string{
		"raw egg", "raw milk", "uncooked meat", "uncooked poultry", "uncooked fish", "uncooked shellfish", "uncooked flour", "alcohol", "curing salt",
		"uncooked beans", "uncooked elderberry", "hydrocyanic acid", "oxalic acid", "hot sugar", "strong acid", "asphyxiation and cold burns", "honey for infants", "coumarin",
	}
}
