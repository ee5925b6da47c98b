package internal_test

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"floorpace/internal/air"
	"floorpace/internal/day"
	"floorpace/internal/floor"
	"floorpace/internal/pace"
	"floorpace/internal/path"
	"floorpace/internal/plan"
	"floorpace/internal/sheet"
)

const interval = 90 * time.Second // a batch every 1:30, days 1, 4 and 6

// ---- day 1: warm cellar ----

// The crew pours a kit every 1:30 from 8:01:30 on; with kit 30 a gearbox fails,
// with the next two in the mixers that go on.
func day1Begin(p *plan.Plan) time.Time { return p.Handover.Add(3 * time.Hour) }

func day1Presses(c *crew) {
	begin := day1Begin(c.plan)
	var list []todo
	for i := 1; i <= 30; i++ {
		poured := begin.Add(time.Duration(i) * interval)
		list = append(list, batch((i-1)%3+1, i, poured.Add(-3*time.Minute), poured)...)
	}
	for i := 31; i <= 32; i++ {
		started := begin.Add(time.Duration(i-2) * interval)
		list = append(list, todo{started, day.Press{Kind: day.BatchStarted, Mixer: (i-1)%3 + 1}})
	}
	list = append(list, todo{begin.Add(30 * interval), day.Press{Kind: day.PostLost, Post: day.PostMixer, Which: 3, Why: "gearbox"}})
	c.run(list)
}

func day1Answers(t *testing.T, d *workedDay) {
	z := d.check.Zones[0]
	d.put("kits exact", z.KitsExact)
	d.put("kits", z.Kits)
	d.put("area of a kit", z.M2PerKit)
	d.put("bucket life", seconds(z.Lives.Bucket))
	d.put("edge life", seconds(z.Lives.Edge))
	d.put("roll until", seconds(z.Lives.Roll))
	d.put("broadcast until", seconds(z.Lives.Broad))

	f := d.floors[0]
	g := pace.GroundOf(d.plan, 0)
	bucket := gate(t, d.check, "bucket, Cellar")
	if bucket.Call != "stop" || !strings.Contains(bucket.Why, "3:53 old") || !strings.Contains(bucket.Why, "limit 3:46") || !strings.Contains(bucket.Why, "move the mix station to within 37.19 m") {
		t.Errorf("bucket: %+v", bucket)
	}
	furthest := f.Band(f.Blend, pace.HandsOf(d.plan), g, f.Path.TotalL())
	d.put("dwell at 46 m", furthest.Dwell)
	d.put("dwell limit", furthest.DwellLimit)
	d.put("station within", furthest.CarryMost)

	d.put("three mixers interval", pace.Interval(z.Limit))
	d.put("three mixers rate", z.M2Min)
	d.put("three mixers patch", z.PatchM2)
	d.put("same side span", z.SpanM2)
	d.put("same side wait", seconds(z.SpanWaitS))
	d.put("wait limit", seconds(z.SpanLimitS))
	d.put("same side", holds(z.Holds))
	d.put("pour time three mixers", seconds(z.PourS))
	if z.LimitPost != "mixers" {
		t.Errorf("the limit is the %s", z.LimitPost)
	}

	fro := *d.plan
	fro.Zones = append([]plan.Zone(nil), d.plan.Zones...)
	fro.Zones[0].Pattern = plan.ToAndFro
	r := checkOf(t, &fro)
	d.put("to and fro wait", seconds(r.Zones[0].SpanWaitS))
	edge := gate(t, r, "wet edge, Cellar")
	d.put("to and fro", edge.Call)
	if r.Go || !strings.Contains(edge.Why, "9:42") || !strings.Contains(edge.Why, "6:14") {
		t.Errorf("to and fro: %+v", edge)
	}

	with := func(mixers int, posL float64) pace.Band {
		h := pace.HandsOf(d.plan)
		h.Mixers = mixers
		return f.Band(f.Blend, h, g, posL)
	}
	two, narrow := with(2, 0), with(2, f.Path.PosAtFront(15)) // past 14 m the L is 6 m wide
	d.put("two mixers interval", pace.Interval(two.Limit))
	d.put("two mixers patch", two.PatchM2)
	d.put("two mixers wait", two.NeededWait)
	d.put("two mixers", holds(two.Holds()))
	d.put("two mixers widest", two.WidestM)
	d.put("two mixers wait at 6 m", narrow.NeededWait)
	d.put("one mixer widest", with(1, 0).WidestM)
	if !narrow.Holds() {
		t.Error("two mixers do not hold 6 m")
	}

	// From the log: at the failure 30 kits are down and 50 to go with two mixers.
	failed := day1Begin(d.plan).Add(30 * interval)
	v := d.play.At(failed)
	d.put("pour time with the failure", v.Finish.Sub(day1Begin(d.plan)).Minutes())
	if v.Kits.Poured != 30 || v.Band.Holds() || v.Band.LimitPost != "mixers" || math.Abs(v.Band.WidestM-two.WidestM) > 1e-9 {
		t.Errorf("at the failure: %d poured, band %+v", v.Kits.Poured, v.Band)
	}
	if before := d.play.At(failed.Add(-interval)); before.Edge.NeededPerMin > before.Band.Limit || raises(d, failed.Add(-interval), "edge", "") {
		t.Error("the edge is called out before the failure")
	}
	if !raises(d, failed, "edge", "CREW CANNOT HOLD") {
		t.Errorf("the failure raises %q", calledAt(d, failed))
	}

	along := path.Lay{PullDeg: 0, RowDepthM: 0.75, Pattern: path.SameSide}
	q, err := path.Build(d.plan.Zones[0].Zone, along)
	if err != nil {
		t.Fatal(err)
	}
	own, _ := f.Path.MaxSpan(0, f.Path.TotalL()+1)
	other, _ := q.MaxSpan(0, q.TotalL()+1)
	d.put("rows along the 22 m span", other.SpanL/6)
	d.put("rows along the 22 m pace", other.SpanL/own.SpanL)
}

