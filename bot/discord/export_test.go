package discord

// Abort ends the adapter at once, as a machine does that loses its power.
func (a *Adapter) Abort() {
	a.stop.Store(true)
	a.mem.abandon()
	a.abandon(errAbandoned)
}
