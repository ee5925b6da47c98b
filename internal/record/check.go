package record

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"floorpace/internal/air"
	"floorpace/internal/clean"
	"floorpace/internal/day"
	"floorpace/internal/units"
)

const outOfOrder = "times out of order"

// check lists everything that does not fit together, all at once, in the order
// of the checks. It mends nothing.
func (m *maker) check() {
	for _, f := range []func(){
		m.checkLog, m.checkTimes, m.checkBatchEvents, m.checkBatchTimes, m.checkFates, m.checkMixers, m.checkHolds,
		m.checkZones, m.checkMarks, m.checkEdges, m.checkRows,
		m.checkAir, m.checkReadingRange, m.checkReadingGaps,
		m.checkKits, m.checkLots, m.checkPartKits, m.checkTallies, m.checkBuckets,
		m.checkGates, m.checkRoles, m.checkNotes, m.checkCorrections, m.checkCalls,
		m.checkPresses, // last: it leaves out what the others have said
	} {
		f()
	}
}

func (m *maker) find(kind, where string, at time.Time, format string, args ...any) {
	m.paper.Findings = append(m.paper.Findings, Finding{
		Kind: kind, Where: clean.String(where), What: clean.String(fmt.Sprintf(format, args...)), At: when(at, "no instant of its own"),
	})
}

func batchName(no int) string { return fmt.Sprintf("batch %d", no) }

// checkLog: the files themselves.
func (m *maker) checkLog() {
	l := &m.paper.Log
	for i := range l.Files {
		m.checkFile(&l.Files[i])
	}
	for _, w := range l.NotFound {
		m.find("log file not found", "log", time.Time{}, "a file goes on from the log of writer %s, which is not among the files: what stands only there is missing here", w)
	}
	for _, name := range l.Left {
		m.find("log file left out", name, time.Time{}, "its first line is damaged and in no other copy: its events count for nothing here")
	}
	if l.Repaired > 0 {
		m.find("lines missing in one file", "log", time.Time{}, "%s taken from another", units.Count(l.Repaired, "event that one file lost was", "events that one file lost were"))
	}
	if l.Missing > 0 {
		m.find("events lost", "log", time.Time{}, "%s known to be lost in all files: look for the second copy", units.Count(l.Missing, "event is", "events are"))
	}
	if l.Forks > 0 {
		m.find("two versions", "log", time.Time{}, "%s in two versions; the first by its bytes was taken", units.Count(l.Forks, "event stands", "events stand"))
	}
	for _, b := range l.Backward {
		m.find("wall clock back", fmt.Sprintf("%s line %d", b.File, b.Line), b.At, "the wall clock ran back by %s; ages and instants here go by the machine's running clock", units.Clock(time.Duration(b.Seconds*float64(time.Second))))
	}
	for _, b := range l.Apart {
		m.find("clocks apart", fmt.Sprintf("%s line %d", b.File, b.Line), b.At, "since the line ahead of it the wall clock and the running clock went on by %s more or less than each other, and no step of a clock is on the log", units.Clock(time.Duration(b.Seconds*float64(time.Second))))
	}
	for _, b := range l.Unordered {
		m.find(outOfOrder, fmt.Sprintf("%s line %d", b.File, b.Line), b.At, "the running clock of this line lies %s before the line ahead of it; the papers take the instant of that line", units.Clock(time.Duration(b.Seconds*float64(time.Second))))
	}
	unreadable, unknown := 0, map[string]int{}
	for _, e := range m.events {
		switch {
		case strings.HasPrefix(string(e.Kind), "unreadable."):
			unreadable++
		case !slices.Contains(knownKinds, e.Kind):
			unknown[string(e.Kind)]++
		}
	}
	if unreadable > 0 {
		m.find("unreadable event", "log", time.Time{}, "%s that cannot be read, counted for nothing here", units.Count(unreadable, "event has fields", "events have fields"))
	}
	for _, k := range sortedKeys(unknown) {
		m.find("unknown event", k, time.Time{}, "%s of a kind this version does not know, counted for nothing here", units.Count(unknown[k], "event", "events"))
	}
}

