package frame

import "floorpace/internal/tui/look"

// Cached keeps a drawn block until what it shows changes. The zero value is
// ready. Key holds everything that the drawing depends on besides size and
// look, usually a version number or a small struct of them.
type Cached[Key comparable] struct {
	canvas *Canvas
	key    Key
	look   *look.Look
}

// Draw draws the block on p: anew by draw if key, size or look changed since
// the last time, else from the kept cells.
func (k *Cached[Key]) Draw(p Pane, key Key, draw func(Pane)) {
	if p.Empty() {
		return
	}
	l := p.Look()
	if k.canvas == nil || k.key != key || k.look != l || k.canvas.w != p.W() || k.canvas.h != p.H() {
		if k.canvas == nil {
			k.canvas = &Canvas{}
		}
		k.canvas.Reset(l, p.W(), p.H())
		draw(k.canvas.Pane())
		k.key, k.look = key, l
	}
	p.Blit(0, 0, k.canvas)
}
