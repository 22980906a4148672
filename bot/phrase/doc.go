// Package phrase lets a language model choose words around what a reply says:
// a template of slots and the question flow in, a wording that has been checked
// flows out, or the reason why the template stays.
//
// The model never sees a number and never writes one. [Verify] is the only way
// to a [Phrased], and only a Phrased fits in a reply.
package phrase
