package shift

import (
	"errors"
	"fmt"
	"time"

	"floorpace/internal/advice"
	"floorpace/internal/day"
	"floorpace/internal/daylog"
	"floorpace/internal/pace"
	"floorpace/internal/plan"
)

// Log is where events are saved. *daylog.Log is one.
type Log interface {
	Append(kind string, body any) (daylog.Record, daylog.Trouble, error)
	Retry() (daylog.Trouble, error)
	Pending() int
	Space() daylog.Space
	Second() daylog.SecondLamp
	Took() time.Duration
}

// Answer is what became of a press.
type Answer struct {
	ID      int64 // the press's own number, from 1
	Press   day.Press
	Refused string // why nothing changed; "" when it was taken
	Unsaved bool   // taken, but only in memory so far
	At      time.Time
}

// View is what the screens read: a picture of an instant and how the log
// stands. It never changes once it is handed out.
type View struct {
	*day.Snapshot
	Reading  daylog.Reading
	Answers  []Answer // the latest, oldest first
	Banner   []string // trouble that stands until it is acknowledged
	Unsaved  int      // events in memory only
	Space    daylog.Space
	Second   daylog.SecondLamp
	SaveTook time.Duration
	Resumed  []day.Event // the last presses of the session before, until the first new press
	Forecast advice.Outlook
	LogPath  string
}

// keptAnswers is how many answers a view carries: what a hand may press while
// the eye is away.
const keptAnswers = 4

// Desk decides, saves and applies, one press at a time. Not for several
// goroutines.
type Desk struct {
	log     Log
	clock   daylog.Clock
	state   *day.State
	book    book
	reading daylog.Reading
	answers []Answer
	banner  []string
	resumed []day.Event
	presses int64
	steady  bool          // the clock is made by hand: nothing to watch
	seen    *day.Snapshot // the picture last built, good until an event or a second passes
}

// Open sits down at a day whose log is open. records is everything saved
// before, in order, the opening event of this session last; words is what the
// crew is told about the log.
func Open(p *plan.Plan, floors []*pace.Zone, log Log, clock daylog.Clock, records []daylog.Record, words []string) *Desk {
	d := &Desk{log: log, clock: clock, banner: words, reading: clock.Now()}
	d.reading.Wall = wallUnset(records, d.reading)
	var events []day.Event
	events, d.book = read(records, d.reading)
	d.state = day.Fold(p, floors, events)
	if v := day.Look(d.state, d.Now()); len(v.LastAre) > 0 {
		d.resumed = v.LastAre[max(0, len(v.LastAre)-3):]
	}
	return d
}

// wallUnset is what the wall clock would say had nobody set it since the session
// before, in the same boot: the first tick then tells of it like of any other step.
func wallUnset(records []daylog.Record, now daylog.Reading) time.Time {
	n := len(records) - 1
	if n < 1 || now.Boot == "" || records[n].Kind != daylog.KindOpened {
		return now.Wall
	}
	for i := n - 1; i >= 0; i-- {
		var boot string
		if r := records[i]; r.Kind == daylog.KindOpened && r.Field("boot", &boot) {
			if boot == now.Boot && r.Writer == records[n-1].Writer {
				last := records[n-1]
				return last.Wall.Add(now.Mono - time.Duration(last.Mono)*time.Millisecond)
			}
			break
		}
	}
	return now.Wall
}

// Now is this instant on the day's time line.
func (d *Desk) Now() time.Time { return d.book.at(d.clock.Now().Mono) }

// State is the state now. The caller must not change it.
func (d *Desk) State() *day.State { return d.state }

// Press takes a press: decided, saved, applied.
func (d *Desk) Press(p day.Press) Answer {
	d.presses++
	a := Answer{ID: d.presses, Press: p, At: d.Now()}
	es, err := day.Decide(d.state, p, a.At)
	if err != nil {
		a.Refused = err.Error()
	}
	for _, e := range es {
		if err := d.save(e); err != nil {
			a.Unsaved = errors.Is(err, daylog.ErrNotSaved)
			if !a.Unsaved {
				a.Refused = err.Error()
				break
			}
		}
	}
	if a.Refused == "" {
		d.resumed = nil
	}
	d.answers = append(d.answers, a)
	if n := len(d.answers); n > keptAnswers {
		d.answers = append([]Answer(nil), d.answers[n-keptAnswers:]...)
	}
	return a
}

// save appends an event and applies what the log says it wrote.
func (d *Desk) save(e day.Event) error {
	r, trouble, err := d.log.Append(string(e.Kind), e.Body())
	d.trouble(trouble)
	if err != nil && !errors.Is(err, daylog.ErrNotSaved) {
		return err
	}
	if got, ok := d.book.event(r, d.book.at(time.Duration(r.Mono)*time.Millisecond), false); ok {
		d.state = d.state.Apply(got)
	}
	return err
}

func (d *Desk) trouble(t daylog.Trouble) {
	d.banner = append(d.banner, t.Words...)
}

// Quiet takes the banner away: somebody has read it.
func (d *Desk) Quiet() { d.banner = nil }

// Steady says that the clock is made by hand, a demo's: it may jump.
func (d *Desk) Steady() { d.steady = true }

// Tick lets time pass: clock trouble, calls that rise or clear, events waiting
// for a disk.
func (d *Desk) Tick() {
	if d.log.Pending() > 0 {
		t, _ := d.log.Retry()
		d.trouble(t)
	}
	now := d.clock.Now()
	steps := daylog.Compare(d.reading, now)
	if d.steady {
		steps = nil
	}
	for _, c := range steps {
		d.banner = append(d.banner, c.Words)
		if err := d.save(day.Event{Kind: day.Kind(c.Kind), Seconds: c.By.Seconds(), Text: c.Words}); err != nil {
			d.banner = append(d.banner, fmt.Sprintf("not saved: %v", err))
		}
	}
	d.reading = now
	for _, e := range day.Due(d.state, d.look()) {
		if err := d.save(e); err != nil {
			return // the banner of the log says why; the call comes again with the next tick
		}
	}
}

// look is the picture of this instant. It is built once for an instant and a
// number of events.
func (d *Desk) look() *day.Snapshot {
	now := d.Now()
	if d.seen == nil || d.seen.Events != len(d.state.Events) || !d.seen.Now.Equal(now) {
		d.seen = day.Look(d.state, now)
	}
	return d.seen
}

// View is the picture of this instant.
func (d *Desk) View() *View {
	return &View{
		Snapshot: d.look(), Reading: d.reading,
		Answers: append([]Answer(nil), d.answers...), Banner: append([]string(nil), d.banner...),
		Unsaved: d.log.Pending(), Space: d.log.Space(), Second: d.log.Second(), SaveTook: d.log.Took(),
		Resumed: d.resumed,
	}
}
