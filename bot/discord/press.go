package discord

func (a *Adapter) pressed(it *interaction) {
	a.aside.Go(func() { a.tell(it, a.say(nil, "foreign button")) })
}
