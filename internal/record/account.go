package record

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"floorpace/internal/air"
	"floorpace/internal/clean"
	"floorpace/internal/day"
	"floorpace/internal/sheet"
)

func (m *maker) readiness() {
	q := m.paper
	q.GatesAt = when(m.first, "no batch was started; as at the end of the log")
	for _, g := range m.gates {
		q.Gates = append(q.Gates, Gate{Name: clean.String(g.Name), Call: g.Call.String(), Why: clean.String(g.Why)})
	}
	for _, e := range m.standing(day.OverrideGiven) {
		q.Overrides = append(q.Overrides, Override{
			At: e.At, What: text(clean.String(e.What+e.Text), "not said what was overridden"), Who: text(clean.String(e.Who), "no name was given"),
			Role: text(clean.String(e.Role), "no role was given"), Why: text(clean.String(e.Why), "no reason was given"),
		})
	}
}

// standing lists the events of some kinds that were not taken back.
func (m *maker) standing(kinds ...day.Kind) []day.Event {
	var out []day.Event
	for _, e := range m.events {
		if !m.state.Undone[e.N] && slices.Contains(kinds, e.Kind) {
			out = append(out, e)
		}
	}
	return out
}

// readings lists the plan's own first, then those of the day, with dew point and
// margin by the newest readings of each instant.
func (m *maker) readings() {
	r := m.plan.Readings
	now := [4]float64{r.SlabC, r.AirC, r.Humidity, r.KitC}
	names := [4]string{day.ReadSlab, day.ReadAir, day.ReadHumidity, day.ReadKit}
	at := when(r.At, "before the day; the plan gives no time")
	for i, v := range now {
		if !math.IsNaN(v) {
			m.addReading(Reading{At: at, What: names[i], Spot: Text{NA: "the zone as a whole"}, Value: v, Note: "plan"}, now)
		}
	}
	for _, s := range r.Spots {
		m.addReading(Reading{At: at, What: day.ReadSlab, Spot: Text{S: clean.String(s.Zone + "/" + s.Spot)}, Value: s.SlabC, Note: "plan"}, now)
	}
	for _, q := range m.state.Readings {
		if m.state.Undone[q.N] || math.IsNaN(q.Value) { // without a figure it is a finding, no row
			continue
		}
		if k := slices.Index(names[:], q.What); k >= 0 && q.Spot == "" {
			now[k] = q.Value
		}
		m.addReading(Reading{At: When{T: q.At}, What: clean.String(q.What), Spot: text(clean.String(q.Spot), "the zone as a whole"), Value: q.Value}, now)
	}
}

func (m *maker) addReading(r Reading, now [4]float64) {
	r.DewC, r.MarginK = noNum("a kit reading"), noNum("a kit reading")
	if r.What != day.ReadKit {
		slab := now[0]
		if r.What == day.ReadSlab {
			slab = r.Value
		}
		r.DewC, r.MarginK = noNum("air and humidity not both read"), noNum("air and humidity not both read")
		if d, err := air.DewPoint(now[1], now[2]); err == nil {
			r.DewC = num(d.C)
			if r.MarginK = num(slab - d.C); !r.MarginK.OK() {
				r.MarginK.NA = "slab not read"
			}
		}
	}
	m.paper.Readings = append(m.paper.Readings, r)
}

func (m *maker) stops() {
	m.paper.Holds = m.ends
	whys := map[string]string{}
	for _, e := range m.standing(day.PostLost) {
		whys[fmt.Sprint(e.Post, e.Which, e.At)] = e.Why
	}
	for _, o := range m.state.Outages {
		m.paper.Outages = append(m.paper.Outages, Outage{
			Post: clean.String(o.Post), Which: o.Which, From: o.From, To: when(o.To, "not back on the log"),
			Why: text(clean.String(whys[fmt.Sprint(o.Post, o.Which, o.From)]), "no reason was given"),
		})
	}
}

// diaryKinds stand in the diary; the others have tables of their own.
var diaryKinds = []day.Kind{
	day.SessionOpened, day.ZoneBegan, day.ZoneClosed, day.FrontMarked, day.RowRolled, day.RowBroadcast, day.RakeReset, day.PaceSet,
	day.BlendChanged, day.PullNarrowed, day.StopChosen, day.CutBack, day.DecisionMade, day.HandoverGiven, day.LotOpened,
	day.TallyTaken, day.DoorShut, day.DoorOpened, day.NoteWritten, day.PlanChanged, day.BatchCondemned, day.BatchLifted,
	day.ClockStepped, day.ClockSlept, day.ClockStalled,
}

