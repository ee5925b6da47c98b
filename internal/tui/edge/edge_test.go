package edge

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"floorpace/config"
	"floorpace/internal/advice"
	"floorpace/internal/day"
	"floorpace/internal/floor"
	"floorpace/internal/shift"
	"floorpace/internal/tui/frame"
	"floorpace/internal/tui/look"
)

func text(s *Screen, l *look.Look, w, h int, v *shift.View) string {
	c := frame.New(l, w, h)
	s.Draw(c.Pane(), v)
	return c.Plain()
}

// all is every page at a size, one after the other.
func all(s *Screen, w, h int, v *shift.View) string {
	l := look.New(look.Dark(), look.NoColor, look.Unicode)
	out := text(s, l, w, h, v)
	for _, of := s.Page(); of > 1; of-- {
		s.NextPage()
		out += "\n" + text(s, l, w, h, v)
	}
	s.FirstPage()
	return out
}

// Every size draws every page exactly, with names that try to break a frame.
func TestEverySize(t *testing.T) {
	sts := states(t)
	wild := *sts[1].v
	snap := *wild.Snapshot
	p := *snap.Plan
	p.Zones = append(p.Zones[:0:0], p.Zones...)
	p.Title = "冷蔵庫 床\u202e\x1b[31m نص\u200e 👩\u200d🔧 ééé"
	snap.Plan = &p
	snap.Calls = []day.Call{{ID: "x", Grade: 1, What: "冷蔵庫\x1b]0;x\a", Why: strings.Repeat("长", 300), Raised: snap.Now}}
	wild.Snapshot = &snap
	wild.Forecast = advice.Outlook{OK: true, Ways: make([]advice.Way, 40)}
	for k, v := range []*shift.View{nil, {}, {Snapshot: &day.Snapshot{}}, &wild, sts[0].v, sts[3].v} {
		s := New()
		for n, l := range []*look.Look{look.New(look.Dark(), look.TrueColor, look.Unicode), look.New(look.Sun(), look.NoColor, look.ASCII)} {
			for w := 1; w <= 250; w += 1 + w/6 {
				for h := 1 + n; h <= 80; h += 1 + h/6 {
					checkSize(t, fmt.Sprintf("view %d", k), s, l, w, h, v)
					s.NextPage()
				}
			}
			checkSize(t, fmt.Sprintf("view %d", k), s, l, 250, 80, v)
		}
	}
}

func checkSize(t *testing.T, what string, s *Screen, l *look.Look, w, h int, v *shift.View) {
	t.Helper()
	lines := strings.Split(text(s, l, w, h, v), "\n")
	if len(lines) != h {
		t.Fatalf("%s at %d×%d: %d lines", what, w, h, len(lines))
	}
	for y, line := range lines {
		if n := frame.Width(line); n != w {
			t.Fatalf("%s at %d×%d: line %d is %d cells wide: %q", what, w, h, y, n, line)
		}
		if l.Glyphs == look.ASCII && strings.ContainsAny(line, "○▲×►♦⌂∩═║─│█▀░▒✓→·") {
			t.Fatalf("%s at %d×%d: line %d is not ASCII: %q", what, w, h, y, line)
		}
	}
}

// At 160×45 all of it stands on one page; at 80×24 nothing is lost, only on
// further pages.
func TestNothingIsLost(t *testing.T) {
	for _, st := range states(t) {
		s := New()
		wide := all(s, 160, 45, st.v)
		if _, of := s.Page(); of != 1 {
			t.Errorf("%s: %d pages at 160×45", st.name, of)
		}
		narrow := all(New(), 80, 24, st.v)
		for _, want := range []string{"Kits", "Finish of this zone", "Where it may stop", "Zones", "Conditions", "Open for use", "Dew margin", "Slab", "dew margin", "rule"} {
			if !strings.Contains(wide, want) {
				t.Errorf("%s: %q is missing at 160×45", st.name, want)
			}
			if !strings.Contains(narrow, want) {
				t.Errorf("%s: %q is missing at 80×24", st.name, want)
			}
		}
	}
}

// The worst call survives at any size that can hold a word.
func TestWorstCallSurvives(t *testing.T) {
	st, s := states(t)[3], New()
	for w := 14; w <= 120; w += 1 + w/10 {
		for h := 1; h <= 40; h += 1 + h/10 {
			if got := text(s, dark(), w, h, st.v); !strings.Contains(got, "EDGE LOST") && h < largeFrom {
				t.Fatalf("no call at %d×%d:\n%s", w, h, got)
			}
		}
	}
}

