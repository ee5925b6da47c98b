package day

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"floorpace/internal/floor"
	"floorpace/internal/plan"
)

// panels is a rectangle of 9 m by 3 m, rows of 0.75 m from the left: the left half
// of every row is panel P1, the right half P2, with the joint at x = 4.5.
func panels() *plan.Plan {
	p := rectangle(9, 3)
	p.Rules.Loss = 0
	p.Sheet.Blends[0].YieldL = 13.5 // a kit lays 2.25 m², 3 m of a row
	box := func(x0, x1 float64) floor.Polygon {
		return floor.Polygon{{X: x0, Y: 0}, {X: x1, Y: 0}, {X: x1, Y: 3}, {X: x0, Y: 3}}
	}
	p.Zones[0].Panels = []floor.Panel{{Name: "P1", Outline: box(0, 4.5)}, {Name: "P2", Outline: box(4.5, 9)}}
	p.Lots = []plan.Lot{
		{Name: "L1", Parts: map[string]int{"A": 9, "B": 9, "aggregate": 9}},
		{Name: "L2", Parts: map[string]int{"A": 9, "B": 9, "aggregate": 9}},
	}
	return p
}

// Worked by hand, no source: a kit lays 3 m of a row, so batch 2 runs from x = 3
// to 6, over the joint at 4.5; half a kit ends there.
func TestBatchOverTheEdgeOfAPanel(t *testing.T) {
	s := begin(t, panels())
	at := s.Plan.Handover.Add(time.Hour)
	v := Look(s, at)
	if got := fmt.Sprint(v.Lots.Panels[0].Kits, v.Lots.Panels[1].Kits); got != "6 6" {
		t.Errorf("panels take %s kits, 13.5 m² of 2.25 each are 6", got)
	}
	s = do(t, s, at, Press{Kind: BatchStarted, Mixer: 1, Lots: "A=L1 B=L1 aggregate=L1"})
	// The other lot for the next one: its first half lies in P1, where L1 is.
	_, err := Decide(s, Press{Kind: BatchStarted, Mixer: 2, Lots: "A=L2 B=L2 aggregate=L2"}, at)
	if err == nil || !strings.Contains(err.Error(), "panel P1 of zone A takes L1 of A, not L2: it must not mix lots") {
		t.Fatalf("refused with %v", err)
	}
	// Half a kit of L1 ends at the joint; L2 may begin behind it.
	s.Plan.Sheet.Limits.VolumeAllowed = true
	s = do(t, s, at, Press{Kind: BatchStarted, Mixer: 2, Share: 0.5, Lots: "A=L1 B=L1 aggregate=L1"})
	s = do(t, s, at, Press{Kind: BatchStarted, Mixer: 3, Lots: "A=L2 B=L2 aggregate=L2"})
	for i := range 3 {
		s = do(t, s, at.Add(time.Duration(4+i)*time.Minute), Press{Kind: BatchPoured})
	}
	at = at.Add(10 * time.Minute)
	v = Look(s, at)
	var words []string
	for i := range v.Lots.Panels {
		words = append(words, v.Lots.Panels[i].Words())
	}
	if got := strings.Join(words, ", "); got != "P1 L1, P2 L2" {
		t.Errorf("panels %s", got)
	}
	var lie []string
	for _, q := range s.LotPlaces() {
		if q.Part == "A" {
			lie = append(lie, fmt.Sprint(q.Panel, " ", q.Lot, " ", q.Batches))
		}
	}
	if got := strings.Join(lie, ", "); got != "P1 L1 [1 2], P2 L2 [3]" {
		t.Errorf("lots lie %s", got)
	}
	// Now at x = 7.5 of row 1: a whole kit of L2 would run to 1.5 m of row 2, in P1.
	_, err = Decide(s, Press{Kind: BatchStarted, Mixer: 1, Lots: "A=L2 B=L2 aggregate=L2"}, at)
	if err == nil || !strings.Contains(err.Error(), "or a part batch of 50 % ends before it") {
		t.Errorf("refused with %v", err)
	}
	// An override in P1 alone lets it in, and is not one for P2.
	s = do(t, s, at, Press{Kind: OverrideGiven, What: LotsMixed, Zone: "A", Bay: "P1", Who: "R. Example", Role: "foreman", Why: "agreed"})
	s = do(t, s, at, Press{Kind: BatchStarted, Mixer: 1, Lots: "A=L2 B=L2 aggregate=L2"})
	if _, err = Decide(s, Press{Kind: BatchStarted, Mixer: 2, Lots: "A=L1 B=L1 aggregate=L1"}, at); err != nil {
		t.Errorf("P1 is overridden, batch 5 lies in it and ends at its edge: %v", err)
	}
}

// A part of which nothing is left is named, with what is left of the others.
func TestAPartIsGone(t *testing.T) {
	p := rectangle(9, 12)
	p.Lots = []plan.Lot{{Name: "L1", Parts: map[string]int{"A": 20, "B": 3, "aggregate": 20}}}
	s, at := poured(t, begin(t, p), 3)
	v := Look(s, at)
	if v.Kits.OnHand != 0 || v.Lots.Gone != "no B left by the plan; still there: A 17, aggregate 17. Find more of it, or stop at a line" {
		t.Errorf("%d on hand, %q", v.Kits.OnHand, v.Lots.Gone)
	}
}

// A bucket does not hold more than was mixed, and what was weighed stays on
// record when part of it is poured away.
func TestPourMoreThanWasMixed(t *testing.T) {
	p := rectangle(9, 12)
	p.Sheet.Limits.VolumeAllowed = true
	s := begin(t, p)
	at := p.Handover.Add(time.Hour)
	s = do(t, s, at, Press{Kind: BatchStarted, Mixer: 1, Share: 0.5})
	at = at.Add(4 * time.Minute)
	_, err := Decide(s, Press{Kind: BatchPoured, Share: 0.8}, at)
	if err == nil || !strings.Contains(err.Error(), "batch 1 holds 7.0 L, not 11.2 L: 50 % of a kit was mixed") {
		t.Errorf("refused with %v", err)
	}
	s = do(t, s, at, Press{Kind: BatchPoured, Share: 0.4})
	if got := s.Zones[0].PosL; got < 0.4*14/1.06-1e-6 || got > 0.4*14/1.06+1e-6 {
		t.Errorf("%.3f L down, want 40 %% of a kit less the loss of 6 %%", got)
	}
}
