package advice

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"floorpace/internal/day"
	"floorpace/internal/pace"
	"floorpace/internal/path"
	"floorpace/internal/units"
)

// Widths and depths are tried downwards from the largest that the closed form
// lets through, in steps of a tenth: a step is under a metre on any pull one crew
// lays, and six of them halve it.
const (
	tries    = 6
	tryShare = 0.9
)

// lengths lists what to try, largest first: from the largest down, and even parts
// of the whole, which leave no sliver of a lane.
func (w *ways) lengths(largest, least, whole float64, parts int) (out []float64) {
	add := func(m float64) {
		if m = w.roundDown(m); m >= least && m <= largest+1e-9 && !slices.Contains(out, m) {
			out = append(out, m)
		}
	}
	for i := range tries {
		add(largest * math.Pow(tryShare, float64(i)))
	}
	for n := 2; n <= parts; n++ {
		add(whole / float64(n))
	}
	slices.SortFunc(out, func(a, b float64) int { return cmp.Compare(b, a) })
	return out
}

// laneParts is into how many even lanes a pull is parted at most.
const laneParts = 4

// narrower tries lanes, from the widest that fits by the closed form.
func (w *ways) narrower() error {
	if w.holds(w.base) {
		w.refuse("narrow", "narrower pull", enough)
		return nil
	}
	full := w.s.floor.WidthM()
	widths := w.lengths(math.Min(w.v.Band.WidestM, tryShare*full), w.s.floor.Path.Lay().RowDepthM, full, laneParts)
	return w.descend("narrow", "narrower pull", widths, func(m float64) (*pace.Zone, day.Press, error) {
		f, err := w.s.floor.Narrow(w.s.posL, m, 0, false)
		return f, day.Press{Kind: day.PullNarrowed, Zone: w.s.floor.Z.Name, WidthM: m}, err
	}, func(m float64, f *pace.Zone) string {
		return fmt.Sprintf("pull %s, %s of taped edge", w.length(m), w.length(f.Path.TapeM()-w.s.floor.Path.TapeM()))
	})
}

// shallower tries rows of less depth, down to a quarter of the rake's reach.
func (w *ways) shallower() error {
	if w.holds(w.base) {
		w.refuse("row", "shallower rows", enough)
		return nil
	}
	full := w.s.floor.Path.Lay().RowDepthM
	depths := w.lengths(math.Min(w.v.Band.DeepestM, tryShare*full), full/4, full, 1)
	return w.descend("row", "shallower rows", depths, func(m float64) (*pace.Zone, day.Press, error) {
		f, err := w.s.floor.Narrow(w.s.posL, 0, m, false)
		return f, day.Press{Kind: day.PullNarrowed, Zone: w.s.floor.Z.Name, DepthM: m}, err
	}, func(m float64, _ *pace.Zone) string { return "rows of " + w.length(m) })
}

// sketchShare is the part of the days on which a length is sketched before it is
// studied: an eighth tells what is four standard errors off at the chance asked for.
const sketchShare = 8

// sketched studies a scene on the first of the days and reports whether it is worth
// all of them: it may hold, for all that so few can tell.
func (w *ways) sketched(s *scene) (v verdict, may bool, err error) {
	r := w.run
	if r.days /= sketchShare; r.days < 100 {
		return v, true, nil
	}
	if v, err = r.study(s); err != nil {
		return v, false, err
	}
	asked := w.v.Plan.Rules.Chance
	return v, v.Both > asked-4*math.Sqrt(asked*(1-asked)/float64(r.days)), nil
}

// descend tries ever smaller lengths and offers the largest that holds edge and
// buckets at the chance asked for, or the best of those tried. A length that a
// sketch rules out is not studied.
func (w *ways) descend(id, what string, lengths []float64, lay func(float64) (*pace.Zone, day.Press, error), figure func(float64, *pace.Zone) string) error {
	if len(lengths) == 0 {
		w.refuse(id, what, "none that is left to try would hold")
		return nil
	}
	var best Way
	var bestV verdict
	var bestS *scene
	studied := false
	for _, m := range lengths {
		f, press, err := lay(m)
		if err != nil {
			w.refuse(id, what, err.Error())
			return nil
		}
		s := w.s.copy()
		s.floor = f
		v, full, err := w.sketched(s)
		if err == nil && full {
			v, err = w.study(s)
		}
		if err != nil {
			return err
		}
		if bestS == nil || w.worth(v) > w.worth(bestV) {
			best, bestV, bestS, studied = Way{ID: id, What: what, Figure: figure(m, f), Press: &press}, v, s, full
		}
		if full && w.holds(v) {
			break
		}
	}
	if !studied {
		var err error
		if bestV, err = w.study(bestS); err != nil {
			return err
		}
	}
	w.offer(bestS, best, bestV, false)
	return nil
}

// worth orders studies of one way: the edge first, up to the chance asked for,
// then the buckets.
func (w *ways) worth(v verdict) float64 {
	return math.Min(v.EdgesHold, w.v.Plan.Rules.Chance) + v.Both/100
}

// roundDown makes a length that a tape shows: to 5 cm, or to 3 inches.
func (w *ways) roundDown(m float64) float64 {
	unit := 0.05
	if w.v.Plan.Units == units.US {
		unit = 0.0762
	}
	return math.Floor(m/unit+1e-9) * unit
}

// sameSide lays the rest from one side.
func (w *ways) sameSide() error {
	if w.s.floor.Path.Lay().Pattern == path.SameSide {
		w.refuse("same-side", "rows from the same side", "they are laid so already")
		return nil
	}
	f, err := w.s.floor.Narrow(w.s.posL, 0, 0, true)
	if err != nil {
		w.refuse("same-side", "rows from the same side", err.Error())
		return nil
	}
	s := w.s.copy()
	s.floor = f
	return w.judge(s, Way{
		ID: "same-side", What: "rows from the same side", Figure: units.Count(f.Path.Rows()-f.Path.RowOf(w.s.posL), "row", "rows") + " ahead",
		Press: &day.Press{Kind: day.PullNarrowed, Zone: w.s.floor.Z.Name, What: day.SameSide},
	}, false)
}
