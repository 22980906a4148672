// Package mix works out what a mixture is made of: masses with compositions
// flow in, the composition of the whole flows out; what is unknown stays unknown.
package mix
