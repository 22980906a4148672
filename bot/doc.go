// Package bot is the conversation: a message of any channel and one snapshot of
// the book flow in, a reply made of facts flows out. It knows no platform.
package bot
