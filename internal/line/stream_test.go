package line

import (
	"math"
	"testing"
)

// chiSquared is the sum over the cells of (seen − expected)²/expected, as a
// number of standard deviations from what chance gives (mean n−1, variance
// 2(n−1): NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.15).
func chiSquared(seen []int, total int) float64 {
	expected := float64(total) / float64(len(seen))
	var x float64
	for _, n := range seen {
		x += (float64(n) - expected) * (float64(n) - expected) / expected
	}
	free := float64(len(seen) - 1)
	return (x - free) / math.Sqrt(2*free)
}

var everyStep = []struct {
	name string
	draw func(s stream, b int) uint32
}{
	{"carry", func(s stream, b int) uint32 { return s.draw(stepCarry, b) }},
	{"pour", func(s stream, b int) uint32 { return s.draw(stepPour, b) }},
	{"walk", func(s stream, b int) uint32 { return s.draw(stepWalk, b) }},
	{"rake", func(s stream, b int) uint32 { return s.draw(stepRake, b) }},
	{"roll", func(s stream, b int) uint32 { return s.draw(stepRoll, b) }},
	{"broadcast", func(s stream, b int) uint32 { return s.draw(stepBroadcast, b) }},
	{"mix", func(s stream, b int) uint32 { return s.drawMix(stepMix, b) }},
	{"clear", func(s stream, b int) uint32 { return s.drawMix(stepClear, b) }},
}

// Every cell of every step comes up as often as chance says: over the batches
// of long days, over many short days, and over seeds that differ by one.
func TestStreamIsUniform(t *testing.T) {
	const days, batches = 400, 1000
	for _, step := range everyStep {
		for _, by := range []struct {
			name string
			key  func(i int) stream
		}{
			{"days", func(i int) stream { return newStream(1, i) }},
			{"seeds", func(i int) stream { return newStream(uint64(i), 3) }},
		} {
			seen := make([]int, Cells)
			for i := range days {
				s := by.key(i)
				for b := range batches {
					seen[step.draw(s, b)]++
				}
			}
			if z := chiSquared(seen, days*batches); math.Abs(z) > 4.5 {
				t.Errorf("%s over %s: chi squared is %.1f standard deviations off", step.name, by.name, z)
			}
		}
	}
}

// Two draws that differ in one thing only (the step, the batch, the day or the
// seed) are independent: their pairs fill a 32 × 32 grid evenly, and they do
// not move together.
func TestStreamIsIndependent(t *testing.T) {
	type pair struct {
		name string
		a, b func(day, batch int) uint32
	}
	var pairs []pair
	at := func(step, seed, day, batch int) func(d, b int) uint32 {
		return func(d, b int) uint32 {
			return everyStep[step].draw(newStream(uint64(1+seed), d+day), b+batch)
		}
	}
	for i, step := range everyStep {
		here := at(i, 0, 0, 0)
		pairs = append(pairs,
			pair{step.name + ", next batch", here, at(i, 0, 0, 1)},
			pair{step.name + ", two batches on", here, at(i, 0, 0, 2)},
			pair{step.name + ", next day", here, at(i, 0, 1, 0)},
			pair{step.name + ", next seed", here, at(i, 1, 0, 0)})
		for j := range i {
			pairs = append(pairs, pair{step.name + " and " + everyStep[j].name, here, at(j, 0, 0, 0)})
		}
	}
	const days, batches = 200, 500
	for _, p := range pairs {
		seen := make([]int, 32*32)
		var sum float64
		for d := range days {
			for b := range batches {
				x, y := p.a(d, b), p.b(d, b)
				seen[x/32*32+y/32]++
				sum += (float64(x)/Cells - 0.5) * (float64(y)/Cells - 0.5)
			}
		}
		if z := chiSquared(seen, days*batches); math.Abs(z) > 4.5 {
			t.Errorf("%s: pairs are %.1f standard deviations off even", p.name, z)
		}
		// The product of two centred uniforms has variance 1/144.
		if z := sum * 12 / math.Sqrt(days*batches); math.Abs(z) > 4.5 {
			t.Errorf("%s: correlation is %.1f standard deviations off none", p.name, z)
		}
	}
}

func TestStreamIsAFunctionOfItsKey(t *testing.T) {
	if once, again := newStream(1, 2).word(3), newStream(1, 2).word(3); once != again {
		t.Error("the same seed, day and batch gave two words")
	}
	seen := map[stream]string{}
	for seed := range 100 {
		for day := range 1000 {
			s := newStream(uint64(seed), day)
			if old, ok := seen[s]; ok {
				t.Fatalf("seed %d, day %d repeats %s", seed, day, old)
			}
			seen[s] = "an earlier one"
		}
	}
}
