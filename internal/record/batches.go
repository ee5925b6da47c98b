package record

import (
	"fmt"
	"strings"
	"time"

	"floorpace/internal/clean"
	"floorpace/internal/day"
	"floorpace/internal/floor"
	"floorpace/internal/pace"
	"floorpace/internal/sheet"
)

func (m *maker) batches() {
	notes := m.correctedBatches()
	before := map[int]time.Time{} // zone → pour before
	where := map[int][2]int{}     // batch → zone, laying
	for zi := range m.state.Zones {
		for i := range m.state.Zones[zi].Laid {
			where[m.state.Zones[zi].Laid[i].Batch] = [2]int{zi, i}
		}
	}
	order := pourOrder(m.state)
	gaps := map[int]Num{}
	for _, no := range order {
		b := &m.state.Batches[no-1]
		if t, ok := before[b.Zone]; ok {
			gaps[no] = seconds(b.Poured.Sub(t))
		} else {
			gaps[no] = noNum("first of its zone")
		}
		before[b.Zone] = b.Poured
	}
	for i := range m.state.Batches {
		b := &m.state.Batches[i]
		out := m.batch(b, gaps)
		if w, ok := where[b.No]; ok {
			m.place(&out, &m.state.Zones[w[0]], w[1])
		} else {
			none := "not on the floor"
			if !b.Poured.IsZero() {
				none = "taken off again, or its zone is not in the plan"
			}
			out.noPlace(none)
		}
		out.Notes = notes[b.No]
		m.paper.Batches = append(m.paper.Batches, out)
	}
}

// pourOrder lists the numbers of the batches that were poured, by time.
func pourOrder(s *day.State) []int {
	var out []int
	for i := range s.Batches {
		if !s.Batches[i].Poured.IsZero() {
			out = append(out, i+1)
		}
	}
	sortBy(out, func(a, b int) bool { return s.Batches[a-1].Poured.Before(s.Batches[b-1].Poured) })
	return out
}

func (b *Batch) noPlace(why string) {
	n := noNum(why)
	b.Row, b.RowTo, b.X, b.Y, b.X2, b.Y2, b.AreaM2, b.DepthM, b.PouredL = n, n, n, n, n, n, n, n, n
}

func (m *maker) batch(b *day.Batch, gaps map[int]Num) Batch {
	out := Batch{
		No: b.No, Mixer: b.Mixer, Blend: clean.String(b.Blend), Share: b.Share, Told: b.MixedTold,
		Started: when(b.Started, "no start on the log"), Poured: when(b.Poured, "not poured"),
		Mixed:   when(b.Mixed, "not pressed, and still in the mixer"),
		Weights: text(clean.String(b.Weights), "a full kit"),
		Why:     text(clean.String(b.Why), "it was poured"), Gone: when(b.Scrapped, "not scrapped"),
		Zone: Text{NA: "its zone is not in the plan"},
	}
	if b.Share < 1 && b.Weights == "" {
		out.Weights = Text{NA: "not weighed"}
	}
	if b.Zone >= 0 {
		out.Zone = Text{S: m.floors[b.Zone].Z.Name}
	}
	out.Fate = fateOf(b)
	switch {
	case b.Started.IsZero():
		out.Why = Text{NA: "no start on the log"}
	case b.Bad != "":
		out.Why = Text{S: clean.String(b.Bad)}
	case out.Fate == "on the way":
		out.Why = Text{NA: "neither poured nor scrapped on the log"}
	case out.Fate == "scrapped" && b.Why == "":
		out.Why = Text{NA: "no reason was given"}
	}
	m.lots(&out, b)
	m.parts(&out, b)
	m.age(&out, b)
	p, known := m.pours[b.No]
	out.Gap = noNum("not poured")
	out.Needed, out.Limit = noNum("not poured"), noNum("not poured")
	if g, ok := gaps[b.No]; ok {
		out.Gap = g
	}
	if known {
		out.Needed, out.Limit = noNum(p.missing), noNum("nobody at work there")
		if p.missing == "" && p.needed > 0 {
			out.Needed = seconds(pace.Interval(p.needed))
		} else if p.missing == "" {
			out.Needed = noNum("no wet edge ahead")
		}
		if p.limit > 0 {
			out.Limit = seconds(pace.Interval(p.limit))
		}
	}
	return out
}

func fateOf(b *day.Batch) string {
	switch {
	case b.Started.IsZero():
		return "no start"
	case !b.Lifted.IsZero():
		return "lifted"
	case b.Bad != "":
		return "condemned"
	case !b.Poured.IsZero():
		return "poured"
	case !b.Scrapped.IsZero():
		return "scrapped"
	}
	return "on the way"
}

// lots puts a batch's lots in the order of the sheet's parts.
func (m *maker) lots(out *Batch, b *day.Batch) {
	named := pairs(b.Lots)
	bl := m.plan.Sheet.Blend(b.Blend)
	none := "no lot on record"
	if len(m.plan.Lots) == 0 {
		none = "the plan counts no lots"
	}
	if bl == nil {
		return
	}
	for _, q := range bl.Parts {
		lot := named[wire(q.Name)]
		out.Lots = append(out.Lots, PartLot{Part: clean.String(q.Name), Lot: text(m.lotName(lot), none)})
	}
}

