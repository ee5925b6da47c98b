package edge

import (
	"fmt"
	"hash/fnv"
	"math"

	"floorpace/internal/day"
	"floorpace/internal/floor"
	"floorpace/internal/pace"
	"floorpace/internal/tui/frame"
	"floorpace/internal/tui/look"
	"floorpace/internal/tui/widget/floormap"
	"floorpace/internal/units"
)

// samplesLong is how many pieces the longer side of a zone is cut into for the
// drawing: more than the widest map has pixels along it, so that each pixel
// has a piece of its own.
const samplesLong = 260

// floorView keeps the drawing of a floor. What never changes for a zone is
// worked out once, the rest when a fact or the state of an edge cell changes.
type floorView struct {
	view floormap.View
	of   *pace.Zone
	base floormap.Map // cells without state, what stands still
	cell []int32      // of each cell of base, the cell of the path; -1 for a hole
	rest floormap.Map // as drawn
	look []floormap.State
	odd  []bool
	off  []bool // fenced
}

// rows is the height at which the floor fills a width, with the lines below it.
func (f *floorView) rows(w int, v *day.Snapshot) int {
	if v.Floor == nil {
		return 3
	}
	lo, hi := v.Floor.Z.Outline.Bounds()
	long, short := hi.X-lo.X, hi.Y-lo.Y
	if short > long {
		long, short = short, long
	}
	if !(long > 0) {
		return 3
	}
	// A cell is twice as high as wide; the mix station may stand a tenth aside.
	return int(math.Ceil((short+long/10)/long*float64(w)/2)) + 3
}

func (c *card) drawFloor(p frame.Pane) {
	if c.Floor == nil {
		c.drawNoFloor(p)
		return
	}
	f := &c.floor
	if f.of != c.Floor {
		f.prepare(c.Floor, c.sys)
	}
	if version := c.floorVersion(); version != f.rest.Version || len(f.rest.Cells) == 0 {
		f.update(c)
		f.rest.Version = version
	}
	f.view.Draw(p, &f.rest)
}

func (c *card) drawNoFloor(p frame.Pane) {
	p.PrintCentre((p.H()-1)/2, look.Text, "every zone is closed")
	if p.H() > 3 {
		p.PrintCentre((p.H()-1)/2+1, look.Dim, "keep feet off until the hours below have passed")
	}
}

// prepare works out what stays the same while a zone is poured.
func (f *floorView) prepare(z *pace.Zone, sys units.System) {
	f.of = z
	lo, hi := z.Z.Outline.Bounds()
	step := max(hi.X-lo.X, hi.Y-lo.Y, 1e-3) / samplesLong
	f.base = floormap.Map{Step: step, UnitMetres: units.From(units.Length, 1, sys), Unit: units.Unit(units.Length, sys)}
	rad := z.Z.PullDeg * math.Pi / 180
	f.base.Pull = floormap.Point{X: math.Cos(rad), Y: math.Sin(rad)}
	f.cell = f.cell[:0]
	for y := lo.Y + step/2; y < hi.Y; y += step {
		for x := lo.X + step/2; x < hi.X; x += step {
			q := floor.Point{X: x, Y: y}
			k := z.Path.CellAt(q)
			cell := floormap.Cell{X: x, Y: y, State: floormap.Column}
			switch hole, drain := holeAt(&z.Z.Zone, q); {
			case drain || !z.Z.Outline.Contains(q) || !hole && k < 0:
				continue // nothing stands there and nothing is laid
			case hole:
				k = -1
			default:
				cell.State, cell.Bay = floormap.Bare, z.Z.BayAt(q) >= 0
			}
			f.base.Cells, f.cell = append(f.base.Cells, cell), append(f.cell, int32(k))
		}
	}
	f.still(&z.Z.Zone)
}

func holeAt(z *floor.Zone, q floor.Point) (hole, drain bool) {
	for i := range z.Holes {
		if h := &z.Holes[i]; h.Outline.Contains(q) {
			return true, h.Drain
		}
	}
	return false, false
}

// still adds the signs and lines that stay where they are.
func (f *floorView) still(z *floor.Zone) {
	at := func(q floor.Point, k floormap.Kind, words string) {
		f.base.Marks = append(f.base.Marks, floormap.Mark{At: floormap.Point(q), Kind: k, Words: words})
	}
	for _, h := range z.Holes {
		if h.Drain {
			at(h.Outline.Centroid(), floormap.Drain, "")
		}
	}
	for _, d := range z.Doors {
		at(d.At, floormap.Door, "")
	}
	if z.Station.Known() {
		at(z.Station, floormap.Station, "")
	}
	for _, l := range z.StopLines {
		f.base.Stops = append(f.base.Stops, floormap.Line{A: floormap.Point(l.A), B: floormap.Point(l.B)})
	}
}

