package advice

import (
	"context"
	"errors"
	"fmt"
	"runtime"
	"sync"
	"time"

	"floorpace/internal/line"
	"floorpace/internal/pace"
	"floorpace/internal/plan"
)

// Options say how long to study a plan. Zero Workers counts as every core; it
// never changes the result.
type Options struct {
	Days    int
	Seed    uint64
	Workers int
}

// Sizes of the table of crews.
const (
	crewMixers  = 4
	crewRunners = 3
)

// widthParts is the number of steps from a quarter of the pull to the whole in the
// table of pull widths.
const widthParts = 4

// Report is the study of a plan before the day. Times are seconds from the first
// start, lengths metres.
type Report struct {
	Title string  `json:"title"`
	Days  int     `json:"days"`
	Seed  uint64  `json:"seed"`
	Asked float64 `json:"chance_asked"`
	// Missing says what has no figure, zone by zone. When anything is, nothing that
	// rests on every zone has one either: Whole and Opening are nil, Crews empty.
	Missing []string `json:"missing"`
	*Whole
	Opening *time.Time `json:"opening"` // of the use the plan asks for; nil = no figure
	InTime  *bool      `json:"in_time"` // nil = no figure
	// Opens is the share of the days on which that opening is met; nil = no figure.
	Opens  *float64     `json:"opening_met"`
	Zones  []ZoneReport `json:"zones"`
	Crews  []CrewRow    `json:"crews"`
	Widths []WidthRow   `json:"pull_widths"`
	// Smallest is the crew of fewest people in the table that holds edge and
	// buckets at the chance asked for; nil when none does.
	Smallest *CrewRow `json:"smallest_crew"`
	Notes    []string `json:"notes"`
}

// Whole is what was found for all zones of the day together.
type Whole struct {
	Edge    float64 `json:"edge_holds"`
	Buckets float64 `json:"buckets_live"`
	Both    float64 `json:"both"`
	P10S    float64 `json:"laid_p10_s"`
	P50S    float64 `json:"laid_p50_s"`
	P90S    float64 `json:"laid_p90_s"`
}

// Holds reports whether edge and buckets hold at the chance asked for; without a
// figure they do not.
func (r *Report) Holds() bool { return r.Whole != nil && r.Both >= r.Asked }

// ZoneReport is the study of one zone: its figures, or what is missing for them.
type ZoneReport struct {
	Zone    string `json:"zone"`
	Missing string `json:"missing,omitempty"` // what has no figure, or why nothing comes; Found is then nil
	*Found
}

// Found is what the study of one zone found.
type Found struct {
	Kits    int     `json:"kits"`
	Edge    float64 `json:"edge_holds"`
	Live    float64 `json:"edge_lives"` // the margin used up
	Buckets float64 `json:"buckets_live"`
	Both    float64 `json:"both"`
	P10S    float64 `json:"laid_p10_s"`
	P50S    float64 `json:"laid_p50_s"`
	P90S    float64 `json:"laid_p90_s"`
	// Least life left of any edge over its margin, and the oldest bucket.
	Slack10S float64 `json:"slack_p10_s"`
	Slack50S float64 `json:"slack_p50_s"`
	Dwell50S float64 `json:"oldest_bucket_p50_s"`
	Dwell90S float64 `json:"oldest_bucket_p90_s"`
	LostAt   int     `json:"lost_at_batch"` // the middle batch at which the first edge goes, from 1; 0 = none
	// Posts, the tightest first.
	Posts []PostUse `json:"posts"`
}

// PostUse is how busy a post is, shares of its people's time: at its own work, and
// with a batch in hand.
type PostUse struct {
	Post string  `json:"post"`
	Crew int     `json:"crew"`
	Work float64 `json:"work"`
	Held float64 `json:"held"`
}

// CrewRow is one crew of the table, over all zones.
type CrewRow struct {
	Mixers  int     `json:"mixers"`
	Runners int     `json:"runners"`
	Buckets int     `json:"buckets"`
	Planned bool    `json:"planned"`
	Edge    float64 `json:"edge_holds"`
	Both    float64 `json:"both"`
	P50S    float64 `json:"laid_p50_s"`
}

// WidthRow is one width of pull of a zone.
type WidthRow struct {
	Zone   string  `json:"zone"`
	WidthM float64 `json:"width_m"`
	TapeM  float64 `json:"tape_m"`
	Edge   float64 `json:"edge_holds"`
	Both   float64 `json:"both"`
	P50S   float64 `json:"laid_p50_s"`
}