// checkFile: one file by itself.
func (m *maker) checkFile(f *LogFile) {
	if !f.Sound {
		m.find("log file not sound", f.Name, time.Time{}, "%s: %s", f.Verdict, strings.Join(f.Words, " "))
	}
	if f.Seal.OK() && f.Unsealed > 0 {
		m.find("events behind the seal", f.Name, time.Time{}, "%s behind the seal %s, not covered by it", units.Count(f.Unsealed, "event stands", "events stand"), f.Seal.S)
	}
}

// knownKinds are all kinds this version reads; a sealed log ends with the last.
var knownKinds = []day.Kind{
	day.SessionOpened, day.ZoneBegan, day.ZoneClosed, day.BatchStarted, day.BatchStepped, day.BatchMixed, day.BatchPoured,
	day.BatchScrapped, day.BatchCondemned, day.BatchLifted, day.HoldBegan, day.HoldEnded, day.MixingStopped, day.PostLost, day.PostReturned,
	day.ReadingTaken, day.FrontMarked, day.RowRolled, day.RowBroadcast, day.RakeReset, day.PaceSet, day.BlendChanged, day.PullNarrowed,
	day.StopChosen, day.CutBack, day.DecisionMade, day.HandoverGiven, day.OverrideGiven, day.LotOpened, day.TallyTaken, day.DoorShut,
	day.DoorOpened, day.NoteWritten, day.PlanChanged, day.CallRaised, day.CallAcked, day.CallShelved, day.CallCleared, day.PressUndone,
	day.ClockStepped, day.ClockSlept, day.ClockStalled, daySealed,
}

// daySealed is what the log itself writes at its end.
const daySealed day.Kind = "day.sealed"

