package plan

import (
	"fmt"
	"math"

	"floorpace/internal/units"
)

// Limits of a zone's size. Neither is a rule of the trade: a zone is what a crew
// lays in one go, and the path through it is cut into cells.
const (
	zoneMostM = 1000      // a zone a kilometre across is a slip of the unit
	cellsMost = 4_000_000 // half of what package path takes, whatever the pull
)

// checkSize refuses a zone or a cell for which no pour path can be drawn.
func checkSize(z *Zone, key string, sys units.System, ps *problems) {
	lo, hi := z.Outline.Bounds()
	w, d := hi.X-lo.X, hi.Y-lo.Y
	span := func() string {
		return units.FormatFixed(units.Length, w, sys, 0) + " by " + units.FormatFixed(units.Length, d, sys, 0)
	}
	switch side := math.Hypot(w, d); {
	case len(z.Outline) < 3 || math.IsNaN(side):
	case w > zoneMostM || d > zoneMostM:
		ps.add(key+".outline", "the zone measures %s", "check the corners and their unit, or part the floor into zones that are each poured in one go", span())
	case z.CellM > 0 && side*side/z.CellM/z.CellM > cellsMost:
		ps.add(key+".cell", "cells of %s are too fine for a zone of %s", "leave cell out: the program chooses it", units.Format(units.Length, z.CellM, sys), span())
	}
}

// nth is a place in a list: 1st, 2nd, 3rd, 11th.
func nth(n int) string {
	end := "th"
	if n/10%10 != 1 && n%10 >= 1 && n%10 <= 3 {
		end = [...]string{"st", "nd", "rd"}[n%10-1]
	}
	return fmt.Sprint(n) + end
}