// ---- day 2: cold dock ----

func day2Presses(c *crew) {
	at := c.plan.Handover.Add(time.Hour)
	read := func(after time.Duration, what string, v float64) todo {
		return todo{at.Add(after), day.Press{Kind: day.ReadingTaken, What: what, Value: day.Value(v)}}
	}
	c.run([]todo{
		read(0, day.ReadHumidity, 0.71),
		read(3*time.Hour, day.ReadAir, 19), // after heating
		read(3*time.Hour, day.ReadHumidity, 0.58),
		read(3*time.Hour, day.ReadSlab, 15),
		{at.Add(3 * time.Hour), day.Press{Kind: day.ReadingTaken, What: day.ReadSlab, Spot: "Dock/doors", Value: day.Value(15)}},
	})
}

func day2Answers(t *testing.T, d *workedDay) {
	z := d.check.Zones[0]
	d.put("kits exact", z.KitsExact)
	d.put("kits", z.Kits)
	d.put("area of a kit", z.M2PerKit)
	if !strings.Contains(z.Missing, "edge life") || !strings.Contains(z.Missing, "outside the sheet") || z.Lives.Edge != 0 {
		t.Errorf("at 14.5 °C: %q, edge %g s", z.Missing, z.Lives.Edge)
	}
	d.put("E at 14.5 °C", gate(t, d.check, "wet edge, Dock").Call)
	doors := gate(t, d.check, "dew margin, Dock doors")
	d.put("doors call", doors.Call)
	d.put("middle call", gate(t, d.check, "dew margin").Call)
	if d.check.Go {
		t.Error("the dock is a go")
	}

	// The printed figures are those of the Magnus form (WMO-No. 8); the program
	// uses ASHRAE, which lies within 0.015 °C of it here.
	dock := func(name string, airC, rh, slabC float64, v air.Verdict) {
		dew := magnus(airC, rh)
		d.put(name+" margin", slabC-dew)
		if math.Abs(v.Dew.C-dew) > 0.015 || math.Abs(v.MarginK-(slabC-dew)) > 0.015 {
			t.Errorf("%s: dew point %.4f, margin %.4f; Magnus has %.4f, %.4f", name, v.Dew.C, v.MarginK, dew, slabC-dew)
		}
	}
	d.put("dew point", magnus(17, 0.70))
	start := d.play.At(d.plan.Handover)
	dock("middle", 17, 0.70, 14.5, start.Air.Dew)
	cold, err := air.Judge(start.Ground.SpotC[0], 17, 0.70, pace.DewRule(d.plan), pace.Instruments(d.plan))
	if err != nil {
		t.Fatal(err)
	}
	dock("doors", 17, 0.70, 11, cold)
	damp := d.play.At(d.plan.Handover.Add(time.Hour))
	dock("at 71 %", 17, 0.71, 14.5, damp.Air.Dew)
	d.put("at 71 % by 3 °C", damp.Air.Dew.Call.String())
	five, err := air.Judge(14.5, 17, 0.71, air.FiveF, air.Instruments{})
	if err != nil {
		t.Fatal(err)
	}
	d.put("at 71 % by 5 °F", five.Call.String())
	warm := d.play.At(d.plan.Handover.Add(4 * time.Hour))
	dock("heated", 19, 0.58, 15, warm.Air.Dew)
	d.put("heated call", warm.Air.Dew.Call.String())
	if warm.Band.EdgeLife != 50*time.Minute {
		t.Errorf("at 15 °C the edge life is %v, the sheet says 50 min", warm.Band.EdgeLife)
	}
}

