package pace

import (
	"fmt"
	"math"
	"time"

	"floorpace/internal/path"
	"floorpace/internal/plan"
	"floorpace/internal/sheet"
)

// Zone is what is computed once for a zone of the plan and then only read: its
// pour path and which cell lies at which spot.
type Zone struct {
	Index int
	Z     *plan.Zone
	Blend *sheet.Blend
	Path  *path.Path
	// SpotOf gives for each cell the index in Z.Spots of the spot it lies at,
	// or -1.
	SpotOf []int16
	// panels are the runs of the path inside the zone's panels, in pour order.
	panels []panelRun

	plan  *plan.Plan
	laneM float64 // width laid at a time since the pull was narrowed; 0 = the whole
	ahead *aheadKept
}

// Floors builds every zone of a plan that Validate has passed.
func Floors(p *plan.Plan) ([]*Zone, error) {
	out := make([]*Zone, 0, len(p.Zones))
	for i := range p.Zones {
		z, err := newZone(p, i)
		if err != nil {
			return nil, fmt.Errorf("zone %s: %w", p.Zones[i].Name, err)
		}
		out = append(out, z)
	}
	return out, nil
}

func newZone(p *plan.Plan, i int) (*Zone, error) {
	z := &p.Zones[i]
	pt, err := path.Build(z.Zone, LayOf(z))
	if err != nil {
		return nil, err
	}
	b := p.BlendOf(z)
	if b == nil {
		return nil, fmt.Errorf("the sheet has no blend %q", z.Blend)
	}
	f := &Zone{Index: i, Z: z, Blend: b, plan: p}
	f.use(pt)
	return f, nil
}

// use takes a path and finds the spot of each of its cells.
func (f *Zone) use(pt *path.Path) {
	f.Path, f.ahead = pt, &aheadKept{}
	f.SpotOf = make([]int16, pt.Cells())
	for i := range f.SpotOf {
		f.SpotOf[i] = -1
		x, y := pt.Centre(i)
		best := math.Inf(1)
		for j, s := range f.Z.Spots {
			d := math.Hypot(x-s.At.X, y-s.At.Y)
			if d <= s.RadiusM && d < best {
				best, f.SpotOf[i] = d, int16(j)
			}
		}
	}
	f.usePanels()
}

// LayOf is how the plan wants a zone laid.
func LayOf(z *plan.Zone) path.Lay {
	l := path.Lay{PullDeg: z.PullDeg, RowDepthM: z.RowDepthM, Pattern: path.Pattern(z.Pattern), CellM: z.CellM, Start: path.Right}
	if z.StartLeft {
		l.Start = path.Left
	}
	return l
}

// NetL is what one kit lays here after loss, litres.
func (f *Zone) NetL(b *sheet.Blend) float64 { return f.plan.NetYieldL(b) }

// Narrow is the zone with what is ahead of posL laid in lanes of widthM across the
// pull and rows of rowDepthM (0: each as before); see path.Path.Narrow. sameSide
// lays every row ahead from the same side, whatever the plan's pattern.
func (f *Zone) Narrow(posL, widthM, rowDepthM float64, sameSide bool) (*Zone, error) {
	n := *f
	if widthM == 0 {
		widthM = f.WidthM()
	}
	n.laneM = 0
	if widthM < f.acrossM() {
		n.laneM = widthM
	}
	var lanes *path.Path
	var err error
	if sameSide {
		lanes, err = f.Path.Relay(posL, widthM, rowDepthM, path.SameSide)
	} else {
		lanes, err = f.Path.Narrow(posL, widthM, rowDepthM)
	}
	if err != nil {
		return nil, fmt.Errorf("zone %s: %w", f.Z.Name, err)
	}
	n.use(lanes)
	return &n, nil
}

// WidthM is the greatest width across the pull laid at a time, metres: the
// zone's, or a lane's once the pull was narrowed.
func (f *Zone) WidthM() float64 {
	if f.laneM > 0 {
		return f.laneM
	}
	return f.acrossM()
}

// acrossM is the whole width of the zone across the pull, metres.
func (f *Zone) acrossM() float64 {
	rad := f.Z.PullDeg * math.Pi / 180
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, q := range f.Z.Outline {
		s := q.X*math.Sin(rad) - q.Y*math.Cos(rad)
		lo, hi = math.Min(lo, s), math.Max(hi, s)
	}
	return hi - lo
}

// AreaBetween is the area (m²) of the path between two volumes (L).
func (f *Zone) AreaBetween(fromL, toL float64) float64 {
	return f.Path.AreaAt(toL) - f.Path.AreaAt(fromL)
}

// M2PerKit is the mean area that one kit of b covers in this zone, m².
func (f *Zone) M2PerKit(b *sheet.Blend) float64 {
	return f.NetL(b) * f.Path.AreaM2() / f.Path.TotalL()
}

// Carry is the walk with a full bucket from the mix station to the front.
func (f *Zone) Carry(posL float64) time.Duration {
	return seconds(f.Path.Distance(posL) / f.plan.Crew.WalkFull)
}

// Back is the walk with the empty bucket.
func (f *Zone) Back(posL float64) time.Duration {
	return seconds(f.Path.Distance(posL) / f.plan.Crew.WalkEmpty)
}

// Dwell is how old a batch is, from the start of its reaction, when it is
// poured at posL by the plan's own handling: the steps from that one on,
// scraping out, loading, carrying and pouring.
func (f *Zone) Dwell(b *sheet.Blend, posL float64) time.Duration {
	c := &f.plan.Crew
	return b.MixTime() - b.ReactionAfter() + c.Scrape + c.Load + f.Carry(posL) + c.Pour
}

// Lead is the time from the first stir of a batch until it is at the front.
func (f *Zone) Lead(b *sheet.Blend, posL float64) time.Duration {
	c := &f.plan.Crew
	return b.MixTime() + c.Scrape + c.Load + f.Carry(posL)
}

func seconds(s float64) time.Duration { return time.Duration(s * float64(time.Second)) }
