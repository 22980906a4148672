// Package rescue works out what may still be saved: what was poured against what the recipe asks for, a measured share against
// the one wanted, a forgotten ingredient or the name of a fault flow in; what to add, the new batch and codes of cause, test, remedy and
// when to bin flow out.
//
// Masses are exact: the ratios of the recipe are restored to the last figure and nothing is rounded here. No remedy makes food unsafe:
// where a rescue would need to, the verdict is to start again or to refuse.
package rescue
