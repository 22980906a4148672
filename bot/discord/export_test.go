package discord

import "tamis/kb"

// Abort ends the adapter at once, as a machine does that loses its power.
func (a *Adapter) Abort() {
	a.stop.Store(true)
	a.mem.abandon()
	a.abandon(errAbandoned)
}

// Offered are the names that an autocomplete offers.
func Offered(recipes []*kb.Recipe, typed string, near func(string) []string) []string {
	return offered(recipes, typed, near)
}
