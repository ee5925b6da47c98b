package day

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"floorpace/internal/sheet"
)

// usualPartTolerance is how far the parts of a part batch may be off the ratio
// where the sheet gives no figure. Common practice, no source.
const usualPartTolerance = 0.02

// PartTolerance is how far the parts of a part batch may be off the sheet's
// ratio, share.
func PartTolerance(s *sheet.Sheet) float64 {
	if s.Limits.PartTolerance > 0 {
		return s.Limits.PartTolerance
	}
	return usualPartTolerance
}

// Weighed reports whether the sheet gives weights for the parts of a blend.
func Weighed(b *sheet.Blend) bool {
	n := 0
	for _, q := range b.Parts {
		if q.KgPerKit > 0 {
			n++
		}
	}
	return n > 1
}

// PartBatch is a part batch as it was weighed.
type PartBatch struct {
	Share float64 // of a full kit, the mean of the part that has least and most
	Words string  // both ratios: as weighed and as the sheet gives them
	Off   float64 // greatest departure from the sheet's ratio, share
}

// WeighPart compares the weights of a part batch ("A=4.60 B=3.20", kg) with the
// sheet. The error says which weight is missing or off, with both ratios.
func WeighPart(s *sheet.Sheet, b *sheet.Blend, weights string) (PartBatch, error) {
	got := pairs(weights)
	var p PartBatch
	least, most := math.Inf(1), 0.0
	var is, want []string
	first, firstKg := 0.0, 0.0
	var names []string
	for _, q := range b.Parts {
		if q.KgPerKit <= 0 {
			continue
		}
		kg, err := strconv.ParseFloat(got[key(q.Name)], 64)
		switch {
		case err != nil || kg <= 0 || math.IsInf(kg, 0) || math.IsNaN(kg):
			return p, refuse("a part batch needs the weight of %s", q.Name)
		case kg > q.KgPerKit*(1+PartTolerance(s)):
			return p, refuse("%.4g kg of %s is more than a full kit has (%.4g kg)", kg, q.Name, q.KgPerKit)
		}
		share := kg / q.KgPerKit
		least, most = math.Min(least, share), math.Max(most, share)
		if first == 0 {
			first, firstKg = kg, q.KgPerKit
		}
		names = append(names, q.Name)
		is, want = append(is, fmt.Sprintf("%.3f", kg/first)), append(want, fmt.Sprintf("%.3f", q.KgPerKit/firstKg))
	}
	if len(names) < 2 {
		return p, refuse("the sheet gives no weights for %s", b.Name)
	}
	p.Share, p.Off = math.Min(1, (least+most)/2), most/least-1
	p.Words = fmt.Sprintf("%s weighed %s, sheet %s", strings.Join(names, " : "), strings.Join(is, " : "), strings.Join(want, " : "))
	if tol := PartTolerance(s); p.Off > tol+1e-9 {
		return p, refuse("%s: %.1f %% off, %.1f %% allowed. Weigh again, do not mix", p.Words, 100*p.Off, 100*tol)
	}
	return p, nil
}

// partBatch checks a start with less than a whole kit: by weight within the
// sheet's tolerance; by volume only where the sheet allows it.
func (s *State) partBatch(p *Press) error {
	if p.Share < 0 || p.Share > 1 {
		return refuse("a part batch is more than 0 and at most all of a kit")
	}
	if p.Weights == "" && (p.Share == 0 || p.Share == 1) {
		return nil
	}
	b := s.Plan.Sheet.Blend(p.Blend)
	if b == nil {
		return refuse("the sheet has no blend %q", p.Blend)
	}
	switch weighed := Weighed(b); {
	case p.Weights != "":
		w, err := WeighPart(&s.Plan.Sheet, b, p.Weights)
		if err != nil {
			return err
		}
		if p.Share == 0 {
			p.Share = w.Share
		}
		if math.Abs(p.Share-w.Share) > PartTolerance(&s.Plan.Sheet) {
			return refuse("%.0f %% of a kit is not what was weighed: %.0f %%", 100*p.Share, 100*w.Share)
		}
		p.Text = w.Words
	case s.Plan.Sheet.Limits.VolumeAllowed:
	case weighed:
		return refuse("the sheet gives weights, not volumes: weigh every part of a part batch")
	default:
		return refuse("the sheet gives no weights to split a kit by: mix whole kits only")
	}
	return nil
}
