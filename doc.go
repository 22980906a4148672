// Package tamis is the root of the house: it holds no code, only this picture of
// the way through and, in rules_test.go, the rules of the house as a test.
//
//	somebody writes in a channel, a shell or a script
//	  |  bot/terminal                      the only code that knows where it came from
//	  v
//	Message{Conversation, Author, Role, At, Text}
//	  |  bot/question                      words, costs, frames; no disk, clock or model
//	  v
//	Question: ranked readings, each with its cost and the words it left over
//	  |  kb.Snapshot                       one immutable value of the whole book
//	  v
//	recipes with links resolved, the house, the larder
//	  |  calc/...                          pure: quantities in, quantities out
//	  v
//	Facts: value, unit, how it came about, origin      <- the golden boundary
//	  |  bot/reply                         message catalogues; adds no number
//	  v
//	Reply: text for people, the same facts as JSON for scripts
//
// DEVELOPERS.md says the same with reasons, room by room.
package tamis
