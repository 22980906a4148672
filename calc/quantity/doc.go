// Package quantity turns written amounts into exact numbers with a unit and
// back: text or numbers flow in, exact [Number], [Unit] and [Quantity] values
// flow out, and rounding is a step that reports what it did.
//
// Nothing here knows a recipe, a clock or a disk.
package quantity
