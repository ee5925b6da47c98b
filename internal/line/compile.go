package line

import (
	"fmt"
	"math"
	"time"
)

const (
	maxSpan = 24 * time.Hour // of any single duration or lead given
	maxDay  = 1 << 30        // ms, 12.4 days: leaves a bit for gone in a key
	never   = math.MaxInt64  // later than any instant
	longAgo = -1 << 60       // before any instant, and two of them still add up

	// A mixer's key sorts by the instant it ends, then by mixer, and carries
	// the time it took, or what would have given the batch its age: 29 bits
	// are six days.
	keyMixer  = 29
	keyTime   = 32
	lowMask   = 1<<keyMixer - 1
	mixerMask = (MaxMixers - 1) << keyMixer
	idle      = lowMask // a mixer that ends without a batch: free, not ready
)

// ticks rounds to whole milliseconds.
func ticks(d time.Duration) int32 { return int32(d.Round(time.Millisecond) / time.Millisecond) }

// perBatch is what one batch looks up, kept together for the cache.
type perBatch struct {
	full, empty, turn, rest int64
}

// tables are every step's times, in one piece so that one register finds them.
type tables struct {
	walk                   Table // factor of a walk's median, 2^15 = 1
	pour, rake, roll, cast Table
	mix, clear             [MaxMixers]Table
}

type flight struct {
	where Where
	at    int64
	react int64
}

// program is a line worked out for running: tables, ticks and the first state.
type program struct {
	n, laid  int
	mixers   int
	runners  int
	buckets  int
	rollers  int
	casters  int
	shared   Sharing
	tables   *tables
	alike    bool              // all mixers have the same times, and there are few people
	first    [MaxMixers]*Table // of whole step times, for a batch in the mixer whose end is unknown
	batch    []perBatch
	edges    []edges // those that can be lost first, by closing batch
	oldest   []edges // those that can be the worst of all
	checked  int     // edges that a batch to lay reaches
	beyond   int
	headway  int64
	interval int64 // longAgo when not paced
	react    int64 // reaction start after batch start
	planned  int64 // dwell the plan expects
	spentMul int64 // dwell over plan in ms times this, >> spentShift, is the share of edge life, 2^15 = all
	margin   int64
	moves    []move
	plain    bool // a crew and a headway that stride can do, see startPlain
	start    int  // number of the first batch started
	down     uint // bit i: mixer i does not start again

	flights    []flight
	startMix   []mixerStart
	clears     [MaxMixers]int64 // when those being cleared at the start are free
	drawsFirst bool             // some first end has to be drawn
	firstKeys  [MaxMixers]int64 // the first ends otherwise
	inMixers   int              // batches in mixers
	runnerBack [MaxRunners]int64
	back       []int64 // buckets to hand out before any from this run
	arrived    int64
	started    int64
	rakeFree   int64
	rollFree   [MaxRollers]int64
	castFree   [MaxCasters]int64
	history    []row
}

const spentShift = 20

// move is a change of zone before a batch, ms.
type move struct {
	before int
	took   int64
}

// mixerStart is a mixer's first end: busy until ready, or drawn, or idle until. One
// that is being cleared calls at a time before the study and is free later.
type mixerStart struct {
	mixer int
	idle  bool
	early bool // calls before the study
	drawn bool
	at    int64 // ready, or free, or calling
	from  int64 // started, for a drawn end
	react int64
}

// row is one laid batch: poured from, pour and rake together, and the share of
// edge life it had spent in the bucket (2^15 = all).
type row struct {
	start        int64
	takes, spent uint32
}

func compile(cfg *Config, st *Start) (*program, error) {
	if err := cfg.validate(); err != nil {
		return nil, err
	}
	p := &program{
		n: cfg.Batches, laid: st.Laid, mixers: len(cfg.Mixers), runners: cfg.Runners, buckets: cfg.Buckets,
		rollers: max(1, cfg.Rollers), casters: max(1, cfg.Casters), shared: cfg.Shared,
		headway: int64(ticks(cfg.Headway)), interval: longAgo, react: int64(ticks(cfg.ReactionAfter)),
		planned: -longAgo, margin: int64(ticks(cfg.EdgeMargin)),
	}
	if cfg.StartInterval > 0 {
		p.interval = int64(ticks(cfg.StartInterval))
	}
	if cfg.PlannedDwell > 0 && cfg.BucketLife > 0 {
		p.planned = int64(ticks(cfg.PlannedDwell))
		p.spentMul = int64(math.Round((1 << (fracBits + spentShift)) / float64(ticks(cfg.BucketLife))))
	}
	p.makeTables(cfg)
	if err := p.state(cfg, st); err != nil {
		return nil, err
	}
	lo, err := newLayout(cfg, st)
	if err != nil {
		return nil, err
	}
	singles, beyond, err := lo.edges(cfg.Checks, st.PositionL)
	if err != nil {
		return nil, err
	}
	p.checked, p.beyond = len(singles), beyond
	few := corners(singles)
	p.edges, p.oldest = paired(few), paired(oldest(few))
	p.batch = make([]perBatch, p.n)
	for k := range p.batch {
		p.batch[k] = perBatch{int64(ticks(pick(cfg.Full, k))), int64(ticks(pick(cfg.Empty, k))), 0, int64(ticks(pick(cfg.Rest, k)))}
		if cfg.Turn != nil {
			p.batch[k].turn = int64(ticks(cfg.Turn[k]))
		}
	}
	return p, p.fits(cfg)
}

