package day

import (
	"fmt"
	"testing"
	"time"

	"floorpace/internal/floor"
)

// halfPoured is a zone of 10,000 ft² (929 m²) with nine columns, half poured at
// a batch every 0:45, the front in the middle of a row.
func halfPoured(b *testing.B) (*State, time.Time) {
	b.Helper()
	p := rectangle(30.48, 30.48)
	for i := range 9 {
		x, y := 7.5+float64(i%3)*7.5, 7.5+float64(i/3)*7.5
		p.Zones[0].Holes = append(p.Zones[0].Holes, floor.Hole{Name: fmt.Sprint("C", i+1), Outline: floor.Polygon{
			{X: x, Y: y}, {X: x + .4, Y: y}, {X: x + .4, Y: y + .4}, {X: x, Y: y + .4},
		}})
	}
	p.Crew.Mixers, p.Crew.RakeM2Min = 6, 6
	p.Lots[0].Parts = map[string]int{"A": 500, "B": 500, "aggregate": 500}
	s := begin(b, p)
	at := p.Handover.Add(time.Hour)
	for i := 0; s.Zones[0].PosL < s.Zones[0].Floor.Path.TotalL()/2; i++ {
		for _, q := range []struct {
			at    time.Time
			press Press
		}{{at.Add(-3 * time.Minute), Press{Kind: BatchStarted, Mixer: i%6 + 1}}, {at, Press{Kind: BatchPoured}}} {
			es, err := Decide(s, q.press, q.at)
			if err != nil {
				b.Fatal(err)
			}
			for _, e := range es {
				e.N = int64(len(s.Events))
				s = s.Apply(e)
			}
		}
		at = at.Add(45 * time.Second)
	}
	return s, at
}

// The wet edge of a tick: age, state, slack and needed pace of every edge cell.
func BenchmarkEdgeOfATick(b *testing.B) {
	s, now := halfPoured(b)
	for i := 0; b.Loop(); i++ {
		s.edgeAt(0, now.Add(time.Duration(i%600)*time.Second), 1)
	}
	b.ReportMetric(float64(len(s.edgeAt(0, now, 1).Points)), "edge-cells")
	b.ReportMetric(float64(s.Zones[0].Floor.Path.Cells()), "cells")
}

// The whole picture of a tick, as the screens read it.
func BenchmarkLook(b *testing.B) {
	s, now := halfPoured(b)
	for i := 0; b.Loop(); i++ {
		Look(s, now.Add(time.Duration(i%600)*time.Second))
	}
}
