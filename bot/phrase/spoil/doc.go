// Package spoil attacks the check of a model's wordings from outside: real
// replies and good drafts flow in, spoiled drafts and their benign twins come
// out, and what the check says of each is counted. All of it is tests, written
// from what the check promises, not from how it is done.
package spoil