// study of a plan: what is asked, and how far it is.
type forecast struct {
	run
	plan        *plan.Plan
	floors      []*pace.Zone
	progress    func(done, total int)
	crewSizes   []pace.Hands
	lacks       bool // some zone has no figure
	mu          sync.Mutex
	done, total int // days
}

// Forecast studies a plan that plan.Validate has passed, from its first readings:
// the plan as it is, crews of 1 to 4 mixers and 1 to 3 runners, and narrower pulls,
// all on the same luck. Zones are studied one by one, each with luck of its own,
// and strung together day by day with their moves and the hours of their doors. progress, when not nil, is called with
// the days studied and all that will be, every few dozen days, one call at a time. It refuses a number of days outside 1 to 2^24 and gives ctx's error
// when that ends.
func Forecast(ctx context.Context, p *plan.Plan, floors []*pace.Zone, o Options, progress func(done, total int)) (Report, error) {
	if len(floors) == 0 {
		return Report{}, errors.New("the plan has no zone: nothing to forecast")
	}
	if progress == nil {
		progress = func(int, int) {}
	}
	f := &forecast{
		run:  run{ctx: ctx, days: o.Days, seed: o.Seed, workers: o.Workers, each: true},
		plan: p, floors: floors, progress: progress,
		crewSizes: crewSizes(p),
	}
	f.tick = f.more
	f.expect()
	r := Report{Title: p.Title, Days: o.Days, Seed: o.Seed, Asked: p.Rules.Chance}
	if err := f.asPlanned(&r); err != nil {
		return Report{}, err
	}
	if !f.lacks {
		if err := f.crews(&r); err != nil {
			return Report{}, err
		}
	}
	if err := f.widths(&r); err != nil {
		return Report{}, err
	}
	r.Notes = []string{
		"each zone is begun with the crew standing ready, on luck of its own",
		"starts are paced as the console calls them",
	}
	return r, nil
}

// crewSizes lists the crews of the table, the planned one as it is. The others have
// a bucket for each mixer and each hand, where the plan has fewer.
func crewSizes(p *plan.Plan) (out []pace.Hands) {
	planned, seen := pace.HandsOf(p), false
	for m := 1; m <= crewMixers; m++ {
		for n := 1; n <= crewRunners; n++ {
			h := planned
			h.Mixers, h.Runners = m, n
			if h != planned {
				h.Buckets = max(h.Buckets, m+n)
			}
			seen = seen || h == planned
			out = append(out, h)
		}
	}
	if !seen {
		out = append(out, planned)
	}
	return out
}

// expect counts the days that will be studied: none where a figure is missing.
func (f *forecast) expect() {
	studied := 0
	for _, z := range f.floors {
		if begin(f.plan, z, pace.HandsOf(f.plan)).missing() == "" {
			studied += 1 + widthParts
		} else {
			f.lacks = true
		}
	}
	if !f.lacks {
		studied += len(f.floors) * len(f.crewSizes)
	}
	f.total = studied * f.days
}

// more takes in days just studied.
func (f *forecast) more(days int) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.done += days
	f.progress(f.done, f.total)
}

// zone studies one scene of zone i; missing is not empty where something is.
func (f *forecast) zone(i int, s *scene) (v verdict, missing string, err error) {
	if missing = s.missing(); missing == "" {
		if v, err = f.run.onZone(f.floors[i]).study(s); err != nil {
			return v, "", fmt.Errorf("zone %s: %w", f.floors[i].Z.Name, err)
		}
		missing = v.idle
	}
	return v, missing, nil
}

// link is zone i on the course of the day, whose zero is the first start.
func (f *forecast) link(i int, s *scene, v verdict) stretch {
	z := s.of(v)
	if i > 0 {
		z.move = f.floors[i].Z.Move
	}
	if at := doorsOpen(f.floors[i].Z); !at.IsZero() {
		z.notBefore = at.Sub(s.now)
	}
	return z
}

// doorsOpen is when the first door of a zone opens; zero when one always is, or it
// has none.
func doorsOpen(z *plan.Zone) (at time.Time) {
	for _, d := range z.Doors {
		switch {
		case d.OpenFrom.IsZero():
			return time.Time{}
		case at.IsZero() || d.OpenFrom.Before(at):
			at = d.OpenFrom
		}
	}
	return at
}

