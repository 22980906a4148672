// Package chocolate weighs ganache and reads temper: a mixture or a temperature
// flows in; shares of fat and water, texture, seed mass and advice codes flow out.
package chocolate
