package path

import (
	"errors"
	"fmt"
	"math"

	"floorpace/internal/floor"
)

// Pattern is the order of the rows and the way each is laid.
type Pattern uint8

const (
	// SameSide lays every row from the same side.
	SameSide Pattern = iota
	// ToAndFro lays every other row back from the far side.
	ToAndFro
	// OutAndBack lays the first, third, fifth … row on the way out and the rows
	// skipped on the way back, each from the same side. The edges between wait
	// for the way back, so it holds only where the edge outlasts that.
	OutAndBack
)

// String names the pattern in words.
func (p Pattern) String() string {
	switch p {
	case SameSide:
		return "rows from the same side"
	case ToAndFro:
		return "to and fro"
	case OutAndBack:
		return "out on alternate rows, back on the rows skipped"
	}
	return fmt.Sprintf("pattern %d", uint8(p))
}

// Side is where rows begin, looking along the pull.
type Side uint8

const (
	// Left starts rows on the left hand.
	Left Side = iota
	// Right starts rows on the right hand.
	Right
)

// String is "left" or "right".
func (s Side) String() string {
	switch s {
	case Left:
		return "left"
	case Right:
		return "right"
	}
	return fmt.Sprintf("side %d", uint8(s))
}

// Lay says how a zone is covered. PullDeg is the direction in which the front
// advances, degrees anticlockwise from +x. RowDepthM is one rake-reach, metres.
// CellM is the largest side of a cell, metres; 0 lets Build choose.
type Lay struct {
	PullDeg   float64
	RowDepthM float64
	Start     Side
	Pattern   Pattern
	CellM     float64
}

// Choice of cell. A station of 0.15 m is about a hand's breadth of rake travel:
// no crew sees a finer edge. The cap keeps the live edge state cheap.
const (
	cellWishM  = 0.15
	cellsWish  = 200_000
	cellsMost  = 8_000_000
	sliver     = 1e-6 // share of a cell below which it is rounding, not floor
	alongRows  = 0.02 // slope against the rows (about 1°) up to which a stop line counts as along them
	lineReachM = 0.05 // a stop line drawn to within this of a wall is taken to reach it
)

// check refuses a lay that cannot be built.
func (l Lay) check() error {
	switch {
	case math.IsNaN(l.PullDeg) || math.IsInf(l.PullDeg, 0):
		return errors.New("the pull has no direction: give degrees anticlockwise from +x, such as 90")
	case !(l.RowDepthM > 0) || math.IsInf(l.RowDepthM, 0):
		return fmt.Errorf("the row depth is %g m: give the reach of the rake, such as 0.75 m", l.RowDepthM)
	case l.Start > Right:
		return fmt.Errorf("rows start on %v: give left or right", l.Start)
	case l.Pattern > OutAndBack:
		return fmt.Errorf("there is no %v: give same side, to and fro, or out and back", l.Pattern)
	case math.IsNaN(l.CellM) || l.CellM < 0:
		return fmt.Errorf("the cell is %g m: give a length above zero, or 0 to have it chosen", l.CellM)
	case l.CellM > l.RowDepthM:
		return fmt.Errorf("the cell of %g m is larger than the row depth of %g m: give a smaller one, or 0 to have it chosen", l.CellM, l.RowDepthM)
	}
	return nil
}

// cell is the side of the cells for a zone in a box of boxM2, metres. The row
// depth is a whole number n of cells. Without a wish n makes cells of cellWishM,
// or of half the thinnest hole if that is less, but never so many that the box
// holds more than cellsWish.
func (l Lay) cell(z floor.Zone, boxM2 float64) float64 {
	if l.CellM > 0 {
		return l.RowDepthM / math.Ceil(l.RowDepthM/l.CellM-1e-9)
	}
	n := math.Ceil(l.RowDepthM/math.Min(cellWishM, thinnestM(z)/2) - 1e-9)
	most := math.Floor(l.RowDepthM * math.Sqrt(cellsWish/boxM2))
	return l.RowDepthM / math.Max(1, math.Min(n, most))
}

// thinnestM is the thickness of the thinnest hole, taken as that of the long
// rectangle with its area and perimeter; +Inf without holes. Drains are left
// out: nobody stands a wet edge on the two sides of a drain apart.
func thinnestM(z floor.Zone) float64 {
	best := math.Inf(1)
	for _, h := range z.Holes {
		if h.Drain {
			continue
		}
		half, area := h.Outline.Perimeter()/2, h.Outline.Area()
		if disc := half*half/4 - area; disc >= 0 {
			best = math.Min(best, half/2-math.Sqrt(disc))
		} else {
			best = math.Min(best, math.Sqrt(area))
		}
	}
	return best
}
