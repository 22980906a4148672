// Package wire carries the messaging platform's traffic safely: a transport for
// the client library's requests, and supervised gateway sessions. Requests and
// a token flow in, events in the order of their channels flow out.
package wire
