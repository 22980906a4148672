// Package cost works out what food costs: amounts with prices and usable shares
// flow in, exact money flows out, and a total with a missing price is a minimum.
package cost
