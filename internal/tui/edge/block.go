package edge

import (
	"slices"

	"floorpace/internal/tui/frame"
)

// block is a piece of the screen that can stand anywhere.
type block struct {
	// Rows, title included. Only what is drawn smaller (a chart) or is listed whole
	// by a key of its own (ways out, stops) has a least below what it wants: of the
	// rest nothing may be out of reach.
	least, want int
	draw        func(frame.Pane)
	later       bool // stands in the second of two columns, so that nothing jumps when the first grows
}

// lines makes a block of a title and so many lines.
func lines(n int, draw func(frame.Pane)) block { return block{least: n + 1, want: n + 1, draw: draw} }

// first gives the first of several wordings that fits into w cells, else the last.
func first(w int, wordings ...string) string {
	for _, s := range wordings {
		if frame.Width(s) <= w {
			return s
		}
	}
	return wordings[len(wordings)-1]
}

// columns fills panes from left to right with blocks in their order, one empty
// row apart, and gives what draws them and the blocks left over. Blocks keep to
// their column while everything finds room that way. If all fit with what they
// want they get it; else each gets its least, and a pane's spare rows go to
// those that want more.
func columns(bs []block, panes ...frame.Pane) (draw func(), rest []block) {
	want, least := func(b block) int { return b.want }, func(b block) int { return b.least }
	var out []placed
	two := len(panes) == 2 && slices.ContainsFunc(bs, func(b block) bool { return !b.later })
	for _, try := range []struct {
		rows func(block) int
		keep bool
	}{{want, true}, {least, true}, {want, false}, {least, false}} {
		if out, rest = fill(bs, panes, try.rows, try.keep && two); len(rest) == 0 {
			break
		}
	}
	return func() {
		for _, q := range out {
			q.b.draw(q.p)
		}
	}, rest
}

type placed struct {
	p frame.Pane
	b block
}

func fill(bs []block, panes []frame.Pane, rows func(block) int, keep bool) (out []placed, rest []block) {
	for i, p := range panes {
		n, used := 0, 0
		for n < len(bs) && used+rows(bs[n]) <= p.H() && !(keep && i == 0 && bs[n].later) {
			used += rows(bs[n]) + 1
			n++
		}
		spare := p.H() - (used - 1)
		y := 0
		for _, b := range bs[:n] {
			h := rows(b)
			if more := min(b.want-h, spare); more > 0 {
				h, spare = h+more, spare-more
			}
			out = append(out, placed{p.Sub(frame.Rect{X: 0, Y: y, W: p.W(), H: h}), b})
			y += h + 1
		}
		bs = bs[n:]
	}
	return out, bs
}

// blocks lists what stands beside the floor, the most important first.
func (c *card) blocks() []block {
	bs := []block{c.troubleBlock(), c.waysBlock(), c.kitsBlock(), c.finishBlock(), c.stopsBlock(), c.rowsBlock()}
	first := len(bs)
	bs = append(bs, c.dayBlock(), c.zonesBlock(), c.airBlock(), c.openingBlock(), c.trendBlock(margin), c.trendBlock(slab), c.trendBlock(interval))
	if c.Floor == nil { // everything is down: what counts now is when it may be used, and the air it cures in
		bs = []block{
			c.troubleBlock(), c.openingBlock(), c.airBlock(), c.zonesBlock(), c.stopsBlock(), c.rowsBlock(), c.dayBlock(),
			c.trendBlock(margin), c.trendBlock(slab), c.trendBlock(interval),
		}
		first = len(bs)
	}
	for i := range bs {
		bs[i].later = i >= first
	}
	return slices.DeleteFunc(bs, func(b block) bool { return b.draw == nil })
}
