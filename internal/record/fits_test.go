package record

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"floorpace/internal/stats"
)

// fitsOf reads testdata/fits.csv: answers of a general statistics library to data
// made up for it, by set and by what is asked. Every row names its call.
func fitsOf(t *testing.T) (data map[string]string, want map[string]map[string]string) {
	t.Helper()
	f, err := os.Open("testdata/fits.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil || len(rows) < 30 {
		t.Fatalf("%d rows: %v", len(rows), err)
	}
	data, want = map[string]string{}, map[string]map[string]string{}
	for _, r := range rows[1:] {
		set := r[0]
		if set == "t" {
			set += " " + r[1]
		}
		data[set] = r[1]
		if want[set] == nil {
			want[set] = map[string]string{}
		}
		want[set][r[2]] = r[3]
	}
	return data, want
}

func figureIn(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// The fits are those of a general statistics library: median, spread and interval of
// the logarithms, what is odd, straight lines, Student's t.
func TestFitsAgreeWithALibrary(t *testing.T) {
	data, want := fitsOf(t)
	tried := 0
	agree := func(set, what string, got float64) {
		t.Helper()
		w := figureIn(t, want[set][what])
		if tried++; math.Abs(got-w) > 1e-9*math.Max(1, math.Abs(w)) {
			t.Errorf("%s, %s: %.12g, the library %.12g", set, what, got, w)
		}
	}
	for _, set := range []string{"mixing", "few", "coarse", "one slow"} {
		var seen []value
		for i, s := range strings.Fields(data[set]) {
			seen = append(seen, value{v: figureIn(t, s), log: set, batch: i + 1})
		}
		f, err := fitOf(set, seen)
		if err != nil {
			t.Fatal(err)
		}
		agree(set, "median", f.Median.V)
		agree(set, "spread", f.Spread.V)
		agree(set, "low", f.Low.V)
		agree(set, "high", f.High.V)
		odd := []string{}
		for _, o := range f.Out {
			odd = append(odd, fmt.Sprint(o.Batch))
		}
		if got := strings.Join(odd, " "); got != want[set]["odd"] {
			t.Errorf("%s: left out %q, the library %q", set, got, want[set]["odd"])
		}
	}
	line := func(set string) (x, y []float64) {
		for _, s := range strings.Fields(data[set]) {
			a, b, _ := strings.Cut(s, ":")
			x, y = append(x, figureIn(t, a)), append(y, figureIn(t, b))
		}
		return x, y
	}
	l, g := &Lesson{plan: truthPlan()}, newGather()
	metres, took := line("walking")
	for i := range metres {
		g.carryM, g.by[fitCarry] = append(g.carryM, metres[i]), append(g.by[fitCarry], value{v: took[i], batch: i + 1})
	}
	g.ratios.x, g.ratios.y = line("drift")
	l.walking(g)
	l.drift(g)
	if len(l.Fits) != 3 || len(l.Fits[0].Out) > 0 {
		t.Fatalf("%+v %v", l.Fits, l.Refused)
	}
	for i, set := range []string{"walking", "drift"} {
		f := &l.Fits[1+i]
		agree(set, "median", f.Median.V)
		agree(set, "low", f.Low.V)
		agree(set, "high", f.High.V)
	}
	s, err := stats.Fit(metres, took)
	if err != nil {
		t.Fatal(err)
	}
	agree("walking", "intercept", s.Intercept)
	for _, df := range []float64{1, 2, 4, 9, 23, 57, 120, 999} {
		agree(fmt.Sprintf("t %g", df), "0.975", studentT(0.975, df))
	}
	if tried < 30 {
		t.Errorf("only %d figures were compared", tried)
	}
}

// A break on the way to the front is named and does not bend the line: with the odd
// ones in it least squares would be off by far more than the interval.
func TestOddCarryIsNamed(t *testing.T) {
	data, want := fitsOf(t)
	l, g := &Lesson{plan: truthPlan()}, newGather()
	for i, s := range strings.Fields(data["walking"]) {
		a, b, _ := strings.Cut(s, ":")
		g.carryM, g.by[fitCarry] = append(g.carryM, figureIn(t, a)), append(g.by[fitCarry], value{v: figureIn(t, b), batch: i + 1})
	}
	for i, m := range []float64{4, 21} {
		g.carryM, g.by[fitCarry] = append(g.carryM, m), append(g.by[fitCarry], value{v: []float64{640, 150}[i], log: "a", batch: 90 + i})
	}
	l.walking(g)
	if len(l.Fits) != 2 {
		t.Fatalf("%+v %v", l.Fits, l.Refused)
	}
	if out := l.Fits[0].Out; len(out) != 2 || out[0].Batch != 90 || out[1].Batch != 91 || out[0].Log != "a" {
		t.Errorf("left out %+v", out)
	}
	if w := figureIn(t, want["walking"]["median"]); math.Abs(l.Fits[1].Median.V-w) > 1e-9 {
		t.Errorf("%g m/s with a break on the way, %g without", l.Fits[1].Median.V, w)
	}
}
