// Package plan holds a pour plan as values: the material, the crew, the kits,
// the zones and the hours. It is what a plan file says once every figure has
// been read into SI (m, m², L, °C, share 0..1, time.Duration); Validate lists
// all that cannot be poured from, at once.
//
// # Formulas
//
//	net yield     yield / (1 + loss), litres a kit on the floor
//	cycle         mix steps + scrape + reset, from start to start on one mixer
//	usable kits   least over the blend's parts of Σ lots that fit, less what was opened
//
// # Limits
//
// A figure that need not be written has a default with its reason (Default,
// DefaultZone). NaN means not read. Validate's ranges only catch slips of the pen
// (8 mixers, 40 buckets, −20 to 60 °C, half of a kit lost); what a material stands
// is for its sheet to say.
//
// # Errors
//
// A Problem names its place as a dotted key with list positions, what is wrong and
// what to write instead, in the plan's own units. Notes can be poured from but
// want a look.
//
// # Sources
//
// The loaded walk of 1.2 m/s lies near the 200 ft/min of barrows on good runways
// (Gillette and Hill, 1908, from memory). The other defaults are common practice,
// no source, and say so.
package plan

import (
	"time"

	"floorpace/internal/floor"
	"floorpace/internal/sheet"
	"floorpace/internal/units"
)

// Plan is one pour day.
type Plan struct {
	Title string
	Site  string
	Units units.System
	// Handover is when the crew gets the floor; Opening is when OpeningUse
	// must be possible. Inspection is kept free before the opening.
	Handover, Opening time.Time
	OpeningUse        string
	Inspection        time.Duration
	Preparation       time.Duration // from the handover to the first batch

	Sheet sheet.Sheet
	Rules Rules
	Crew  Crew
	// CrewFile says where figures of Crew and the loss come from; nil when the
	// plan gives them all itself.
	CrewFile *CrewFile
	Lots     []Lot
	Zones    []Zone
	Rooms    []floor.Room // order and exits; empty when the plan names none
	// StationRoom is the room the mixers stand in, floor.Outside for none.
	StationRoom string
	Readings    Readings
}

// Rules are the crew's own margins. Defaults stand in Default.
type Rules struct {
	EdgeMargin   time.Duration // kept free at the end of the edge life
	BucketMargin time.Duration // kept free at the end of the bucket life
	Turn         time.Duration // from the end of one row to the start of the next
	ReadingEvery time.Duration // a reading older than this asks for the next
	TallyEvery   int           // empties are counted every so many batches; 0 = never
	Chance       float64       // chance asked of the forecast, share
	Loss         float64       // material for what stays behind, as a share of what the floor takes
	TempErrorC   float64       // stated error of the surface and air thermometers, K
	RHError      float64       // stated error of the hygrometer, share
	ColdestSlabC float64       // lowest slab temperature expected through cure; NaN = as read
	CureSlabC    float64       // slab temperature expected through cure; NaN = as read
	StepPresses  bool          // the crew wants the steps of a batch on record
	// OwnTimes is how many timings of a step it takes before the forecast draws
	// from the day's own times, their shape, in place of the lognormal curve; 0 =
	// never.
	OwnTimes int
}

// Crew is who does what, and how fast. Rates are for the whole post, not for
// one person. A zero Roll or Broadcast rate means the post is not used.
type Crew struct {
	Mixers  int
	Runners int
	Buckets int
	// Scrape is the time to get a mixed batch out into the bucket; Reset is
	// the time until the same mixer starts again after that.
	Scrape, Reset time.Duration
	Load, Pour    time.Duration // a runner takes a bucket up; empties it
	Headway       time.Duration // least time between two arrivals at the front
	WalkFull      float64       // m/s
	WalkEmpty     float64       // m/s
	RakeM2Min     float64       // m²/min
	RollM2Min     float64       // m²/min
	BroadM2Min    float64       // m²/min
	// Spread is the standard deviation of ln(time) of each step.
	Spread Spread
}

// CrewFile is what a crew file says of itself: the days its figures were learned
// from. Nothing is worked out from it.
type CrewFile struct {
	Name        string   // as the plan names it
	From        []string // day logs
	Batches     int      // poured on those days; 0 = not said
	First, Last time.Time
	Invented    bool // the days were a demo's, or the figures made up
}

// Spread is the standard deviation of ln(time) for each kind of step,
// dimensionless: 0.15 means that two steps in three take within 15 %.
type Spread struct {
	Mix, Scrape, Reset, Load, Walk, Pour, Rake, Roll, Broadcast float64
}

