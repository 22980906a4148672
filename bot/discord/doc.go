// Package discord is the adapter for the team's channel: what people write, press
// and choose flows in as messages for the houses' askers, their replies flow out,
// each once, in the order of its channel.
package discord
