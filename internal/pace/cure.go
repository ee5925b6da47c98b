package pace

import (
	"math"
	"time"

	"floorpace/internal/plan"
	"floorpace/internal/sheet"
)

// CureTempC is the slab temperature expected through cure: the plan's own
// figure, else the one read.
func CureTempC(p *plan.Plan, slabC float64) float64 {
	if !math.IsNaN(p.Rules.CureSlabC) {
		return p.Rules.CureSlabC
	}
	return slabC
}

// UsableAt is when a floor whose last batch went down at last may be put to a
// use: the instant at which Σ Δt / hours(T) reaches 1 over the slab
// temperatures. ok is false where the sheet has no figure.
func UsableAt(b *sheet.Blend, use string, last time.Time, slab []sheet.Sample) (time.Time, bool) {
	t, ok := b.Cure(use)
	if !ok {
		return time.Time{}, false
	}
	return t.Ends(last, slab)
}

// LatestLast is the latest instant for the last batch so that the use is
// possible at opening less the time kept for inspection, at a steady slab
// temperature (°C). ok is false where the sheet has no figure.
func LatestLast(b *sheet.Blend, use string, opening time.Time, inspection time.Duration, slabC float64) (time.Time, bool) {
	t, ok := b.Cure(use)
	if !ok {
		return time.Time{}, false
	}
	cure, ok := t.At(slabC)
	if !ok {
		return time.Time{}, false
	}
	return opening.Add(-inspection - cure), true
}

// Turnout is the time line of one zone of the plan.
type Turnout struct {
	Zone        string
	Start, Ends time.Time // first batch; last batch down
	Latest      time.Time // latest last batch for the opening
	Spare       time.Duration
	Ready       time.Time // when the opening's use is possible
	OK          bool      // the sheet has the figure
	Fits        bool
}

// Timeline lays the zones end to end from a start (handover and preparation
// behind it), each at its own interval, with the moves between, and holds each
// one's end against the opening. intervals gives one interval per zone.
func Timeline(p *plan.Plan, floors []*Zone, start time.Time, intervals []time.Duration, slabC float64) []Turnout {
	out := make([]Turnout, 0, len(floors))
	at := start
	cureC := CureTempC(p, slabC)
	for i, f := range floors {
		if i > 0 {
			at = at.Add(f.Z.Move)
		}
		kits := f.TakeOff(f.Blend).Kits
		t := Turnout{Zone: f.Z.Name, Start: at, Ends: at.Add(time.Duration(kits) * intervals[i])}
		at = t.Ends
		t.judge(p, f.Blend, cureC)
		out = append(out, t)
	}
	return out
}

func (t *Turnout) judge(p *plan.Plan, b *sheet.Blend, cureC float64) {
	t.Latest, t.OK = LatestLast(b, p.OpeningUse, p.Opening, p.Inspection, cureC)
	if !t.OK {
		return
	}
	t.Spare = t.Latest.Sub(t.Ends)
	t.Fits = t.Spare >= 0
	t.Ready, _ = UsableAt(b, p.OpeningUse, t.Ends, []sheet.Sample{{At: t.Ends, TempC: cureC}})
}
