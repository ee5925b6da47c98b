package mix

import (
	"strings"
	"testing"
	"time"

	"floorpace/internal/day"
	"floorpace/internal/pace"
	"floorpace/internal/plan"
	"floorpace/internal/shift"
	"floorpace/internal/tui/frame"
	"floorpace/internal/tui/keys"
	"floorpace/internal/tui/look"
	"floorpace/internal/units"
)

var noon = time.Date(2026, 5, 4, 12, 0, 0, 0, time.UTC)

// view is a day with three mixers, drawn from plain values.
func view(change func(*day.Snapshot)) *shift.View {
	p := plan.Default()
	s := &day.Snapshot{
		Now: noon, Plan: &p, Zone: 0, Zones: []day.ZoneView{{Name: "A"}},
		Next:   day.Next{Say: day.SayWait, At: noon.Add(83 * time.Second), Mixer: 2, Batch: 31},
		Mixers: []day.MixerView{{No: 1, Batch: 30, Step: "B in", StepEnds: noon.Add(34 * time.Second), Then: "aggregate"}, {No: 2, Step: "free"}, {No: 3, Down: true}},
		Edge:   day.Edge{OK: true, Least: -1}, Floor: &pace.Zone{Z: &plan.Zone{}},
	}
	s.Band.OK, s.Band.Limit, s.Band.LimitPost, s.Band.Needed, s.Doing = true, 0.7, "rake", 0.5, 0.6
	if change != nil {
		change(s)
	}
	return &shift.View{Snapshot: s}
}

func draw(v *shift.View, at At, w, h int) string {
	c := frame.New(look.New(look.Dark(), look.NoColor, look.Unicode), w, h)
	New().Draw(c.Pane(), v, at)
	return c.Plain()
}

// The one thing said large, with its small words, at an instant some seconds
// after the view.
func TestWhatIsSaidLarge(t *testing.T) {
	short := day.Edge{OK: true, Points: []day.EdgePoint{{Slack: -time.Second}}}
	hold := func(why string, stop bool) func(*day.Snapshot) {
		return func(s *day.Snapshot) {
			s.Hold = &day.Hold{From: noon.Add(-time.Minute), Why: why, Stop: stop}
			s.Next.Say, s.Next.Why = day.SayHold, why
		}
	}
	for _, c := range []struct {
		what   string
		change func(*day.Snapshot)
		after  time.Duration
		large  string
		role   look.Role
		small  string
	}{
		{"count-down", nil, 0, "1:23", look.Strong, "next start mixer 2, batch 31 at 12:01:23"},
		{"count-down goes on", nil, 20 * time.Second, "1:03", look.Strong, "batch 31"},
		{"nearly", nil, 75 * time.Second, "0:08", look.Warn, "batch 31"},
		{"due", nil, 83 * time.Second, "START M2", look.PlateGood, "start mixer 2 now: batch 31, key 2"},
		{"overdue with no newer view", nil, 100 * time.Second, "LATE +0:17", look.PlateWarn, "due 12:01:23"},
		{"ready too late", func(s *day.Snapshot) { s.Next.Latest, s.Edge = noon.Add(60*time.Second), short }, 0, "1:23", look.Warn, "at 12:01:23, 0:23 TOO LATE for the edge"},
		{"two at once", func(s *day.Snapshot) { s.Next.Latest = noon.Add(60 * time.Second) }, 0, "1:23", look.Strong, "at 12:01:23, 0:23 behind the needed pace"},
		{"in time", func(s *day.Snapshot) { s.Next.Latest = noon.Add(90 * time.Second) }, 0, "1:23", look.Strong, "at 12:01:23, no later than 12:01:30"},
		{"the edge needed it", func(s *day.Snapshot) {
			s.Next.Say, s.Next.At, s.Next.Latest, s.Edge = day.SayLate, noon.Add(-time.Minute), noon.Add(-20*time.Second), short
		}, 0, "LATE +1:00", look.PlateBad, "the edge needed it by 11:59:40"},
		{"late, and the edge has time", func(s *day.Snapshot) {
			s.Next.Say, s.Next.At, s.Next.Latest = day.SayLate, noon.Add(-time.Minute), noon.Add(-20*time.Second)
		}, 0, "LATE +1:00", look.PlateWarn, "due 11:59:00"},
		{"hold", hold("way blocked", false), 0, "HOLD WAY BLOCKED", look.PlateWarn, "since 11:59:00, 1:00; key h goes on"},
		{"stop", hold("SOMEONE HURT", true), 0, "STOP SOMEONE HURT", look.PlateBad, "since"},
		{"queue", func(s *day.Snapshot) { s.Next.Say, s.Next.Why = day.SayHold, "BUCKETS QUEUE" }, 0, "HOLD BUCKETS QUEUE", look.PlateWarn, "pour the oldest first"},
		{"day done", func(s *day.Snapshot) { s.Next.Say, s.Next.Why, s.Zone, s.Floor = day.SayDone, "DAY DONE", -1, nil }, 0, "DAY DONE", look.PlateText, "every zone is closed"},
		{"full", func(s *day.Snapshot) { s.Next.Say, s.Next.Why = day.SayDone, "ZONE FULL" }, 0, "DONE", look.PlateText, "key z closes it"},
	} {
		v := view(c.change)
		d := &drawing{v: v, at: At{Now: noon.Add(c.after), Key: keys.Default().Key}, late: c.after}
		b := d.big()
		if got := b.words(80); got != c.large || b.role != c.role || !strings.Contains(b.small, c.small) {
			t.Errorf("%s: %q in %s, %q; want %q in %s, %q", c.what, got, b.role, b.small, c.large, c.role, c.small)
		}
	}
}

