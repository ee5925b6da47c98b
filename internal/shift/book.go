package shift

import (
	"time"

	"floorpace/internal/day"
	"floorpace/internal/daylog"
	"floorpace/internal/pace"
	"floorpace/internal/plan"
)

// book numbers the events of a day and hangs the sleep-counting clock of this
// boot on the day's time line.
type book struct {
	files map[string]int64 // writer → place among the files of the day
	base  time.Time        // instant at which the clock of this boot was 0
	last  time.Time
}

// fileShift leaves room for two thousand million events in each file.
const fileShift = 32

// read turns records, in order, into events of the day. now is a reading of
// the reader's own clocks; in another boot than the log's its wall clock is
// taken.
func read(records []daylog.Record, now daylog.Reading) ([]day.Event, book) {
	b := book{files: map[string]int64{}}
	b.base = daylog.Now(records, now).At.Add(-now.Mono)
	events := make([]day.Event, 0, len(records))
	for i, at := range daylog.Times(records, now.Boot) {
		if e, ok := b.event(records[i], at.At, at.Approx); ok {
			events = append(events, e)
		}
	}
	return events, b
}

// event reads a record. Its number in the day is the number in its file, with
// the files counted in the order in which they come, so that a correction can
// name it whatever file it stands in. Instants never run backwards.
func (b *book) event(r daylog.Record, at time.Time, approx bool) (day.Event, bool) {
	if r.Kind == daylog.KindHeader || r.Kind == daylog.KindKept {
		return day.Event{}, false
	}
	file, ok := b.files[r.Writer]
	if !ok {
		file = int64(len(b.files))
		b.files[r.Writer] = file
	}
	if at.Before(b.last) {
		at = b.last
	}
	b.last = at
	e, err := day.ParseEvent(file<<fileShift+r.N, r.Kind, at, approx, r.Body)
	if err != nil { // kept on record, changes nothing
		e = day.Event{N: e.N, Kind: day.Kind("unreadable." + r.Kind), At: at, Approx: approx}
	}
	return e, true
}

// at is the instant of a reading of this boot's clock, never before the last
// event.
func (b *book) at(mono time.Duration) time.Time {
	if t := b.base.Add(mono); t.After(b.last) {
		return t
	}
	return b.last
}

// Events turns the records of a day, in order, into its events, for whoever
// only reads.
func Events(records []daylog.Record) []day.Event {
	events, _ := read(records, daylog.Reading{})
	return events
}

// Watch is a day that somebody else writes, seen from a reading of the
// watcher's own clocks.
func Watch(p *plan.Plan, floors []*pace.Zone, records []daylog.Record, now daylog.Reading) *Watched {
	events, b := read(records, now)
	w := &Watched{state: day.Fold(p, floors, events), book: b, since: now.Mono, foreign: true}
	for _, r := range records {
		var boot string
		if r.Kind == daylog.KindOpened && r.Field("boot", &boot) {
			w.foreign = boot != now.Boot || boot == ""
		}
	}
	return w
}

// Watched is a day that is only looked at.
type Watched struct {
	state *day.State
	book  book
	// foreign: the writer's clock is not this machine's (a demo, a copied log);
	// its time is then taken on from its last event, seen at since.
	foreign bool
	since   time.Duration
}

// View is the picture at a reading of the watcher's clocks.
func (w *Watched) View(now daylog.Reading) *View {
	at := w.book.at(now.Mono)
	if w.foreign {
		at = w.book.last.Add(now.Mono - w.since)
	}
	return &View{Snapshot: day.Look(w.state, at), Reading: now}
}
