package edge

import (
	"testing"
	"time"

	"floorpace/config"
	"floorpace/internal/advice"
	"floorpace/internal/day"
	"floorpace/internal/pace"
	"floorpace/internal/plan"
	"floorpace/internal/planfile"
	"floorpace/internal/shift"
	"floorpace/internal/tui/look"
)

// pour is a day that a test presses through. Plans are the invented examples.
type pour struct {
	t  testing.TB
	s  *day.State
	at time.Time
}

func example(t testing.TB, name string) *plan.Plan {
	t.Helper()
	p, ps := planfile.Load(config.Files, name)
	if len(ps) > 0 {
		t.Fatalf("%v", ps)
	}
	return p
}

func newPour(t testing.TB, p *plan.Plan) *pour {
	t.Helper()
	floors, err := pace.Floors(p)
	if err != nil {
		t.Fatal(err)
	}
	q := &pour{t: t, s: day.New(p, floors), at: p.Handover.Add(p.Preparation)}
	q.put(day.Event{Kind: day.SessionOpened, At: q.at})
	return q
}

func (q *pour) put(es ...day.Event) {
	for _, e := range es {
		e.N = int64(len(q.s.Events))
		q.s = q.s.Apply(e)
	}
}

func (q *pour) press(p day.Press) {
	q.t.Helper()
	es, err := day.Decide(q.s, p, q.at)
	if err != nil {
		q.t.Fatalf("%s: %v", p.Kind, err)
	}
	q.put(es...)
}

// wait lets time pass with what it causes.
func (q *pour) wait(d time.Duration) {
	for d > 0 {
		step := min(d, 10*time.Second)
		q.at, d = q.at.Add(step), d-step
		q.put(day.Due(q.s, day.Look(q.s, q.at))...)
	}
}

// batches pours n batches at an even pace, one every interval, on the plan's
// mixers in turn.
func (q *pour) batches(n int, every time.Duration) {
	mixers := q.s.Plan.Crew.Mixers
	lead := 2 // batches between start and pour
	first := len(q.s.Batches)
	for i := range n + lead {
		if i < n {
			q.press(day.Press{Kind: day.BatchStarted, Mixer: (first+i)%mixers + 1})
		}
		if i >= lead {
			q.press(day.Press{Kind: day.BatchPoured, Batch: first + i - lead + 1})
		}
		if i < n+lead-1 {
			q.wait(every)
		}
	}
}

// forecast is an invented outlook for the facts of a view.
func forecast(v *day.Snapshot, edge float64) advice.Outlook {
	p50 := v.Finish.Add(5 * time.Minute) // a little behind the crew's limit, as real ones are
	kits := v.Kits.Need
	var opens time.Time
	for i := range v.Opening {
		if o := &v.Opening[i]; o.Asked && o.At.After(opens) {
			opens = o.At.Add(5 * time.Minute)
		}
	}
	return advice.Outlook{
		Facts: v.Facts, From: v.Now, OK: true, Days: 10000, Edge: edge, Buckets: 0.97, Both: edge * 0.98,
		P10: p50.Add(-9 * time.Minute), P50: p50, P90: p50.Add(14 * time.Minute),
		Ways: []advice.Way{
			{ID: "mixer", What: "one more mixer", Edge: 0.97, P50: p50.Add(-22 * time.Minute), Opening: opens.Add(-22 * time.Minute), InTime: true, Kits: kits, People: 1},
			{ID: "pull", What: "narrower pull", Figure: "21 ft", Edge: 0.94, P50: p50.Add(4 * time.Minute), Opening: opens.Add(4 * time.Minute), InTime: true, Kits: kits + 1},
			{ID: "stop", What: "run to joint 22", Figure: "14 kits, 31:00", Edge: 0.91, P50: v.Now.Add(31 * time.Minute), Opening: opens.Add(-30 * time.Minute), InTime: true, Kits: 14},
			{ID: "kits", What: "cooler kits", Edge: 0.72, P50: p50, Opening: v.Plan.Opening.Add(time.Hour), Kits: kits},
		},
	}
}

func (q *pour) view(edge float64) *shift.View {
	v := &shift.View{Snapshot: day.Look(q.s, q.at)}
	if edge > 0 {
		v.Forecast = forecast(v.Snapshot, edge)
	}
	return v
}

func (q *pour) edge() day.Edge { return day.Look(q.s, q.at).Edge }

// states are the five states that the screens are looked at in.
func states(t testing.TB) []struct {
	name string
	v    *shift.View
} {
	type state = struct {
		name string
		v    *shift.View
	}
	var out []state
	add := func(name string, v *shift.View) { out = append(out, state{name, v}) }

	q := newPour(t, example(t, config.USPlan))
	add("start", q.view(0))
	even := 130 * time.Second
	q.batches(9, even)
	z := &q.s.Zones[0] // measured a little behind: the floor goes down two in a hundred too thick
	q.press(day.Press{Kind: day.FrontMarked, AlongM: day.Value(z.Floor.Path.FrontAt(0.98 * z.PosL))})
	q.batches(10, even)
	q.press(day.Press{Kind: day.ReadingTaken, What: day.ReadSlab, Value: day.Value(18.2)})
	q.press(day.Press{Kind: day.RowRolled, Row: 1})
	q.batches(8, even)
	add("mid-row", q.view(0.93))

	q.press(day.Press{Kind: day.BatchStarted, Mixer: 1})
	q.press(day.Press{Kind: day.BatchStarted, Mixer: 2})
	q.press(day.Press{Kind: day.PostLost, Post: day.PostMixer, Which: 2})
	for e := q.edge(); e.RiskM < 2; e = q.edge() {
		q.wait(10 * time.Second)
	}
	add("at risk", q.view(0.41))
	for e := q.edge(); e.GoneM < 4; e = q.edge() {
		q.wait(10 * time.Second)
	}
	calls := day.Look(q.s, q.at).Calls
	if len(calls) < 2 {
		t.Fatalf("only %d calls stand", len(calls))
	}
	q.press(day.Press{Kind: day.CallAcked, Call: calls[len(calls)-1].ID})
	add("gone", q.view(0))

	q = newPour(t, example(t, config.USPlan))
	n := q.s.Floors[0].TakeOff(q.s.Floors[0].Blend).Kits
	q.batches(n, even)
	q.press(day.Press{Kind: day.ZoneClosed})
	q.wait(2 * time.Minute)
	add("done", q.view(0))
	return out
}

func dark() *look.Look { return look.New(look.Dark(), look.TrueColor, look.Unicode) }