// floorVersion is a number that changes whenever the drawing does.
func (c *card) floorVersion() uint64 {
	h := fnv.New64a()
	word := func(x uint64) {
		var b [8]byte
		for i := range b {
			b[i] = byte(x >> (8 * i))
		}
		h.Write(b[:])
	}
	h.Write([]byte(c.Floor.Z.Name))
	word(math.Float64bits(c.PosL))
	word(uint64(len(c.Laid)))
	for i := range c.Laid {
		word(math.Float64bits(c.Laid[i].ToL))
		if c.Laid[i].Bad {
			word(1)
			h.Write([]byte(c.badWord(&c.Laid[i])))
		}
	}
	for i := range c.Fences {
		f := &c.Fences[i]
		word(uint64(f.From)<<32 | uint64(f.To))
		for j := range f.Places {
			word(math.Float64bits(f.Places[j].FromL))
			word(math.Float64bits(f.Places[j].ToL))
		}
	}
	for i := range c.Lots.Panels {
		h.Write([]byte(c.Lots.Panels[i].Words()))
	}
	for i := range c.Edge.Points {
		word(uint64(c.Edge.Points[i].Cell)<<2 | uint64(c.Edge.Points[i].State))
	}
	if c.Finishing.AheadOK { // to a tenth of a metre, so that the drawing stands still between
		word(uint64(c.Finishing.AheadM * 10))
		for _, q := range c.Finishing.AheadAt {
			word(uint64(q.Spot)<<32 | uint64(q.M*10))
		}
	}
	if k := c.slackPoint(); k >= 0 {
		word(uint64(k))
		h.Write([]byte(slackWords(c.Edge.Points[k])))
	}
	return h.Sum64()
}

// slackPoint is the edge point that presses most: of those that can still be
// joined, else of all; -1 for none.
func (c *card) slackPoint() int {
	if c.Edge.LeastOpen >= 0 {
		return c.Edge.LeastOpen
	}
	return c.Edge.Least
}

// slackWords are the words beside the point of least slack: whole minutes, so
// that the drawing stands still between them.
func slackWords(p day.EdgePoint) string {
	if m := math.Trunc(p.Slack.Minutes()); m != 0 {
		return fmt.Sprintf("%.0f min", m)
	}
	if p.Slack < 0 {
		return "now"
	}
	return "<1 min"
}

// wordsApart is how many times the words beside a sign fit along a floor, so
// that two signs closer than one of them cover each other's words.
const wordsApart = 8

// update gives every piece of the floor its state of now.
func (f *floorView) update(c *card) {
	pt := c.Floor.Path
	n := pt.Cells()
	if cap(f.look) < n {
		f.look, f.odd, f.off = make([]floormap.State, n), make([]bool, n), make([]bool, n)
	}
	f.look, f.odd, f.off = f.look[:n], f.odd[:n], f.off[:n]
	fences := c.fencedHere()
	batch := 0 // cells come nearly in pour order: the batch is this one or close by
	for i := range n {
		f.look[i], f.odd[i], f.off[i] = floormap.Bare, false, false
		vol := pt.VolAt(i)
		if vol > c.PosL {
			continue
		}
		for batch > 0 && c.Laid[batch-1].ToL >= vol {
			batch--
		}
		for batch < len(c.Laid) && c.Laid[batch].ToL < vol {
			batch++
		}
		f.look[i], f.odd[i] = floormap.Laid, batch%2 == 0
		for j := range fences {
			f.off[i] = f.off[i] || vol > fences[j].FromL && vol <= fences[j].ToL
		}
	}
	for i := range c.Edge.Points {
		q := &c.Edge.Points[i]
		if q.Cell < n {
			f.look[q.Cell] = [...]floormap.State{floormap.Joinable, floormap.AtRisk, floormap.Gone}[q.State]
		}
	}
	f.rest = f.base
	f.rest.Cells = append(f.rest.Cells[:0:0], f.base.Cells...)
	for i, k := range f.cell {
		if k >= 0 {
			f.rest.Cells[i].State, f.rest.Cells[i].Odd, f.rest.Cells[i].Fenced = f.look[k], f.odd[k], f.off[k]
		}
	}
	f.rest.Marks = append(append(f.rest.Marks[:0:0], f.base.Marks...), c.movingMarks()...)
	f.rest.Ahead = c.aheadLines()
}