// Test day 6, worked out by hand (see the days' table): a row from x = 0 at
// 11:01:00 to x = 9 at 11:05:36, looked at at 11:15:30 after a stop. The
// screen must say: whole row joinable until 11:11:38, last point until
// 11:16:14; gone 3.66 m, at risk 3.91 m, joinable 1.43 m; two dead buckets.
func TestStopWorkedByHand(t *testing.T) {
	p := example(t, config.USPlan)
	p.Units = 0 // metric
	b := &p.Sheet.Blends[0]
	b.YieldL = 14
	p.Rules.Loss = 0.06
	c := &p.Crew
	c.Mixers, c.Runners, c.Buckets, c.Scrape = 3, 3, 9, 15*time.Second
	c.RakeM2Min = 14 / 1.06 / 6 / 1.5
	c.Load, c.Headway, c.Pour = 0, 0, 30*time.Second
	p.Readings.SlabC, p.Readings.KitC, p.Readings.Spots = 19, 19, nil
	p.Handover = time.Date(2026, 5, 4, 6, 0, 0, 0, time.UTC)
	p.Opening = p.Handover.Add(60 * time.Hour)
	p.Zones = p.Zones[:1]
	z := &p.Zones[0]
	z.Zone = floor.Zone{Name: "A", Outline: floor.Polygon{{X: 0, Y: 0}, {X: 9, Y: 0}, {X: 9, Y: 12}, {X: 0, Y: 12}}, DepthM: 0.006, Station: floor.Point{X: 0, Y: -5}}
	z.PullDeg, z.RowDepthM, z.StartLeft = 90, 0.75, true

	q := newPour(t, p)
	clock := func(s string) time.Time {
		at, err := time.Parse("2006-01-02 15:04:05", "2026-05-04 "+s)
		if err != nil {
			t.Fatal(err)
		}
		return at
	}
	minute := float64(time.Minute)
	first := clock("11:01:00").Add(-3 * time.Duration(6.75/c.RakeM2Min*minute))
	for i := range 13 {
		q.at = first.Add(time.Duration(i)*90*time.Second - 3*time.Minute)
		q.press(day.Press{Kind: day.BatchStarted, Mixer: i%3 + 1})
		q.at = first.Add(time.Duration(i) * 90 * time.Second)
		share := 1.0
		if i == 12 { // four rows end inside the last bucket
			share = 4*40.5/(14/1.06) - 12
		}
		q.press(day.Press{Kind: day.BatchPoured, Batch: i + 1, Share: share})
	}
	for _, mixer := range []int{2, 3} { // two full buckets, 9:00 old at 11:15:30
		q.at = clock("11:06:30").Add(-b.ReactionAfter())
		q.press(day.Press{Kind: day.BatchStarted, Mixer: mixer})
	}
	q.at = clock("11:15:30")
	got := text(New(), dark(), 80, 24, q.view(0))
	for _, want := range []string{
		"m gone", "m at risk", "m joinable", "buckets 14, 15 dead: outside, not on the floor",
		"cut back  to end of row 4, 3.0 m: the edge is straight there",
	} {
		if !strings.Contains(got, want) {
			t.Errorf("%q is missing:\n%s", want, got)
		}
	}
	for _, c := range []struct{ words, want string }{{"whole row was joinable until ", "11:11:38"}, {"last point until ", "11:16:14"}} {
		_, after, _ := strings.Cut(got, c.words)
		if at := clock(after[:len(c.want)]); at.Sub(clock(c.want)).Abs() > 3*time.Second { // the middle of a cell
			t.Errorf("%s%s, want %s", c.words, after[:len(c.want)], c.want)
		}
	}
	var gone, risk, join float64
	line := ""
	for _, l := range strings.Split(got, "\n") {
		if strings.Contains(l, "joinable") && strings.Contains(l, "at risk") && strings.Contains(l, "gone ") {
			line = l
			break
		}
	}
	var riskFrom, joinFrom, goneTo, riskTo, joinTo float64
	if _, err := fmt.Sscanf(line, "× %f m gone 0.0-%f  ▲ %f m at risk %f-%f  ○ %f m joinable %f-%f",
		&gone, &goneTo, &risk, &riskFrom, &riskTo, &join, &joinFrom, &joinTo); err != nil {
		t.Fatalf("%v in %q", err, line)
	}
	for _, c := range []struct {
		what      string
		got, want float64
	}{
		{"gone", gone, 3.66},
		{"at risk", risk, 3.91},
		{"joinable", join, 1.43},
		{"gone to", goneTo, 3.66},
		{"at risk from", riskFrom, 3.66},
		{"at risk to", riskTo, 7.57},
		{"joinable from", joinFrom, 7.57},
		{"joinable to", joinTo, 9},
	} {
		if d := c.got - c.want; d > 0.2 || d < -0.2 { // a cell, and the tenth printed
			t.Errorf("%s %.1f m, want %.2f", c.what, c.got, c.want)
		}
	}
}

