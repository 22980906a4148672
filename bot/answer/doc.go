// Package answer works out what a question asks: one reading and one snapshot
// flow in, facts with unit and origin flow out. It writes no sentences; package
// reply does.
package answer
