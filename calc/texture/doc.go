// Package texture says which way a mixture's texture goes when its contents
// change: two profiles flow in; directions with their causes flow out, never a figure.
package texture
