package floormap

import (
	"math"
	"slices"
	"strconv"

	"floorpace/internal/tui/frame"
	"floorpace/internal/tui/look"
)

// fenceSign fills fenced floor: slanting strokes, as on a barrier.
const fenceSign = "/"

// edgeSign gives the sign of an edge state, or of a fence; ok is false for
// other roles.
func edgeSign(l *look.Look, r look.Role) (string, bool) {
	switch r {
	case look.Joinable:
		return l.Glyph(look.GlyphJoinable), true
	case look.AtRisk:
		return l.Glyph(look.GlyphAtRisk), true
	case look.Gone:
		return l.Glyph(look.GlyphGone), true
	case fenced:
		return fenceSign, true
	}
	return "", false
}

func (v *View) drawHalves(p frame.Pane, t placing) {
	l := p.Look()
	for y := range t.ph / 2 {
		for x := range t.pw {
			up, down := v.pix[2*y*t.pw+x], v.pix[(2*y+1)*t.pw+x]
			worse := up
			if rank(down) > rank(up) {
				worse = down
			}
			sx, sy := x+t.offX, y+t.offY
			sign, edge := edgeSign(l, worse)
			switch {
			case edge:
				p.Set(sx, sy, sign, look.Plain(worse))
			case up == down && up == outside:
			case up == down && (up == look.Bare || up == look.BareBay) && (sx+2*sy)%4 == 0:
				// A ground that laid rows stand out from is close to that of the
				// screen: sparse dots show how far the floor goes.
				p.Set(sx, sy, l.Texture(look.Bare), look.Plain(up))
			case up == down:
				p.Set(sx, sy, " ", look.Plain(up))
			default:
				p.Set(sx, sy, "▀", look.Halves(up, down))
			}
		}
	}
}

func (v *View) drawSigns(p frame.Pane, t placing) {
	l := p.Look()
	for y := range t.ph {
		for x := range t.pw {
			r := v.pix[y*t.pw+x]
			if r == outside {
				continue
			}
			sign, edge := edgeSign(l, r)
			if !edge {
				sign = l.Fill(r)
			}
			p.Set(x+t.offX, y+t.offY, sign, look.Plain(r))
		}
	}
}

// dotBits are the bits of the eight dots of a braille cell, two columns of
// four, top to bottom (Unicode block 2800: dots 1 2 3 7 and 4 5 6 8).
var dotBits = [4][2]rune{{1, 8}, {2, 16}, {4, 32}, {64, 128}}

// lit tells whether a dot shows: laid rows are full and chequered in turn,
// bare floor is a sparse field.
func lit(r look.Role, i, j int) bool {
	switch r {
	case look.RowA, look.Column:
		return true
	case look.RowB:
		return (i+j)%2 == 0
	case look.Bare, look.BareBay:
		return i%2 == 0 && j%4 == 1
	}
	return false
}

func (v *View) drawBraille(p frame.Pane, t placing) {
	l := p.Look()
	for y := range t.ph / 4 {
		for x := range t.pw / 2 {
			dots, ink, worst := rune(0), outside, outside
			for dj := range 4 {
				for di := range 2 {
					i, j := 2*x+di, 4*y+dj
					r := v.pix[j*t.pw+i]
					if lit(r, i, j) {
						dots |= dotBits[dj][di]
					}
					if rank(r) > rank(worst) {
						worst = r
					}
					if ink == outside || ink == look.Bare || ink == look.BareBay {
						ink = r
					}
				}
			}
			sx, sy := x+t.offX, y+t.offY
			if sign, edge := edgeSign(l, worst); edge {
				p.Set(sx, sy, sign, look.Plain(worst))
				continue
			}
			style := look.Halves(ink, outside)
			if ink == look.Bare || ink == look.BareBay || ink == outside {
				style = look.Plain(look.Dim) // their fills are too faint for dots
			}
			if dots != 0 {
				p.Set(sx, sy, string(0x2800+dots), style)
			}
		}
	}
}

// drawStops draws stop lines over everything but the wet edge.
func drawStops(p frame.Pane, m *Map, t placing) {
	if t.perCell == 0 {
		return
	}
	for _, line := range m.Stops {
		u0, v0 := t.screen(line.A)
		u1, v1 := t.screen(line.B)
		sign := stopSign(line, t)
		n := int(min(math.Hypot(u1-u0, v1-v0)/t.perCell*2, 2000)) + 1 // two looks a cell
		for k := range n + 1 {
			f := float64(k) / float64(n)
			x, y := t.cell(Point{line.A.X + f*(line.B.X-line.A.X), line.A.Y + f*(line.B.Y-line.A.Y)})
			// A line along the far border falls just outside the last cell.
			x, y = min(x, t.offX+t.pw/t.nx-1), min(y, t.offY+t.ph/t.ny-1)
			if x < t.offX || y < t.offY || isEdge(p, x, y) {
				continue
			}
			p.Set(x, y, p.Glyph(sign), look.Plain(look.StopLine))
		}
	}
}

