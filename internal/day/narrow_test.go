package day

import (
	"math"
	"testing"
	"time"
)

// A pull narrowed by a press: by hand, a 9 m pull that goes on at 6 m has an edge
// span of 6 × 0.75 m², what is on the floor stays where it is, and an undo gives
// the wide pull back.
func TestPullNarrowed(t *testing.T) {
	s := begin(t, rectangle(9, 12))
	at := s.Plan.Handover.Add(time.Hour)
	for i := range 5 {
		s = do(t, s, at, Press{Kind: BatchStarted, Mixer: i%3 + 1})
		s = do(t, s, at.Add(4*time.Minute), Press{Kind: BatchPoured})
		at = at.Add(5 * time.Minute)
	}
	before := Look(s, at)
	s = do(t, s, at, Press{Kind: PullNarrowed, WidthM: 6})
	v := Look(s, at)
	if v.PosL != before.PosL || v.Floor.Path.TotalL() != before.Floor.Path.TotalL() {
		t.Errorf("the front went from %g to %g L of %g", before.PosL, v.PosL, v.Floor.Path.TotalL())
	}
	if before.Floor == v.Floor || before.Floor.WidthM() != 9 || v.Floor.WidthM() != 6 {
		t.Errorf("pull %g m, then %g m", before.Floor.WidthM(), v.Floor.WidthM())
	}
	// Past the row under way the span is the lane's.
	if b := v.Floor.Band(v.Blend, v.Hands, v.Ground, v.PosL+30); math.Abs(b.NeededSpanM2-6*0.75) > 1e-6 {
		t.Errorf("largest span ahead %.3f m², want 4.5", b.NeededSpanM2)
	}
	if v.Edge.JoinM >= before.Edge.JoinM {
		t.Errorf("edge %.2f m, was %.2f: what the later lane leaves is taped", v.Edge.JoinM, before.Edge.JoinM)
	}
	again := Fold(s.Plan, s.Floors, s.Events)
	if w := Look(again, at); w.Floor.WidthM() != 6 || w.PosL != v.PosL {
		t.Error("the fold of the events has another pull")
	}
	s = do(t, s, at.Add(time.Second), Press{Kind: FrontMarked, AlongM: Value(v.Floor.Path.FrontAt(v.PosL))})
	if d := s.Zones[0].PosL - v.PosL; math.Abs(d) > 1e-6 {
		t.Errorf("a mark where the front stands moves it by %g L", d)
	}
	s = do(t, s, at.Add(2*time.Second), Press{Kind: PressUndone})
	s = do(t, s, at.Add(3*time.Second), Press{Kind: PressUndone})
	if w := s.Zones[0].Floor.WidthM(); w != 9 {
		t.Errorf("after the undo the pull is %g m", w)
	}
	for _, p := range []Press{{Kind: PullNarrowed}, {Kind: PullNarrowed, WidthM: -1}, {Kind: PullNarrowed, WidthM: 0.001}, {Kind: PullNarrowed, Zone: "nowhere", WidthM: 3}} {
		if _, err := Decide(s, p, at); err == nil {
			t.Errorf("%+v was taken", p)
		}
	}
}

// What a forecast rests on is in the snapshot and does not change with the state.
func TestSnapshotForForecast(t *testing.T) {
	s := begin(t, rectangle(9, 12))
	at := s.Plan.Handover.Add(time.Hour)
	s = do(t, s, at, Press{Kind: BatchStarted, Mixer: 2})
	s = do(t, s, at.Add(time.Second), Press{Kind: PostLost, Post: PostMixer, Which: 1})
	s = do(t, s, at.Add(time.Minute), Press{Kind: HoldBegan, Why: "forklift"})
	v := Look(s, at.Add(2*time.Minute))
	s = do(t, s, at.Add(3*time.Minute), Press{Kind: HoldEnded})
	s = do(t, s, at.Add(4*time.Minute), Press{Kind: PostReturned, Post: PostMixer, Which: 1})
	s = do(t, s, at.Add(5*time.Minute), Press{Kind: BatchMixed, Mixer: 2})
	if v.Hands.Mixers != 2 || v.Hold == nil || !v.Hold.To.IsZero() || !v.Holds[0].To.IsZero() || !v.Outages[0].To.IsZero() || v.Batches[0].MixedTold {
		t.Errorf("the snapshot moved: %+v %+v %+v", v.Hold, v.Outages, v.Batches)
	}
	if len(v.Way) != 1 || v.Way[0].InBucket || v.Way[0].Mixer != 2 || !v.Way[0].Out.Equal(at.Add(165*time.Second)) {
		t.Errorf("on the way %+v, want batch 1, out of the mixer 2:45 after its start", v.Way)
	}
	w := Look(s, at.Add(6*time.Minute))
	if w.Outages[0].To.IsZero() || w.Holds[0].To.IsZero() || !w.Batches[0].MixedTold || !w.Way[0].InBucket {
		t.Errorf("later: %+v %+v %+v", w.Holds, w.Outages, w.Way)
	}
	if w.EndL != w.Floor.Path.TotalL() || w.Drift != 1 || w.Blend == nil {
		t.Errorf("ends at %g, drift %g", w.EndL, w.Drift)
	}
}