// The floor is drawn anew only when something on it has changed.
func TestFloorStandsStill(t *testing.T) {
	q := newPour(t, example(t, config.USPlan))
	q.batches(8, 2*time.Minute)
	s := New()
	text(s, dark(), 160, 45, q.view(0.9))
	version := s.floor.rest.Version
	q.at = q.at.Add(time.Second)
	text(s, dark(), 160, 45, q.view(0.9))
	if s.floor.rest.Version != version {
		t.Error("a second later the floor was drawn anew")
	}
	q.press(day.Press{Kind: day.BatchStarted, Mixer: 1})
	q.wait(3 * time.Minute)
	q.press(day.Press{Kind: day.BatchPoured})
	text(s, dark(), 160, 45, q.view(0.9))
	if s.floor.rest.Version == version {
		t.Error("a batch on the floor did not change the drawing")
	}
}

// longWays are ways out as the console really words them, the longest of each
// kind.
func longWays(v *shift.View) advice.Outlook {
	f := forecast(v.Snapshot, 0.41)
	end := v.Now.Add(95 * time.Minute)
	f.Ways = []advice.Way{
		{ID: "mixer", What: "mixer 1 back at work", Figure: "2 mixers from now, one every 2:08", Edge: 1, P50: end, Opening: end.Add(30 * time.Hour), Kits: 61},
		{ID: "pull", What: "narrower pull", Figure: "pull 20.25 ft, 21 rows ahead", Edge: 0.97, P50: end, Opening: end.Add(70 * time.Hour), Kits: 61, People: 2},
		{ID: "cut-back", What: "cut back and go on", Figure: "to end of row 10, 149.8 ft² comes off", Edge: 0.94, P50: end, Opening: end.Add(30 * time.Hour), InTime: true, Kits: 64},
		{ID: "slow", What: "slower pace", Figure: "one every 2:35 instead of 2:08", Edge: 0.9, P50: end, Opening: end.Add(30 * time.Hour), InTime: true, Kits: 61},
		{ID: "same-side", What: "rows from the same side", Figure: "12 rows ahead", Edge: 0.8, P50: end, Kits: 61},
		{ID: "stop-now", What: "stop now", Figure: "cut back to joint 22, 14.2 ft² comes off", Edge: 1, P50: v.Now},
	}
	return f
}

// No figure is cut short: at every size a console has, on every page of every
// state, whatever is said is said whole, the ways out with every figure they
// have.
func TestNothingIsCut(t *testing.T) {
	more := look.New(look.Dark(), look.NoColor, look.Unicode).Glyph(look.GlyphMore)
	heights := []int{24, 30, 45, 60}
	for _, st := range states(t) {
		v := *st.v
		v.Forecast = longWays(st.v)
		for w := 80; w <= 250; w += 7 {
			h := heights[w%len(heights)]
			for _, size := range append(sizes[:len(sizes):len(sizes)], [2]int{w, h}) {
				if size[0] != w && w > 80 {
					continue // the four sizes once
				}
				s := New()
				s.PageKey, s.WaysKey, s.AnswerKey = "space", "w", "a"
				got := all(s, size[0], size[1], &v)
				if i := strings.Index(got, more); i >= 0 {
					from := strings.LastIndexByte(got[:i], '\n') + 1
					t.Errorf("%s at %v cuts %q", st.name, size, strings.TrimSpace(got[from:i+len(more)]))
				}
			}
		}
		c := &card{Screen: New(), View: &v, sys: v.Plan.Units, w: 80}
		for i := range v.Forecast.Ways {
			w := &v.Forecast.Ways[i]
			var words []string
			for k, line := range c.way(w, sideW) {
				if n := frame.SpansWidth(line...); n > sideW-2 || k == 0 && n > sideW-2-frame.Width(percent(w.Edge)) {
					t.Errorf("%s: line %d of %s is %d wide", st.name, k, w.ID, n)
				}
				for _, q := range line {
					words = append(words, strings.TrimSpace(q.Text))
				}
			}
			said := strings.Join(strings.Fields(strings.Join(words, " ")), " ")
			want := w.What + " " + w.Figure + " finish " + c.hm(w.P50)
			if !strings.HasPrefix(said, want) || w.Kits > 0 && !strings.Contains(said, fmt.Sprintf("%d kits", w.Kits)) {
				t.Errorf("%s: the way says %q, want it to begin with %q", st.name, said, want)
			}
		}
	}
}
