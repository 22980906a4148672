// Package heat estimates how long food takes to cool, freeze and thaw: composition, shape, air and
// temperatures flow in, minutes with the range they may lie in flow out, or a refusal with its reason.
//
// Everything is an estimate for planning. The book's own time wins over it, a probe in the core over both.
// Lengths are in m, temperatures in °C, times in min, and inside the package all is float64.
package heat
