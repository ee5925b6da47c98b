// Package sheet holds the data sheet of a floor material as the crew typed it
// in: blends with their yield, mix steps, lives and cures against temperature,
// and the limits the sheet sets. No figure of any material is built in.
//
// # Formulas
//
// Between two points (T1, t1) and (T2, t2) of a table the logarithm of the time
// is straight in temperature:
//
//	f = (T − T1) / (T2 − T1)
//	life(T) = t1^(1−f) · t2^f
//
// Under changing temperature the share of a life that is used is
//
//	u = Σ Δt / life(T), used up at u = 1
//
// A batch that waited longer in the bucket than the plan's own handling has
// spent edge life there:
//
//	edge life = E(T) · (1 − max(0, u_bucket − u_planned)), never below zero
//
// The reaction, and with it the bucket's age, starts at the marked mix step; with
// none marked, at the first stir.
//
// # Units
//
// °C, litres, time.Duration, shares 0..1. Bucket life is read at kit temperature,
// floor times and cures at slab temperature.
//
// # Limits
//
// Outside its points a table has no figure (ok is false), and whatever needs the
// figure says so; nothing is carried on beyond the last point. A reading holds
// until the next one, the first also before itself. That a bucket of mixed resin
// warms itself is not modelled: the sheet's bucket life is for the full kit, and
// the cut of the edge life by bucket time is the model's own, no source.
//
// # Errors
//
// Table.Problems lists what is wrong with a table: times not above zero,
// temperatures twice or out of order, a time that does not fall as it gets warmer.
//
// # Sources
//
// The sum is the equivalent age of ASTM C1074, with the sheet's own table in place
// of a rate law; testdata/maturity.csv has its rows. A time that halves for every
// step of so many degrees, the rule of thumb for resins, is exactly straight in
// ln(time); against an Arrhenius law a sheet with a point every 10 °C is within
// 1 % (checked in the tests).
package sheet

import (
	"math"
	"strings"
	"time"
)

// Sheet is one material: its blends and its limits.
type Sheet struct {
	Name   string
	Blends []Blend
	Limits Limits
}

// Blend is the material as sold, or with its accelerator in.
type Blend struct {
	Name        string
	Accelerated bool
	// YieldL is the volume of one mixed kit, litres.
	YieldL float64
	Steps  []Step
	Parts  []Part
	// SlabMinC and SlabMaxC are the slab temperatures this blend may go on, °C.
	SlabMinC, SlabMaxC float64

	BucketLife     Table // at kit temperature, from the start of the reaction
	EdgeLife       Table // at slab temperature, from laying
	RollUntil      Table // at slab temperature, from laying
	BroadcastFrom  Table // at slab temperature, from laying
	BroadcastUntil Table // at slab temperature, from laying
	Cures          []Cure
}

// Step is one step of the mix procedure.
type Step struct {
	Name   string
	Time   time.Duration
	Starts bool // the reaction starts at the beginning of this step
}

// Part is one component of a kit. KgPerKit is 0 where the sheet gives no
// weight.
type Part struct {
	Name     string
	KgPerKit float64
}

// Cure is the time from laying to a use, against slab temperature.
type Cure struct {
	Use   string
	Hours Table
}

// Limits are what the sheet asks of the slab, the air and the mix. A zero
// value means that the sheet sets no such limit.
type Limits struct {
	AirMinC, AirMaxC float64
	KitMinC, KitMaxC float64
	HumidityMax      float64 // share 0..1
	DewMarginC       float64 // least slab temperature minus dew point, K
	SlabKitGapC      float64 // greatest difference between slab and kit, K
	MVERMax          float64 // lb per 1000 ft² per 24 h, ASTM F1869
	SlabRHMax        float64 // share 0..1, ASTM F2170
	CSPMin, CSPMax   int     // surface profile, ICRI 310.2R
	PartTolerance    float64 // greatest departure of a part batch's ratio, share
	VolumeAllowed    bool    // part kits may be split by volume
	LiftUntil        float64 // share of edge life within which fresh material lifts cleanly
}

// Uses of a floor, in the order in which they come back.
const (
	UseFoot     = "foot"
	UseWheels   = "wheels"
	UseWashDown = "wash-down"
	UseFull     = "full"
)

// Uses lists the uses in order.
var Uses = []string{UseFoot, UseWheels, UseWashDown, UseFull}

// Blend finds a blend by its name, ignoring case; nil when there is none.
func (s *Sheet) Blend(name string) *Blend {
	for i := range s.Blends {
		if strings.EqualFold(s.Blends[i].Name, name) {
			return &s.Blends[i]
		}
	}
	return nil
}

// Plain is the first blend without accelerator, or nil.
func (s *Sheet) Plain() *Blend { return s.first(false) }

// Accelerated is the first blend with accelerator, or nil.
func (s *Sheet) Accelerated() *Blend { return s.first(true) }

func (s *Sheet) first(accelerated bool) *Blend {
	for i := range s.Blends {
		if s.Blends[i].Accelerated == accelerated {
			return &s.Blends[i]
		}
	}
	return nil
}

// MixTime is the sum of the mix steps.
func (b *Blend) MixTime() time.Duration {
	var sum time.Duration
	for _, s := range b.Steps {
		sum += s.Time
	}
	return sum
}

// ReactionAfter is the time from the first stir to the start of the reaction:
// the steps before the one marked. With no step marked the reaction starts at
// once (the cautious reading).
func (b *Blend) ReactionAfter() time.Duration {
	var sum time.Duration
	for _, s := range b.Steps {
		if s.Starts {
			return sum
		}
		sum += s.Time
	}
	return 0
}

// StepAt says which step a batch is in, sinceStart after its first stir, and
// when that step ends; done is true when the procedure is over.
func (b *Blend) StepAt(sinceStart time.Duration) (i int, ends time.Duration, done bool) {
	var sum time.Duration
	for i, s := range b.Steps {
		sum += s.Time
		if sinceStart < sum {
			return i, sum, false
		}
	}
	return len(b.Steps), sum, true
}

// FitsSlab reports whether the slab is inside the blend's range and inside its
// edge-life table.
func (b *Blend) FitsSlab(slabC float64) bool {
	if b.SlabMaxC > b.SlabMinC && (slabC < b.SlabMinC-tempSlackC || slabC > b.SlabMaxC+tempSlackC) {
		return false
	}
	_, ok := b.EdgeLife.At(slabC)
	return ok
}

// Cure finds the cure table for a use; ok is false when the sheet has none.
func (b *Blend) Cure(use string) (Table, bool) {
	for _, c := range b.Cures {
		if strings.EqualFold(c.Use, use) {
			return c.Hours, true
		}
	}
	return Table{}, false
}

// EdgeLifeAfter is the edge life at slabC of a batch that had used uBucket of
// its bucket life when it was poured, where the plan's own handling uses
// uPlanned: E(T)·(1 − max(0, uBucket − uPlanned)), never below zero.
func (b *Blend) EdgeLifeAfter(slabC, uBucket, uPlanned float64) (time.Duration, bool) {
	e, ok := b.EdgeLife.At(slabC)
	if !ok {
		return 0, false
	}
	return time.Duration(math.Round(float64(e) * LifeLeft(uBucket, uPlanned))), true
}

// LifeLeft is the share of edge life that is left after a wait in the bucket:
// 1 − max(0, uBucket − uPlanned), between 0 and 1.
func LifeLeft(uBucket, uPlanned float64) float64 {
	return math.Max(0, math.Min(1, 1-math.Max(0, uBucket-uPlanned)))
}
