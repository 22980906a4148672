// Package cure weighs salt for brines and cures: meat, water and a strength flow in;
// salt, brine and the strength they come to flow out. All masses are exact.
//
// Curing salt with nitrite is not calculated here. It scales with the book's own
// recipe or is refused.
package cure
