package pace

import (
	"cmp"
	"math"
	"slices"

	"floorpace/internal/floor"
	"floorpace/internal/sheet"
)

// panelRun is a piece of the path inside one panel: litres to the middles of its
// first and last cell, and the litres of its cells.
type panelRun struct {
	panel         int
	fromL, toL, l float64
	edgeL         float64 // where it begins: halfway from the cell before
}

// usePanels finds where the path runs through the zone's panels.
func (f *Zone) usePanels() {
	f.panels = nil
	if len(f.Z.Panels) == 0 {
		return
	}
	pt := f.Path
	order := make([]int, pt.Cells())
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(pt.VolAt(a), pt.VolAt(b)) })
	before := 0.0 // middle of the cell before, of another place on the path
	last := 0.0
	for _, i := range order {
		x, y := pt.Centre(i)
		k := f.Z.PanelAt(floor.Point{X: x, Y: y})
		vol := pt.VolAt(i)
		if vol > last {
			before, last = last, vol
		}
		if n := len(f.panels); n > 0 && f.panels[n-1].panel == k {
			f.panels[n-1].toL, f.panels[n-1].l = vol, f.panels[n-1].l+pt.CellL(i)
			continue
		}
		f.panels = append(f.panels, panelRun{k, vol, vol, pt.CellL(i), (before + vol) / 2})
	}
	f.panels = slices.DeleteFunc(f.panels, func(r panelRun) bool { return r.panel < 0 })
}

// PanelsBetween lists the panels (indices into Z.Panels) that hold something of
// the path from fromL to toL (litres), in the order in which they are met. A
// piece smaller than half a cell of the path is not seen.
func (f *Zone) PanelsBetween(fromL, toL float64) (out []int) {
	for _, r := range f.panels {
		if r.toL > fromL && r.fromL <= toL && !slices.Contains(out, r.panel) {
			out = append(out, r.panel)
		}
	}
	return out
}

// PanelFrom is the path volume, litres, at which a panel is next begun from a
// place on, to the edge between two cells; ok is false when it is not met again.
// A place inside the panel is its own answer.
func (f *Zone) PanelFrom(posL float64, panel int) (l float64, ok bool) {
	for _, r := range f.panels {
		if r.panel == panel && r.toL > posL {
			return math.Max(posL, r.edgeL), true
		}
	}
	return 0, false
}

// PanelKits is how many whole kits of b a panel takes by the plan.
func (f *Zone) PanelKits(b *sheet.Blend, panel int) int {
	l := 0.0
	for _, r := range f.panels {
		if r.panel == panel {
			l += r.l
		}
	}
	return Ceil(math.Max(0, l) / f.NetL(b))
}
