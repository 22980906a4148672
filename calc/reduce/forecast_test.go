package reduce_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"tamis/calc/quantity"
	"tamis/calc/reduce"
)

// A simulated pan: 2000 g that lose mass at rate(t, mass) g/min.
type simulated struct {
	name  string
	rate  func(t, mass float64, r *rand.Rand) float64
	noise float64 // of the scale and the hand, g
	spoon float64 // chance that a spoon of 60 g lies in the pan
	least float64 // coverage that is asked for
}

// The rates are made up here; they are no measurements of real pans.
var pans = []simulated{
	{"constant", func(_, _ float64, _ *rand.Rand) float64 { return 25 }, 1, 0, 0.87},
	{"constant, noisy scale", func(_, _ float64, _ *rand.Rand) float64 { return 25 }, 3, 0, 0.87},
	{"falls by half on the way", func(_, m float64, _ *rand.Rand) float64 { return 15 + 15*(m-500)/1500 }, 1, 0, 0.87},
	{"falls by half, noisy", func(_, m float64, _ *rand.Rand) float64 { return 15 + 15*(m-500)/1500 }, 3, 0, 0.87},
	{"wanders", nil, 1, 0, 0.87},
	{"lid on for a third of the time", func(t, _ float64, _ *rand.Rand) float64 {
		if math.Mod(t, 9) < 3 {
			return 15
		}
		return 25
	}, 1, 0, 0.87},
	{"slow, a spoon left in at times", func(_, _ float64, _ *rand.Rand) float64 { return 12 }, 2, 0.1, 0.87},
}

// run weighs the pan every few minutes until at least two weights are above the target
// by a tenth of the way, and returns the weights and the true moment of the target.
func (s simulated) run(r *rand.Rand, target float64) (ws []reduce.Weight, reached float64) {
	const dt = 0.02
	mass, t, next := 2000.0, 0.0, 0.0
	stop := target + (2000-target)*(0.1+0.6*r.Float64()) // no more weights below this
	wander := 25.0
	for mass > target {
		if t >= next && mass > stop {
			w := mass + r.NormFloat64()*s.noise
			if r.Float64() < s.spoon && len(ws) > 0 {
				w += 60
			}
			n, _ := quantity.FromFloat(math.Round(w), 0)
			at, _ := quantity.FromFloat(t, 2)
			ws = append(ws, reduce.Weight{Minute: at, Mass: n})
			next = t + 2 + 4*r.Float64()
		}
		rate := wander
		if s.rate != nil {
			rate = s.rate(t, mass, r)
		} else {
			wander = max(8, wander+r.NormFloat64()*0.03*25*math.Sqrt(dt))
		}
		mass -= rate * dt
		t += dt
	}
	return ws, t
}

// The interval holds nine times in ten on simulated pans; where the rate changes
// by rule and not by chance it is allowed to hold a little less often.
func TestTimeLeftCoverage(t *testing.T) {
	const runs = 400
	for _, s := range pans {
		t.Run(s.name, func(t *testing.T) {
			r := rand.New(rand.NewPCG(71, 5))
			in, asked, rises, open, width := 0, 0, 0, 0, 0.0
			for range runs {
				ws, reached := s.run(r, 500)
				if len(ws) < 2 {
					continue
				}
				f, err := reduce.TimeLeft(ws, quantity.Int(500), quantity.Int(1))
				if errors.Is(err, reduce.ErrRises) || errors.Is(err, reduce.ErrFewWeights) || errors.Is(err, reduce.ErrNotLosing) || errors.Is(err, reduce.ErrReached) {
					rises++
					continue
				}
				if err != nil {
					t.Fatalf("%v: %v", ws, err)
				}
				asked++
				if f.HighOpen {
					open++
				} else {
					width += f.High.Sub(f.Low).Float() / (reached - ws[len(ws)-1].Minute.Float())
				}
				if f.Low.Float() <= reached && (f.HighOpen || reached <= f.High.Float()) {
					in++
				}
			}
			got := float64(in) / float64(asked)
			t.Logf("held %.3f of %d (open %d, refused %d), mean width %.2f of the time left", got, asked, open, rises, width/float64(asked-open))
			if asked < runs/2 || got < s.least {
				t.Errorf("interval held %.3f of %d, want at least %.2f", got, asked, s.least)
			}
			if mean := width / float64(asked-open); mean > 0.9 {
				t.Errorf("the interval is %.2f of the time left wide on average: it says nothing", mean)
			}
		})
	}
}

func weights(pairs ...string) []reduce.Weight {
	var ws []reduce.Weight
	for i := 0; i < len(pairs); i += 2 {
		ws = append(ws, reduce.Weight{Minute: g(pairs[i]), Mass: g(pairs[i+1])})
	}
	return ws
}

func TestTimeLeftStraight(t *testing.T) {
	f, err := reduce.TimeLeft(weights("0", "1600", "5", "1500", "10", "1400", "15", "1300"), g("900"), g("1"))
	if err != nil {
		t.Fatal(err)
	}
	if d := f.At.Sub(g("35")).Abs(); g("0.05").Less(d) {
		t.Errorf("at %s min, a straight line ends at 35", f.At)
	}
	if !f.Low.Less(f.At) || !f.At.Less(f.High) || f.HighOpen || f.RunsAway || len(f.Doubtful) != 0 || len(f.Set) != 4 {
		t.Errorf("%+v", f)
	}
	if !f.Left.Equal(f.At.Sub(g("15"))) {
		t.Errorf("left %s", f.Left)
	}
	if d := f.Rate.Sub(g("20")).Abs(); g("0.05").Less(d) {
		t.Errorf("rate %s g/min", f.Rate)
	}
}

