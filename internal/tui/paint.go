package tui

import (
	"bytes"
	"io"
	"os"
	"strconv"
	"strings"
	"sync"
	"time"

	"floorpace/internal/tui/frame"
	"floorpace/internal/tui/look"
)

// painter writes frames to the terminal, only the cells that changed. Bubble
// Tea compares whole lines: a count-down in large digits would cost it 6 KB a
// second at 160×45, a few hundred bytes here. It writes beside the program loop
// and takes the newest frame, so a terminal that is not read holds up neither
// keys nor clock.
//
// What Bubble Tea itself still writes (entering and leaving the screen) goes
// through Write; after that the whole frame is sent again. Nothing is painted
// once the screen was left.
type painter struct {
	out  io.Writer
	wake chan struct{}

	mu     sync.Mutex // of writing
	shown  *frame.Canvas
	closed bool

	box  sync.Mutex // of the mailbox
	next *frame.Canvas
}

func newPainter(out io.Writer) *painter { return &painter{out: out, wake: make(chan struct{}, 1)} }

// show puts a copy of a frame into the mailbox.
func (p *painter) show(c *frame.Canvas) {
	w, h := c.Size()
	kept := frame.New(c.Look(), w, h)
	kept.Pane().Blit(0, 0, c)
	p.box.Lock()
	p.next = kept
	p.box.Unlock()
	p.stir()
}

func (p *painter) stir() {
	select {
	case p.wake <- struct{}{}:
	default:
	}
}

// healEvery is how often the whole frame is sent again: a line of another
// program, or noise on a serial line, does not stay for longer.
const healEvery = time.Minute

// run paints until stop is closed.
func (p *painter) run(stop <-chan struct{}) {
	heal := time.NewTicker(healEvery)
	defer heal.Stop()
	for {
		select {
		case <-stop:
			return
		case <-heal.C:
			p.mu.Lock()
			p.shown = nil
			p.mu.Unlock()
		case <-p.wake:
		}
		p.paint()
	}
}

func (p *painter) paint() {
	p.box.Lock()
	next := p.next
	p.box.Unlock()
	p.mu.Lock()
	defer p.mu.Unlock()
	if next == nil || p.closed {
		return
	}
	if s := changes(p.shown, next); s != "" {
		_, _ = io.WriteString(p.out, s)
	}
	p.shown = next
}

// leaves is how Bubble Tea leaves the alternate screen.
const leaves = "\x1b[?1049l"

// Write passes on what is not a frame and forgets what stood on the screen.
func (p *painter) Write(b []byte) (int, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if bytes.Contains(b, []byte(leaves)) {
		p.closed = true
	}
	p.shown = nil
	p.stir()
	return p.out.Write(b)
}

// ring rings the bell between two frames; a terminal that is not read is not
// waited for.
func (p *painter) ring() {
	if p.mu.TryLock() {
		defer p.mu.Unlock()
		_, _ = p.out.Write([]byte{'\a'})
	}
}

// file is the painter with the handle of a file behind it, where there is one:
// Bubble Tea asks it for the size.
func (p *painter) file() io.Writer {
	if f, ok := p.out.(*os.File); ok {
		return &paintedFile{f, p}
	}
	return p
}

type paintedFile struct {
	*os.File
	p *painter
}

func (f *paintedFile) Write(b []byte) (int, error) { return f.p.Write(b) }

// WriteString would go past the painter by way of the file's own method.
func (f *paintedFile) WriteString(s string) (int, error) { return f.p.Write([]byte(s)) }

// skip is how many unchanged cells are written again rather than jumped over: a
// jump costs seven bytes or so.
const skip = 6

// changes gives what turns one frame into the next; all of it, after a clear,
// when the first is unknown or of another size or look.
func changes(was, now *frame.Canvas) string {
	w, h := now.Size()
	var b strings.Builder
	all := was == nil || was.Look() != now.Look()
	if !all {
		ow, oh := was.Size()
		all = ow != w || oh != h
	}
	if all {
		b.WriteString("\x1b[m\x1b[2J")
	}
	pen := look.Pen{Look: now.Look()}
	for y := range h {
		last := -1 // column after the cell written last in this row; -1 for none
		for x := 0; x < w; {
			text, style := now.At(x, y)
			wide := 1
			if x+1 < w {
				if t, _ := now.At(x+1, y); t == "" {
					wide = 2
				}
			}
			if !all && sameCell(was, now, x, y, wide) {
				x += wide
				continue
			}
			switch {
			case last >= 0 && x-last <= skip && plainBetween(now, last, x, y):
				for k := last; k < x; k++ {
					t, s := now.At(k, y)
					pen.Set(&b, s, t == " ")
					b.WriteString(t)
				}
			case last != x:
				b.WriteString("\x1b[" + strconv.Itoa(y+1) + ";" + strconv.Itoa(x+1) + "H")
			}
			pen.Set(&b, style, text == " ")
			b.WriteString(text)
			x += wide
			last = x
		}
	}
	pen.Reset(&b)
	return b.String()
}

func sameCell(was, now *frame.Canvas, x, y, wide int) bool {
	for k := range wide {
		t, s := was.At(x+k, y)
		if u, v := now.At(x+k, y); t != u || s != v {
			return false
		}
	}
	return true
}

// plainBetween tells whether no wide character lies in a stretch that would be
// written again.
func plainBetween(c *frame.Canvas, from, to, y int) bool {
	for k := from; k < to; k++ {
		if t, _ := c.At(k, y); t == "" {
			return false
		}
	}
	if t, _ := c.At(to, y); t == "" {
		return false
	}
	return true
}
