// Package mix works out what a mixture is made of: masses with compositions
// flow in, the composition of the whole flows out; what is unknown stays unknown.
//
// Every component of a [Mixture] is a [Content]: exact, or between two bounds with the
// names of the parts that leave it open. All masses are exact rationals in g; nothing
// is rounded. Blending, splitting and nesting conserve every component exactly.
//
// [Compose] rolls a tree of recipes up, with the steps' losses and the stated masses.
package mix
