package advice

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"time"

	"floorpace/internal/line"
	"floorpace/internal/pace"
	"floorpace/internal/sheet"
	"floorpace/internal/units"
)

// run is how the studies of one question are run: every one on the same luck.
type run struct {
	ctx  context.Context
	days int
	seed uint64

	workers int            // goroutines of each study; 0 = every core
	each    bool           // keep what became of each day
	rest    *rest          // the later zones, where the whole day is asked for
	tick    func(days int) // days just studied, from any goroutine; nil = nobody asks
}

// verdict is what a study of a scene found.
type verdict struct {
	line.Summary
	batches int           // still to lay, those on the way included
	buckets int           // out at the pace that the console calls
	idle    string        // why nothing comes; "" when the line runs
	days    []line.DayEnd // where run.each asks for them
}

// idle says why the line of a scene cannot run; "" when it can.
func (s *scene) idle(batches int) string {
	mixing := 0
	for _, d := range s.down {
		if !d {
			mixing++
		}
	}
	switch {
	case !s.hands.Rake:
		return "no rake at work"
	case s.hands.Runners < 1:
		return "no runner at work"
	case s.hands.Buckets < 1:
		return "no bucket at work"
	case mixing == 0 && batches > len(s.inHand):
		return "no mixer at work"
	}
	return ""
}

// study runs a scene.
func (r run) study(s *scene) (verdict, error) {
	if s.endL-s.posL <= spare {
		return verdict{}, fmt.Errorf("nothing is left to lay")
	}
	cfg, st := s.build()
	v := verdict{batches: cfg.Batches, buckets: cfg.Buckets, idle: s.idle(cfg.Batches)}
	if v.idle != "" { // every edge that waits will be lost
		v.BucketsHold = 1
		if len(s.inHand) > 0 {
			v.BucketsHold = 0
		}
		return v, nil
	}
	var err error
	if r.each {
		v.Summary, v.days, err = line.StudyEach(r.ctx, cfg, st, r.luck())
	} else {
		v.Summary, err = line.Study(r.ctx, cfg, st, r.luck())
	}
	v.standing(cfg.Buckets, s.hands.Buckets)
	return v, err
}

// standing counts the buckets that the pacing leaves standing as idle ones of the
// loop, and ranks the posts anew.
func (v *verdict) standing(out, all int) {
	if out >= all {
		return
	}
	for i := range v.Ranking {
		if u := &v.Ranking[i]; u.Post == line.Bucketing {
			share := float64(out) / float64(all)
			u.Crew, u.Work, u.Held = all, u.Work*share, u.Held*share
		}
	}
	slices.SortStableFunc(v.Ranking, func(a, b line.Use) int { return cmp.Compare(b.Work, a.Work) })
}

// missing says which figure a scene lacks; "" when the sheet has them all.
func (s *scene) missing() string {
	at := func(what string, c float64) string {
		if math.IsNaN(c) {
			return what + ": no temperature read"
		}
		return fmt.Sprintf("%s of %s at %s: outside the sheet", what, s.blend.Name, units.Format(units.Temp, c, s.plan.Units))
	}
	for i := -1; i < len(s.floor.Z.Spots); i++ {
		if _, ok := s.edgeLife(s.blend, i); !ok {
			c := s.ground.SlabC
			if i >= 0 && i < len(s.ground.SpotC) {
				c = s.ground.SpotC[i]
			}
			return at("edge life", c)
		}
	}
	if s.blend.BucketLife.Empty() { // a leveller: the sheet gives none, so none is asked for
		return ""
	}
	if _, ok := s.blend.BucketLife.At(s.ground.KitC); !ok {
		return at("bucket life", s.ground.KitC)
	}
	return ""
}

// dayEnds is when the last zone of the day is laid if this one is at an instant:
// the later zones add their moves and the plan's minutes at the crew's limit.
func (s *scene) dayEnds(zoneEnds time.Time) (time.Time, *sheet.Blend) {
	b := s.blend
	for _, a := range s.later {
		f := a.floor
		b = f.Blend
		perMin, _ := f.Limit(b, s.hands, f.Path.TotalL()/2)
		zoneEnds = zoneEnds.Add(f.Z.Move)
		if a.facts.NotBefore.After(zoneEnds) {
			zoneEnds = a.facts.NotBefore
		}
		zoneEnds = zoneEnds.Add(time.Duration(f.TakeOff(b).Kits) * pace.Interval(perMin))
	}
	return zoneEnds, b
}

// opening is when the use that the plan asks for is possible; zero when the sheet
// has no figure. Where the whole day is studied it goes by that, else by dayEnds.
func (r run) opening(s *scene, v verdict) (at time.Time, inTime bool) {
	if r.rest != nil && v.days != nil {
		if g, err := r.rest.after(s, v); err == nil && g != nil {
			at, inTime, _ = g.opening()
			return at, inTime
		}
	}
	last, b := s.dayEnds(s.now.Add(v.Laid.P50))
	at, ok := pace.UsableAt(b, s.plan.OpeningUse, last, []sheet.Sample{{At: last, TempC: pace.CureTempC(s.plan, s.ground.SlabC)}})
	if !ok {
		return time.Time{}, false
	}
	return at, !at.Add(s.plan.Inspection).After(s.plan.Opening)
}

// way fills in what every way out shows.
func (r run) way(s *scene, w Way, v verdict) Way {
	w.Edge, w.Buckets, w.Both, w.Kits = v.EdgesHold, v.BucketsHold, v.Both, v.batches
	w.Short = s.kits >= 0 && v.batches > s.kits
	if v.idle != "" {
		return w
	}
	w.P50 = s.now.Add(v.Laid.P50)
	w.LeavesM2 = s.floor.AreaBetween(s.endL, s.floor.Path.TotalL())
	if w.LeavesM2 < 1e-6 {
		w.LeavesM2 = 0
		w.Opening, w.InTime = r.opening(s, v)
	}
	return w
}
