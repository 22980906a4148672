// Package discordtest is a stand-in for the messaging platform, for tests
// only: it speaks the platform's gateway and REST side on 127.0.0.1. A test
// says what people do; out comes what the bot made of it, as messages.
//
// It was written from the platform's specification (testdata/openapi.json) and
// documentation, before the adapter that it tests. Each request of the bot is
// held against the specification, closed to unknown keys, and against what the
// documentation adds; each of its own replies is held against the
// specification too. What breaks a rule fails the test that started it.
//
//	srv := discordtest.Start(t)                 // 127.0.0.1, stopped at the end
//	g := srv.Guild("Lodehavn")                  // the bot is in it
//	pastry := g.Channel("pastry")
//	ada := g.Member("Ada", g.Role("commis", 0))
//	start(srv.API(), srv.Token())               // the bot
//	srv.WaitReady(1)
//
//	q := pastry.Ask(ada, "how much yolk for 3x")  // mentions the bot
//	a := pastry.Reply(q)                          // waits; Content, Embeds, Components, Files, Pings …
//	it := pastry.Press(ada, a, a.ButtonID("×2"))  // a button; Choose is a menu, Forge a tampered press
//	m := it.Message()                             // its answer, past a deferral; it.Answer() the first one
//	pastry.Slash(ada, "ask", discordtest.Opt{Name: "question", Value: "…"})
//	pastry.Autocomplete(ada, "recipe", discordtest.Opt{Name: "name", Value: "ice", Focused: true}).Choices()
//	pastry.OnMessage(ada, "Answer this", q)       // a context entry
//	it.Modal().Submit(map[string]string{"covers": "40"})
//	pastry.Edit(q, "…"); pastry.WaitEdit(a); pastry.Remove(q); pastry.WaitGone(a); pastry.WaitThread()
//	srv.DM(ada).Say(ada, "…"); pastry.Quiet(200*time.Millisecond)
//
// Faults: FailConnections (no HELLO, no READY, op 7 before READY, close codes),
// DropAll, CloseWith, AskReconnect, InvalidateSessions, ForgetSessions,
// StopAcks, SlowGateway, SendFrame, SkipSeq, Doubled, HoldEvents and Release,
// Emit, Say with Bent, OfType and ByWebhook, Touch, Purge, Forge; over REST Inject
// (delay, status, reset, 429 by scope, an answer lost after the act, headers and a
// body of one's own, half of it, byte by byte); Revoke, Advance, Channel.Deny,
// Channel.Delete, Guild.Unavailable. The record: Requests, Identifies, Closes,
// Counts, Violations.
package discordtest
