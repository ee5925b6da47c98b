package pace

import (
	"math"
	"slices"
	"sync"
	"time"

	"floorpace/internal/floor"
	"floorpace/internal/path"
	"floorpace/internal/plan"
	"floorpace/internal/sheet"
)

// Ground is the temperature a zone is poured at: the slab, the kits, and spots
// of their own (by index in the zone's Spots; NaN: as the slab). °C.
type Ground struct {
	SlabC, KitC float64
	SpotC       []float64
}

// Hands is how many of each are at work.
type Hands struct {
	Mixers, Runners, Buckets int
	Rake, Roll, Broadcast    bool
}

// HandsOf is the crew as planned.
func HandsOf(p *plan.Plan) Hands {
	c := &p.Crew
	return Hands{
		Mixers: c.Mixers, Runners: c.Runners, Buckets: c.Buckets,
		Rake: true, Roll: c.RollM2Min > 0, Broadcast: c.BroadM2Min > 0,
	}
}

// Post is one post of the line and the most it can do.
type Post struct {
	Name   string  `json:"post"`
	PerMin float64 `json:"per_min"` // batches a minute
}

// Band is the pace between which a zone must be poured: not slower than the
// wet edge allows, not faster than the crew can.
type Band struct {
	OK      bool   // the sheet has the figures; Missing says which not
	Missing string // "edge life at 8 °C", …

	EdgeLife, BucketLife, RollUntil, BroadUntil time.Duration
	Needed                                      float64 // batches a minute ahead of the front
	NeededSpanM2, NeededSpanL                   float64
	NeededX, NeededY                            float64
	NeededWait                                  time.Duration // how long that edge waits at the crew's limit

	Posts     []Post
	Limit     float64 // batches a minute, the slowest post
	LimitPost string

	M2PerKit   float64
	M2Min      float64 // area a minute at the crew's limit
	PatchM2    float64 // (edge life − margin − turn) × rate
	WidestM    float64 // widest pull at the plan's row depth
	DeepestM   float64 // deepest row at the zone's width
	Dwell      time.Duration
	DwellLimit time.Duration
	CarryM     float64 // carry distance at the place looked at
	CarryMost  float64 // furthest carry that the bucket life allows
	BucketsMax int
	PlainMin   float64 // plain form: width × front speed × depth ÷ yield, batches a minute
}

// Holds reports whether the band is open: the crew can keep the pace that the
// edge needs.
func (b Band) Holds() bool { return b.OK && b.Needed <= b.Limit*(1+1e-9) }

// Interval is the time between two batches at a pace.
func Interval(perMin float64) time.Duration {
	if perMin <= 0 || math.IsInf(perMin, 0) {
		return 0
	}
	return time.Duration(float64(time.Minute) / perMin)
}

// EdgeLives gives the edge life at each spot of the zone and on the plain slab
// (index -1 → last element); ok is false when the sheet has no figure for one.
func (f *Zone) edgeLives(b *sheet.Blend, g Ground) (lives []time.Duration, ok bool, missing float64) {
	n := len(f.Z.Spots)
	lives = make([]time.Duration, n+1)
	for i := range lives {
		t := g.SlabC
		if i < n && i < len(g.SpotC) && !math.IsNaN(g.SpotC[i]) {
			t = g.SpotC[i]
		}
		d, fine := b.EdgeLife.At(t)
		if !fine {
			return nil, false, t
		}
		lives[i] = d
	}
	return lives, true, 0
}

// need is the slowest safe rate from posL to toL with each spot's own edge life.
func (f *Zone) need(lives []time.Duration, posL, toL float64) (path.Need, bool) {
	r, most := &f.plan.Rules, toL
	plain := lives[len(lives)-1]
	same := true
	for _, l := range lives {
		same = same && l == plain
	}
	if same {
		return f.Path.QMin(posL, most, plain, r.EdgeMargin, r.Turn)
	}
	if toL < f.Path.TotalL() {
		return f.ahead.of(f, lives).Between(posL, toL)
	}
	return f.ahead.of(f, lives).From(posL)
}

// aheadKept keeps what the edges ahead need by the lives of one set of readings:
// it is asked for at every front until somebody reads again. Any goroutine may
// ask.
type aheadKept struct {
	mu    sync.Mutex
	lives []time.Duration
	ahead *path.Ahead
}

func (k *aheadKept) of(f *Zone, lives []time.Duration) *path.Ahead {
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.ahead == nil || !slices.Equal(k.lives, lives) {
		plain := lives[len(lives)-1]
		k.lives, k.ahead = slices.Clone(lives), f.Path.Ahead(func(q floor.Point) time.Duration {
			if c := f.Path.CellAt(q); c >= 0 && f.SpotOf[c] >= 0 {
				return lives[f.SpotOf[c]]
			}
			return plain
		}, f.plan.Rules.EdgeMargin, f.plan.Rules.Turn)
	}
	return k.ahead
}

// Band works out the pace band from path volume posL (litres) to the zone's end.
func (f *Zone) Band(b *sheet.Blend, h Hands, g Ground, posL float64) Band {
	return f.BandTo(b, h, g, posL, f.Path.TotalL())
}

