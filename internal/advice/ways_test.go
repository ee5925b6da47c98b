package advice

import (
	"context"
	"fmt"
	"math"
	"strings"
	"syscall"
	"testing"
	"time"

	"floorpace/internal/day"
	"floorpace/internal/floor"
	"floorpace/internal/plan"
	"floorpace/internal/sheet"
)

// must finds a way out that has to be there.
func (o Outlook) must(t *testing.T, id string) Way {
	t.Helper()
	w, _, ok := o.find(id)
	if !ok {
		show(t, "no "+id, o)
		t.Fatalf("no way out called %s", id)
	}
	return w
}

// A long stop, as on test day 6: the edge is gone, so nothing saves it but a cut.
func TestCutBackAfterStop(t *testing.T) {
	d := open(t, cellar(3, 0.03))
	d.pour(12, 90*time.Second, 205*time.Second, 1, 2, 3)
	d.pourUntil(d.at.Add(5*time.Minute), 205*time.Second)
	d.press(d.at, day.Press{Kind: day.HoldBegan, Why: "forklift"})
	d.at = d.at.Add(12 * time.Minute)
	o := d.judge(500)
	if o.Edge != 0 || len(o.Notes) == 0 {
		t.Errorf("chance %.3f with an edge that is gone, notes %v", o.Edge, o.Notes)
	}
	cut := o.must(t, "cut-back")
	if cut.Edge < 0.95 || o.Ways[0].ID != "cut-back" {
		show(t, "after the stop", o)
		t.Errorf("cut back %+v, want it first and holding", cut)
	}
	stop := o.must(t, "stop-now")
	if stop.Edge != 1 || stop.LeavesM2 < 100 || stop.Kits != 0 {
		t.Errorf("stop now %+v", stop)
	}
	d.press(d.at.Add(time.Second), *cut.Press)
	d.press(d.at.Add(2*time.Second), day.Press{Kind: day.HoldEnded})
	if again := d.judge(500); again.Edge < 0.95 {
		show(t, "after the cut", again)
		t.Errorf("chance %.3f after the cut, promised %.3f", again.Edge, cut.Edge)
	}
}

// With no mixer at work nothing comes: the chance is nought and says why; with
// the power back it is what it was.
func TestNothingComes(t *testing.T) {
	d := open(t, cellar(3, 0.03))
	d.pour(12, 90*time.Second, 205*time.Second, 1, 2, 3)
	for m := 1; m <= 3; m++ {
		d.press(d.at, day.Press{Kind: day.PostLost, Post: day.PostMixer, Which: m})
	}
	o := d.judge(300)
	if o.Edge != 0 || o.Why == "" || !o.P50.IsZero() {
		t.Errorf("%+v", o)
	}
	o.must(t, "stop-now")
	d.press(d.at, day.Press{Kind: day.PostReturned, Post: day.PostMixer, Which: 1})
	d.press(d.at, day.Press{Kind: day.PostLost, Post: day.PostRunner, Which: 1})
	d.press(d.at, day.Press{Kind: day.PostLost, Post: day.PostRunner, Which: 2})
	if o = d.judge(300); !strings.Contains(o.Why, "runner") || o.must(t, "runner").P50.IsZero() {
		t.Errorf("without runners: %q", o.Why)
	}
}