// makeTables builds the tables of every step.
func (p *program) makeTables(cfg *Config) {
	t := new(tables)
	p.tables, p.alike = t, true
	for i, m := range cfg.Mixers {
		t.mix[i], t.clear[i] = *m.Mix.Table(), *m.Clear.Table()
		for j := range t.mix[i] {
			// A mixing that takes no time at all would make the order of
			// batches depend on the order of thought.
			t.mix[i][j] = max(1, t.mix[i][j])
		}
		p.alike = p.alike && m.Mix.equal(cfg.Mixers[0].Mix) && m.Clear.equal(cfg.Mixers[0].Clear)
	}
	t.pour, t.rake, t.roll, t.cast = *cfg.Pour.Table(), *cfg.Rake.Table(), *cfg.Roll.Table(), *cfg.Broadcast.Table()
	t.walk = *cfg.walk().Table()
}

// state fixes the first state: who is busy until when, which buckets are where.
func (p *program) state(cfg *Config, st *Start) error {
	if err := p.startMixers(cfg, st); err != nil {
		return err
	}
	if err := p.startFlights(st); err != nil {
		return err
	}
	if err := p.startRunners(st); err != nil {
		return err
	}
	p.startMoves(cfg)
	if !p.drawsFirst {
		p.firstMixers(0, &p.firstKeys)
	}
	p.start = p.laid + len(p.flights) + p.inMixers
	p.startPlain()
	if len(p.flights)+p.inMixers < p.n && p.down == 1<<p.mixers-1 {
		return fmt.Errorf("mixers: all are down with %d batches to mix; bring one back or lay only what is mixed", p.n-len(p.flights)-p.inMixers)
	}
	standing := p.buckets - p.inMixers - len(p.flights) - len(st.EmptyBack)
	if standing < 0 {
		return fmt.Errorf("buckets: %d in the loop, but %d in mixers, %d full and %d walking back", p.buckets, p.inMixers, len(p.flights), len(st.EmptyBack))
	}
	p.back = make([]int64, standing, standing+len(st.EmptyBack))
	for _, d := range sorted(st.EmptyBack) {
		p.back = append(p.back, max(0, int64(ticks(d))))
	}
	p.rakeFree = int64(ticks(st.RakeFree))
	p.arrived = longAgo
	for _, h := range st.History {
		p.history = append(p.history, row{int64(ticks(h.Start)), uint32(ticks(h.End) - ticks(h.Start)), uint32(math.Round(h.Spent * (1 << fracBits)))})
		p.rakeFree = max(p.rakeFree, int64(ticks(h.End)))
		p.arrived = int64(ticks(h.Start)) // it arrived no later than it was poured
	}
	return p.startPosts(st)
}

