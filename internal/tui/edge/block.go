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
// row apart, and gives what draws them and the blocks left over. A pane's
// spare rows go to the blocks that want more than their least.
func columns(bs []block, panes ...frame.Pane) (draw func(), rest []block) {
	type placed struct {
		p frame.Pane
		b block
	}
	var out []placed
	for _, p := range panes {
		n, used := 0, 0
		for n < len(bs) && used+bs[n].least <= p.H() {
			used += bs[n].least + 1
			n++
		}
		spare := p.H() - (used - 1)
		y := 0
		for _, b := range bs[:n] {
			h := b.least
			if more := min(b.want-b.least, spare); more > 0 {
				h, spare = h+more, spare-more
			}
			out = append(out, placed{p.Sub(frame.Rect{X: 0, Y: y, W: p.W(), H: h}), b})
			y += h + 1
		}
		bs = bs[n:]
	}
	return func() {
		for _, q := range out {
			q.b.draw(q.p)
		}
	}, bs
}

// blocks lists what stands beside the floor, the most important first.
func (c *card) blocks() []block {
	var out []block
	for _, b := range []block{
		c.waysBlock(), c.kitsBlock(), c.finishBlock(), c.stopsBlock(), c.rowsBlock(), c.zonesBlock(),
		c.airBlock(), c.openingBlock(), c.trendBlock(margin), c.trendBlock(slab), c.trendBlock(interval),
	} {
		if b.draw != nil {
			out = append(out, b)
		}
	}
	return out
}