// Lot is a count of parts on hand under one lot name.
type Lot struct {
	Name  string
	Blend string // empty: fits every blend
	// Parts counts each part by name, in kits; a lot that covers only one part
	// names only that.
	Parts map[string]int
}

// Pattern is the order in which a row follows the one before.
type Pattern uint8

// Patterns of rows.
const (
	SameSide   Pattern = iota // every row from the same side
	ToAndFro                  // each row from the side where the last one ended
	OutAndBack                // out on alternate rows, back on the rows between
)

// Zone is one piece of floor with its own way of being laid.
type Zone struct {
	floor.Zone
	Blend     string  // name of the sheet's blend; empty: the first
	PullDeg   float64 // direction the front advances, degrees anticlockwise from +x
	RowDepthM float64
	StartLeft bool // rows begin on the left, looking along the pull
	Pattern   Pattern
	CellM     float64       // 0: chosen
	Move      time.Duration // to set up here after the zone before
	OneLot    bool          // lots must not mix inside this zone; inside one of its panels they never may
	Room      string        // the room it lies in, for order and exits
	Doors     []Door        // doors with the hours they are open
	Hours     []SpotHours   // of each of Spots, by its place in the list
	Cove      []Line        // other take-off lines
}

// Door is a way out of a zone with the hours it is open; zero times mean
// always.
type Door struct {
	floor.Door
	OpenFrom, OpenUntil time.Time
}

// SpotHours are the hours in which a spot has another temperature than before and
// after: a patch that the sun reaches, a door that stands open. It is read when
// they begin and when they end; zero times mean that it is not known.
type SpotHours struct{ From, Until time.Time }

// Line is a further take-off: primer, broadcast, cove and the like, by area or
// by length.
type Line struct {
	Name string
	// PerM2 or PerM is how much a square metre or a metre takes, in Unit.
	PerM2, PerM float64
	LengthM     float64 // used with PerM
	Unit        string
}

// Readings are what was read before the day. NaN means not read.
type Readings struct {
	At            time.Time
	SlabC, AirC   float64
	Humidity      float64 // share 0..1
	KitC          float64
	MVER          float64 // lb per 1000 ft² per 24 h, ASTM F1869
	SlabRH        float64 // share, ASTM F2170
	MoistureTests int
	CSP           int // surface profile, 0 = not judged
	CoolerKitC    float64
	// WarmSlabC is the slab temperature that heating is known to reach here, and
	// WarmUp how long that takes; NaN and 0 where nobody knows.
	WarmSlabC float64
	WarmUp    time.Duration
	Spots     []SpotReading
}

// SpotReading is a slab temperature at a place of its own.
type SpotReading struct {
	Zone, Spot string
	SlabC      float64
}

// BlendOf is the blend a zone is poured with.
func (p *Plan) BlendOf(z *Zone) *sheet.Blend {
	if z.Blend != "" {
		return p.Sheet.Blend(z.Blend)
	}
	if len(p.Sheet.Blends) == 0 {
		return nil
	}
	return &p.Sheet.Blends[0]
}

// Zone finds a zone by name; -1 when there is none.
func (p *Plan) Zone(name string) int {
	for i := range p.Zones {
		if p.Zones[i].Name == name {
			return i
		}
	}
	return -1
}

// NetYieldL is what one kit of b lays after loss, litres: yield / (1 + loss).
func (p *Plan) NetYieldL(b *sheet.Blend) float64 { return b.YieldL / (1 + p.Rules.Loss) }

// Cycle is the time from one start to the next on the same mixer.
func (p *Plan) Cycle(b *sheet.Blend) time.Duration {
	return b.MixTime() + p.Crew.Scrape + p.Crew.Reset
}

// Usable is the number of whole kits of a blend on hand: the smallest count of
// any of its parts, over the lots that fit the blend.
func (p *Plan) Usable(b *sheet.Blend) int { return p.UsableAfter(b, nil) }

// UsableAfter is the same once used of each part, in kits, have been opened for
// whatever blend: blends share their parts.
func (p *Plan) UsableAfter(b *sheet.Blend, used map[string]int) int {
	least := 0
	for i, part := range b.Parts {
		n := -used[part.Name]
		for _, l := range p.Lots {
			if l.Blend == "" || l.Blend == b.Name {
				n += l.Parts[part.Name]
			}
		}
		if i == 0 || n < least {
			least = n
		}
	}
	return max(least, 0)
}