// Stop lines ahead: kits and minutes to each, and the choice is acted on. Kits by
// hand: 10 m of the 9 m pull are 540 L, less 0 laid, at 13.2075 L: 40.9, so 41.
func TestRunsToTheStopLine(t *testing.T) {
	p := cellar(2, 0.03)
	z := &p.Zones[0]
	z.StopLines = []floor.Line{
		{Name: "joint 10", A: floor.Point{Y: 10}, B: floor.Point{X: 9, Y: 10}},
		{Name: "joint 14", A: floor.Point{Y: 14}, B: floor.Point{X: 6, Y: 14}},
	}
	d := open(t, p)
	d.pour(4, 135*time.Second, 205*time.Second, 1, 2)
	o := d.judge(300)
	w := o.must(t, "stop:joint 10")
	left := int(math.Ceil((540 - d.look().PosL) / (14 / 1.06)))
	if w.Kits != left || math.Abs(w.LeavesM2-(174-90)) > 0.01 || w.P50.IsZero() || !w.Opening.IsZero() {
		t.Errorf("%+v, want %d kits and 84 m² left", w, left)
	}
	d.press(d.at, *w.Press)
	if o = d.judge(300); o.Kits != left {
		t.Errorf("%d kits after the choice, want %d", o.Kits, left)
	}
	if w := o.must(t, "end"); w.LeavesM2 != 0 || w.Kits <= left {
		t.Errorf("going on to the end: %+v", w)
	}
}

// The other blend is judged by its own lives, and not offered outside its range.
func TestOtherBlend(t *testing.T) {
	p := cellar(2, 0.03)
	slow := urethane().Blends[0]
	slow.Name = "slow"
	slow.EdgeLife = sheet.Table{Points: []sheet.Point{{TempC: 10, Time: mins(40)}, {TempC: 30, Time: mins(16)}}}
	slow.BucketLife = sheet.Table{Points: []sheet.Point{{TempC: 10, Time: mins(30)}, {TempC: 30, Time: mins(9)}}}
	cold := urethane().Blends[0]
	cold.Name, cold.Accelerated, cold.SlabMinC, cold.SlabMaxC = "cold", true, 2, 12
	p.Sheet.Blends = append(p.Sheet.Blends, slow, cold)
	d := open(t, p)
	d.pour(6, 135*time.Second, 205*time.Second, 1, 2)
	o := d.judge(500)
	w := o.must(t, "blend:slow")
	// What lies there already keeps its own short life.
	if w.Press.Kind != day.BlendChanged || w.Press.Blend != "slow" {
		t.Errorf("press %+v", w.Press)
	}
	s, _ := Ask(d.look())
	changed := s.s.copy()
	changed.blend = p.Sheet.Blend("slow")
	old, _ := s.s.edgeLife(s.s.blend, -1)
	cfg, _ := changed.build()
	short, long := 0, 0
	for _, c := range cfg.Checks {
		switch life, _ := changed.edgeLife(changed.blend, -1); {
		case c.EdgeLife == life:
			long++
		case c.EdgeLife <= old:
			short++
		}
	}
	if short == 0 || long == 0 {
		t.Errorf("%d checks with the old life, %d with the new", short, long)
	}
	var why string
	for _, r := range o.Refused {
		if r.ID == "blend:cold" {
			why = r.Why
		}
	}
	if !strings.Contains(why, "27 °C") {
		t.Errorf("the cold blend is refused with %q", why)
	}
}

// Buckets that die far from the station: the nearer station and the cooler kits
// keep them; day 1, station at 46 m, dwell 3:53 + 0:15 against 3:46, by hand.
func TestKeepsBucketsAlive(t *testing.T) {
	p := cellar(3, 0.01)
	p.Zones[0].Station = floor.Point{X: 4.5, Y: -40}
	p.Crew.Runners = 3
	p.Readings.CoolerKitC = 20
	d := open(t, p)
	o := d.judge(300)
	if o.Buckets > 0.05 {
		t.Errorf("buckets live with %.3f, want them dead", o.Buckets)
	}
	if w := o.must(t, "cool-kits"); w.Both < 0.95 || !strings.Contains(w.Figure, "8:00") {
		t.Errorf("cooler kits %+v", w)
	}
	if w := o.must(t, "station"); w.Buckets < 0.95 {
		t.Errorf("nearer station %+v", w)
	}
}

