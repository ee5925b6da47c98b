package path

import (
	"math"
	"testing"

	"floorpace/internal/floor"
)

// warehouse is 10,000 ft² (929.03 m²) with 24 square columns and three drains.
func warehouse() floor.Zone {
	z := zone(box(0, 0, 24.384, 38.1))
	for x := range 4 {
		for y := range 6 {
			z.Holes = append(z.Holes, floor.Hole{Outline: box(4.5+5*float64(x), 3.5+6*float64(y), 0.45, 0.45)})
		}
	}
	for y := range 3 {
		z.Holes = append(z.Holes, floor.Hole{Drain: true, Outline: box(12, 8+10*float64(y), 0.2, 0.2)})
	}
	return z
}

func BenchmarkBuild10000ft2(b *testing.B) {
	for b.Loop() {
		p := build(b, warehouse(), Lay{PullDeg: 90, RowDepthM: 0.75})
		b.ReportMetric(float64(p.Cells()), "cells")
	}
}

func BenchmarkBuildMillionCells(b *testing.B) {
	z := zone(box(0, 0, 100, 100))
	for b.Loop() {
		p := build(b, z, Lay{PullDeg: 90, RowDepthM: 0.8, CellM: 0.1, Pattern: ToAndFro})
		b.ReportMetric(float64(p.Cells()), "cells")
	}
}

func benchmarkEdge(b *testing.B, pattern Pattern) {
	p := build(b, warehouse(), Lay{PullDeg: 90, RowDepthM: 0.75, Pattern: pattern})
	var buf []EdgeCell
	n := 0
	for b.Loop() {
		n = (n + 7919) % 10000
		buf = p.AppendEdge(buf[:0], float64(n)/10000*p.TotalL())
	}
}

func BenchmarkEdgeSameSide(b *testing.B)   { benchmarkEdge(b, SameSide) }
func BenchmarkEdgeToAndFro(b *testing.B)   { benchmarkEdge(b, ToAndFro) }
func BenchmarkEdgeOutAndBack(b *testing.B) { benchmarkEdge(b, OutAndBack) }

func BenchmarkQMin(b *testing.B) {
	p := build(b, warehouse(), Lay{PullDeg: 90, RowDepthM: 0.75})
	for b.Loop() {
		p.QMin(0, math.Inf(1), minutes(8), minutes(2), minutes(0.5))
	}
}

func BenchmarkSearch10000ft2(b *testing.B) {
	for b.Loop() {
		if _, err := Search(warehouse(), Lay{PullDeg: 90, RowDepthM: 0.75}); err != nil {
			b.Fatal(err)
		}
	}
}