// BandTo works out the pace band from path volume posL to toL (litres), where
// pouring ends.
func (f *Zone) BandTo(b *sheet.Blend, h Hands, g Ground, posL, toL float64) Band {
	p, c := f.plan, &f.plan.Crew
	out := Band{M2PerKit: f.M2PerKit(b), CarryM: f.Path.Distance(posL)}
	out.Posts = f.posts(b, h, posL)
	out.Limit, out.LimitPost = slowest(out.Posts)
	out.M2Min = out.Limit * out.M2PerKit
	f.bucketSide(&out, b, g, posL, c)
	lives, ok, at := f.edgeLives(b, g)
	if !ok {
		out.Missing = f.missing("edge life", at)
		return out
	}
	out.EdgeLife = lives[len(lives)-1]
	out.RollUntil, _ = b.RollUntil.At(g.SlabC)
	out.BroadUntil, _ = b.BroadcastUntil.At(g.SlabC)

	net := f.NetL(b)
	if toL >= f.Path.TotalL() {
		toL++ // what the very last cut joins counts too
	}
	if need, ok := f.need(lives, posL, toL); ok {
		out.Needed = need.RateLps * 60 / net
		out.NeededSpanL, out.NeededX, out.NeededY = need.SpanL, need.At.X, need.At.Y
		out.NeededSpanM2 = f.AreaBetween(need.LaidL, need.CloseL)
		if out.Limit > 0 {
			out.NeededWait = seconds(need.SpanL/(out.Limit*net/60)) + time.Duration(need.RowEnds)*p.Rules.Turn
		}
	}
	free := (out.EdgeLife - p.Rules.EdgeMargin - p.Rules.Turn).Minutes()
	out.PatchM2 = math.Max(0, free*out.M2Min)
	rowDepth := f.Path.Lay().RowDepthM
	out.WidestM = out.PatchM2 / rowDepth
	if w := f.WidthM(); w > 0 {
		out.DeepestM = out.PatchM2 / w
		speed := out.M2Min / w // m a minute of front
		out.PlainMin = w * speed * (f.Path.TotalL() / f.Path.AreaM2()) / net
	}
	out.OK = out.Missing == ""
	return out
}

// Limit is the most the crew can do at posL, batches a minute, and the post that
// sets it.
func (f *Zone) Limit(b *sheet.Blend, h Hands, posL float64) (perMin float64, post string) {
	return slowest(f.posts(b, h, posL))
}

func slowest(posts []Post) (perMin float64, post string) {
	perMin = math.Inf(1)
	for _, q := range posts {
		if q.PerMin < perMin {
			perMin, post = q.PerMin, q.Name
		}
	}
	return perMin, post
}

// bucketSide fills in what the bucket life allows.
func (f *Zone) bucketSide(out *Band, b *sheet.Blend, g Ground, posL float64, c *plan.Crew) {
	out.Dwell = f.Dwell(b, posL)
	if b.BucketLife.Empty() { // a leveller: the sheet gives none, so none is asked for
		out.DwellLimit = 0
		return
	}
	life, ok := b.BucketLife.At(g.KitC)
	if !ok {
		out.Missing = f.missing("bucket life", g.KitC)
		return
	}
	out.BucketLife = life
	out.DwellLimit = life - f.plan.Rules.BucketMargin
	out.CarryMost = math.Max(0, (out.DwellLimit-(out.Dwell-f.Carry(posL))).Seconds()*c.WalkFull)
	if iv := Interval(out.Limit); iv > 0 {
		out.BucketsMax = int(math.Floor((life + b.ReactionAfter()).Seconds() / iv.Seconds()))
	}
}

// posts lists the posts at work with what each can do at posL, batches a
// minute. A post that places and has dropped out stands at zero; roller and
// broadcaster are then left out: the edge does not wait for them, and what they
// leave undone is for the finishing windows to say.
func (f *Zone) posts(b *sheet.Blend, h Hands, posL float64) []Post {
	p, c := f.plan, &f.plan.Crew
	area := f.M2PerKit(b)
	per := func(n int, d time.Duration) float64 {
		if d <= 0 {
			return math.Inf(1)
		}
		return float64(n) / d.Minutes()
	}
	walk := f.Carry(posL) + f.Back(posL)
	round := c.Load + c.Pour + walk
	posts := []Post{
		{"mixers", per(h.Mixers, p.Cycle(b))},
		{"runners", per(h.Runners, round)},
		{"buckets", per(h.Buckets, b.MixTime()+c.Scrape+round)},
	}
	rake := 0.0
	if h.Rake {
		rake = 1 / (c.Pour.Minutes() + area/c.RakeM2Min)
	}
	posts = append(posts, Post{"rake", rake})
	if c.RollM2Min > 0 && h.Roll {
		posts = append(posts, Post{"roll", c.RollM2Min / area})
	}
	if c.BroadM2Min > 0 && h.Broadcast {
		posts = append(posts, Post{"broadcast", c.BroadM2Min / area})
	}
	return posts
}
