package pace

import (
	"math"

	"floorpace/internal/floor"
)

// FromLeft is how far a cell of the path lies from the leftmost point of the
// zone, looking along the pull, metres: what a tape held at the wall shows.
func (z *Zone) FromLeft(cell int) float64 {
	f := floor.NewFrame(z.Z.PullDeg)
	least := math.Inf(1)
	for _, q := range z.Z.Outline {
		s, _ := f.To(q)
		least = min(least, s)
	}
	x, y := z.Path.Centre(cell)
	s, _ := f.To(floor.Point{X: x, Y: y})
	return s - least
}
