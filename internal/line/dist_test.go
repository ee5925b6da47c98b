package line

import (
	"math"
	"testing"
	"time"

	"gonum.org/v1/gonum/stat/distuv"
)

// The tables against a general statistics library: quantiles at the middle of
// cells, mean, and the share of the variance that the cells keep.
func TestTablesAgainstLibrary(t *testing.T) {
	for _, c := range []struct {
		name     string
		d        Dist
		q        interface{ Quantile(p float64) float64 }
		variance float64 // least share of it that 1,024 cells keep
	}{
		{"lognormal", LogNormal(4*time.Minute, 0.2), distuv.LogNormal{Mu: math.Log(240000), Sigma: 0.2}, 0.999},
		{"wide lognormal", LogNormal(30*time.Second, 0.6), distuv.LogNormal{Mu: math.Log(30000), Sigma: 0.6}, 0.995},
		{"triangular", Triangular(20*time.Second, 30*time.Second, 70*time.Second), distuv.NewTriangle(20000, 70000, 30000, nil), 0.999},
		{"exponential", Exponential(time.Minute), distuv.Exponential{Rate: 1.0 / 60000}, 0.998},
	} {
		moments := c.q.(interface {
			Mean() float64
			Variance() float64
		})
		table := c.d.Table()
		var sq float64
		for i, v := range table {
			sq += (float64(v) - table.mean()) * (float64(v) - table.mean()) / Cells
			if i < 8 || i >= Cells-8 {
				continue // end cells are wide, their mean is not their middle
			}
			want := c.q.Quantile((float64(i) + 0.5) / Cells)
			if math.Abs(float64(v)-want) > 2+want/500 {
				t.Fatalf("%s, cell %d: %d ms, want %.1f", c.name, i, v, want)
			}
		}
		if mean := table.mean(); math.Abs(mean-moments.Mean()) > 0.01+moments.Mean()*1e-6 {
			t.Errorf("%s: mean %.3f ms, want %.3f", c.name, mean, moments.Mean())
		}
		if kept := sq / moments.Variance(); kept > 1.0001 || kept < c.variance {
			t.Errorf("%s: the cells keep %.4f of the variance, want at least %v", c.name, kept, c.variance)
		}
		if got := msOf(c.d.Mean()); math.Abs(got-moments.Mean()) > 0.01+moments.Mean()*1e-6 {
			t.Errorf("%s: Mean is %.3f ms, want %.3f", c.name, got, moments.Mean())
		}
	}
}

func TestTableOfPlainShapes(t *testing.T) {
	for _, c := range []struct {
		name   string
		d      Dist
		lo, hi uint32
		mean   float64
	}{
		{"unused", Dist{}, 0, 0, 0},
		{"fixed", Fixed(90 * time.Second), 90000, 90000, 90000},
		{"lognormal without spread", LogNormal(time.Minute, 0), 60000, 60000, 60000},
		{"triangle without width", Triangular(time.Second, time.Second, time.Second), 1000, 1000, 1000},
		{"seen once", Observed([]time.Duration{7 * time.Second}), 7000, 7000, 7000},
		{"seen in any order", Observed([]time.Duration{4 * time.Second, 2 * time.Second}), 2000, 4000, 3000},
	} {
		table := c.d.Table()
		if table[0] != c.lo || table[Cells-1] != c.hi || math.Abs(table.mean()-c.mean) > 0.01 {
			t.Errorf("%s: %d to %d, mean %v; want %d to %d, mean %v", c.name, table[0], table[Cells-1], table.mean(), c.lo, c.hi, c.mean)
		}
	}
}

// A step that has lasted some time can only end later: the cells beyond it, as
// often as each other.
func TestTableGivenElapsed(t *testing.T) {
	table := Triangular(0, 0, 1024*time.Second).Table()
	for _, elapsed := range []uint32{0, 300000, 900000} {
		var sum, n float64
		for _, v := range table {
			if v >= elapsed {
				sum += float64(v)
				n++
			}
		}
		given := table.given(elapsed)
		if given[0] < elapsed {
			t.Errorf("given %d ms: ends at %d, before now", elapsed, given[0])
		}
		if math.Abs(given.mean()-sum/n) > 0.003*sum/n {
			t.Errorf("given %d ms: mean %.0f, want %.0f", elapsed, given.mean(), sum/n)
		}
	}
	if late := table.given(2000000); late[0] != 2000000 || late[Cells-1] != 2000000 {
		t.Errorf("a step that has outlasted its table ends now: got %d to %d", late[0], late[Cells-1])
	}
}
