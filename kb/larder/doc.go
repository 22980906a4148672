// Package larder knows what ingredients are made of, weigh and cost: the
// built-in data files and a house's larder.yaml flow in, one [Larder] with the
// origin of every value flows out.
package larder
