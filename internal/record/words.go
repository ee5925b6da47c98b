package record

import (
	"fmt"
	"math"
	"sort"
	"strings"
	"time"

	"floorpace/internal/clean"
	"floorpace/internal/day"
	"floorpace/internal/plan"
	"floorpace/internal/units"
)

var nan = math.NaN()

// hms is an instant of the day as printed.
func hms(t time.Time) string { return t.Format("15:04:05") }

func sortBy[T any](s []T, less func(a, b T) bool) {
	sort.SliceStable(s, func(i, j int) bool { return less(s[i], s[j]) })
}

// words says an event in a few plain words.
func words(e day.Event, p *plan.Plan) string {
	f := func(k units.Kind, v float64) string { return units.Format(k, v, p.Units) }
	why := ""
	if e.Why != "" {
		why = ": " + e.Why
	}
	s := ""
	switch e.Kind {
	case day.BatchStarted:
		s = fmt.Sprintf("batch %d started on mixer %d", e.Batch, e.Mixer)
	case day.BatchStepped:
		s = fmt.Sprintf("batch %d step %d done", e.Batch, e.Step)
	case day.BatchMixed:
		s = fmt.Sprintf("batch %d mixed", e.Batch)
	case day.BatchPoured:
		s = fmt.Sprintf("batch %d poured%s", e.Batch, why)
	case day.BatchScrapped:
		s = fmt.Sprintf("batch %d scrapped%s", e.Batch, why)
	case day.BatchCondemned:
		s = fmt.Sprintf("batch %d condemned on the floor%s", e.Batch, why)
	case day.BatchLifted:
		s = fmt.Sprintf("batch %d lifted", e.Batch)
	case day.ZoneBegan:
		s = "zone " + e.Zone + " begun"
	case day.ZoneClosed:
		s = "zone " + e.Zone + " closed"
	case day.HoldBegan:
		s = "hold" + why
	case day.HoldEnded:
		s = "hold ended"
	case day.MixingStopped:
		s = "mixing stopped" + why
	case day.PostLost:
		s = fmt.Sprintf("%s %d out of service%s", e.Post, e.Which, why)
	case day.PostReturned:
		s = fmt.Sprintf("%s %d back at work", e.Post, e.Which)
	case day.ReadingTaken:
		s = "read " + e.What + atSpot(e.Spot)
		if e.Value != nil {
			s += " " + readingText(e.What, *e.Value, p.Units)
		}
	case day.FrontMarked:
		s = "front marked"
		switch {
		case e.AlongM != nil:
			s += " at " + f(units.Length, *e.AlongM)
		case e.AreaM2 != nil:
			s += " at " + f(units.Area, *e.AreaM2)
		case e.Bay != "":
			s += " past " + e.Bay
		}
	default:
		s = otherWords(e, p, why)
	}
	return clean.String(s)
}

func atSpot(spot string) string {
	if spot == "" {
		return ""
	}
	return " at " + spot
}

func otherWords(e day.Event, p *plan.Plan, why string) string {
	f := func(k units.Kind, v float64) string { return units.Format(k, v, p.Units) }
	switch e.Kind {
	case day.RowRolled:
		return fmt.Sprintf("row %d rolled", e.Row)
	case day.RowBroadcast:
		return fmt.Sprintf("row %d broadcast", e.Row)
	case day.RakeReset:
		return "gauge rake reset"
	case day.PaceSet:
		if e.Seconds <= 0 {
			return "pace set: as fast as the crew can" + why
		}
		return "pace set: one batch every " + units.Clock(time.Duration(e.Seconds*float64(time.Second))) + why
	case day.BlendChanged:
		return "blend changed to " + e.Blend + why
	case day.PullNarrowed:
		s := "pull narrowed"
		if e.WidthM > 0 {
			s += " to " + f(units.Length, e.WidthM)
		}
		if e.DepthM > 0 {
			s += ", rows " + f(units.Length, e.DepthM) + " deep"
		}
		if e.What == day.SameSide {
			s += ", rows from the same side"
		}
		return s + why
	case day.StopChosen:
		return "stop line chosen: " + e.Text + why
	case day.CutBack:
		return strings.TrimSuffix("front cut back straight to "+e.Text, " to ") + why
	case day.DecisionMade:
		return strings.TrimSpace("decided: "+e.Text) + why
	case day.HandoverGiven:
		return "floor handed over" + why
	case day.OverrideGiven:
		return "override: " + e.What + why
	case day.LotOpened:
		return "lot " + e.Text + " opened for " + e.What
	case day.TallyTaken:
		return "empties counted: " + e.Counts
	case day.DoorShut:
		return "door " + e.What + " shut" + why
	case day.DoorOpened:
		return "door " + e.What + " opened"
	case day.NoteWritten:
		return "note" + placeOfNote(e, p) + ": " + e.Text
	case day.PlanChanged:
		return "plan changed" + why
	case day.SessionOpened:
		return "console started " + e.App
	case day.ClockStepped, day.ClockSlept, day.ClockStalled:
		what := map[day.Kind]string{day.ClockStepped: "wall clock stepped", day.ClockSlept: "machine slept", day.ClockStalled: "machine stalled"}[e.Kind]
		if e.Text == "" {
			return what
		}
		return what + ": " + e.Text
	}
	return strings.NewReplacer(".", " ", "_", " ").Replace(string(e.Kind)) + why
}

func placeOfNote(e day.Event, p *plan.Plan) string {
	switch {
	case e.Spot != "":
		return " at " + e.Spot
	case e.Bay != "":
		return " at " + e.Bay
	case e.X != 0 || e.Y != 0:
		return fmt.Sprintf(" at %s, %s", units.Format(units.Length, e.X, p.Units), units.Format(units.Length, e.Y, p.Units))
	case e.AlongM != nil:
		return " at " + units.Format(units.Length, *e.AlongM, p.Units)
	case e.Zone != "":
		return " in " + e.Zone
	}
	return ""
}

// readingText prints a reading in the crew's units.
func readingText(what string, v float64, sys units.System) string {
	switch what {
	case day.ReadHumidity:
		return units.FormatFixed(units.Share, v, sys, 0)
	case day.ReadSlab, day.ReadAir, day.ReadKit, readDew:
		return units.FormatFixed(units.Temp, v, sys, 1)
	}
	return fmt.Sprintf("%.4g", v)
}

// readDew is a dew point read off an instrument rather than worked out; logs
// from elsewhere may hold one.
const readDew = "dew point"