func TestPaceCallsAreFourWordsAtMost(t *testing.T) {
	for want, change := range map[string]func(*day.Snapshot){
		"PACE HOLDS":         nil,
		"PACE IS TIGHT":      func(s *day.Snapshot) { s.Doing = 0.4 },
		"MIX FASTER":         func(s *day.Snapshot) { s.Doing, s.Calls = 0.7, []day.Call{{ID: "edge", Grade: 2, What: "MIX FASTER"}} },
		"EDGE RUNNING OUT":   func(s *day.Snapshot) { s.Calls = []day.Call{{ID: "edge", Grade: 1, What: "EDGE RUNNING OUT"}} },
		"REST HOLDS":         func(s *day.Snapshot) { s.Calls = []day.Call{{ID: "edge", Grade: 1, What: "EDGE LOST"}} },
		"CREW CANNOT HOLD":   func(s *day.Snapshot) { s.Edge.NeededPerMin = 0.8 },
		"PACE NOT KNOWN YET": func(s *day.Snapshot) { s.Doing = 0 },
		"NO EDGE FIGURE":     func(s *day.Snapshot) { s.Edge.OK = false },
		"MIXING IS STOPPED":  func(s *day.Snapshot) { s.Hold = &day.Hold{Stop: true} },
		"DAY DONE":           func(s *day.Snapshot) { s.Zone, s.Floor = -1, nil },
		"NO ZONE BEGUN":      func(s *day.Snapshot) { s.Zone, s.Floor = -1, &pace.Zone{} },
	} {
		d := &drawing{v: view(change), at: At{Now: noon}}
		got, _, _ := d.pace()
		if got != want || len(strings.Fields(got)) > 4 {
			t.Errorf("%q, want %q in at most four words", got, want)
		}
	}
}