// magnus is the dew point of WMO-No. 8 (Guide to Instruments) over water.
func magnus(c, rh float64) float64 {
	x := math.Log(rh) + 17.62*c/(243.12+c)
	return 243.12 * x / (17.62 - x)
}

// ---- day 3: levelling ----

// The deep piece is the start of the third band of bays: bay 9 is 10 mm deep,
// the mean of the deep ones. Bay 12 is a shallow one. Both take a barrel for
// 2.95 m².
const barrelM2 = 2.95

func day3Presses(c *crew) {
	f, at := floorOf(c), c.plan.Handover.Add(2*time.Hour)
	net := c.plan.NetYieldL(&c.plan.Sheet.Blends[0])
	bay9 := f.Path.AreaAt(f.Path.RowEnd(rowAt(f, 21) - 1)) // rows of bays 9 to 12 begin
	bay12 := bay9 + 15*0.75
	var list []todo
	n := 0
	pour := func() {
		n++
		at = at.Add(2 * time.Minute)
		list = append(list, batch((n-1)%4+1, n, at.Add(-5*time.Minute), at)...)
	}
	mark := func(m2 float64) {
		at = at.Add(30 * time.Second)
		list = append(list, todo{at, day.Press{Kind: day.FrontMarked, AreaM2: day.Value(m2)}})
	}
	to := func(m2 float64) { // barrels that take the front there, as near as whole ones do
		for have := float64(n) * net; have+net/2 < f.Path.VolAtArea(m2); have += net {
			pour()
		}
		mark(m2)
	}
	to(bay9)
	pour()
	mark(bay9 + barrelM2)
	to(bay12)
	pour()
	mark(bay12 + barrelM2)
	c.run(list)
}

func floorOf(c *crew) *pace.Zone {
	floors, err := pace.Floors(c.plan)
	if err != nil {
		c.t.Fatal(err)
	}
	return floors[0]
}

// rowAt is the first row that begins at or past y metres along the pull.
func rowAt(f *pace.Zone, y float64) int {
	for r := 0; r < f.Path.Rows(); r++ {
		if f.Path.FrontAt(f.Path.RowEnd(r)) > y {
			return r + 1
		}
	}
	return f.Path.Rows()
}

