// Package swap works out what may stand in for an ingredient that is missing: a recipe as masses and
// compositions, what is left, and candidates flow in; new masses with every function before and after flow out.
//
// What an ingredient does is worked out from its composition ([Function], [Duties]). [Find] then solves the other
// masses so that it stays, in float64, entered and left once: each answer is rounded to the scale, keeps the recipe's
// mass exactly and is verified with exact numbers, unknown values within their bounds. [Equivalents] and [Apply] are the
// exchanges that the trade knows by heart. What food safety rests on is never swapped: [ErrLocked].
package swap
