package gauge

import (
	"math"

	"floorpace/internal/tui/frame"
	"floorpace/internal/tui/look"
)

// Life is what is left of a bucket's or an edge's life.
type Life struct {
	Left float64   // 1 new, 0 spent; below 0 counts as spent; NaN: not known
	Role look.Role // PlateGood, PlateWarn or PlateBad: the bar's colour
}

// Draw draws the bar across the first row of the pane. A spent bar is all
// track, an unknown one shows "?".
func (v Life) Draw(p frame.Pane) {
	if p.Empty() {
		return
	}
	p = p.Row(0)
	l, w := p.Look(), p.W()
	if math.IsNaN(v.Left) {
		p.Fill(look.Track)
		p.Print(w/2, 0, look.Dim, "?")
		return
	}
	halves := int(math.Ceil(min(max(v.Left, 0), 1)*float64(2*w) - 1e-9)) // a sliver left still shows
	for x := range w {
		switch {
		case 2*x+2 <= halves:
			p.Set(x, 0, l.Fill(v.Role), look.Plain(v.Role))
		case 2*x+1 == halves && l.HalfBlocks():
			p.Set(x, 0, "▌", look.Halves(v.Role, look.Track))
		case 2*x+1 == halves:
			p.Set(x, 0, l.Fill(v.Role), look.Plain(v.Role))
		default:
			p.Set(x, 0, l.Fill(look.Track), look.Plain(look.Track))
		}
	}
}
