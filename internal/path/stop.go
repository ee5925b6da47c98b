package path

import (
	"fmt"
	"math"
)

// Stop is a place where the pour may end with a straight edge. When Can is
// false the path leaves wet edges open whenever the line is an edge, and Why
// says so; VolL is then 0.
type Stop struct {
	Name string
	VolL float64
	Can  bool
	Why  string
}

// StopAt lists, for each stop line of the zone in its order, the path volume at
// which everything before the line is covered, nothing beyond it is, and no
// other edge is open.
func (p *Path) StopAt() []Stop {
	out := make([]Stop, len(p.zone.StopLines))
	for i, l := range p.zone.StopLines {
		out[i] = p.stopAt(l.Name, p.lines[i])
	}
	return out
}

func (p *Path) stopAt(name string, pairs []int32) Stop {
	before, after := int32(-1), int32(math.MaxInt32)
	for _, k := range pairs {
		g := int(k / 2)
		h := g + 1
		if k%2 == 1 {
			h = g + p.nx
		}
		u, v := p.cells[g], p.cells[h]
		if u < 0 || v < 0 {
			continue
		}
		a, b := p.sta[u], p.sta[v]
		before, after = max(before, min(a, b)), min(after, max(a, b))
	}
	if before < 0 {
		return Stop{Name: name, Why: "no row runs up to this line"}
	}
	if before >= after {
		return Stop{Name: name, Why: "the rows run across this line, so both sides of it are under way at once: turn the pull or lay each side by itself"}
	}
	for s := before; s < after; s++ {
		if p.open[s] == 0 {
			return Stop{Name: name, VolL: p.start[s+1], Can: true}
		}
	}
	return Stop{Name: name, Why: "other edges are open whenever the front stands at this line"}
}

// Cut is a straight stop behind the front: a row end or a stop line. LostL is
// what was laid beyond it and must come off, FrontM where it lies along the
// pull, metres from the zone's first edge.
type Cut struct {
	Name   string
	VolL   float64
	LostL  float64
	FrontM float64
}

// CutBack is the nearest straight stop at or behind posL: the last stop line
// that the pour can stop at or the last row end, whichever is nearer; the line
// when both are. With no whole row laid it is the first edge of the zone.
func (p *Path) CutBack(posL float64) Cut {
	posL = p.clampL(posL)
	c := Cut{Name: "first edge"}
	for r := range p.Rows() {
		if end := p.RowEnd(r); end <= posL+1e-9 {
			c.Name, c.VolL = fmt.Sprintf("end of row %d", r+1), end
		}
	}
	for _, s := range p.StopAt() {
		if s.Can && s.VolL <= posL+1e-9 && s.VolL >= c.VolL-1e-9 {
			c.Name, c.VolL = s.Name, s.VolL
		}
	}
	c.LostL = math.Max(0, posL-c.VolL)
	c.FrontM = p.FrontAt(c.VolL)
	return c
}
