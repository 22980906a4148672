package reduce

import (
	"fmt"
	"math"
)

// The Dormand–Prince pair of orders 5 and 4: Dormand & Prince, J. Comput. Appl. Math. 6 (1980) 19–26.
var (
	dpC = [7]float64{0, 1. / 5, 3. / 10, 4. / 5, 8. / 9, 1, 1}
	dpA = [7][6]float64{
		{},
		{1. / 5},
		{3. / 40, 9. / 40},
		{44. / 45, -56. / 15, 32. / 9},
		{19372. / 6561, -25360. / 2187, 64448. / 6561, -212. / 729},
		{9017. / 3168, -355. / 33, 46732. / 5247, 49. / 176, -5103. / 18656},
		{35. / 384, 0, 500. / 1113, 125. / 192, -2187. / 6784, 11. / 84},
	}
	dpE = [7]float64{71. / 57600, 0, -71. / 16695, 71. / 1920, -17253. / 339200, 22. / 525, -1. / 40}
)

const maxSteps = 20_000

// integrate follows dy/dt = f(t, y) from t0 to t1, each step's error under tol.
func integrate(f func(t, y float64) float64, t0, t1, y0, tol float64) (float64, error) {
	t, y, h := t0, y0, (t1-t0)/16
	for range maxSteps {
		if t == t1 || h == 0 {
			return y, nil
		}
		if math.Abs(h) >= math.Abs(t1-t) {
			h = t1 - t
		}
		var k [7]float64
		for s := range k {
			ys := y
			for j := range s {
				ys += h * dpA[s][j] * k[j]
			}
			k[s] = f(t+dpC[s]*h, ys)
		}
		next, e := y, 0.0
		for s := range k {
			e += h * dpE[s] * k[s]
			if s < 6 {
				next += h * dpA[6][s] * k[s]
			}
		}
		e = math.Abs(e)
		if e <= tol {
			if y = next; h == t1-t {
				t = t1
			} else {
				t += h
			}
		}
		h *= min(5, max(0.2, 0.9*math.Pow(tol/max(e, 1e-300), 0.2)))
	}
	return 0, fmt.Errorf("%w: %d steps", ErrSolver, maxSteps)
}