// Where the edge outlasts the crew a slower pace is offered, and pressing it keeps
// the promise.
func TestSlowerPace(t *testing.T) {
	p := cellar(3, 0.02)
	p.Readings.SlabC, p.Readings.KitC = 15, 18
	d := open(t, p)
	o := d.judge(300)
	w := o.must(t, "slow")
	if w.Edge < 0.95 || w.Press.Kind != day.PaceSet || w.Press.Seconds < 99 {
		t.Errorf("slower pace %+v", w)
	}
	d.press(d.at, *w.Press)
	again := d.judge(300)
	if again.Both < 0.95 || again.P50.Sub(w.P50).Abs() > 2*time.Minute {
		t.Errorf("after the press %.3f, ends %s; promised %s", again.Both, again.P50, w.P50)
	}
}

// No figure, no forecast.
func TestOutsideTheSheet(t *testing.T) {
	p := cellar(3, 0.02)
	p.Readings.SlabC = 8
	q, ok := Ask(open(t, p).look())
	if !ok {
		t.Fatal("not asked")
	}
	if o := q.Judge(context.Background(), 100, 1); o.OK || !strings.Contains(o.Why, "outside the sheet") {
		t.Errorf("%+v", o)
	}
	if _, ok := Ask(nil); ok {
		t.Error("nothing was asked")
	}
}

// Ranking by hand: holding ways that lay the whole floor come first, then chance,
// opening, people, kits.
func TestRank(t *testing.T) {
	at := func(m int) time.Time { return time.Date(2026, 5, 5, 0, m, 0, 0, time.UTC) }
	ws := []Way{
		{ID: "stop", Edge: 1, Both: 1, LeavesM2: 50},
		{ID: "weak", Edge: 0.6, Both: 0.6, Opening: at(0), InTime: true},
		{ID: "two hands", Edge: 0.99, Both: 0.99, Opening: at(31), InTime: true, People: 2},
		{ID: "one hand", Edge: 0.99, Both: 0.99, Opening: at(33), InTime: true, People: 1},
		{ID: "late", Edge: 0.99, Both: 0.99, Opening: at(300), InTime: true},
		{ID: "best", Edge: 1, Both: 1, Opening: at(300), InTime: true},
		{ID: "short", Edge: 1, Both: 1, Opening: at(0), InTime: true, Short: true},
		{ID: "after the opening", Edge: 0.9, Both: 0.9, Opening: at(0)},
	}
	rank(ws, 0.95)
	var got []string
	for _, w := range ws {
		got = append(got, w.ID)
	}
	if s := strings.Join(got, ", "); s != "best, one hand, two hands, late, stop, weak, short, after the opening" {
		t.Errorf("ranked %s", s)
	}
}

// BenchmarkReforecast is the live question: 2,000 days of the 50 batches left,
// without the ways out.
func BenchmarkReforecast(b *testing.B) {
	d := open(b, cellar(3, 0.05))
	d.pour(30, 90*time.Second, 205*time.Second, 1, 2, 3)
	v := d.look()
	b.ReportAllocs()
	var from, to syscall.Rusage
	syscall.Getrusage(syscall.RUSAGE_SELF, &from)
	for b.Loop() {
		q, _ := Ask(v)
		r := run{ctx: context.Background(), days: 2000, seed: 1, workers: 1}
		if _, err := r.study(q.s); err != nil {
			b.Fatal(err)
		}
	}
	syscall.Getrusage(syscall.RUSAGE_SELF, &to)
	took := to.Utime.Nano() + to.Stime.Nano() - from.Utime.Nano() - from.Stime.Nano()
	b.ReportMetric(float64(took)/float64(b.N)/1e6, "cpu-ms/forecast")
}

// BenchmarkJudge is the same with every way out.
func BenchmarkJudge(b *testing.B) {
	d := open(b, cellar(3, 0.05))
	d.pour(30, 90*time.Second, 205*time.Second, 1, 2, 3)
	d.press(d.at, day.Press{Kind: day.PostLost, Post: day.PostMixer, Which: 2})
	v := d.look()
	for b.Loop() {
		q, _ := Ask(v)
		if o := q.Judge(context.Background(), 2000, 1); !o.OK {
			b.Fatal(o.Why)
		}
	}
}

