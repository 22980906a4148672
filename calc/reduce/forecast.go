package reduce

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"tamis/calc/quantity"
)

// Weight is one reported content of a pan.
type Weight struct {
	Minute quantity.Number // since the start of the reduction
	Mass   quantity.Number // g, without the pan
}

// Forecast is when a pan will be at its target.
type Forecast struct {
	At        quantity.Number // minutes since the start
	Left      quantity.Number // minutes after the last weight
	Low, High quantity.Number // interval for At that holds nine times in ten
	HighOpen  bool            // the weights do not bound it: it may take much longer
	Rate      quantity.Number // g/min, now
	// LatePerMinute is by how many % of the target one minute too long misses it.
	LatePerMinute quantity.Number
	RunsAway      bool  // LatePerMinute is 5 or more, or the early end is under a minute away: stand there
	Set           []int // weights used, by index
	Doubtful      []int // of these, the ones that fit badly and count less
}

// What is assumed of pans. The first two were set so that the interval holds on
// simulated pans (see the test): constant and falling rates, lids, noisy scales.
const (
	drift     = 0.04 // a rate wanders by this share of itself in √min
	handling  = 0.001
	minNoise  = 1.0 // g: bubbles, drips, the hand on the handle
	sigmas90  = 1.645
	huber     = 1.5 // standard deviations beyond which a weight counts less
	runsAway  = 5.0 // % of the target in a minute
	maxPoints = 60  // the newest ones
	maxWait   = 24 * 60.0
)

// TimeLeft predicts when a pan will weigh its target, from weights reported so
// far. Time is counted from the start of the reduction, never read off a clock.
//
//   - Formula: mass against time as a straight line plus an integrated random walk of the rate (Gaussian-process regression), weights
//     that fit badly counting less (Huber); At is where the mean meets the target, Low and High where mean ± 1.645 standard deviations do.
//   - Units: minutes, g; scale is the step of the scale in g.
//   - Range: two weights or more, 0.5 min apart at least over all, the last above the target; the newest 60. Weights before something was added are left out.
//   - Uncertainty: Low to High, made to hold 9 times in 10 on simulated pans: scale noise of 1 to 3 g, rate constant, falling by half or with a lid on
//     for a third of the time. Turning the heat up or down after the last weight is not in it.
//   - Errors: [ErrFewWeights], [ErrOrder], [ErrNegative], [ErrTarget], [ErrReached], [ErrRises], [ErrNotLosing].
//   - Source: S-611 (method), S-609 (what is assumed of pans).
func TimeLeft(ws []Weight, target, scale quantity.Number) (Forecast, error) {
	if err := checkWeights(ws, target, scale); err != nil {
		return Forecast{}, err
	}
	t, m, set, err := usable(ws, scale)
	if err != nil {
		return Forecast{}, err
	}
	goal := target.Float()
	if m[len(m)-1] <= goal {
		return Forecast{}, fmt.Errorf("%w: %s g", ErrReached, ws[len(ws)-1].Mass)
	}
	f, err := fit(t, m, noise(scale))
	if err != nil {
		return Forecast{}, err
	}
	return f.forecast(goal, set, ws[len(ws)-1].Minute)
}

func checkWeights(ws []Weight, target, scale quantity.Number) error {
	if target.Sign() <= 0 {
		return fmt.Errorf("%w: %s g", ErrTarget, target)
	}
	if scale.Sign() < 0 {
		return fmt.Errorf("%w: scale step %s g", ErrNegative, scale)
	}
	for i, w := range ws {
		if w.Mass.Sign() < 0 || w.Minute.Sign() < 0 {
			return fmt.Errorf("%w: %s g at %s min", ErrNegative, w.Mass, w.Minute)
		}
		if i > 0 && !ws[i-1].Minute.Less(w.Minute) {
			return fmt.Errorf("%w: %s min after %s min", ErrOrder, w.Minute, ws[i-1].Minute)
		}
	}
	return nil
}

// noise returns the standard deviation of one weight.
func noise(scale quantity.Number) func(mass float64) float64 {
	rounding := scale.Float() / math.Sqrt(12)
	return func(mass float64) float64 {
		return math.Sqrt(rounding*rounding + math.Pow(max(minNoise, handling*mass), 2))
	}
}

