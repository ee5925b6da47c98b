package edge

import (
	"strings"
	"testing"
	"time"

	"floorpace/config"
	"floorpace/internal/day"
	"floorpace/internal/tui/look"
)

// The bare strip and the way that detail work may run ahead stand on the screen
// in words, the line of the latter on the floor too, without colour and in ASCII.
func TestKeepOffTheWetEdge(t *testing.T) {
	q := newPour(t, example(t, config.USPlan))
	q.batches(9, 2*time.Minute)
	l := look.New(look.Dark(), look.NoColor, look.ASCII)
	v := q.view(0.9)
	got := text(New(), l, 200, 60, v)
	for _, want := range []string{"o bare strip 6 in: no broadcast", "| detail work up to ", "| detail work to here", "roll ", "broadcast "} {
		if !strings.Contains(got, want) {
			t.Errorf("%q is missing:\n%s", want, got)
		}
	}
	s := New()
	text(s, l, 200, 60, v)
	if n := len(s.floor.rest.Ahead); n == 0 {
		t.Fatal("no line of detail work on the floor")
	}
	to := v.Floor.Path.FrontAt(v.PosL + v.Finishing.AheadL)
	for _, a := range s.floor.rest.Ahead { // the pull is along x: within a row of where the front will be
		if d := a.A.X - to; d > v.Floor.Z.RowDepthM || d < -v.Floor.Z.RowDepthM {
			t.Errorf("the line stands at %.2f m, the front comes to %.2f m", a.A.X, to)
		}
	}
	q.press(day.Press{Kind: day.HoldBegan, Why: "BREAK"})
	if got := all(New(), 160, 45, q.view(0.9)); !strings.Contains(got, "detail work: wait, the front stands") {
		t.Errorf("on hold detail work goes on:\n%s", got)
	}
}

// A post that is out is named over its list, and the windows run on.
func TestPostOutOverItsList(t *testing.T) {
	q := newPour(t, example(t, config.USPlan))
	q.batches(9, 2*time.Minute)
	q.press(day.Press{Kind: day.PostLost, Post: day.PostRoll})
	got := all(New(), 160, 45, q.view(0.9))
	if !strings.Contains(got, "roll: out") || !strings.Contains(got, " left") {
		t.Errorf("the roller is out and not said:\n%s", got)
	}
}