// drawAhead draws the line of detail work as a thin dashed one: every other
// cell, so that it is never taken for a wall, a row or a stop line.
func drawAhead(p frame.Pane, m *Map, t placing) {
	if t.perCell == 0 {
		return
	}
	for _, line := range m.Ahead {
		sign, down := aheadSign(line, t)
		u0, v0 := t.screen(line.A)
		u1, v1 := t.screen(line.B)
		n := int(min(math.Hypot(u1-u0, v1-v0)/t.perCell*2, 2000)) + 1
		for k := range n + 1 {
			f := float64(k) / float64(n)
			x, y := t.cell(Point{line.A.X + f*(line.B.X-line.A.X), line.A.Y + f*(line.B.Y-line.A.Y)})
			x, y = min(x, t.offX+t.pw/t.nx-1), min(y, t.offY+t.ph/t.ny-1)
			if x < t.offX || y < t.offY || isEdge(p, x, y) || !down && x%2 == 0 || down && y%2 == 0 {
				continue
			}
			p.Set(x, y, p.Glyph(sign), look.Plain(look.Text))
		}
	}
}

func aheadSign(line Line, t placing) (g look.Glyph, down bool) {
	if stopSign(line, t) == look.GlyphStopDown {
		return look.GlyphRuleDown, true
	}
	return look.GlyphRule, false
}

// stopSign is the piece that a stop line is drawn with.
func stopSign(line Line, t placing) look.Glyph {
	u0, v0 := t.screen(line.A)
	u1, v1 := t.screen(line.B)
	if math.Abs(v1-v0) > math.Abs(u1-u0) {
		return look.GlyphStopDown
	}
	return look.GlyphStopAcross
}

func isEdge(p frame.Pane, x, y int) bool {
	s := p.StyleAt(x, y)
	return s == look.Plain(look.Joinable) || s == look.Plain(look.AtRisk) || s == look.Plain(look.Gone)
}

var kinds = [...]struct {
	glyph look.Glyph
	role  look.Role
	words string
}{
	Drain:   {look.GlyphDrain, look.Drain, "drain"},
	Door:    {look.GlyphDoor, look.Door, "door"},
	Station: {look.GlyphStation, look.Station, "mix"},
	Slack:   {look.GlyphSlack, look.Slack, "least slack"},
	Next:    {look.GlyphNext, look.Next, "next"},
}

func (v *View) drawMarks(p frame.Pane, m *Map, t placing) {
	if t.perCell == 0 {
		return
	}
	marks := slices.Clone(m.Marks)
	slices.SortStableFunc(marks, func(a, b Mark) int { return int(a.Kind) - int(b.Kind) })
	for _, k := range marks { // words first: no word may hide a sign
		x, y := v.place(p, k, t)
		n := frame.Width(k.Words)
		switch {
		case n == 0:
		case k.Kind == Label:
			p.Print(min(max(x-n/2, 0), max(p.W()-n, 0)), y, look.Text, k.Words)
		case x+2+n <= p.W():
			p.Print(x+1, y, look.Text, " "+k.Words)
		case x-1-n >= 0:
			p.Print(x-1-n, y, look.Text, k.Words+" ")
		}
	}
	for _, k := range marks {
		if k.Kind == Label || int(k.Kind) >= len(kinds) {
			continue
		}
		x, y := v.place(p, k, t)
		p.Set(x, y, p.Glyph(kinds[k.Kind].glyph), look.Plain(kinds[k.Kind].role))
	}
}

// place gives the cell of a sign. One that belongs on the floor and falls just
// beside it, as the corner does where a zone begins, goes to the floor's nearest
// cell.
func (v *View) place(p frame.Pane, k Mark, t placing) (x, y int) {
	x, y = t.onPane(p, k.At)
	if k.Kind != Next && k.Kind != Slack {
		return x, y
	}
	for _, d := range [][2]int{{0, 0}, {-1, 0}, {1, 0}, {0, -1}, {0, 1}, {-1, -1}, {1, -1}, {-1, 1}, {1, 1}} {
		if v.isFloor(x+d[0]-t.offX, y+d[1]-t.offY, t) {
			return x + d[0], y + d[1]
		}
	}
	return x, y
}

