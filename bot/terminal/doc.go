// Package terminal is the adapter for a shell and for scripts: lines of text or
// JSON flow in, replies as text or JSON lines flow out.
package terminal
