// Package gel weighs gelling agents: grams, leaves, Bloom and the water that is
// really there flow in; equal strengths, shares of the water phase, whether a dose
// fits its use and how to weigh a small one flow out.
//
// Masses and shares are exact; the square-root rule is solved in float64 and
// rounded to 1 mg. What is known of each agent is a data file with a source a row.
package gel