// said fills calls, corrections and the diary.
func (m *maker) said() {
	q := m.paper
	for _, c := range m.state.CallLog {
		for _, w := range c.Was { // what it said before it got worse stands in rows of its own
			q.Calls = append(q.Calls, Call{
				ID: clean.String(c.ID), Grade: w.Grade, What: clean.String(w.What), Why: clean.String(w.Why), Raised: When{T: w.At},
				Acked: when(w.Acked, "not answered"), Shelved: when(w.Shelved, "not put aside"),
				Reason: text(clean.String(w.ShelvedWhy), "not put aside"), Cleared: when(w.Until, "stood to the end"),
			})
		}
		q.Calls = append(q.Calls, Call{
			ID: clean.String(c.ID), Grade: c.Grade, What: clean.String(c.What), Why: clean.String(c.Why), Raised: When{T: c.Spoke},
			Acked: when(c.Acked, "not answered"), Shelved: when(c.Shelved, "not put aside"),
			Reason: text(clean.String(c.ShelvedWhy), "not put aside"), Cleared: when(c.Cleared, "stood to the end"),
		})
	}
	for _, e := range m.events {
		if e.Kind != day.PressUndone {
			continue
		}
		c := Correction{At: e.At, Of: e.Of, OfAt: When{NA: "not on the log"}, What: Text{NA: "not on the log"}, Batch: noNum("not about a batch")}
		if i, ok := m.byN[e.Of]; ok {
			of := m.events[i]
			c.OfAt, c.What = When{T: of.At}, Text{S: words(of, m.plan)}
			if of.Batch > 0 {
				c.Batch = num(float64(of.Batch))
			}
		}
		q.Corrections = append(q.Corrections, c)
	}
	m.diary()
}

// clocks are what the program itself wrote about the machine's clocks.
var clocks = []day.Kind{day.ClockStepped, day.ClockSlept, day.ClockStalled}

// diary lists the rest of the day. A clock that goes on misbehaving is one line:
// how often, from when to when.
func (m *maker) diary() {
	var run []day.Event
	flush := func() {
		switch n := len(run); {
		case n == 0:
		case n == 1:
			m.enter(run[0], words(run[0], m.plan))
		default:
			m.enter(run[0], fmt.Sprintf("%d times to %s: %s", n, hms(run[n-1].At), words(run[0], m.plan)))
		}
		run = nil
	}
	for _, e := range m.standing(diaryKinds...) {
		if !slices.Contains(clocks, e.Kind) {
			flush()
			m.enter(e, words(e, m.plan))
			continue
		}
		if len(run) > 0 && run[0].Kind != e.Kind {
			flush()
		}
		run = append(run, e)
	}
	flush()
}

func (m *maker) enter(e day.Event, what string) {
	who := e.Who
	if e.Role != "" {
		who = strings.TrimSpace(who + " (" + e.Role + ")")
	}
	m.paper.Diary = append(m.paper.Diary, Entry{At: e.At, What: what, Who: text(clean.String(who), "not asked for")})
}

// yield counts kits by lot and part.
func (m *maker) yield() {
	type key struct{ lot, part string }
	at := map[key]int{}
	row := func(lot, part string, none string) *Yield {
		k := key{lot, part}
		i, ok := at[k]
		if !ok {
			i = len(m.paper.Yield)
			at[k] = i
			why := "the plan does not count this lot"
			if len(m.plan.Lots) == 0 {
				why = "the plan counts no lots"
			}
			m.paper.Yield = append(m.paper.Yield, Yield{Lot: text(lot, none), Part: part, OnHand: noNum(why), Unopened: noNum(why)})
		}
		return &m.paper.Yield[i]
	}
	for _, l := range m.plan.Lots {
		for _, part := range m.partNames() {
			if n, ok := l.Parts[part]; ok {
				y := row(clean.String(l.Name), clean.String(part), "")
				y.OnHand = num(float64(n) + y.OnHand.V) // a lot delivered twice is one lot
			}
		}
	}
	for _, b := range m.paper.Batches {
		if !b.Started.OK() {
			continue
		}
		for _, q := range b.Lots {
			y := row(q.Lot.S, q.Part, q.Lot.NA)
			y.Opened++
			switch b.Fate {
			case "scrapped":
				y.Scrapped += b.Share
				y.Left += 1 - b.Share
			case "on the way":
				y.Left++
			default: // on the floor, lifted again or not
				y.Used += b.Share
				y.Left += 1 - b.Share
			}
		}
	}
	for i := range m.paper.Yield {
		if y := &m.paper.Yield[i]; y.OnHand.OK() {
			y.Unopened = num(y.OnHand.V - y.Opened)
		}
	}
}

