package mix

import (
	"fmt"
	"math"
	"strings"
	"time"

	"floorpace/internal/clean"
	"floorpace/internal/day"
	"floorpace/internal/units"
)

// Saving says that presses are on their way to the disk.
func Saving(n int, since time.Duration) string {
	s := "saving…"
	if n > 1 {
		s = fmt.Sprintf("saving %d presses…", n)
	}
	if since >= 2*time.Second { // a disk that is well answers within a blink
		s += " " + units.Clock(since) + ", the disk is slow"
	}
	return s
}

// Words says an event in plain words of the trade, in the crew's units. Text
// from outside is cleaned.
func Words(e day.Event, sys units.System) string {
	return clean.String(words(e, sys))
}

func words(e day.Event, sys units.System) string {
	batch := fmt.Sprintf("batch %d", e.Batch)
	why := ""
	if e.Why != "" {
		why = ": " + e.Why
	}
	switch e.Kind {
	case day.BatchStarted:
		s := fmt.Sprintf("%s started, mixer %d", batch, e.Mixer)
		if e.Share > 0 && e.Share < 1 {
			s += ", " + units.Format(units.Share, e.Share, sys) + " of a kit"
		}
		return s
	case day.BatchStepped:
		return fmt.Sprintf("%s step %d done, mixer %d", batch, e.Step, e.Mixer)
	case day.BatchMixed:
		return fmt.Sprintf("%s mixed, mixer %d", batch, e.Mixer)
	case day.BatchPoured:
		return batch + " poured" + why
	case day.BatchScrapped:
		return batch + " scrapped" + why
	case day.BatchCondemned:
		return batch + " on the floor is bad" + why
	case day.BatchLifted:
		return batch + " lifted off the floor"
	case day.ReadingTaken:
		return "read " + e.What + " " + place(e.Spot) + figure(e, sys)
	case day.FrontMarked:
		return "front marked " + mark(e, sys)
	case day.PressUndone:
		return "took back: " + undone(e)
	}
	return others(e, why)
}

func others(e day.Event, why string) string {
	post := e.Post
	if e.Which > 0 && (e.Post == day.PostMixer || e.Post == day.PostRunner) {
		post = fmt.Sprintf("%s %d", e.Post, e.Which)
	}
	switch e.Kind {
	case day.ZoneBegan:
		return "zone " + e.Zone + " begun"
	case day.ZoneClosed:
		return "zone " + e.Zone + " closed"
	case day.HoldBegan:
		return "hold" + why
	case day.HoldEnded:
		return "went on"
	case day.MixingStopped:
		return "mixing stopped" + why
	case day.PostLost:
		return post + " out" + why
	case day.PostReturned:
		return post + " back in"
	case day.RowRolled:
		return fmt.Sprintf("row %d rolled", e.Row)
	case day.RowBroadcast:
		return fmt.Sprintf("row %d broadcast", e.Row)
	case day.CallAcked:
		return "answered: " + calledOut(e)
	case day.CallShelved:
		return "put aside: " + calledOut(e) + why
	case day.NoteWritten:
		return "note: " + e.Text
	case day.DecisionMade:
		if e.Text != "" {
			return "decided: " + e.Text
		}
	case day.StopChosen:
		return "stop chosen: " + e.Text
	case day.CutBack:
		return "edge cut back straight to " + e.Text + why
	case day.TallyTaken:
		return "empties counted: " + e.Counts
	}
	if s, ok := plain[e.Kind]; ok {
		return s
	}
	return strings.ReplaceAll(strings.ReplaceAll(string(e.Kind), ".", " "), "_", " ") + why
}

// calledOut is what a call said; logs of old have only its name.
func calledOut(e day.Event) string {
	if e.What != "" {
		return e.What
	}
	return e.Call
}

var plain = map[day.Kind]string{
	day.HandoverGiven: "floor handed over", day.RakeReset: "gauge rake reset", day.DecisionMade: "decision recorded",
	day.PaceSet: "pace set", day.BlendChanged: "blend changed",
	day.PullNarrowed: "pull narrowed", day.OverrideGiven: "override given", day.LotOpened: "lot opened", day.DoorShut: "door shut", day.DoorOpened: "door opened",
}

func undone(e day.Event) string {
	s := strings.ReplaceAll(strings.ReplaceAll(e.What, ".", " "), "_", " ")
	if rest, ok := strings.CutPrefix(s, "batch "); ok && e.Batch > 0 {
		return fmt.Sprintf("batch %d %s", e.Batch, rest)
	}
	return s
}

func place(spot string) string {
	if spot == "" {
		return ""
	}
	return "at " + spot + " "
}

func figure(e day.Event, sys units.System) string {
	v := math.NaN()
	if e.Value != nil {
		v = *e.Value
	}
	if e.What == day.ReadHumidity {
		return units.Format(units.Share, v, sys)
	}
	return units.Format(units.Temp, v, sys)
}

func mark(e day.Event, sys units.System) string {
	switch {
	case e.AlongM != nil:
		return "at " + units.Format(units.Length, *e.AlongM, sys)
	case e.AreaM2 != nil:
		return "at " + units.Format(units.Area, *e.AreaM2, sys)
	}
	return "past bay " + e.Bay
}
