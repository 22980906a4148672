package discord

// Abort ends the adapter at once, as a machine does that loses its power.
func (a *Adapter) Abort() {
	a.stop.Store(true)
	a.mem.abandon()
	a.abandon(errAbandoned)
}

// Waiting is how many things wait in a channel for their turn.
func (a *Adapter) Waiting(channel string) int {
	a.lanes.mu.Lock()
	defer a.lanes.mu.Unlock()
	if x := a.lanes.lanes[channel]; x != nil {
		return len(x.items)
	}
	return 0
}
