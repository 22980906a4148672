package gel

import (
	"errors"

	"tamis/calc/quantity"
)

// Errors of this package. Test with errors.Is.
var (
	// ErrNegative: a mass, count or time is below zero.
	ErrNegative = errors.New("below zero")
	// ErrBloom: the gelatine's Bloom is not known: ask what is on the packet.
	ErrBloom = errors.New("strength of the gelatine (Bloom) not known")
	// ErrBloomRange: a Bloom that no gelatine has.
	ErrBloomRange = errors.New("outside 30 to 300 Bloom")
	// ErrGrade: no leaf grade of that name.
	ErrGrade = errors.New("unknown grade of leaf")
	// ErrLeaf: the mass of a leaf is not known.
	ErrLeaf = errors.New("mass of a leaf not known")
	// ErrNoWater: no water to set, or it is not known.
	ErrNoWater = errors.New("water not known")
	// ErrAgent: nothing is known of that agent.
	ErrAgent = errors.New("unknown gelling agent")
	// ErrUse: no dosage of this agent for that use.
	ErrUse = errors.New("no dosage for this use")
	// ErrScale: the step of the scale is not above zero.
	ErrScale = errors.New("scale without a step")
	// ErrData: a data file does not hold what it must.
	ErrData = errors.New("bad data of gelling agents")
)

var (
	zero    quantity.Number
	one     = quantity.Int(1)
	hundred = quantity.Int(100)
)