// isFloor tells whether a cell of the picture shows any floor.
func (v *View) isFloor(x, y int, t placing) bool {
	if x < 0 || y < 0 || (x+1)*t.nx > t.pw || (y+1)*t.ny > t.ph {
		return false
	}
	for j := y * t.ny; j < (y+1)*t.ny; j++ {
		for i := x * t.nx; i < (x+1)*t.nx; i++ {
			if v.pix[j*t.pw+i] != outside {
				return true
			}
		}
	}
	return false
}

// onPane gives the cell of a place, moved to the rim of the pane if it lies
// outside: a mix station often does.
func (t placing) onPane(p frame.Pane, at Point) (x, y int) {
	x, y = t.cell(at)
	return min(max(x, 0), p.W()-1), min(max(y, 0), p.H()-1)
}

// drawFoot draws scale bar and directions, and gives the column behind them.
func drawFoot(p frame.Pane, m *Map, t placing) (x int) {
	if m.UnitMetres > 0 && t.perCell > 0 {
		units := niceBelow(float64(p.W()) / 4 * t.perCell / m.UnitMetres)
		if n := int(math.Round(units * m.UnitMetres / t.perCell)); n >= 2 && n < p.W() {
			p.Set(0, 0, p.Glyph(look.GlyphEndLeft), look.Plain(look.Text))
			for i := 1; i < n-1; i++ {
				p.Set(i, 0, p.Glyph(look.GlyphRule), look.Plain(look.Text))
			}
			p.Set(n-1, 0, p.Glyph(look.GlyphEndRight), look.Plain(look.Text))
			x = p.Print(n+1, 0, look.Text, strconv.FormatFloat(units, 'g', -1, 64)+" "+m.Unit) + 3
		}
	}
	for _, d := range []struct {
		word string
		dir  Point
	}{{"pull", m.Pull}, {"north", m.North}} {
		if d.dir == (Point{}) || x+len(d.word)+2 > p.W() {
			continue
		}
		x = p.Print(x, 0, look.Dim, d.word+" ")
		x = p.Print(x, 0, look.Text, arrow(p, t, d.dir)) + 3
	}
	return x
}

// arrows by eighths of a turn, from right, going down the screen.
var arrows = [8]look.Glyph{
	look.GlyphRight, look.GlyphDownRight, look.GlyphDown, look.GlyphDownLeft,
	look.GlyphLeft, look.GlyphUpLeft, look.GlyphUp, look.GlyphUpRight,
}

func arrow(p frame.Pane, t placing, dir Point) string {
	u, v := t.direction(dir)
	k := int(math.Round(math.Atan2(v, u)/(math.Pi/4)) + 8)
	return p.Glyph(arrows[k%8])
}

// niceBelow gives the largest of 1, 2, 5 times a power of ten not above v.
func niceBelow(v float64) float64 {
	if !(v > 0) {
		return 0
	}
	base := math.Pow(10, math.Floor(math.Log10(v)))
	for _, f := range []float64{5, 2} {
		if f*base <= v {
			return f * base
		}
	}
	return base
}

// drawLegend draws the key: the edge states always, other signs if they are
// on the map. What finds no room goes on in the foot, from a column on.
func drawLegend(p, foot frame.Pane, from int, m *Map, t placing) {
	x := 0
	entry := func(sign string, r look.Role, words string) {
		if p != foot && x+2+len(words) > p.W() {
			p, x = foot, from
		}
		if x+2+len(words) > p.W() {
			return
		}
		p.Set(x, 0, sign, look.Plain(r))
		x = p.Print(x+1, 0, look.Dim, " "+words) + 2
	}
	l := p.Look()
	for _, s := range []struct {
		r     look.Role
		words string
	}{{look.Joinable, "joinable"}, {look.AtRisk, "at risk"}, {look.Gone, "gone"}} {
		sign, _ := edgeSign(l, s.r)
		entry(sign, s.r, s.words)
	}
	if slices.ContainsFunc(m.Cells, func(c Cell) bool { return c.Fenced }) {
		entry(fenceSign, fenced, "fenced")
	}
	for k := Next; k > Label; k-- {
		if slices.ContainsFunc(m.Marks, func(mk Mark) bool { return mk.Kind == k }) {
			entry(l.Glyph(kinds[k].glyph), kinds[k].role, kinds[k].words)
		}
	}
	if len(m.Ahead) > 0 {
		sign, _ := aheadSign(m.Ahead[0], t)
		entry(l.Glyph(sign), look.Text, "detail work to here")
	}
	if len(m.Stops) > 0 {
		entry(l.Glyph(stopSign(m.Stops[0], t)), look.StopLine, "stop line")
	}
}