// partNames lists the parts of all blends in the order of the sheet.
func (m *maker) partNames() []string {
	var out []string
	for i := range m.plan.Sheet.Blends {
		for _, q := range m.plan.Sheet.Blends[i].Parts {
			if !slices.Contains(out, q.Name) {
				out = append(out, q.Name)
			}
		}
	}
	return out
}

func (m *maker) totals() {
	t := &m.paper.Totals
	for _, b := range m.paper.Batches {
		if !b.Started.OK() {
			continue
		}
		t.Started++
		t.KitsOpened++
		switch b.Fate {
		case "scrapped":
			t.Scrapped++
			t.KitsScrapped += b.Share
			t.KitsLeft += 1 - b.Share
		case "on the way":
			t.OnTheWay++
			t.KitsLeft++
		default:
			t.Poured++
			t.KitsUsed += b.Share
			t.KitsLeft += 1 - b.Share
		}
	}
	for _, z := range m.paper.Zones {
		t.AreaM2 += z.LaidM2
		t.PouredL += z.BroughtL
	}
	t.KitsOnHand, t.KitsUnopened = noNum("the plan counts no lots"), noNum("the plan counts no lots")
	if len(m.plan.Lots) > 0 {
		s := m.state.Totals()
		t.KitsOnHand, t.KitsUnopened = num(float64(s.Usable)), num(float64(s.Left))
	}
}

// openings are worked out from the last batch of each zone over the slab
// temperatures logged, then the one expected through cure.
func (m *maker) openings() {
	poured := map[string]bool{}
	for i := range m.state.Zones {
		poured[m.floors[i].Z.Name] = len(m.state.Zones[i].Laid) > 0
	}
	for _, o := range m.look.Opening {
		out := Opening{Zone: clean.String(o.Zone), Use: o.Use, At: When{T: o.At}, Asked: o.Asked, InTime: Text{NA: "the plan does not ask for this use"}}
		switch {
		case !poured[o.Zone]:
			out.At, out.InTime = When{NA: "nothing was poured"}, Text{NA: "nothing was poured"}
		case !o.OK:
			out.At, out.InTime = When{NA: "outside the sheet"}, Text{NA: "outside the sheet"}
		case o.Asked && m.plan.Opening.IsZero():
			out.InTime = Text{NA: "the plan gives no opening time"}
		case o.Asked && o.InTime:
			out.InTime = Text{S: "in time"}
		case o.Asked:
			out.InTime = Text{S: "too late"}
		}
		m.paper.Openings = append(m.paper.Openings, out)
	}
	for i := range m.floors { // a use the plan asks for that the sheet does not give
		f := m.floors[i]
		if _, has := f.Blend.Cure(m.plan.OpeningUse); !has && m.plan.OpeningUse != "" {
			m.paper.Openings = append(m.paper.Openings, Opening{
				Zone: clean.String(f.Z.Name), Use: m.plan.OpeningUse, At: When{NA: "the sheet gives no cure for it"}, Asked: true, InTime: Text{NA: "the sheet gives no cure for it"},
			})
		}
	}
	order := map[string]int{}
	for i := range m.floors {
		order[clean.String(m.floors[i].Z.Name)] = i
	}
	sortBy(m.paper.Openings, func(a, b Opening) bool {
		if order[a.Zone] != order[b.Zone] {
			return order[a.Zone] < order[b.Zone]
		}
		return slices.Index(sheet.Uses, a.Use) < slices.Index(sheet.Uses, b.Use)
	})
}

// median of some figures; they are sorted in place.
func median(v []float64) float64 {
	slices.Sort(v)
	n := len(v)
	if n == 0 {
		return nan
	}
	return (v[(n-1)/2] + v[n/2]) / 2
}
