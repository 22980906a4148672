// Package sugar knows syrups: °Bx, temperatures, altitudes and masses flow in;
// density, °Bé, boiling points, stages, saturation and mixtures flow out.
//
// °Bx is g of sucrose in 100 g of solution. Mixtures are exact; what comes out of
// published tables is an [Estimate] with its uncertainty.
package sugar
