// Package scale makes a batch another size: formulas (recipes as numbers) and a
// wish flow in, exact factors, masses and counts flow out.
package scale
