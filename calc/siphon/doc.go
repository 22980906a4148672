// Package siphon fills a cream siphon: the bottle and the mixture flow in; how much
// goes in, how many chargers and the cautions flow out.
package siphon