// Where the floor cures too late, heating is named with why it is not judged; where
// it cures in time, nobody is told to heat. The cure at 12 °C of the invented sheet
// is 36 h (between 40 h at 10 °C and 30 h at 15 °C, by hand), at 27 °C under 20 h.
func TestHeatingIsNamedInTheCold(t *testing.T) {
	for _, c := range []struct {
		slabC float64
		named bool
	}{{12, true}, {27, false}} {
		p := cellar(3, 0.03)
		p.Readings.SlabC, p.Opening = c.slabC, p.Handover.Add(30*time.Hour)
		d := open(t, p)
		o := d.judge(100)
		named := false
		for _, r := range o.Refused {
			named = named || r.ID == "heat" && strings.Contains(r.Why, "not judged")
		}
		if named != c.named || o.InTime == c.named {
			t.Errorf("slab %v °C: heating named %v, in time %v; want %v", c.slabC, named, o.InTime, c.named)
		}
	}
}

// Heating first where the plan knows how warm and how long: judged by the sheet's
// lives at the warm slab, begun so much later. By hand from the invented sheet: the
// cure at 20 °C is 20 h, at 12 °C 36 h, so with 30 h in all and two hours of
// heating only the warm floor opens in time. At 8 °C the sheet has no figure, and
// heating is a way to one.
func TestHeatingIsJudged(t *testing.T) {
	for _, slabC := range []float64{12, 8} {
		p := cellar(3, 0.03)
		p.Readings.SlabC, p.Readings.WarmSlabC, p.Readings.WarmUp = slabC, 20, 2*time.Hour
		p.Opening = p.Handover.Add(30 * time.Hour)
		d := open(t, p)
		q, _ := Ask(d.look())
		o := q.Judge(context.Background(), 200, 1)
		if o.OK != (slabC == 12) {
			t.Fatalf("at %v °C the forecast is there: %v", slabC, o.OK)
		}
		w := o.must(t, "heat")
		if !w.InTime || w.Edge < 0.95 || !strings.Contains(w.Figure, "20 °C") || !strings.Contains(w.Figure, "2:00:00") {
			t.Errorf("at %v °C: %+v", slabC, w)
		}
		if cure := w.Opening.Sub(w.P50); cure != 20*time.Hour {
			t.Errorf("at %v °C the warm floor cures in %v, by hand 20 h", slabC, cure)
		}
		if o.OK {
			if later := w.P50.Sub(o.P50); later < 110*time.Minute || later > 130*time.Minute {
				t.Errorf("heating ends the zone %v later, want about two hours", later)
			}
			if o.InTime {
				t.Error("the cold floor opens in time")
			}
		}
	}
	// A slab as warm already, or a wet edge that cannot wait two hours: nothing gained.
	p := cellar(3, 0.03)
	p.Readings.WarmSlabC, p.Readings.WarmUp = 20, 2*time.Hour
	if _, _, ok := open(t, p).judge(100).find("heat"); ok {
		t.Error("a slab of 27 °C is to be heated to 20")
	}
}