func (f *forecast) asPlanned(r *Report) error {
	var day *strung
	for i, z := range f.floors {
		s := begin(f.plan, z, pace.HandsOf(f.plan))
		v, missing, err := f.zone(i, s)
		if err != nil {
			return err
		}
		if missing != "" {
			r.Zones = append(r.Zones, ZoneReport{Zone: z.Z.Name, Missing: missing})
			r.Missing = append(r.Missing, z.Z.Name+": "+missing)
			continue
		}
		q := found(v)
		r.Zones = append(r.Zones, ZoneReport{Zone: z.Z.Name, Found: &q})
		if day == nil {
			day = s.string(f.days)
		}
		day.add(f.link(i, s, v))
	}
	if f.lacks = len(r.Missing) > 0; f.lacks {
		return nil
	}
	r.Whole = new(Whole)
	r.Edge, r.Buckets, r.Both = day.shares()
	laid := day.laid()
	r.P10S, r.P50S, r.P90S = laid.P10.Seconds(), laid.P50.Seconds(), laid.P90.Seconds()
	if at, in, chance := day.opening(); !at.IsZero() {
		r.Opening, r.InTime, r.Opens = &at, &in, &chance
	}
	return nil
}

func found(v verdict) Found {
	q := Found{
		Kits: v.batches, Edge: v.EdgesHold, Live: v.EdgesLive, Buckets: v.BucketsHold, Both: v.Both,
		P10S: v.Laid.P10.Seconds(), P50S: v.Laid.P50.Seconds(), P90S: v.Laid.P90.Seconds(),
		Slack10S: v.EdgeSlack.P10.Seconds(), Slack50S: v.EdgeSlack.P50.Seconds(),
		Dwell50S: v.Dwell.P50.Seconds(), Dwell90S: v.Dwell.P90.Seconds(),
	}
	if v.Days > 0 && v.LostP50 >= 0 {
		q.LostAt = v.LostP50 + 1
	}
	for _, u := range v.Ranking {
		if u.Work > 0 {
			q.Posts = append(q.Posts, PostUse{u.Post.String(), u.Crew, u.Work, u.Held})
		}
	}
	return q
}

// crews fills the table of crew sizes and names the smallest that holds.
func (f *forecast) crews(r *Report) error {
	for _, h := range f.crewSizes {
		row := CrewRow{Mixers: h.Mixers, Runners: h.Runners, Buckets: h.Buckets, Planned: h == pace.HandsOf(f.plan)}
		day := newCourse(f.days)
		for i, z := range f.floors {
			s := begin(f.plan, z, h)
			v, _, err := f.zone(i, s)
			if err != nil {
				return err
			}
			k := f.link(i, s, v)
			day.then(k.move, k.notBefore, k.days)
		}
		row.Edge, _, row.Both = day.shares()
		row.P50S = day.laid().P50.Seconds()
		r.Crews = append(r.Crews, row)
	}
	for i := range r.Crews {
		c := &r.Crews[i]
		if c.Both < r.Asked {
			continue
		}
		if s := r.Smallest; s == nil || c.Mixers+c.Runners < s.Mixers+s.Runners ||
			c.Mixers+c.Runners == s.Mixers+s.Runners && c.Both > s.Both {
			r.Smallest = c
		}
	}
	return nil
}

// widths fills the table of pull widths, widest first.
func (f *forecast) widths(r *Report) error {
	for i, z := range f.floors {
		for part := widthParts; part >= 1; part-- {
			width := z.WidthM() * float64(part) / widthParts
			s := begin(f.plan, z, pace.HandsOf(f.plan))
			if s.missing() != "" {
				break
			}
			row := WidthRow{Zone: z.Z.Name, WidthM: width}
			if part < widthParts {
				lanes, err := z.Narrow(0, width, 0, false)
				if err != nil { // a pull that cannot be narrowed has no row
					f.more(f.days)
					continue
				}
				s.floor, row.TapeM = lanes, lanes.Path.TapeM()
			}
			v, missing, err := f.zone(i, s)
			if err != nil {
				return err
			}
			if missing != "" {
				continue
			}
			row.Edge, row.Both, row.P50S = v.EdgesHold, v.Both, v.Laid.P50.Seconds()
			r.Widths = append(r.Widths, row)
		}
	}
	return nil
}

// cores is the number of goroutines of a study: as asked, else every core.
func (r run) cores() int {
	if r.workers > 0 {
		return r.workers
	}
	return runtime.GOMAXPROCS(0)
}

// luck is the line's way of running a study.
func (r run) luck() line.Run {
	return line.Run{Days: r.days, Seed: r.seed, Workers: r.cores(), Tick: r.tick}
}
