package look

// Nearest256 gives the number (16–255) of the colour of the 6×6×6 cube or the
// grey ramp that lies nearest to c by squared distance in sRGB with weights
// 2, 4, 3 for red, green and blue (a rough stand-in for how the eye weighs the
// channels; nearness only has to be good enough for the contrast test).
//
// Cube levels 0, 95, 135, 175, 215, 255 and greys 8 + 10·k are xterm's own
// (from memory; every terminal in use follows them).
func Nearest256(c RGB) uint8 {
	best, bestDist := uint8(16), 1<<62
	for n := 16; n < 256; n++ {
		if d := distance(c, XTerm(uint8(n))); d < bestDist {
			best, bestDist = uint8(n), d
		}
	}
	return best
}

func distance(a, b RGB) int {
	dr, dg, db := int(a.R)-int(b.R), int(a.G)-int(b.G), int(a.B)-int(b.B)
	return 2*dr*dr + 4*dg*dg + 3*db*db
}

// xterm16 are xterm's default values of the 16 colours (from memory). A
// terminal's owner may have set others.
var xterm16 = [16]uint32{
	0x000000, 0xcd0000, 0x00cd00, 0xcdcd00, 0x0000ee, 0xcd00cd, 0x00cdcd, 0xe5e5e5,
	0x7f7f7f, 0xff0000, 0x00ff00, 0xffff00, 0x5c5cff, 0xff00ff, 0x00ffff, 0xffffff,
}

var cube = [6]uint8{0, 95, 135, 175, 215, 255}

// XTerm gives the usual value of one of the 256 colours.
func XTerm(n uint8) RGB {
	switch {
	case n < 16:
		return hex(xterm16[n])
	case n < 232:
		k := n - 16
		return RGB{cube[k/36], cube[k/6%6], cube[k%6]}
	}
	g := 8 + 10*(n-232)
	return RGB{g, g, g}
}

// Shown gives the colours that a role's pair has under the look's profile:
// the values on a screen as far as they can be known. ok is false with no
// colour.
func (l *Look) Shown(r Role) (ink, ground RGB, ok bool) {
	p := l.Palette.Pairs[r]
	switch l.Profile {
	case TrueColor:
		return p.Ink, p.Ground, true
	case Colors256:
		return XTerm(Nearest256(p.Ink)), XTerm(Nearest256(p.Ground)), true
	case Colors16:
		return XTerm(p.Ink16), XTerm(p.Ground16), true
	}
	return RGB{}, RGB{}, false
}