func sortedInts[V any](in map[int]V) []int {
	out := make([]int, 0, len(in))
	for k := range in {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}

func sortedKeys[V any](in map[string]V) []string {
	out := make([]string, 0, len(in))
	for k := range in {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}

// checkTimes: the events in the order of the log.
func (m *maker) checkTimes() {
	var last day.Event
	approx := 0
	for _, e := range m.events {
		if e.At.Before(last.At) {
			m.find(outOfOrder, words(e, m.plan), e.At, "stands behind %q of %s on the log", words(last, m.plan), hms(last.At))
		}
		if e.Approx {
			approx++
		}
		last = e
	}
	if approx > 0 {
		m.find("times about right only", "log", time.Time{}, "%s before a restart of the machine: the wall clock alone tells when", units.Count(approx, "event lies", "events lie"))
	}
}

// checkBatchEvents: presses about batches that the log does not know, and
// numbers used twice or left out.
func (m *maker) checkBatchEvents() {
	started := map[int]time.Time{}
	gone := map[int]day.Event{}
	highest := 0
	for _, e := range m.standing(day.BatchStarted, day.BatchStepped, day.BatchMixed, day.BatchPoured, day.BatchScrapped, day.BatchCondemned, day.BatchLifted) {
		where := batchName(e.Batch)
		if e.Share < 0 || e.Share > 1 {
			m.find("share that cannot be", where, e.At, "%q with %s of a kit", words(e, m.plan), units.Format(units.Share, e.Share, m.plan.Units))
		}
		if e.Kind == day.BatchStarted {
			if t, twice := started[e.Batch]; twice {
				m.find("batch started twice", where, e.At, "was started at %s already", hms(t))
			}
			started[e.Batch] = e.At
			highest = max(highest, e.Batch)
			if m.plan.Sheet.Blend(e.Blend) == nil && e.Blend != "" {
				m.find("blend not on the sheet", where, e.At, "blend %q is not on the sheet", e.Blend)
			}
			continue
		}
		if _, ok := started[e.Batch]; !ok {
			m.find("batch not started", where, e.At, "%q, but it has no start before that", words(e, m.plan))
			continue
		}
		switch e.Kind {
		case day.BatchPoured, day.BatchScrapped:
			if was, twice := gone[e.Batch]; twice {
				m.find("batch gone twice", where, e.At, "%q, but %q at %s", words(e, m.plan), words(was, m.plan), hms(was.At))
			}
			gone[e.Batch] = e
		case day.BatchCondemned, day.BatchLifted:
			if gone[e.Batch].Kind != day.BatchPoured {
				m.find("not on the floor", where, e.At, "%q, but it is not on the floor", words(e, m.plan))
			}
		}
	}
	numbers := append(sortedInts(started), highest+1)
	for i, no := range numbers { // a run of numbers is one finding: one wrong digit can leave out thousands
		from := 1
		if i > 0 {
			from = numbers[i-1] + 1
		}
		if from < no {
			m.find("batch number left out", batchRange(from, no-1), time.Time{}, "numbers run to %d, but here there is no start", highest)
		}
	}
}

// checkBatchTimes: the steps of one batch in their order.
func (m *maker) checkBatchTimes() {
	for i := range m.state.Batches {
		b := &m.state.Batches[i]
		at, name := b.Started, "mix start"
		for k, t := range append(slices.Clone(b.Steps), b.Mixed, b.Poured, b.Scrapped) {
			if t.IsZero() {
				continue
			}
			what := fmt.Sprintf("step %d", k+1)
			if k >= len(b.Steps) {
				what = []string{"mixed", "poured", "scrapped"}[k-len(b.Steps)]
			}
			if t.Before(at) {
				m.find(outOfOrder, batchName(b.No), t, "%s at %s lies before %s at %s", what, hms(t), name, hms(at))
			}
			at, name = t, what
		}
		if bl := m.plan.Sheet.Blend(b.Blend); bl != nil && !b.Poured.IsZero() && b.Poured.Sub(b.Started) < time.Duration(startsAgain*float64(bl.MixTime())) {
			m.find("poured before it can be mixed", batchName(b.No), b.Poured, "on the floor %s after mix start; the sheet's steps take %s", units.Clock(b.Poured.Sub(b.Started)), units.Clock(bl.MixTime()))
		}
	}
}

// startsAgain is the share of the mix steps below which a mix cannot be done;
// the live console refuses such a press with the same figure.
const startsAgain = 0.6

// checkFates: batches that are neither poured nor scrapped, and floor condemned
// but not lifted.
func (m *maker) checkFates() {
	for i := range m.state.Batches {
		b := &m.state.Batches[i]
		if !b.Started.IsZero() && !b.Gone() {
			m.find("batch without an end", batchName(b.No), b.Started, "started at %s, neither poured nor scrapped on the log", hms(b.Started))
		}
		if b.Bad != "" && b.Lifted.IsZero() {
			m.find("condemned, not lifted", batchName(b.No), b.Poured, "condemned (%s) and still on the floor at the end of the log%s", b.Bad, m.lies(b.No, b.No))
		}
		if !b.Scrapped.IsZero() && b.Why == "" {
			m.find("scrap without a reason", batchName(b.No), b.Scrapped, "scrapped without a reason")
		}
	}
}

// checkMixers: mixers and posts that are not there, out of service, or in two
// places at once.
func (m *maker) checkMixers() {
	down := map[string]time.Time{}
	most := map[string]int{day.PostMixer: m.plan.Crew.Mixers, day.PostRunner: m.plan.Crew.Runners}
	lastOn := map[int]int{} // mixer → batch
	told := map[int]bool{}
	for _, e := range m.standing(day.PostLost, day.PostReturned, day.BatchStarted, day.BatchStepped, day.BatchMixed) {
		switch e.Kind {
		case day.BatchStepped, day.BatchMixed:
			if old := m.batchOf(e.Batch); old != nil && lastOn[old.Mixer] > old.No && !told[old.No] {
				told[old.No] = true
				m.find("two batches in one mixer", batchName(lastOn[old.Mixer]), e.At, "on mixer %d, where %q came after it was started", old.Mixer, words(e, m.plan))
			}
			continue
		case day.PostLost, day.PostReturned:
			n, ok := most[e.Post]
			if ok && (e.Which < 1 || e.Which > n) || !ok && !slices.Contains([]string{day.PostRake, day.PostRoll, day.PostBroadcast, day.PostPower}, e.Post) {
				m.find("post not in the plan", words(e, m.plan), e.At, "the plan has no %s %d", e.Post, e.Which)
			}
			k := fmt.Sprint(e.Post, " ", e.Which)
			if e.Kind == day.PostLost {
				down[k] = e.At
			} else {
				delete(down, k)
			}
			continue
		}
		if e.Mixer < 1 || e.Mixer > m.plan.Crew.Mixers {
			m.find("mixer not in the plan", batchName(e.Batch), e.At, "the plan has no mixer %d", e.Mixer)
		}
		for _, k := range []string{fmt.Sprint(day.PostMixer, " ", e.Mixer), fmt.Sprint(day.PostPower, " ", 1)} {
			if t, out := down[k]; out {
				m.find("started out of service", batchName(e.Batch), e.At, "%s is out of service since %s", k, hms(t))
			}
		}
		lastOn[e.Mixer] = e.Batch
	}
}

// checkHolds: starts and ends that do not pair, and batches started meanwhile.
func (m *maker) checkHolds() {
	var open *day.Event
	events := m.standing(day.HoldBegan, day.MixingStopped, day.HoldEnded, day.BatchStarted)
	for i := range events {
		e := &events[i]
		switch e.Kind {
		case day.HoldBegan, day.MixingStopped:
			open = e
			if e.Why == "" {
				m.find("hold without a reason", "hold", e.At, "begun without a reason")
			}
		case day.HoldEnded:
			if open == nil {
				m.find("hold ended, none begun", "hold", e.At, "ended, but none was begun")
			}
			open = nil
		case day.BatchStarted:
			if open != nil {
				m.find("started during a hold", batchName(e.Batch), e.At, "%s since %s", words(*open, m.plan), hms(open.At))
			}
		}
	}
	if open != nil {
		m.find("hold not ended", "hold", open.At, "%s, and not ended on the log", words(*open, m.plan))
	}
}

// checkCorrections: corrections of what is not there, or corrected twice.
func (m *maker) checkCorrections() {
	seen := map[int64]bool{}
	for _, e := range m.events {
		if e.Kind != day.PressUndone {
			continue
		}
		i, ok := m.byN[e.Of]
		switch {
		case !ok:
			m.find("correction of nothing", "correction", e.At, "takes back event %d, which is not on the log", e.Of)
		case m.events[i].At.After(e.At):
			m.find(outOfOrder, "correction", e.At, "takes back %q of %s, which comes later", words(m.events[i], m.plan), hms(m.events[i].At))
		case seen[e.Of]:
			m.find("corrected twice", "correction", e.At, "%q of %s was taken back before", words(m.events[i], m.plan), hms(m.events[i].At))
		}
		seen[e.Of] = true
	}
}

// checkCalls: grave calls that nobody answered, and calls put aside without a
// reason.
func (m *maker) checkCalls() {
	for _, c := range m.state.CallLog {
		if c.Grade == 1 && c.Acked.IsZero() && c.Shelved.IsZero() && c.Cleared.IsZero() {
			m.find("call not answered", c.What, c.Spoke, "stood from %s to the end of the log, neither answered nor put aside: %s", hms(c.Spoke), c.Why)
		}
		if !c.Shelved.IsZero() && c.ShelvedWhy == "" {
			m.find("put aside without a reason", c.What, c.Shelved, "put aside without a reason")
		}
	}
}

// checkAir: dew points above the air's own temperature, humidity that cannot be.
func (m *maker) checkAir() {
	airC, rh := m.plan.Readings.AirC, m.plan.Readings.Humidity
	judge := func(at time.Time) {
		if math.IsNaN(airC) || math.IsNaN(rh) {
			return
		}
		// Over 100 % the point would lie above the air: no air holds that.
		if d, err := air.DewPoint(airC, math.Min(rh, 1)); rh > 1 || err == nil && d.C > airC+1e-6 {
			m.find("dew point above the air", "readings", at, "humidity %s at %s air: moist air cannot be that",
				units.Format(units.Share, rh, m.plan.Units), units.Format(units.Temp, airC, m.plan.Units))
		}
	}
	judge(m.plan.Readings.At)
	for _, r := range m.standing(day.ReadingTaken) {
		if r.Value == nil {
			continue
		}
		switch r.What {
		case day.ReadAir:
			airC = *r.Value
		case day.ReadHumidity:
			rh = *r.Value
			judge(r.At)
		case readDew:
			if *r.Value > airC {
				m.find("dew point above the air", "readings", r.At, "dew point %s read, air %s",
					units.Format(units.Temp, *r.Value, m.plan.Units), units.Format(units.Temp, airC, m.plan.Units))
			}
		}
	}
}
