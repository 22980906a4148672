// Package reduce follows a pan on the hob: weights, targets and what the pan
// holds flow in; what it must read, what is still to lose, what is left of the
// alcohol and when it will be there flow out.
//
// Masses are g and exact. The boiling of alcohol and the fit of weights against
// time are solved in float64, entered and left once, with their uncertainty.
package reduce