// usable drops what lies before an addition and single weights with something lying on the pan.
func usable(ws []Weight, scale quantity.Number) (t, m []float64, set []int, err error) {
	sd := noise(scale)
	for i, w := range ws {
		mass := w.Mass.Float()
		if n := len(m); n > 0 && mass > m[n-1]+5*sd(mass) {
			next := i + 1
			switch {
			case next < len(ws) && ws[next].Mass.Float() <= m[n-1]+5*sd(mass):
				continue // back down at once: a lid or a spoon
			case next >= len(ws):
				return nil, nil, nil, fmt.Errorf("%w: %s g at %s min", ErrRises, w.Mass, w.Minute)
			}
			t, m, set = nil, nil, nil // something was added: begin again
		}
		t, m, set = append(t, w.Minute.Float()), append(m, mass), append(set, i)
	}
	if n := len(t) - maxPoints; n > 0 {
		t, m, set = t[n:], m[n:], set[n:]
	}
	if len(t) < 2 || t[len(t)-1]-t[0] < 0.5 {
		return nil, nil, nil, fmt.Errorf("%w: %d usable", ErrFewWeights, len(t))
	}
	return t, m, set, nil
}

// line is the fitted process: solved once, asked at any later minute.
type line struct {
	t        []float64 // since the first used weight
	t0       float64   // minute of the first used weight
	q        float64   // variance of the rate per minute
	chol     mat.Cholesky
	hInv     *mat.Dense    // K⁻¹ H
	gls      mat.Cholesky  // of Hᵀ K⁻¹ H
	beta     *mat.VecDense // level and slope
	resid    *mat.VecDense // K⁻¹ (m − H β)
	doubtful []int
}

// walk is the covariance of an integrated random walk of unit rate variance.
func walk(a, b float64) float64 {
	lo, hi := min(a, b), max(a, b)
	return lo * lo * (3*hi - lo) / 6
}

func fit(minutes, mass []float64, sd func(float64) float64) (*line, error) {
	n := len(minutes)
	f := &line{t0: minutes[0], t: make([]float64, n)}
	for i, v := range minutes {
		f.t[i] = v - minutes[0]
	}
	rate := medianRate(f.t, mass)
	if spread := 3 * sd(mass[0]) / f.t[n-1]; rate <= 0 || (mass[0]-mass[n-1])/f.t[n-1] < spread/2 {
		return nil, fmt.Errorf("%w: %.2f g/min", ErrNotLosing, rate)
	}
	f.q = math.Pow(drift*rate, 2)
	weight := make([]float64, n)
	for i := range weight {
		weight[i] = 1
	}
	for range 8 { // Huber weights settle in a few rounds
		if err := f.solve(mass, sd, weight); err != nil {
			return nil, err
		}
		f.doubtful = nil
		settled := true
		for i, before := range weight {
			// residual in standard deviations of one weight
			r := math.Abs(f.resid.AtVec(i)) * sd(mass[i]) / before
			if weight[i] = min(1, huber/max(r, 1e-12)); weight[i] < 0.5 {
				f.doubtful = append(f.doubtful, i)
			}
			settled = settled && math.Abs(weight[i]-before) < 1e-3
		}
		if settled {
			break
		}
	}
	return f, nil
}

// solve is universal kriging with level and slope unknown.
func (f *line) solve(mass []float64, sd func(float64) float64, weight []float64) error {
	n := len(mass)
	k := mat.NewSymDense(n, nil)
	h := mat.NewDense(n, 2, nil)
	for i := range n {
		h.Set(i, 0, 1)
		h.Set(i, 1, f.t[i])
		for j := i; j < n; j++ {
			k.SetSym(i, j, f.q*walk(f.t[i], f.t[j]))
		}
		k.SetSym(i, i, k.At(i, i)+sd(mass[i])*sd(mass[i])/weight[i])
	}
	if !f.chol.Factorize(k) {
		return fmt.Errorf("%w: covariance", ErrSolver)
	}
	f.hInv, f.beta, f.resid = new(mat.Dense), new(mat.VecDense), new(mat.VecDense)
	if err := f.chol.SolveTo(f.hInv, h); err != nil {
		return fmt.Errorf("%w: %w", ErrSolver, err)
	}
	var hth mat.Dense
	hth.Mul(h.T(), f.hInv)
	if !f.gls.Factorize(mat.NewSymDense(2, []float64{hth.At(0, 0), hth.At(0, 1), hth.At(1, 0), hth.At(1, 1)})) {
		return fmt.Errorf("%w: trend", ErrSolver)
	}
	y := mat.NewVecDense(n, slices.Clone(mass))
	var hy, fitted, r mat.VecDense
	hy.MulVec(f.hInv.T(), y)
	if err := f.gls.SolveVecTo(f.beta, &hy); err != nil {
		return fmt.Errorf("%w: %w", ErrSolver, err)
	}
	fitted.MulVec(h, f.beta)
	r.SubVec(y, &fitted)
	if err := f.chol.SolveVecTo(f.resid, &r); err != nil {
		return fmt.Errorf("%w: %w", ErrSolver, err)
	}
	return nil
}