func day3Answers(t *testing.T, d *workedDay) {
	z, f := d.check.Zones[0], d.floors[0]
	b := f.Blend
	d.put("bags", math.Round(2*z.KitsExact*1e6)/1e6)
	d.put("barrels", z.Kits)
	d.put("mean depth", 1000*z.MeanDepthM)
	d.put("barrel by the mean", z.M2PerKit)
	d.put("barrel in the deep bays", f.NetL(b)/10)
	d.put("barrel in the shallow bays", f.NetL(b)/(36./7))
	d.put("edge life", seconds(z.Lives.Edge))
	for _, mixers := range []int{3, 4, 5} {
		p := *d.plan
		p.Crew.Mixers = mixers
		k := checkOf(t, &p).Zones[0]
		d.put(fmt.Sprintf("%d barrels interval", mixers), pace.Interval(k.Limit))
		d.put(fmt.Sprintf("%d barrels patch", mixers), k.PatchM2)
		d.put(fmt.Sprintf("%d barrels pour", mixers), seconds(k.PourS))
	}
	have := float64(d.plan.Usable(b))
	d.put("300 bags reach by the mean", have*z.M2PerKit)
	// On the path the half barrel that is short is missed where the last row is
	// shallow, bays 10 to 12: by hand 1.25 m² of 5 mm, 1.25 of 3 mm and the rest
	// of 6 mm.
	short := f.NetL(b) / 2
	if got, want := f.Reach(b, have), 620-(1.25+1.25+(short-1.25*5-1.25*3)/6); math.Abs(got-want) > 0.01 {
		t.Errorf("300 bags reach %.2f m² on the path, want %.2f", got, want)
	}
	if g := gate(t, d.check, "kits, L"); g.Call != "stop" || !strings.Contains(g.Why, "151 needed, 150 whole kits on hand: 1 short") {
		t.Errorf("kits: %+v", g)
	}

	// The log: the same 2.95 m² a barrel in a deep bay and in a shallow one.
	var marks []time.Time
	for _, e := range d.events {
		if e.Kind == day.FrontMarked {
			marks = append(marks, e.At)
		}
	}
	deep, shallow := marks[1], marks[3]
	d.put("deep bay alarm", raises(d, deep, "use", ""))
	d.put("shallow bay alarm", raises(d, shallow, "use", "CHECK FOR A LEAK"))
	if got := d.play.At(deep).Drift; math.Abs(got-1) > 0.01 {
		t.Errorf("in the deep bay a barrel does %.3f of its plan, want all of it", got)
	}
	if got := d.play.At(shallow).Drift; math.Abs(got-0.5) > 0.01 {
		t.Errorf("in the shallow bay a barrel does %.3f of its plan, want half", got)
	}
}

// ---- day 4: shutdown ----

func day4Presses(c *crew) {
	for _, late := range []time.Duration{5 * time.Hour, 8 * time.Hour} {
		c.at(c.plan.Handover.Add(late)).press(day.Press{Kind: day.HandoverGiven, Why: "line not cleared"})
	}
}

