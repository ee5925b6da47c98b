package daylog

import (
	"fmt"
	"time"
)

// Reading is one look at the clocks, all taken together.
type Reading struct {
	Wall  time.Time     // wall clock, with zone: for display, order and paper
	Mono  time.Duration // since boot, counts sleep: for ages
	Awake time.Duration // since boot, stands still in sleep: tells sleep from a stall
	Boot  string        // differs from boot to boot; "" when the system cannot say
}

// Clock gives readings; the real one is outside this package.
type Clock interface{ Now() Reading }

// Kinds of clock events; the caller appends them.
const (
	KindStepped = "clock.stepped"
	KindSlept   = "clock.slept"
	KindStalled = "clock.stalled"
)

// ClockEvent is a clock that did not do what time did between two readings.
type ClockEvent struct {
	Kind  string
	By    time.Duration // stepped: new minus old, so set back is negative; else how long
	Words string        // for the banner
}

// Thresholds of Compare.
const (
	// StepLimit: the screen shows whole seconds, and the clock that counts
	// sleep is set from a battery clock of one second after waking. Time
	// services slew what is below 0.128 s (RFC 5905, STEPT) and step the rest.
	StepLimit = time.Second
	// SleepLimit: what the battery clock can tell after waking.
	SleepLimit = 2 * time.Second
	// StallLimit: the program ticks once a second; three ticks missed is more
	// than a busy machine does by itself.
	StallLimit = 3 * time.Second
)

// Compare says what the clocks did between two ticks of the program. Across a
// boot it says nothing: the opening event tells of that.
func Compare(prev, now Reading) []ClockEvent {
	if prev.Wall.IsZero() || prev.Boot != now.Boot {
		return nil
	}
	var events []ClockEvent
	passed := now.Mono - prev.Mono
	awake := now.Awake - prev.Awake
	if slept := passed - awake; slept >= SleepLimit {
		events = append(events, ClockEvent{KindSlept, slept, fmt.Sprintf(
			"The computer was asleep for %s. Time went on: look at every batch now.", words(slept))})
	}
	if awake >= StallLimit {
		events = append(events, ClockEvent{KindStalled, awake, fmt.Sprintf(
			"The program stood still for %s. Calls of that time sound now.", words(awake))})
	}
	// Round(0) in case a reading carries Go's own monotonic clock.
	step := now.Wall.Round(0).Sub(prev.Wall.Round(0)) - passed
	if step >= StepLimit || step <= -StepLimit {
		to := "forward"
		if step < 0 {
			to = "back"
		}
		events = append(events, ClockEvent{KindStepped, step, fmt.Sprintf(
			"The wall clock was set %s by %s. Batch ages are not touched; times on paper are.", to, words(step.Abs()))})
	}
	return events
}

// words writes a duration for a banner: 3 s, 4 min 5 s, 2 h 5 min.
func words(d time.Duration) string {
	s := int64(d.Round(time.Second) / time.Second)
	switch {
	case s < 60:
		return fmt.Sprintf("%d s", s)
	case s < 3600:
		return fmt.Sprintf("%d min %d s", s/60, s%60)
	}
	return fmt.Sprintf("%d h %d min", s/3600, s%3600/60)
}

// Instant is when an event happened, on one line for the whole log.
type Instant struct {
	At     time.Time
	Approx bool   // an age reckoned from it is about right only: shown with ≈
	Why    string // why it is about right only
}

// Times gives each record its instant, so that ages are differences of
// instants. records must be in order, a session's opening event before its
// events. boot is the boot the reader is in, or "" for that of the last
// session.
//
// Events of that boot hang on its first opening event and the clock that
// counts sleep: exact, however often the wall clock was set. Events of earlier
// boots hang on the last wall reading their boot left (a clock set right
// during the day is right then) and are marked as about right.
func Times(records []Record, boot string) []Instant {
	_, line := timeline(records, boot)
	return line
}

// Now is the instant of a reading on the line of Times.
func Now(records []Record, r Reading) Instant {
	boots, _ := timeline(records, r.Boot)
	b := boots[r.Boot]
	if b == nil || r.Boot == "" {
		return Instant{At: r.Wall, Approx: true, Why: "this session is not in the log yet"}
	}
	return Instant{At: b.first.Add(r.Mono - time.Duration(b.firstMS)*time.Millisecond)}
}

// anchor ties the sleep-counting clock of one boot to wall time.
type anchor struct {
	first, last     time.Time
	firstMS, lastMS int64
}

func timeline(records []Record, boot string) (map[string]*anchor, []Instant) {
	boots, of := make(map[string]*anchor), make([]string, len(records))
	session := make(map[string]string) // writer → boot
	last := ""
	for i, r := range records {
		if r.Kind == KindOpened {
			var id string
			if !r.Field("boot", &id) || id == "" {
				// Unknown boots are never the same.
				id = fmt.Sprintf("?%s/%d", r.Writer, r.N)
			}
			session[r.Writer] = id
			last = id
		}
		of[i] = session[r.Writer]
		a := boots[of[i]]
		if a == nil {
			a = &anchor{first: r.Wall, firstMS: r.Mono}
			boots[of[i]] = a
		}
		a.last, a.lastMS = r.Wall, r.Mono
	}
	if boot == "" {
		boot = last
	}
	line := make([]Instant, len(records))
	for i, r := range records {
		a := boots[of[i]]
		if of[i] == boot {
			line[i] = Instant{At: a.first.Add(time.Duration(r.Mono-a.firstMS) * time.Millisecond)}
			continue
		}
		line[i] = Instant{
			At:     a.last.Add(time.Duration(r.Mono-a.lastMS) * time.Millisecond),
			Approx: true,
			Why:    "the computer was restarted since, or another one wrote it: reckoned by the wall clock",
		}
	}
	return boots, line
}

// Exchange is one question and answer between two stations, as in NTP: sent
// and received by each one's own wall clock.
type Exchange struct {
	Sent, Heard, Replied, Received time.Time // ours, theirs, theirs, ours
}

// Offset is how far the other station's wall clock is ahead of ours, from the
// exchange with the least round trip, and how wrong that can be: half the
// round trip. It wants Samples exchanges and reports false for none.
// Source: RFC 5905, section 8.
func Offset(samples []Exchange) (ahead, within time.Duration, ok bool) {
	best := time.Duration(-1)
	for _, e := range samples {
		trip := e.Received.Sub(e.Sent) - e.Replied.Sub(e.Heard)
		if trip < 0 || best >= 0 && trip >= best {
			continue // a clock was set in between, or a worse sample
		}
		best = trip
		ahead = (e.Heard.Sub(e.Sent) + e.Replied.Sub(e.Received)) / 2
	}
	return ahead, (best + 1) / 2, best >= 0
}

// Samples is how many exchanges a station asks for: enough that one of them
// meets an idle radio.
const Samples = 16