// aheadLines are the far sides of the cells up to which edge and detail work may
// go down now: what is laid beyond them is past joining when the front comes.
func (c *card) aheadLines() (out []floormap.Line) {
	f, pt := &c.Finishing, c.Floor.Path
	to := c.PosL + f.AheadL
	if !f.AheadOK || f.AheadL <= 0 || len(c.Laid) == 0 || to >= pt.TotalL()-1e-6 && len(f.AheadAt) == 0 {
		return nil
	}
	rad := c.Floor.Z.PullDeg * math.Pi / 180
	dx, dy := math.Cos(rad), math.Sin(rad)
	most := make([]float64, len(c.Floor.Z.Spots)) // by its own edge life
	for k := range most {
		most[k] = to
	}
	for _, q := range f.AheadAt {
		most[q.Spot] = c.PosL + q.L
	}
	within := func(i int) bool {
		if k := c.Floor.SpotOf[i]; k >= 0 {
			return pt.VolAt(i) <= most[k]
		}
		return pt.VolAt(i) <= to
	}
	for i := range pt.Cells() {
		if pt.VolAt(i) <= c.PosL || !within(i) {
			continue
		}
		x, y := pt.Centre(i)
		along, deep := pt.Size(i)
		j := pt.CellAt(floor.Point{X: x + dx*deep, Y: y + dy*deep})
		if j < 0 || within(j) {
			continue
		}
		mx, my := x+dx*deep/2, y+dy*deep/2
		out = append(out, floormap.Line{
			A: floormap.Point{X: mx - dy*along/2, Y: my + dx*along/2}, B: floormap.Point{X: mx + dy*along/2, Y: my - dx*along/2},
		})
	}
	return out
}

// badWord is what is to be done about a condemned batch: lift it, fill the
// hole, or keep off where it stays down.
func (c *card) badWord(l *day.Laying) string {
	if !l.Lifted.IsZero() {
		return "fill"
	}
	for i := range c.Bad {
		if b := &c.Bad[i]; b.Batch == l.Batch && b.Late {
			return "fence"
		}
	}
	return "lift"
}

// fencedHere lists the fenced pieces of the zone that is drawn.
func (c *card) fencedHere() (out []day.FencePlace) {
	for i := range c.Fences {
		for _, p := range c.Fences[i].Places {
			if p.Zone == c.Floor.Z.Name {
				out = append(out, p)
			}
		}
	}
	return out
}

// movingMarks are the signs that move: where the next batch goes, where the
// least slack is, what is to be lifted or filled, what is fenced, and the bays not yet begun by name.
func (c *card) movingMarks() []floormap.Mark {
	var out []floormap.Mark
	z, pt := &c.Floor.Z.Zone, c.Floor.Path
	for _, b := range z.Bays {
		end, ok := pt.PosAtBay(b.Name)
		if q := b.Outline.Centroid(); ok && end > c.PosL && z.Holds(q) {
			if at, on := pt.LaidAt(q); on && at > c.PosL {
				out = append(out, floormap.Mark{At: floormap.Point(q), Kind: floormap.Label, Words: b.Name})
			}
		}
	}
	for i := range c.Lots.Panels {
		p := &c.Lots.Panels[i]
		out = append(out, floormap.Mark{At: floormap.Point{X: p.X, Y: p.Y}, Kind: floormap.Label, Words: p.Words()})
	}
	for i := range c.Laid {
		if l := &c.Laid[i]; l.Bad {
			q := pt.NextPlace((l.FromL + l.ToL) / 2)
			out = append(out, floormap.Mark{At: floormap.Point(q), Kind: floormap.Label, Words: c.badWord(l) + fmt.Sprintf(" %d", l.Batch)})
		}
	}
	for i := range c.Fences {
		f := &c.Fences[i]
		words := fmt.Sprintf("fence %d-%d", f.From, f.To)
		switch {
		case f.To == 0 && len(c.Fences)+len(c.Bad) > 1:
			continue // the strokes say so, and the other names must be read
		case f.To == 0:
			words = "keep off"
		case !f.Counted():
			continue // a bad batch has its own words
		}
		for _, p := range f.Places {
			if p.Zone == z.Name {
				q := pt.NextPlace((p.FromL + p.ToL) / 2)
				out = append(out, floormap.Mark{At: floormap.Point(q), Kind: floormap.Label, Words: words})
			}
		}
	}
	if k := c.slackPoint(); k >= 0 {
		q := c.Edge.Points[k]
		words := slackWords(q)
		if lo, hi := z.Outline.Bounds(); math.Hypot(q.X-c.NextAt.X, q.Y-c.NextAt.Y) < max(hi.X-lo.X, hi.Y-lo.Y)/wordsApart {
			words = "" // the sign of the next place would cover them; the figure stands below the floor too
		}
		out = append(out, floormap.Mark{At: floormap.Point{X: q.X, Y: q.Y}, Kind: floormap.Slack, Words: words})
	}
	if c.PosL < pt.TotalL() {
		out = append(out, floormap.Mark{At: floormap.Point(c.NextAt), Kind: floormap.Next})
	}
	return out
}