func day4Answers(t *testing.T, d *workedDay) {
	from := d.plan.Handover
	cure, _ := d.floors[0].Blend.Cure(sheet.UseWashDown)
	kits := map[string]int{}
	for _, z := range d.check.Zones {
		kits[z.Zone] = z.Kits
		d.put("kits "+z.Zone, z.Kits)
		d.put("pour "+z.Zone, seconds(z.PourS))
	}
	for _, temp := range []float64{16, 12} {
		p := *d.plan
		p.Rules.CureSlabC = temp
		r, floors := checkOf(t, &p), floorsOf(t, &p)
		hours, ok := cure.At(temp)
		if !ok {
			t.Fatalf("no cure at %g °C", temp)
		}
		at := func(s string) string { return fmt.Sprintf("%s at %g °C", s, temp) }
		d.put(at("cure"), hours)
		latest := r.Opening[0].Latest
		d.put(at("last batch by"), latest.Sub(from))
		// Forwards from that last batch the use is possible exactly when asked.
		if ready, ok := pace.UsableAt(floors[0].Blend, sheet.UseWashDown, latest, []sheet.Sample{{At: latest, TempC: temp}}); !ok || ready.Sub(p.Opening.Add(-p.Inspection)).Abs() > time.Second {
			t.Errorf("%g °C: forwards from %v it is ready at %v, want 2 h before %v", temp, latest, ready, p.Opening)
		}
		for _, late := range []int{0, 5, 8} {
			when := from.Add(time.Duration(late) * time.Hour)
			v := day.Look(day.Fold(&p, floors, until(d.events, when)), when)
			fits, spare := "", time.Duration(0)
			for _, z := range v.Zones {
				if temp == 16 {
					d.put(fmt.Sprintf("%d h late, %s ends", late, z.Name), z.Turnout.Ends.Sub(from))
				}
				if z.Turnout.Fits {
					fits, spare = fits+z.Name, z.Turnout.Spare
				}
			}
			d.put(fmt.Sprintf("%d h late at %g °C", late, temp), map[string]string{"AB": "A and B", "A": "A only", "B": "B only", "": "neither"}[fits])
			if temp == 16 && late > 0 {
				d.put(fmt.Sprintf("%d h late at %g °C to spare", late, temp), spare)
			}
		}
	}
}

// ---- day 5: rooms ----

func day5Answers(t *testing.T, d *workedDay) {
	orders, more, err := floor.Orders(d.plan.Rooms, d.plan.StationRoom, 0)
	if err != nil || more {
		t.Fatal(more, err)
	}
	d.put("orders", len(orders))
	for i, o := range orders {
		d.put(fmt.Sprintf("order %d", i+1), strings.Join(o, "-"))
	}
	if g := gate(t, d.check, "order of rooms"); g.Call != "go" || len(d.check.Orders) != 3 {
		t.Errorf("%+v, %q", g, d.check.Orders)
	}
	// Every other order of the 120 is refused by the check, with the reason.
	refused := 0
	permute([]int{0, 1, 2, 3, 4}, func(order []int) {
		p := *d.plan
		p.Zones = nil
		name := ""
		for _, i := range order {
			p.Zones = append(p.Zones, d.plan.Zones[i])
			name += "-" + d.plan.Zones[i].Room
		}
		why := floor.WhyNot(p.Rooms, p.StationRoom, strings.Split(name[1:], "-"))
		if (why == "") != strings.Contains(" 4-3-5-2-1 4-5-3-2-1 5-4-3-2-1 ", " "+name[1:]+" ") {
			t.Errorf("%s: %q", name[1:], why)
		}
		if why != "" {
			refused++
		}
	})
	d.put("orders refused", refused)
	p := *d.plan
	p.Zones = append([]plan.Zone{d.plan.Zones[4]}, d.plan.Zones[:4]...) // room 1, the way out, first
	if r := checkOf(t, &p); r.Go || gate(t, r, "order of rooms").Call != "stop" {
		t.Errorf("pouring the way out first: %+v", gate(t, r, "order of rooms"))
	}
}

func permute(a []int, yield func([]int)) {
	var walk func(int)
	walk = func(k int) {
		if k == len(a) {
			yield(a)
			return
		}
		for i := k; i < len(a); i++ {
			a[k], a[i] = a[i], a[k]
			walk(k + 1)
			a[k], a[i] = a[i], a[k]
		}
	}
	walk(0)
}

// ---- day 6: a stop ----

const day6Rows = 4 // the fourth row is the last

func clockOn(p *plan.Plan, hms string) time.Time {
	at, err := time.Parse("2006-01-02 15:04:05", p.Handover.Format("2006-01-02 ")+hms)
	if err != nil {
		panic(err) // a slip in this file
	}
	return at
}