// Mixers say what next and when; buckets age between two views.
func TestMixersAndBuckets(t *testing.T) {
	v := view(func(s *day.Snapshot) {
		s.Plan.Rules.BucketMargin = time.Minute
		s.Buckets = []day.BucketView{
			{Batch: 27, Age: 400 * time.Second, Left: 10 * time.Second, Used: 0.97, OK: true},
			{Batch: 28, Age: 300 * time.Second, Left: 55 * time.Second, Used: 0.85, OK: true},
			{Batch: 29, Age: 60 * time.Second, Left: 350 * time.Second, Used: 0.15, OK: true},
			{Batch: 30, Age: 10 * time.Second},
		}
	})
	got := draw(v, At{Now: noon.Add(14 * time.Second), Key: keys.Default().Key}, 80, 24)
	for _, want := range []string{
		"M1  30 B in", "0:20 then aggregate", "batch 31 in 1:09", "M3 × OUT OF SERVICE",
		"27  6:54 old", "× DEAD 0:04 ago", "28  5:14 old", "▲ 0:41 NOW", "29  1:14 old", "✓ 5:36 left", "no life on sheet",
	} {
		if !strings.Contains(got, want) {
			t.Errorf("lacks %q:\n%s", want, got)
		}
	}
}

// A batch that stands in a mixer out of service is shown with its age and step,
// small and tall.
func TestBatchInsideAMixerOutOfService(t *testing.T) {
	v := view(func(s *day.Snapshot) {
		s.Mixers[0].Down = true
		s.Batches = []day.Batch{{No: 30, Mixer: 1, Started: noon.Add(-95 * time.Second)}}
	})
	for _, size := range [][2]int{{80, 24}, {100, 30}, {160, 45}} {
		got := draw(v, At{Now: noon.Add(5 * time.Second)}, size[0], size[1])
		for _, want := range []string{"OUT OF SERVICE", "30", "1:40 old, B in"} {
			if !strings.Contains(got, want) {
				t.Errorf("%d×%d lacks %q:\n%s", size[0], size[1], want, got)
			}
		}
	}
}

// With no mixer at work no pace is given, and nothing dangles.
func TestNoMixerAtWork(t *testing.T) {
	v := view(func(s *day.Snapshot) {
		for i := range s.Mixers {
			s.Mixers[i].Down = true
		}
		s.Band.Limit, s.Doing, s.Edge.NeededPerMin = 0, 0, 60
	})
	got := draw(v, At{Now: noon}, 80, 24)
	if !strings.Contains(got, "no mixer at work") || strings.Contains(got, "needs one in") || strings.Contains(got, "24:00:00") {
		t.Error(got)
	}
	v = view(func(s *day.Snapshot) { s.Band.Limit, s.Doing, s.Edge.NeededPerMin = 0, 0, 0.5 })
	for _, l := range strings.Split(draw(v, At{Now: noon}, 80, 24), "\n") {
		if strings.HasSuffix(strings.TrimSpace(l), "·") {
			t.Errorf("dangling: %q", l)
		}
	}
}

// After a restart the last presses of the session before are shown until a new
// press.
func TestResumed(t *testing.T) {
	v := view(nil)
	v.Resumed = []day.Event{{Kind: day.BatchPoured, Batch: 12, At: noon.Add(-time.Hour)}}
	v.Approx = true
	v.Buckets = []day.BucketView{{Batch: 12, Age: 7*time.Minute + 47*time.Second, Left: time.Minute, OK: true, Approx: true}, {Batch: 13, Age: time.Minute, Left: time.Minute, OK: true}}
	got := draw(v, At{Now: noon}, 80, 24)
	for _, want := range []string{"Resumed: the last presses before the stop", "11:00:00 ✓ batch 12 poured", "12 ≈7:47 old", "13  1:00 old", "≈ ages cross a restart"} {
		if !strings.Contains(got, want) {
			t.Errorf("lacks %q:\n%s", want, got)
		}
	}
}