// Each way out of the list is judged where it helps, and keeps what it promised
// once it is pressed or done. Worked by hand (test day 1): to and fro 9:42 against
// 6:14 is lost and the same side 5:06 holds with three mixers; two mixers hold rows
// of 5.60 m² / 9 m = 0.62 m at the most.
func TestEveryWayOutKeepsItsPromise(t *testing.T) {
	for _, c := range []struct {
		id     string
		change func(p *plan.Plan)
		mixers int
		base   float64 // at most this as now
		done   func(p *plan.Plan)
	}{
		{id: "row", mixers: 2, base: 0.2},
		{id: "narrow", mixers: 2, base: 0.2},
		{id: "same-side", mixers: 3, base: 0.05, change: func(p *plan.Plan) { p.Zones[0].Pattern = plan.ToAndFro }},
		{id: "mixer", mixers: 2, base: 0.2, done: func(p *plan.Plan) { p.Crew.Mixers++ }},
		{id: "runner", mixers: 3, base: 0.5, change: func(p *plan.Plan) {
			p.Crew.Runners, p.Zones[0].Station = 1, floor.Point{X: 4.5, Y: -60}
			p.Readings.KitC = 10
		}, done: func(p *plan.Plan) { p.Crew.Runners++ }},
	} {
		p := cellar(c.mixers, 0.03)
		if c.change != nil {
			c.change(p)
		}
		d := open(t, p)
		o := d.judge(300)
		w := o.must(t, c.id)
		if o.Edge > c.base || w.Edge < 0.95 {
			t.Errorf("%s: the chance is %.3f, as now %.3f", c.id, w.Edge, o.Edge)
		}
		if w.Figure == "" || w.What == "" || w.P50.IsZero() || w.Opening.IsZero() || w.Kits == 0 || w.Press == nil {
			t.Errorf("%s shows no figure: %+v", c.id, w)
		}
		if c.id == "row" && (w.Press.DepthM > 0.622 || w.Press.DepthM < 0.3) {
			t.Errorf("rows of %.2f m, by hand 0.62 m at the most", w.Press.DepthM)
		}
		if c.done != nil {
			c.done(p)
			d = open(t, p)
		} else {
			d.press(d.at, *w.Press)
		}
		again := d.judge(300)
		if math.Abs(again.Edge-w.Edge) > 0.03 || again.P50.Sub(w.P50).Abs() > time.Minute {
			t.Errorf("%s promised %.3f until %s; done it is %.3f until %s", c.id, w.Edge, w.P50, again.Edge, again.P50)
		}
	}
}

// Buckets that only stand and age: by hand, a batch every 1:30 and 3:53 from its
// first stir to the floor and back keep three out, so of eight five stand clean and
// taking some away gains nothing: that is said, with the figures. Where no more are
// in the loop than the pace needs, one fewer is judged like any other way.
func TestFewerBuckets(t *testing.T) {
	why := func(o Outlook) string {
		for _, r := range o.Refused {
			if r.ID == "buckets" {
				return r.Why
			}
		}
		return ""
	}
	d := open(t, cellar(3, 0.03))
	f := d.look().Floor
	round := f.Lead(d.look().Blend, 0) + d.s.Plan.Crew.Pour + f.Back(0)
	out := int(math.Ceil(round.Seconds() / 90))
	if got := why(d.judge(100)); !strings.Contains(got, fmt.Sprintf("no more than %d of 8", out)) {
		t.Errorf("fewer buckets: %q; by hand %v at 1:30 keep %d out", got, round, out)
	}
	p := cellar(3, 0.03)
	p.Crew.Buckets = 3
	if got := why(open(t, p).judge(100)); !strings.HasPrefix(got, "gains nothing: 2 in the loop") {
		t.Errorf("with three buckets: %q", got)
	}
}

// "Stop now" can be pressed: what lies beyond the nearest straight cut comes off and
// the zone ends there, so nothing is left to lay in it.
func TestStopNowStops(t *testing.T) {
	d := open(t, cellar(3, 0.03))
	d.pour(12, 90*time.Second, 205*time.Second, 1, 2, 3)
	d.pourUntil(d.at.Add(5*time.Minute), 205*time.Second)
	v := d.look()
	want := v.Floor.Path.CutBack(v.PosL).VolL
	d.press(d.at, *d.judge(100).must(t, "stop-now").Press)
	if v = d.look(); math.Abs(v.PosL-want) > 1e-6 || math.Abs(v.EndL-want) > 1e-6 {
		t.Errorf("front at %.1f L, end at %.1f L, want both at the cut, %.1f L", v.PosL, v.EndL, want)
	}
	if _, ok := Ask(v); ok {
		t.Error("there is still something to lay")
	}
	es, err := day.Decide(d.s, day.Press{Kind: day.StopChosen, Text: "far behind", Value: day.Value(want / 2)}, d.at)
	if err == nil {
		t.Errorf("a stop far behind the front was taken: %v", es)
	}
}