// at returns mean and standard deviation of the mass at a time after the first used weight.
func (f *line) at(t float64) (mean, sd float64) {
	n := len(f.t)
	k := mat.NewVecDense(n, nil)
	for i, ti := range f.t {
		k.SetVec(i, f.q*walk(ti, t))
	}
	mean = f.beta.AtVec(0) + f.beta.AtVec(1)*t + mat.Dot(k, f.resid)
	var kk mat.VecDense
	if err := f.chol.SolveVecTo(&kk, k); err != nil {
		return mean, math.Inf(1)
	}
	g := mat.NewVecDense(2, []float64{1 - mat.Dot(f.hInv.ColView(0), k), t - mat.Dot(f.hInv.ColView(1), k)})
	var gg mat.VecDense
	if err := f.gls.SolveVecTo(&gg, g); err != nil {
		return mean, math.Inf(1)
	}
	return mean, math.Sqrt(max(0, f.q*walk(t, t)-mat.Dot(k, &kk)+mat.Dot(g, &gg)))
}

func (f *line) forecast(goal float64, set []int, last quantity.Number) (Forecast, error) {
	end := f.t[len(f.t)-1]
	now, _ := f.at(end)
	next, _ := f.at(end + 1)
	rate := now - next
	if rate <= 0 {
		return Forecast{}, fmt.Errorf("%w: %.2f g/min", ErrNotLosing, rate)
	}
	bound := func(k float64) func(float64) bool {
		return func(t float64) bool { mean, sd := f.at(t); return mean+k*sd <= goal }
	}
	mid := max(end, end+(now-goal)/rate) // beyond the last weight the mean is a straight line
	if mid-end > maxWait {
		return Forecast{}, fmt.Errorf("%w: %.3f g/min", ErrNotLosing, rate)
	}
	low, _ := first(bound(-sigmas90), end, mid)
	high, ok := first(bound(sigmas90), mid, end+4*(mid-end)+maxWait/24)
	out := Forecast{Set: set, HighOpen: !ok}
	for _, i := range f.doubtful {
		out.Doubtful = append(out.Doubtful, set[i])
	}
	late := 100 * rate / goal
	out.RunsAway = late >= runsAway || low-end < 1
	for _, v := range []struct {
		to  *quantity.Number
		val float64
		dec int
	}{{&out.At, f.t0 + mid, 2}, {&out.Low, f.t0 + low, 2}, {&out.High, f.t0 + high, 2}, {&out.Rate, rate, 3}, {&out.LatePerMinute, late, 2}} {
		n, err := quantity.FromFloat(v.val, v.dec)
		if err != nil {
			return Forecast{}, err
		}
		*v.to = n
	}
	if out.HighOpen {
		out.High = quantity.Number{}
	}
	out.Left = out.At.Sub(last)
	return out, nil
}

// first returns the first moment from lo to hi at which done holds; it is looked for on a grid and then bisected.
func first(done func(float64) bool, lo, hi float64) (float64, bool) {
	const grid = 60
	prev := lo
	for i := range grid + 1 {
		t := lo + (hi-lo)*float64(i)/grid
		if !done(t) {
			prev = t
			continue
		}
		for range 40 {
			if mid := (prev + t) / 2; done(mid) {
				t = mid
			} else {
				prev = mid
			}
		}
		return t, true
	}
	return hi, false
}

// medianRate is the median of the slopes between all pairs (Theil–Sen), as a loss in g/min.
func medianRate(t, m []float64) float64 {
	var s []float64
	for i := range t {
		for j := i + 1; j < len(t); j++ {
			s = append(s, (m[i]-m[j])/(t[j]-t[i]))
		}
	}
	slices.Sort(s)
	return (s[(len(s)-1)/2] + s[len(s)/2]) / 2
}