// Digits are three rows or more at 80×24 for everything a batch needs.
func TestDigitsAreLargeAt80(t *testing.T) {
	for after, word := range map[time.Duration]string{0: "1:23", 84 * time.Second: "START", 5 * time.Minute: "LATE"} {
		v := view(func(s *day.Snapshot) {
			s.Calls = []day.Call{{ID: "edge", Grade: 1, What: "EDGE AT RISK", Why: "3 m at risk", Raised: noon}}
		})
		lines := strings.Split(draw(v, At{Now: noon.Add(after)}, 80, 22), "\n") // the frame takes two rows
		rows := 0
		for _, l := range lines {
			if strings.ContainsAny(l, "█▀▄") {
				rows++
			}
		}
		if rows < 5 {
			t.Errorf("%s: %d rows of large digits, want 5 or more:\n%s", word, rows, strings.Join(lines, "\n"))
		}
	}
}

func TestWordsOfEvents(t *testing.T) {
	for want, e := range map[string]day.Event{
		"batch 31 started, mixer 2":                {Kind: day.BatchStarted, Batch: 31, Mixer: 2},
		"batch 31 started, mixer 2, 50 % of a kit": {Kind: day.BatchStarted, Batch: 31, Mixer: 2, Share: 0.5},
		"batch 9 scrapped: DROPPED":                {Kind: day.BatchScrapped, Batch: 9, Why: "DROPPED"},
		"read slab 68 °F":                          {Kind: day.ReadingTaken, What: day.ReadSlab, Value: day.Value(20)},
		"read slab at A/door 68 °F":                {Kind: day.ReadingTaken, What: day.ReadSlab, Spot: "A/door", Value: day.Value(20)},
		"read humidity 65 %":                       {Kind: day.ReadingTaken, What: day.ReadHumidity, Value: day.Value(0.65)},
		"front marked at 10 ft":                    {Kind: day.FrontMarked, AlongM: day.Value(3.048)},
		"front marked past bay 4":                  {Kind: day.FrontMarked, Bay: "4"},
		"mixer 2 out: gearbox":                     {Kind: day.PostLost, Post: day.PostMixer, Which: 2, Why: "gearbox"},
		"rake back in":                             {Kind: day.PostReturned, Post: day.PostRake, Which: 1},
		"answered: BUCKET 1 DEAD":                  {Kind: day.CallAcked, Call: "bucket", What: "BUCKET 1 DEAD"},
		"put aside: EDGE AT RISK: SEEN, IN HAND":   {Kind: day.CallShelved, Call: "edge", What: "EDGE AT RISK", Why: "SEEN, IN HAND"},
		"took back: batch 31 poured":               {Kind: day.PressUndone, What: "batch.poured", Batch: 31},
		"note: soft[31m patch":                     {Kind: day.NoteWritten, Text: "soft\x1b[31m patch"},
		"floor handed over":                        {Kind: day.HandoverGiven},
	} {
		if got := Words(e, units.US); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

// Every kind that a hand presses has words of its own, without dots or dashes
// of the wire.
func TestEveryPressHasWords(t *testing.T) {
	for _, k := range []day.Kind{
		day.ZoneBegan, day.ZoneClosed, day.BatchStarted, day.BatchStepped, day.BatchMixed, day.BatchPoured, day.BatchScrapped, day.BatchCondemned, day.BatchLifted,
		day.HoldBegan, day.HoldEnded, day.MixingStopped, day.PostLost, day.PostReturned, day.ReadingTaken, day.FrontMarked, day.RowRolled, day.RowBroadcast, day.RakeReset,
		day.PaceSet, day.BlendChanged, day.PullNarrowed, day.StopChosen, day.CutBack, day.DecisionMade, day.HandoverGiven, day.OverrideGiven, day.LotOpened, day.TallyTaken,
		day.DoorShut, day.DoorOpened, day.NoteWritten, day.CallAcked, day.CallShelved, day.PressUndone,
	} {
		if got := Words(day.Event{Kind: k, Batch: 3, Why: "w"}, units.Metric); got == "" || strings.ContainsAny(got, "._") {
			t.Errorf("%s reads %q", k, got)
		}
	}
}
