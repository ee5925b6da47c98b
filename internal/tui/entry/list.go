package entry

import (
	"fmt"
	"strings"

	"floorpace/internal/tui/frame"
	"floorpace/internal/tui/look"
)

// Item is one thing to choose.
type Item struct {
	Label string
	Note  string // figures behind it
}

// List is a choice by one digit. More than nine go on pages, 0 turns them.
type List struct {
	Title string
	Items []Item

	page   int
	starts []int // first item of every page
	cols   int
	rows   int // of the body
	w      int
	note   string
}

// most is how many things the digits 1 to 9 can choose from.
const most = 9

// gap between two columns of a list.
const gap = 2

// Layout settles pages and columns for w cells and at most h rows, the title
// row among them. Where one column is all there is room for, an item whose
// note does not fit beside its label takes two rows. It gives the rows that
// Draw takes.
func (l *List) Layout(w, h int) int {
	first := 0
	if l.page < len(l.starts) {
		first = l.starts[l.page]
	}
	body := max(h-1, 1)
	wide := 1
	for i := range l.Items {
		wide = max(wide, l.width(i))
	}
	l.w = w
	l.cols = min(max((w-1+gap)/(wide+gap), 1), most)
	l.starts, l.rows = nil, 0
	if l.cols > 1 {
		per := min(most, l.cols*body, len(l.Items))
		l.cols = min(l.cols, per)
		l.rows = (per + l.cols - 1) / l.cols
		for i := 0; i < len(l.Items); i += per {
			l.starts = append(l.starts, i)
		}
	} else {
		used := body + 1
		for i := range l.Items {
			n := min(l.high(i), body)
			if used+n > body || i-l.starts[len(l.starts)-1] == most {
				l.starts, used = append(l.starts, i), 0
			}
			used += n
			l.rows = max(l.rows, used)
		}
	}
	if len(l.starts) == 0 {
		l.starts = []int{0}
	}
	l.page = 0
	for k, at := range l.starts {
		if at <= first {
			l.page = k
		}
	}
	return min(max(l.rows, 1)+1, max(h, 1))
}

// width is the cells of an item on one row.
func (l *List) width(i int) int {
	it := &l.Items[i]
	n := frame.Width(it.Label) + 3
	if it.Note != "" {
		n += frame.Width(it.Note) + 2
	}
	return n
}

// high is the rows that an item asks for in a single column.
func (l *List) high(i int) int {
	if l.Items[i].Note != "" && l.width(i) > l.w-1 {
		return 2
	}
	return 1
}

func (l *List) pages() int { return max(len(l.starts), 1) }

// shown is the items of the page: from and to.
func (l *List) shown() (from, to int) {
	from, to = l.starts[l.page], len(l.Items)
	if l.page+1 < len(l.starts) {
		to = l.starts[l.page+1]
	}
	return from, to
}

// Key takes a key by its name. chosen is the item, from 0, when ok; left tells
// that the list was left.
func (l *List) Key(name string) (chosen int, ok, left bool) {
	if len(l.starts) == 0 {
		l.Layout(80, 10)
	}
	l.note = ""
	switch {
	case name == "esc":
		return 0, false, true
	case name == "0" || name == "space":
		l.page = (l.page + 1) % l.pages()
		return 0, false, false
	case len(name) == 1 && name[0] >= '1' && name[0] <= '9':
		from, to := l.shown()
		if n := from + int(name[0]-'1'); n < to {
			return n, true, false
		}
		l.note = "no " + name + " here"
		return 0, false, false
	}
	l.note = "a digit chooses, Esc leaves"
	return 0, false, false
}

// Say shows words until the next key.
func (l *List) Say(words string) { l.note = words }

// Draw draws title and items as settled by Layout.
func (l *List) Draw(p frame.Pane) {
	if p.Empty() {
		return
	}
	if len(l.starts) == 0 || l.w != p.W() {
		l.Layout(p.W(), p.H())
	}
	head, body := p.Top(1)
	head.Plate(look.PlateText)
	right := "digit chooses " + p.Glyph(look.GlyphDot) + " Esc leaves"
	if l.pages() > 1 {
		right = fmt.Sprintf("page %d of %d, 0 turns", l.page+1, l.pages()) + " " + p.Glyph(look.GlyphDot) + " Esc leaves"
	}
	if l.note != "" {
		right = p.Glyph(look.GlyphWarn) + " " + l.note
	}
	x := head.PrintFit(1, 0, p.W()-2, look.PlateText, l.Title)
	if x+frame.Width(right)+3 <= p.W() {
		head.PrintRight(p.W()-1, 0, look.PlateText, right)
	}
	weights := make([]int, l.cols)
	for i := range weights {
		weights[i] = 1
	}
	cols := body.Inset(1, 0).Columns(gap, weights...)
	from, to := l.shown()
	y := 0
	for i := from; i < to; i++ {
		digit := fmt.Sprintf("%d ", i-from+1)
		if l.cols > 1 {
			l.item(cols[(i-from)/l.rows].Row((i-from)%l.rows), i, digit)
			continue
		}
		n := min(l.high(i), max(body.H(), 1))
		l.item(cols[0].Sub(frame.Rect{X: 0, Y: y, W: cols[0].W(), H: n}), i, digit)
		y += n
	}
}

// item draws one item; a note that finds no room beside its label goes on in
// the second row, where there is one.
func (l *List) item(p frame.Pane, i int, digit string) {
	it := &l.Items[i]
	x := p.Print(0, 0, look.Accent, digit)
	indent := x
	x = p.PrintFit(x, 0, p.W()-x, look.Text, it.Label)
	note := it.Note
	if p.H() > 1 {
		var first string
		first, note = breakAt(note, p.W()-x-2)
		p.Print(x+2, 0, look.Dim, first)
		p.PrintFit(indent, 1, p.W()-indent, look.Dim, note)
		return
	}
	if note != "" && x+3 < p.W() {
		p.PrintFit(x+2, 0, p.W()-x-2, look.Dim, note)
	}
}

// breakAt splits a text at the last blank within w cells.
func breakAt(text string, w int) (first, rest string) {
	at := 0
	for i, r := range text {
		if r == ' ' && frame.Width(text[:i]) <= w {
			at = i
		}
	}
	return text[:at], strings.TrimSpace(text[at:])
}
