package entry

import (
	"fmt"

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

	page            int
	per, cols, rows int
	w               int
	note            string
}

// most is how many things the digits 1 to 9 can choose from.
const most = 9

// gap between two columns of a list.
const gap = 2

// Layout settles pages and columns for w cells and at most h rows, the title
// row among them. It gives the rows that Draw takes.
func (l *List) Layout(w, h int) int {
	first := l.page * max(l.per, 1)
	body := max(h-1, 1)
	wide := 1
	for _, it := range l.Items {
		n := frame.Width(it.Label) + 3
		if it.Note != "" {
			n += frame.Width(it.Note) + 2
		}
		wide = max(wide, n)
	}
	l.w = w
	l.cols = min(max((w-1+gap)/(wide+gap), 1), most)
	l.per = min(most, l.cols*body, max(len(l.Items), 1))
	l.cols = min(l.cols, l.per)
	l.rows = (l.per + l.cols - 1) / l.cols
	l.page = first / l.per
	if l.page >= l.pages() {
		l.page = 0
	}
	return min(l.rows+1, max(h, 1))
}

func (l *List) pages() int { return max((len(l.Items)+l.per-1)/max(l.per, 1), 1) }

// Key takes a key by its name. chosen is the item, from 0, when ok; left tells
// that the list was left.
func (l *List) Key(name string) (chosen int, ok, left bool) {
	if l.per == 0 {
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
		i := int(name[0] - '1')
		if n := l.page*l.per + i; i < l.per && n < len(l.Items) {
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
	if l.per == 0 || l.w != p.W() {
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
	for i := range l.per {
		n := l.page*l.per + i
		if n >= len(l.Items) {
			break
		}
		c := cols[i/l.rows]
		it := l.Items[n]
		x := c.Print(0, i%l.rows, look.Accent, fmt.Sprintf("%d ", i+1))
		x = c.PrintFit(x, i%l.rows, c.W()-x, look.Text, it.Label)
		if it.Note != "" && x+3 < c.W() {
			c.PrintFit(x+2, i%l.rows, c.W()-x-2, look.Dim, it.Note)
		}
	}
}