func (p *program) startMixers(cfg *Config, st *Start) error {
	p.started = longAgo
	lastClear := int64(0)
	for _, at := range st.Mixers {
		if at.Clearing {
			lastClear = max(lastClear, int64(ticks(at.FreeAt)))
		}
	}
	if len(st.Mixers) > len(cfg.Mixers) {
		return fmt.Errorf("start: %d mixers, but the line has %d", len(st.Mixers), len(cfg.Mixers))
	}
	for i, m := range cfg.Mixers {
		var at MixerAt
		if i < len(st.Mixers) {
			at = st.Mixers[i]
		}
		if m.Down {
			p.down |= 1 << i
		}
		if !at.Mixing {
			if !m.Down {
				s := mixerStart{mixer: i, idle: true, at: max(0, int64(ticks(at.FreeAt)))}
				if at.Clearing {
					p.clears[i] = s.at
					s.early = true
					s.at -= lastClear + 1 // they call in the order in which they come free
				}
				p.startMix = append(p.startMix, s)
			}
			continue
		}
		if at.Started > 0 || at.Started < -maxSpan {
			return fmt.Errorf("start: mixer %d is mixing since %v; give an instant in the last %v", i, at.Started, maxSpan)
		}
		began := int64(ticks(at.Started))
		s := mixerStart{mixer: i, from: began, react: began + p.react, at: max(0, int64(ticks(at.Ready)))}
		if at.Reaction != 0 {
			s.react = int64(ticks(at.Reaction))
		}
		if at.Ready == 0 {
			s.drawn, p.drawsFirst = true, true
			p.first[i] = p.tables.mix[i].given(uint32(-began))
		}
		p.started = max(p.started, began)
		p.inMixers++
		p.startMix = append(p.startMix, s)
	}
	return nil
}

func (p *program) startFlights(st *Start) error {
	for i, f := range st.Flight {
		if i > 0 && f.Where > st.Flight[i-1].Where {
			return fmt.Errorf("start: full bucket %d is further on than the one before it; list them in pour order", i)
		}
		if i > 0 && f.Where == Pouring {
			return fmt.Errorf("start: full bucket %d is being poured as well as the one before it; one is poured at a time", i)
		}
		if f.At > 0 || f.At < -maxSpan || f.Reaction < -maxSpan {
			return fmt.Errorf("start: full bucket %d was mixed or moved at %v; give an instant in the last %v", i, f.At, maxSpan)
		}
		p.flights = append(p.flights, flight{f.Where, int64(ticks(f.At)), int64(ticks(f.Reaction))})
	}
	if len(p.flights) > p.n {
		return fmt.Errorf("batches: %d to lay, but %d buckets are full already", p.n, len(p.flights))
	}
	return nil
}

// startPlain tells whether stride can take the usual case: one roller, one
// caster, nobody down, few enough mixers and runners for its registers, a
// headway that keeping behind the rake keeps anyway, and no mixing that ends
// before its reaction starts.
func (p *program) startPlain() {
	p.alike = p.alike && p.mixers <= 3 && p.runners <= 2 // what chainAlike can do
	p.plain = p.mixers <= 4 && p.runners <= 3 && p.rollers == 1 && p.casters == 1 && p.down == 0 &&
		p.headway <= int64(p.tables.pour[0]+p.tables.rake[0])
	for i := range p.mixers {
		p.plain = p.plain && p.react <= int64(p.tables.mix[i][0])
	}
}

// startMoves keeps the moves still to come. One that should have come before a
// batch already mixed comes after it.
func (p *program) startMoves(cfg *Config) {
	inHand := len(p.flights) + p.inMixers
	for _, m := range cfg.Moves {
		before, took := max(m.Before, inHand), int64(ticks(m.Took))
		switch last := len(p.moves) - 1; {
		case before >= p.n:
		case last >= 0 && p.moves[last].before == before:
			p.moves[last].took += took
		default:
			p.moves = append(p.moves, move{before, took})
		}
	}
}

func (p *program) startRunners(st *Start) error {
	for i := range p.runnerBack {
		p.runnerBack[i] = never
	}
	busy := 0
	for _, f := range p.flights {
		if f.where != Waiting {
			busy++
		}
	}
	standing := p.runners - busy - len(st.RunnersBack)
	if standing < 0 {
		return fmt.Errorf("runners: %d in the crew, but %d carry and %d walk back", p.runners, busy, len(st.RunnersBack))
	}
	for i := range standing {
		p.runnerBack[i] = 0
	}
	for i, d := range sorted(st.RunnersBack) {
		p.runnerBack[standing+i] = max(0, int64(ticks(d)))
	}
	return nil
}

func (p *program) startPosts(st *Start) error {
	if len(st.RollFree) > p.rollers || len(st.CastFree) > p.casters {
		return fmt.Errorf("start: %d rollers and %d casters busy, but the line has %d and %d", len(st.RollFree), len(st.CastFree), p.rollers, p.casters)
	}
	fill := func(free []int64, crew int, at []time.Duration) {
		for i := range free {
			free[i] = never
		}
		for i := range crew {
			free[i] = 0
		}
		for i, d := range sorted(at) {
			free[crew-len(at)+i] = max(0, int64(ticks(d)))
		}
	}
	fill(p.rollFree[:], p.rollers, st.RollFree)
	fill(p.castFree[:], p.casters, st.CastFree)
	return nil
}
