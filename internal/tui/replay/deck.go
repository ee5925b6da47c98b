// Package replay drives the screens of the live day from a finished log: a
// time line with a cursor, play and pause at 1 to 600 times the day's own
// pace, steps and jumps, and "what if" from the instant shown.
//
// A Deck is the source of the views (in place of a shift) and the strip of
// rows with the time line at once. Keys come in on the screen's goroutine and
// become orders; Run, on its own, plays, works out pictures and what-ifs, and
// publishes. The log is never touched.
package replay

import (
	"context"
	"sync/atomic"
	"time"

	"floorpace/internal/advice"
	"floorpace/internal/day"
	"floorpace/internal/playback"
	"floorpace/internal/shift"
	"floorpace/internal/tui/widget/timeline"
)

// Deck plays a day. Make one with New; call Run once.
type Deck struct {
	path    string
	warn    []string // what is wrong with the log; stands on every picture
	orders  chan order
	answers chan answer
	changed chan struct{}
	latest  atomic.Pointer[shift.View]
	shown   atomic.Pointer[status]
	marks   []timeline.Mark
	words   []playback.Mark

	// Run's own.
	pb     *playback.Playback
	whatIf whatIf
	said   string        // what the last key could not do
	saidIn time.Duration // how much longer that is shown

	// The screen's own: a time or a batch being typed.
	typing *typing
}

// status is what the strip shows of an instant.
type status struct {
	now, begin, end time.Time
	playing         bool
	speed           float64
	n, of           int
	said            string // what the last key could not do
	ifs             whatIf
}

// whatIf is the state of the question asked last.
type whatIf struct {
	asked   bool
	working bool
	facts   int
	at      time.Time
	out     advice.Outlook
	gen     int
	stop    context.CancelFunc
}

type order func(d *Deck, ctx context.Context) (said string)

type answer struct {
	gen int
	out advice.Outlook
}

// queueLength is more keys than a hand presses while one picture is worked
// out; more are dropped, as if the key had not been heard.
const queueLength = 64

// New makes a deck over a playback, which it then owns. path is the log's, for
// the screens to name.
func New(pb *playback.Playback, path string) *Deck {
	d := &Deck{
		path: path, pb: pb, orders: make(chan order, queueLength), answers: make(chan answer, 1), changed: make(chan struct{}, 1),
		words: pb.Marks(),
	}
	for _, m := range d.words {
		d.marks = append(d.marks, markOf(m))
	}
	d.publish()
	return d
}

// Latest is the newest view. With Changed, Press, Quiet and Waiting it makes
// the deck a source of views.
func (d *Deck) Latest() *shift.View { return d.latest.Load() }

// Changed receives after a new view was published; it holds at most one.
func (d *Deck) Changed() <-chan struct{} { return d.changed }

// Press takes nothing: the day is over.
func (d *Deck) Press(day.Press, time.Time) bool { return false }

// Quiet has nothing to quiet.
func (d *Deck) Quiet(time.Time) bool { return false }

// Waiting is nothing: nothing is ever saved.
func (d *Deck) Waiting() (int, time.Time) { return 0, time.Time{} }

// Rate is how fast the day's clock runs now against the machine's: 0 while
// paused.
func (d *Deck) Rate() float64 {
	if s := d.shown.Load(); s.playing {
		return s.speed
	}
	return 0
}

// Run plays until ctx ends. ticks delivers instants of the machine's clock,
// ten a second or so; only the time between them counts.
func (d *Deck) Run(ctx context.Context, ticks <-chan time.Time) {
	var last time.Time
	defer d.drop()
	for {
		select {
		case <-ctx.Done():
			return
		case do := <-d.orders:
			d.said, d.saidIn = do(d, ctx), saidFor
			d.publish()
		case a := <-d.answers:
			if a.gen == d.whatIf.gen {
				d.whatIf.working, d.whatIf.out = false, a.out
				d.publish()
			}
		case t := <-ticks:
			gone := t.Sub(last)
			if last.IsZero() || gone > longestTick { // the machine slept: the day does not jump
				gone = 0
			}
			last = t
			faded := d.fade(gone)
			if d.pb.Playing() {
				d.pb.Advance(gone)
			} else if !faded {
				continue
			}
			d.publish()
		}
	}
}

// longestTick is far longer than a tick that came late.
const longestTick = 2 * time.Second

// saidFor is how long words about a key stay, playing or not: long enough to be
// read by somebody who looked at the keys.
const saidFor = 4 * time.Second

// fade takes words about a key away in time, and reports whether it just did.
func (d *Deck) fade(gone time.Duration) bool {
	if d.said == "" {
		return false
	}
	if d.saidIn -= gone; d.saidIn > 0 {
		return false
	}
	d.said = ""
	return true
}

// Warn puts a line about the log on every picture. Call it before Run.
func (d *Deck) Warn(words string) {
	d.warn = append(d.warn, words)
	d.publish()
}

// publish hands out the picture at the cursor.
func (d *Deck) publish() {
	v := &shift.View{Snapshot: d.pb.Snapshot(), LogPath: d.path, Banner: d.warn}
	if w := &d.whatIf; w.asked && w.facts != v.Facts {
		d.drop() // the cursor has left the facts that the question was about
	}
	switch w := &d.whatIf; {
	case !w.asked:
		v.Forecast = advice.Outlook{Why: "i asks what if, from here"}
	case w.working:
		v.Forecast = advice.Outlook{Why: "working out what if …"}
	default:
		v.Forecast = w.out
	}
	d.latest.Store(v)
	d.shown.Store(&status{
		now: d.pb.Now(), begin: d.pb.Begin(), end: d.pb.End(), playing: d.pb.Playing(), speed: d.pb.Speed(),
		n: d.pb.Happened(), of: d.pb.Len(), said: d.said, ifs: d.whatIf,
	})
	select {
	case d.changed <- struct{}{}:
	default:
	}
}

// drop forgets the question asked last and ends its study.
func (d *Deck) drop() {
	if d.whatIf.stop != nil {
		d.whatIf.stop()
	}
	d.whatIf = whatIf{gen: d.whatIf.gen}
}

// Days studied and their luck: as in a live day, so that a replayed instant
// gives the figures that the crew saw.
const (
	daysStudied = 2000
	seed        = 1
)

// ask begins to work out the ways out from the instant shown, on a goroutine
// of its own; time stands still meanwhile.
func ask(d *Deck, ctx context.Context) string {
	d.pb.Pause()
	d.drop()
	v := d.pb.Snapshot()
	c, ok := advice.Ask(v)
	if !ok {
		return "nothing to forecast here: no zone is open"
	}
	sub, stop := context.WithCancel(ctx)
	gen := d.whatIf.gen + 1
	d.whatIf = whatIf{asked: true, working: true, facts: v.Facts, at: v.Now, gen: gen, stop: stop}
	go func() {
		a := answer{gen: gen, out: judge(sub, c)}
		select {
		case d.answers <- a:
		case <-sub.Done():
		}
	}()
	return ""
}

// judge keeps a failure in the study from taking the terminal down with it.
func judge(ctx context.Context, c advice.Case) (out advice.Outlook) {
	defer func() {
		if r := recover(); r != nil {
			out = advice.Outlook{Why: "the study of the ways out failed"}
		}
	}()
	return c.Every().JudgeDay(ctx, daysStudied, seed)
}