// Two weights are enough; more of the same pan never widen the interval.
func TestTimeLeftLearns(t *testing.T) {
	few, err := reduce.TimeLeft(weights("0", "1600", "15", "1300"), g("900"), g("1"))
	if err != nil {
		t.Fatal(err)
	}
	more, err := reduce.TimeLeft(weights("0", "1600", "5", "1500", "10", "1400", "15", "1300"), g("900"), g("1"))
	if err != nil {
		t.Fatal(err)
	}
	if few.High.Sub(few.Low).Less(more.High.Sub(more.Low)) {
		t.Errorf("two weights: %s to %s, four: %s to %s", few.Low, few.High, more.Low, more.High)
	}
}

func TestTimeLeftRunsAway(t *testing.T) {
	f, err := reduce.TimeLeft(weights("0", "400", "5", "320", "10", "240"), g("180"), g("1"))
	if err != nil || !f.RunsAway || f.LatePerMinute.Less(g("8")) {
		t.Errorf("16 g/min at 180 g: %+v, %v", f, err)
	}
	f, err = reduce.TimeLeft(weights("0", "8000", "20", "7600", "40", "7210"), g("5000"), g("5"))
	if err != nil || f.RunsAway {
		t.Errorf("20 g/min at 5 kg: %+v, %v", f, err)
	}
}

func TestTimeLeftAddedAndSpoon(t *testing.T) {
	// 500 g were poured in after 10 min: only what follows counts.
	f, err := reduce.TimeLeft(weights("0", "1000", "5", "900", "10", "800", "11", "1280", "16", "1180", "21", "1081"), g("600"), g("1"))
	if err != nil || len(f.Set) != 3 || f.Set[0] != 3 {
		t.Fatalf("%+v, %v", f, err)
	}
	if d := f.At.Sub(g("45.1")).Abs(); g("0.5").Less(d) {
		t.Errorf("at %s min, want about 45", f.At)
	}
	// A ladle lay in the pan once.
	f, err = reduce.TimeLeft(weights("0", "1000", "5", "900", "10", "960", "15", "700", "20", "600"), g("400"), g("1"))
	if err != nil || len(f.Set) != 4 || f.Set[2] != 3 {
		t.Fatalf("%+v, %v", f, err)
	}
	if d := f.At.Sub(g("30")).Abs(); g("0.2").Less(d) {
		t.Errorf("at %s min, want 30", f.At)
	}
}

func TestTimeLeftErrors(t *testing.T) {
	for what, c := range map[string]struct {
		ws     []reduce.Weight
		target string
		want   error
	}{
		"none":            {nil, "100", reduce.ErrFewWeights},
		"one":             {weights("0", "500"), "100", reduce.ErrFewWeights},
		"seconds apart":   {weights("0", "500", "0.2", "495"), "100", reduce.ErrFewWeights},
		"out of order":    {weights("5", "500", "4", "450"), "100", reduce.ErrOrder},
		"same minute":     {weights("5", "500", "5", "450"), "100", reduce.ErrOrder},
		"below zero":      {weights("-1", "500", "5", "450"), "100", reduce.ErrNegative},
		"no target":       {weights("0", "500", "5", "450"), "0", reduce.ErrTarget},
		"there already":   {weights("0", "500", "5", "95"), "100", reduce.ErrReached},
		"added just now":  {weights("0", "500", "5", "450", "6", "900"), "100", reduce.ErrRises},
		"off the heat":    {weights("0", "500", "5", "500", "10", "500"), "100", reduce.ErrNotLosing},
		"scale step only": {weights("0", "500", "5", "499", "10", "499"), "100", reduce.ErrNotLosing},
		"days":            {weights("0", "90000", "60", "89950"), "100", reduce.ErrNotLosing},
	} {
		f, err := reduce.TimeLeft(c.ws, g(c.target), g("1"))
		if !errors.Is(err, c.want) || !f.At.IsZero() {
			t.Errorf("%s: %+v, %v", what, f, err)
		}
	}
}

// Later by a shift of all minutes is later by that shift, and never before the last weight.
func TestTimeLeftShift(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		mass, minute := 3000.0, 0.0
		var ws, later []reduce.Weight
		shift := quantity.Int(rapid.Int64Range(0, 600).Draw(t, "shift"))
		for range rapid.IntRange(2, 12).Draw(t, "weights") {
			m, _ := quantity.FromFloat(mass, 0)
			at, _ := quantity.FromFloat(minute, 1)
			ws = append(ws, reduce.Weight{Minute: at, Mass: m})
			later = append(later, reduce.Weight{Minute: at.Add(shift), Mass: m})
			step := rapid.Float64Range(1, 6).Draw(t, "min")
			minute += step
			mass -= step * rapid.Float64Range(10, 30).Draw(t, "g/min")
		}
		target := g("300")
		a, err := reduce.TimeLeft(ws, target, g("1"))
		if err != nil {
			t.Fatal(err)
		}
		b, err := reduce.TimeLeft(later, target, g("1"))
		if err != nil || g("0.02").Less(b.At.Sub(a.At).Sub(shift).Abs()) {
			t.Fatalf("%s and %s, %v", a.At, b.At, err)
		}
		if a.Left.Sign() < 0 || a.At.Less(a.Low) || !a.HighOpen && a.High.Less(a.At) {
			t.Fatalf("%+v", a)
		}
	})
}

func BenchmarkTimeLeft(b *testing.B) {
	var ws []reduce.Weight
	for i := range int64(60) {
		ws = append(ws, reduce.Weight{Minute: quantity.Int(i), Mass: quantity.Int(3000 - 20*i)})
	}
	for b.Loop() {
		if _, err := reduce.TimeLeft(ws, quantity.Int(500), quantity.Int(1)); err != nil {
			b.Fatal(err)
		}
	}
}