// wire is a name as it stands in "name=value" lists: blanks become underscores.
func wire(s string) string { return strings.NewReplacer(" ", "_", "=", "_").Replace(s) }

// lotName is the plan's own writing of a lot that stands in a list.
func (m *maker) lotName(s string) string {
	for _, l := range m.plan.Lots {
		if l.Name == s || wire(l.Name) == s {
			return clean.String(l.Name)
		}
	}
	return clean.String(s)
}

// pairs reads "A=A-101 B=B-7".
func pairs(s string) map[string]string {
	out := map[string]string{}
	for _, f := range strings.Fields(s) {
		if k, v, ok := strings.Cut(f, "="); ok {
			out[k] = v
		}
	}
	return out
}

// parts gives the instants at which the steps of a batch were pressed done.
func (m *maker) parts(out *Batch, b *day.Batch) {
	for _, t := range b.Steps {
		out.Parts = append(out.Parts, When{T: t})
	}
	switch {
	case len(b.Steps) > 0:
	case !m.plan.Rules.StepPresses:
		out.PartsNA = "the plan asks for no step presses"
	default:
		out.PartsNA = "no step was pressed"
	}
}

// reaction is when the reaction of a batch began: at the pressed step that
// starts it, else by the plan's minutes.
func reaction(bl *sheet.Blend, b *day.Batch) time.Time {
	for i, st := range bl.Steps {
		if st.Starts && i > 0 && len(b.Steps) >= i {
			return b.Steps[i-1]
		}
	}
	return b.Started.Add(bl.ReactionAfter())
}

func (m *maker) age(out *Batch, b *day.Batch) {
	bl := m.plan.Sheet.Blend(b.Blend)
	switch {
	case b.Started.IsZero():
		n := noNum("no start on the log")
		out.Age, out.Used, out.Life = n, n, n
		return
	case bl == nil:
		n := noNum("its blend is not on the sheet")
		out.Age, out.Used, out.Life = n, n, n
		return
	case b.Poured.IsZero():
		n := noNum("not poured")
		out.Age, out.Used, out.Life = n, n, n
		return
	}
	from := reaction(bl, b)
	out.Age = seconds(max(0, b.Poured.Sub(from)))
	out.Used, out.Life = noNum("no kit temperature inside the sheet"), noNum("no kit temperature inside the sheet")
	if u, ok := bl.BucketLife.Used(from, b.Poured, m.kit); ok {
		out.Used = num(u)
	}
	c := newest(m.kit, b.Poured)
	if l, ok := bl.BucketLife.At(c); ok {
		out.Life = seconds(l)
	}
}

// newest is the temperature that holds at t: the last one read, or the first.
func newest(temps []sheet.Sample, t time.Time) float64 {
	if len(temps) == 0 {
		return nan
	}
	c := temps[0].TempC
	for _, s := range temps {
		if s.At.After(t) {
			break
		}
		c = s.TempC
	}
	return c
}

// place says where a batch lies and how thick.
func (m *maker) place(out *Batch, z *day.ZoneState, i int) {
	l := &z.Laid[i]
	p := z.Floor.Path
	end := max(l.FromL, l.ToL-1e-6) // the end of a row belongs to that row
	from, to := p.NextPlace(l.FromL+1e-6), p.NextPlace(end)
	out.Row, out.RowTo = num(float64(p.RowOf(l.FromL+1e-6)+1)), num(float64(p.RowOf(end)+1))
	out.X, out.Y, out.X2, out.Y2 = place(from.X), place(from.Y), place(to.X), place(to.Y)
	area := z.Floor.AreaBetween(l.FromL, l.ToL)
	out.AreaM2, out.PouredL = num(area), num(l.PouredL)
	switch {
	case i >= measured(z):
		out.DepthM = noNum("no front mark behind it")
	case area <= 0:
		out.DepthM = noNum("the mark gave it no area")
	default:
		out.DepthM = num(l.PouredL / area / 1000)
	}
}

func place(v float64) Num {
	if !(floor.Point{X: v}).Known() {
		return noNum("no place on the drawing")
	}
	return num(v)
}

// measured is the number of layings that the newest mark has measured.
func measured(z *day.ZoneState) int {
	if n := len(z.Marks); n > 0 {
		return min(z.Marks[n-1].Layers, len(z.Laid))
	}
	return 0
}

// correctedBatches lists for each batch the presses about it that were taken
// back.
func (m *maker) correctedBatches() map[int][]string {
	out := map[int][]string{}
	for _, e := range m.events {
		if e.Kind != day.PressUndone {
			continue
		}
		i, ok := m.byN[e.Of]
		if !ok || m.events[i].Batch == 0 {
			continue
		}
		of := m.events[i]
		out[of.Batch] = append(out[of.Batch], fmt.Sprintf("%q of %s taken back %s", words(of, m.plan), hms(of.At), hms(e.At)))
	}
	return out
}
