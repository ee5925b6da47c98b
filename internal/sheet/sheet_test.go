package sheet

import (
	"math"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

func minutes(m float64) time.Duration { return time.Duration(math.Round(m * float64(time.Minute))) }

func table(points ...float64) Table {
	var t Table
	for i := 0; i+1 < len(points); i += 2 {
		t.Points = append(t.Points, Point{TempC: points[i], Time: minutes(points[i+1])})
	}
	return t
}

// The flow urethane of the worked days: invented.
func urethane() *Blend {
	return &Blend{
		Name: "U", YieldL: 14, SlabMinC: 8, SlabMaxC: 28,
		Steps: []Step{
			{Name: "A and colour", Time: 30 * time.Second},
			{Name: "B in", Time: time.Minute, Starts: true},
			{Name: "aggregate", Time: time.Minute},
		},
		BucketLife: table(10, 14, 20, 8, 30, 4.5),
		EdgeLife:   table(10, 20, 20, 12, 30, 7),
		Cures:      []Cure{{Use: UseWashDown, Hours: table(10, 40*60, 15, 30*60, 20, 20*60, 25, 16*60)}},
	}
}

// Day 1 and day 6 of the worked days, by hand: minutes and seconds as printed.
func TestLivesOfTheWorkedDays(t *testing.T) {
	b := urethane()
	for _, c := range []struct {
		what string
		t    Table
		at   float64
		want time.Duration
	}{
		{"day 1 bucket", b.BucketLife, 29, 4*time.Minute + 46*time.Second},
		{"day 1 edge", b.EdgeLife, 27, 8*time.Minute + 14*time.Second},
		{"day 6 bucket", b.BucketLife, 19, 8*time.Minute + 28*time.Second},
		{"day 6 edge", b.EdgeLife, 19, 12*time.Minute + 38*time.Second},
	} {
		got, ok := c.t.At(c.at)
		if !ok || got.Round(time.Second) != c.want {
			t.Errorf("%s at %g °C: %v, %v; want %v", c.what, c.at, got, ok, c.want)
		}
	}
	cure, _ := b.Cure("Wash-Down")
	for _, c := range []struct{ at, hours float64 }{{16, 27.66}, {12, 35.65}} { // day 4
		got, ok := cure.At(c.at)
		if !ok || math.Abs(got.Hours()-c.hours) > 0.005 {
			t.Errorf("cure at %g °C: %.3f h, %v; want %.2f", c.at, got.Hours(), ok, c.hours)
		}
	}
}

func TestOutsideTheTableThereIsNoFigure(t *testing.T) {
	e := urethane().EdgeLife
	for _, c := range []struct {
		at float64
		ok bool
	}{
		{9.99, false},
		{10, true},
		{30, true},
		{30.01, false},
		{-40, false},
		{math.NaN(), false},
		{math.Inf(1), false},
		{10 - 1e-9, true},
		{30 + 1e-9, true}, // 50 °F and 86 °F after the way there and back
	} {
		d, ok := e.At(c.at)
		if ok != c.ok || !ok && d != 0 {
			t.Errorf("at %v: %v, %v; want ok %v", c.at, d, ok, c.ok)
		}
	}
	if _, ok := (Table{}).At(20); ok {
		t.Error("an empty table gave a figure")
	}
	if d, ok := (Table{Always: time.Minute}).At(-30); !ok || d != time.Minute {
		t.Errorf("a time without a temperature: %v, %v", d, ok)
	}
	// What needs the figure says so, too.
	from := time.Date(2026, 5, 4, 6, 0, 0, 0, time.UTC)
	cold := []Sample{{from, 20}, {from.Add(time.Minute), 9}}
	if _, ok := e.Used(from, from.Add(2*time.Minute), cold); ok {
		t.Error("a share of life was given over a stretch outside the table")
	}
	if u, ok := e.Used(from, from.Add(time.Minute), cold); !ok || math.Abs(u-1./12) > 1e-12 {
		t.Errorf("before that stretch: %v, %v; want 1/12", u, ok)
	}
	if _, ok := e.Ends(from, cold); ok {
		t.Error("an end was given over a stretch outside the table")
	}
	if _, ok := e.Used(from, from.Add(time.Minute), nil); ok {
		t.Error("a share of life was given without any reading")
	}
	if _, ok := urethane().EdgeLifeAfter(9, 0, 0); ok {
		t.Error("an edge life was given outside the table")
	}
}

func TestRange(t *testing.T) {
	lo, hi, ok := urethane().EdgeLife.Range()
	if lo != 10 || hi != 30 || !ok {
		t.Error(lo, hi, ok)
	}
	if _, _, ok := (Table{}).Range(); ok {
		t.Error("an empty table has a range")
	}
	if lo, hi, ok := (Table{Always: 1}).Range(); !math.IsInf(lo, -1) || !math.IsInf(hi, 1) || !ok {
		t.Error(lo, hi, ok)
	}
}

func TestFitsSlab(t *testing.T) {
	b := urethane() // range 8 to 28 °C, table 10 to 30 °C: both must hold
	for _, c := range []struct {
		at float64
		ok bool
	}{{9, false}, {10, true}, {28, true}, {28.5, false}, {math.NaN(), false}} {
		if b.FitsSlab(c.at) != c.ok {
			t.Errorf("%v °C: %v", c.at, !c.ok)
		}
	}
	b.SlabMinC, b.SlabMaxC = 0, 0 // the sheet states no range: the table decides
	if !b.FitsSlab(30) || b.FitsSlab(31) {
		t.Error("without a range the table does not decide")
	}
}

// The reaction starts at the marked step; with none marked at once, which is
// the cautious reading.
func TestWhichStepStartsTheReaction(t *testing.T) {
	b := urethane()
	if b.MixTime() != 150*time.Second || b.ReactionAfter() != 30*time.Second {
		t.Error(b.MixTime(), b.ReactionAfter())
	}
	b.Steps[1].Starts = false
	if b.ReactionAfter() != 0 {
		t.Error("no step marked:", b.ReactionAfter())
	}
	b.Steps[2].Starts = true
	if b.ReactionAfter() != 90*time.Second {
		t.Error("last step marked:", b.ReactionAfter())
	}
}

func TestStepAt(t *testing.T) {
	type at struct {
		Step int
		Ends time.Duration
		Done bool
	}
	var got []at
	for _, s := range []time.Duration{0, 29 * time.Second, 30 * time.Second, 149 * time.Second, 150 * time.Second} {
		i, ends, done := urethane().StepAt(s)
		got = append(got, at{i, ends, done})
	}
	want := []at{
		{0, 30 * time.Second, false},
		{0, 30 * time.Second, false},
		{1, 90 * time.Second, false},
		{2, 150 * time.Second, false},
		{3, 150 * time.Second, true},
	}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
}

// Time wasted in the bucket is taken off the edge: by hand, 12 min · (1 − (0.6 − 0.4)).
func TestEdgeLifeIsCutByTheBucket(t *testing.T) {
	b := urethane()
	for _, c := range []struct {
		used, planned float64
		want          time.Duration
	}{
		{0.4, 0.4, minutes(12)},  // handled as planned
		{0.2, 0.4, minutes(12)},  // sooner than planned gives nothing back
		{0.6, 0.4, minutes(9.6)}, // by hand
		{1.5, 0.4, 0},            // more than all of it
	} {
		got, ok := b.EdgeLifeAfter(20, c.used, c.planned)
		if !ok || (got-c.want).Abs() > time.Millisecond {
			t.Errorf("used %g, planned %g: %v, %v; want %v", c.used, c.planned, got, ok, c.want)
		}
	}
}

func TestBlends(t *testing.T) {
	s := Sheet{Blends: []Blend{{Name: "quick", Accelerated: true}, {Name: "Plain"}, {Name: "other"}}}
	if s.Plain().Name != "Plain" || s.Accelerated().Name != "quick" || s.Blend("plain").Name != "Plain" {
		t.Error("the wrong blend was found")
	}
	if s.Blend("none") != nil || (&Sheet{}).Plain() != nil {
		t.Error("a blend was found where there is none")
	}
	if _, ok := urethane().Cure(UseFoot); ok {
		t.Error("a cure was found that the sheet does not give")
	}
}

func TestTableProblems(t *testing.T) {
	for _, c := range []struct {
		name string
		t    Table
		n    int
	}{
		{"sound", table(10, 20, 20, 12), 0},
		{"empty", Table{}, 0},
		{"zero time", table(10, 20, 20, 0), 1},
		{"below zero", table(10, -1), 1},
		{"twice", table(10, 20, 10, 12), 1},
		{"out of order", table(20, 12, 10, 20), 1},
		{"rises", table(10, 12, 20, 13), 1},
		{"level", table(10, 12, 20, 12), 1},
		{"two faults", table(10, 12, 20, 13, 20, 11), 2},
	} {
		if got := c.t.Problems(); len(got) != c.n {
			t.Errorf("%s: %q, want %d problems", c.name, got, c.n)
		}
	}
}

// Laws: a table falls with temperature; shares add up; a life ends where its
// share reaches 1.
func TestLaws(t *testing.T) {
	b := urethane()
	begin := time.Date(2026, 5, 4, 6, 0, 0, 0, time.UTC)
	rapid.Check(t, func(t *rapid.T) {
		temp := rapid.Float64Range(10, 30)
		x, y := temp.Draw(t, "x"), temp.Draw(t, "y")
		if x > y {
			x, y = y, x
		}
		dx, _ := b.EdgeLife.At(x)
		dy, _ := b.EdgeLife.At(y)
		if dx < dy {
			t.Fatalf("life rises from %g to %g °C", x, y)
		}
		var temps []Sample
		at := begin
		for range rapid.IntRange(1, 5).Draw(t, "readings") {
			temps = append(temps, Sample{at, temp.Draw(t, "temp")})
			at = at.Add(time.Duration(rapid.IntRange(1, 400).Draw(t, "gap")) * time.Second)
		}
		from := begin.Add(time.Duration(rapid.IntRange(-300, 600).Draw(t, "from")) * time.Second)
		end, ok := b.EdgeLife.Ends(from, temps)
		u, ok2 := b.EdgeLife.Used(from, end, temps)
		if !ok || !ok2 || math.Abs(u-1) > 1e-8 {
			t.Fatalf("from %v the life ends at %v with %v used", from, end, u)
		}
		mid := from.Add(time.Duration(rapid.Float64Range(0, 1).Draw(t, "mid") * float64(end.Sub(from))))
		u1, _ := b.EdgeLife.Used(from, mid, temps)
		u2, _ := b.EdgeLife.Used(mid, end, temps)
		if math.Abs(u1+u2-u) > 1e-9 {
			t.Fatalf("%v + %v is not %v", u1, u2, u)
		}
	})
}