// The rake lays without a break: rows of 4:36, the fourth from 11:01:00. It
// ends inside a bucket, whose rest goes down with a press for a part batch.
func day6Presses(c *crew) {
	f := floorOf(c)
	batches := f.Path.RowEnd(day6Rows-1) / f.NetL(f.Blend)
	row := time.Duration(f.AreaBetween(0, f.Path.RowEnd(0)) / c.plan.Crew.RakeM2Min * float64(time.Minute))
	first := clockOn(c.plan, "11:01:00").Add(-(day6Rows - 1) * row)
	var list []todo
	n := 0
	for ; float64(n) < batches; n++ {
		poured := first.Add(time.Duration(float64(n) * f.M2PerKit(f.Blend) / c.plan.Crew.RakeM2Min * float64(time.Minute)))
		list = append(list, batch(n%3+1, n+1, poured.Add(-3*time.Minute), poured)...)
		list[len(list)-1].press.Share = math.Min(1, batches-float64(n))
	}
	stop := clockOn(c.plan, "11:06:30")
	for i := range 2 { // the last two go into the mixers, then mixing stops
		list = append(list, todo{stop, day.Press{Kind: day.BatchStarted, Mixer: (n+i)%3 + 1}})
	}
	list = append(list,
		todo{stop, day.Press{Kind: day.MixingStopped, Why: "a stranger on the floor"}},
		todo{clockOn(c.plan, "11:15:30"), day.Press{Kind: day.HoldEnded}},
	)
	c.run(list)
}

func day6Answers(t *testing.T, d *workedDay) {
	z := d.check.Zones[0]
	d.put("edge life", seconds(z.Lives.Edge))
	d.put("edge limit", seconds(z.SpanLimitS))
	d.put("bucket life", seconds(z.Lives.Bucket))
	d.put("roll window", seconds(z.Lives.Roll))
	resume := clockOn(d.plan, "11:15:30")
	v := d.play.At(resume)

	// The edge of the fourth row by place, straight between the middles of its
	// cells: when it stops being joinable and when it is gone.
	line := func(of func(day.EdgePoint) time.Time) (t0 time.Time, perM float64) {
		a, b := v.Edge.Points[0], v.Edge.Points[0]
		for _, q := range v.Edge.Points {
			if q.X < a.X {
				a = q
			}
			if q.X > b.X {
				b = q
			}
		}
		perM = of(b).Sub(of(a)).Seconds() / (b.X - a.X)
		return of(a).Add(time.Duration(-a.X * perM * float64(time.Second))), perM
	}
	until, perM := line(func(q day.EdgePoint) time.Time { return q.Until })
	dead, perM2 := line(func(q day.EdgePoint) time.Time { return q.Dead })
	laid, _ := line(func(q day.EdgePoint) time.Time { return resume.Add(-q.Age) })
	d.put("row laid from", laid)
	d.put("row laid to", laid.Add(time.Duration(9*perM*float64(time.Second))))
	d.put("whole row joinable until", until)
	d.put("last point joinable until", until.Add(time.Duration(9*perM*float64(time.Second))))
	d.put("gone to", resume.Sub(dead).Seconds()/perM2)
	d.put("at risk to", resume.Sub(until).Seconds()/perM)
	// The lengths on the screen are sums of cells: a cell's width of it.
	cell := d.floors[0].Path.CellM()
	if e := v.Edge; math.Abs(e.GoneM-3.66) > cell || math.Abs(e.RiskM-(7.57-3.66)) > cell || math.Abs(e.JoinM-(9-7.57)) > cell {
		t.Errorf("gone %.2f, at risk %.2f, joinable %.2f m", e.GoneM, e.RiskM, e.JoinM)
	}
	if !raises(d, resume, "edge", "EDGE LOST") || !raises(d, resume, "bucket", "2 BUCKETS DEAD") {
		t.Error("the stop ends without its calls")
	}
	dead2 := 0
	for _, b := range v.Buckets {
		if b.Dead {
			dead2++
		}
		d.put("bucket age", b.Age)
	}
	d.put("dead buckets", dead2)
	w := v.Rows[0]
	if w.Row != day6Rows || !w.RollOff {
		t.Errorf("the newest row is %d, its rolling shut: %v", w.Row, w.RollOff)
	}
	d.put("roll shut from", w.RollFirst)
	d.put("roll shut to", w.RollLast)
}

