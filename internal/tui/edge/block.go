package edge

import (
	"floorpace/internal/tui/frame"
)

// block is a piece of the screen that can stand anywhere.
type block struct {
	least, want int // rows, title included
	draw        func(frame.Pane)
}

// lines makes a block of a title and so many lines.
func lines(n int, draw func(frame.Pane)) block { return block{n + 1, n + 1, draw} }

// columns fills panes from left to right with blocks in their order, one empty
// row apart, and gives what draws them and the blocks left over. If all fit
// with what they want they get it; else each gets its least, and a pane's
// spare rows go to those that want more.
func columns(bs []block, panes ...frame.Pane) (draw func(), rest []block) {
	out, rest := fill(bs, panes, func(b block) int { return b.want })
	if len(rest) > 0 {
		out, rest = fill(bs, panes, func(b block) int { return b.least })
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

func fill(bs []block, panes []frame.Pane, rows func(block) int) (out []placed, rest []block) {
	for _, p := range panes {
		n, used := 0, 0
		for n < len(bs) && used+rows(bs[n]) <= p.H() {
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
	var out []block
	bs := []block{
		c.troubleBlock(), c.waysBlock(), c.kitsBlock(), c.finishBlock(), c.stopsBlock(), c.rowsBlock(), c.dayBlock(), c.zonesBlock(),
		c.airBlock(), c.openingBlock(), c.trendBlock(margin), c.trendBlock(slab), c.trendBlock(interval),
	}
	if c.Floor == nil { // everything is down: what counts now is when it may be used
		bs = append([]block{c.troubleBlock(), c.openingBlock()}, append(bs[1:8:8], bs[9:]...)...)
	}
	for _, b := range bs {
		if b.draw != nil {
			out = append(out, b)
		}
	}
	return out
}
