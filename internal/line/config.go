package line

import (
	"time"
)

// Limits of the line. They are the sizes of fixed arrays in the recursion; no
// crew on one floor comes near them (common practice, no source).
const (
	MaxMixers  = 8
	MaxRunners = 8
	MaxRollers = 4
	MaxCasters = 4
	MaxBuckets = 64
)

// Config is the crew line and the floor it has to lay. Durations are durations,
// volumes are litres of path volume (yield net of loss).
type Config struct {
	// Batches is the number still to lay, counting those already mixed or
	// being mixed at the start.
	Batches int

	Mixers  []Mixer
	Runners int
	// Buckets in the loop, full and empty, those in mixers included.
	Buckets int

	// Full and Empty are the median walks with the full bucket (picking up
	// included) and back with the empty one, by batch; one element serves
	// every batch, none means no walk. WalkSpread is the sd of ln(walk).
	Full, Empty []time.Duration
	WalkSpread  float64
	// WalkShape, when used, takes the place of WalkSpread: how a walk lies about its
	// median, a second standing for the median.
	WalkShape Dist
	// Headway is the least time between two arrivals at the front.
	Headway time.Duration

	Pour, Rake, Roll, Broadcast Dist
	// Rollers and Casters work the posts after the rake; 0 counts as 1.
	Rollers, Casters int
	// Shared names two posts served by one person. The recursion cannot
	// express it, so the study runs on the slower event simulator.
	Shared Sharing

	// VolL is the path volume of each batch, L; one element serves all.
	VolL []float64
	// Turn is the time the rake needs before batch k because a row ended
	// before it; nil means none, otherwise one element per batch.
	Turn []time.Duration
	// Moves are changes of zone, by batch ascending.
	Moves []Move

	// StartInterval paces the mixers: the next batch is started no sooner
	// than this after the last start. 0 means as fast as the line allows.
	StartInterval time.Duration
	// Rest is how long the bucket of each batch, once back, stands before it is handed
	// out again: so a start waits until the front can take what it brings, as somebody
	// would who counts the batches on the way. One element serves all, none means at
	// once.
	Rest []time.Duration

	// Checks are the edges to keep, in any order: the few worst cells of each
	// batch (see [Sieve]) or all of them.
	Checks []Check
	// EdgeMargin is taken off every edge life.
	EdgeMargin time.Duration

	// BucketLife at the kits' temperature; 0 means the sheet has no figure
	// and no bucket is judged. BucketMargin is taken off it.
	BucketLife, BucketMargin time.Duration
	// ReactionAfter is the time from a batch's start to the step that starts
	// the reaction.
	ReactionAfter time.Duration
	// PlannedDwell is the bucket age at which the plan expects a batch to be
	// poured; a later one has spent edge life in the bucket. 0 switches that off.
	PlannedDwell time.Duration
}

// Mixer is one mixing place: Mix is the whole cycle from start until the full
// bucket is ready, Clear the scraping before the next start. A mixer that is
// Down does not start again; list it so that the others keep their numbers.
type Mixer struct {
	Mix, Clear Dist
	Down       bool
}

// Move is a change of zone: batch Before is the first of the new zone, and its
// mixing may start only Took after the batch before it is raked.
type Move struct {
	Before int // batch still to lay, counted from 0
	Took   time.Duration
}

// Sharing names posts that share one person.
type Sharing uint8

// The posts that may share one person. Whoever is ready first is served first.
const (
	OwnPeople Sharing = iota
	RakeAndRoll
	RollAndBroadcast
)

// Check is one edge: the cell covered when the path volume is CloseL joins an
// older one covered SpanL earlier, which lives EdgeLife. Turn is taken off the
// life as well, for callers that do not put turns into the line itself.
type Check struct {
	CloseL, SpanL  float64
	EdgeLife, Turn time.Duration
}

// Start is the observed state from which a study runs. The zero Start is a crew
// standing ready with everything clean. Instants are relative to the study's
// zero, now; the past is negative.
type Start struct {
	// Laid is the number of batches laid or lost before; it keys the luck, so
	// that a forecast moves only when facts do.
	Laid int
	// PositionL is the path volume laid so far, L.
	PositionL float64
	// Mixers by number; nil or shorter than Config.Mixers means free now.
	Mixers []MixerAt
	// Flight lists the full buckets not yet raked, in pour order.
	Flight []Flight
	// EmptyBack holds the instants at which buckets now on their way back
	// arrive; all others stand clean at the mix station.
	EmptyBack []time.Duration
	// RunnersBack holds the instants at which runners now walking back arrive;
	// runners with a full bucket are in Flight; the others stand ready.
	RunnersBack []time.Duration
	// RakeFree, RollFree and CastFree are the instants at which those at work
	// are free; missing ones are free now.
	RakeFree           time.Duration
	RollFree, CastFree []time.Duration
	// History is what was laid, in order and without gaps, at least as far
	// back as the checks reach.
	History []Lay
}

// MixerAt is one mixer now. When Mixing, Ready is the instant the batch will be
// ready; 0 means unknown, and it is drawn from the mixer's times given that the
// batch was started at Started and is not ready yet. Reaction is the instant
// its reaction starts; 0 means Started + Config.ReactionAfter. When not Mixing,
// FreeAt is the instant the mixer may start; Clearing says that it is being
// scraped out until then, so that its turn for a start comes before that of any
// mixer still mixing.
type MixerAt struct {
	Mixing                   bool
	Started, Ready, Reaction time.Duration
	FreeAt                   time.Duration
	Clearing                 bool
}

// Where a full bucket is.
type Where uint8

// A full bucket waits at the mix station, is carried, or is being poured.
const (
	Waiting Where = iota
	Carried
	Pouring
)

// Flight is one full bucket: At is the instant it was mixed (Waiting), picked
// up (Carried) or the pour began (Pouring); Reaction is when its reaction began.
type Flight struct {
	Where        Where
	At, Reaction time.Duration
}

// Lay is one batch that was laid: path volume from FromL to ToL, poured from
// Start and raked at End (expected, if the rake is still at it). Spent is the
// share of its edge life used up in the bucket, 0 to 1.
type Lay struct {
	FromL, ToL float64
	Start, End time.Duration
	Spent      float64
}