// ---- day 7: worn rake ----

var day7Covered = []float64{4.3, 4.1, 3.9, 3.8, 3.9, 3.8} // m² of the first six kits, as marked

func day7Presses(c *crew) {
	at, area := c.plan.Handover.Add(2*time.Hour), 0.0
	var list []todo
	for i, m2 := range day7Covered {
		at = at.Add(4 * time.Minute)
		area += m2
		list = append(list, batch(i%2+1, i+1, at.Add(-5*time.Minute), at)...)
		list = append(list, todo{at.Add(time.Minute), day.Press{Kind: day.FrontMarked, AreaM2: day.Value(area)}})
	}
	list = append(list, todo{at.Add(3 * time.Minute), day.Press{Kind: day.RakeReset}})
	c.run(list)
}

func day7Answers(t *testing.T, d *workedDay) {
	z := d.check.Zones[0]
	d.put("kits exact", z.KitsExact)
	d.put("kits", z.Kits)
	d.put("on site", d.plan.Usable(d.floors[0].Blend))
	d.put("area of a kit", z.M2PerKit)
	reset := d.events[len(d.events)-1].At
	now := reset.Add(-time.Minute)
	v := d.play.At(now)
	k := v.Kits
	d.put("covered", v.Floor.Path.AreaAt(v.PosL))
	d.put("of plan", 100*k.Drift)
	d.put("to finish by the mean", k.NeedMean)
	d.put("to finish by the last three", k.NeedLast)
	d.put("on hand", k.OnHand)
	d.put("stops at by the mean", k.ReachM2)
	d.put("stops at by the last three", k.ReachLastM2)
	d.put("saved for", k.SaveFor)
	if !raises(d, now, "kits", "RESET THE RAKE") {
		t.Error("the worn rake raises no call")
	}
	after := d.play.At(reset)
	d.put("after a reset", after.Kits.NeedMean)
	if after.Kits.Short {
		t.Error("after a reset the kits still run short")
	}
	// Said again by going on: after k more kits at this use, do the rest do at
	// plan yield?
	rem, net := v.Floor.Path.TotalL()-v.PosL, v.Floor.NetL(v.Blend)
	saved := func(more int) bool {
		return rem-float64(more)*net*k.Drift <= float64(k.OnHand-more)*net
	}
	if !saved(6) || saved(7) {
		t.Errorf("6 more kits: saved %v; 7: saved %v", saved(6), saved(7))
	}
}

// ---- common ----

func seconds(s float64) time.Duration { return time.Duration(s * float64(time.Second)) }

func holds(ok bool) string {
	if ok {
		return "holds"
	}
	return "lost"
}

// until is the events not after t.
func until(events []day.Event, t time.Time) (out []day.Event) {
	for _, e := range events {
		if !e.At.After(t) {
			out = append(out, e)
		}
	}
	return out
}

// calledAt is what the console calls out at t: subject and words.
func calledAt(d *workedDay, t time.Time) map[string]string {
	s, out := day.Fold(d.plan, d.floors, until(d.events, t)), map[string]string{}
	for _, e := range day.Due(s, day.Look(s, t)) {
		if e.Kind == day.CallRaised {
			out[e.Call] = e.What
		}
	}
	return out
}

// raises reports whether a call of these words is raised at t; "" stands for any.
func raises(d *workedDay, t time.Time, id, what string) bool {
	got, ok := calledAt(d, t)[id]
	return ok && (what == "" || got == what)
}
