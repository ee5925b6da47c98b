// Package look is how the screens look: two palettes of our own (a dark plant,
// bright sun), roles instead of colours, glyphs in Unicode and ASCII, and the
// escape sequences for what the terminal can do.
//
// The terminal is never asked: the profile is given. A state is always shown
// by a word and a glyph, colour comes on top; nothing leans on bold or reverse
// video, which NO_COLOR takes away too.
//
// Contrast of words to ground is at least 7:1 (WCAG 2.2, success criterion
// 1.4.6, level AAA), on 16 colours by the usual values of those colours; the
// tests compute it for every pair in which words are drawn.
package look

import (
	"strconv"
	"strings"

	// Screens import this package, so whoever draws has the terminal's
	// background settled before Bubble Tea starts.
	_ "floorpace/internal/tui/background"
)

// Profile is what the terminal can show.
type Profile uint8

// Profiles, richest first.
const (
	TrueColor Profile = iota // 24-bit
	Colors256                // the 216-colour cube and 24 greys
	Colors16                 // the 16 colours that the terminal's owner chose
	NoColor                  // no escape sequence at all
)

// String names the profile.
func (p Profile) String() string {
	return [...]string{"truecolor", "256 colours", "16 colours", "no colour"}[p&3]
}

// Style is what a cell is drawn with: a packed pair of colour numbers. Get one
// from Plain or Halves; compare with ==.
type Style uint16

// Plain draws a role's ink on its ground.
func Plain(r Role) Style { return Style(uint16(r)*2<<8 | (uint16(r)*2 + 1)) }

// Halves draws two grounds in one cell with an upper-half block: upper as ink,
// lower as ground. It also serves a left-half block: left, right.
func Halves(upper, lower Role) Style {
	return Style((uint16(upper)*2+1)<<8 | (uint16(lower)*2 + 1))
}

func (s Style) ink() int    { return int(s >> 8) }
func (s Style) ground() int { return int(s & 0xff) }

// Look is a palette, a profile and a glyph set, made ready. It never changes
// and may be shared. Switch palettes by swapping the *Look.
type Look struct {
	Palette Palette
	Profile Profile
	Glyphs  GlyphSet

	ink, ground [2 * RoleCount]string // SGR parameters by colour number, as ink and as ground
	same        [2 * RoleCount]uint8  // first colour number with the same colour
}

// New makes a look ready.
func New(p Palette, profile Profile, glyphs GlyphSet) *Look {
	l := &Look{Palette: p, Profile: profile, Glyphs: glyphs & 1}
	for n := range l.ink {
		l.ink[n], l.ground[n] = l.params(n)
		l.same[n] = uint8(n)
		for m := range n {
			if l.ink[m] == l.ink[n] {
				l.same[n] = uint8(m)
				break
			}
		}
	}
	return l
}

// params gives the SGR parameters of colour number n (twice the role for its
// ink, plus one for its ground).
func (l *Look) params(n int) (ink, ground string) {
	pr := l.Palette.Pairs[n/2]
	c, c16 := pr.Ink, pr.Ink16
	if n%2 == 1 {
		c, c16 = pr.Ground, pr.Ground16
	}
	switch l.Profile {
	case TrueColor:
		v := strconv.Itoa(int(c.R)) + ";" + strconv.Itoa(int(c.G)) + ";" + strconv.Itoa(int(c.B))
		return "38;2;" + v, "48;2;" + v
	case Colors256:
		v := strconv.Itoa(int(Nearest256(c)))
		return "38;5;" + v, "48;5;" + v
	case Colors16:
		if c16 < 8 {
			return strconv.Itoa(30 + int(c16)), strconv.Itoa(40 + int(c16))
		}
		return strconv.Itoa(82 + int(c16)), strconv.Itoa(92 + int(c16))
	}
	return "", ""
}

// Glyph gives the character of a sign.
func (l *Look) Glyph(g Glyph) string { return glyphs[l.Glyphs][g] }

// Colour tells whether fills can be seen.
func (l *Look) Colour() bool { return l.Profile != NoColor }

// HalfBlocks tells whether a cell can show two fills, one above the other.
func (l *Look) HalfBlocks() bool { return l.Profile != NoColor && l.Glyphs == Unicode }

// Fill gives the character that fills a cell in a role: a blank where colour
// does it, a texture where there is none.
func (l *Look) Fill(r Role) string {
	if l.Profile == NoColor {
		if t := textures[l.Glyphs][r]; t != "" {
			return t
		}
	}
	return " "
}

// Texture gives the character that stands for a role without colour; "" when
// the role has none.
func (l *Look) Texture(r Role) string { return textures[l.Glyphs][r] }

// Pen writes styled text with as few escape sequences as possible. The zero
// value, with Look set, starts in the terminal's own colours.
type Pen struct {
	Look        *Look
	ink, ground int // 1 + colour number in force; 0 is the terminal's own
}

// Set appends to b what it takes to go over to s. For a blank cell the ink
// does not matter and is left alone.
func (p *Pen) Set(b *strings.Builder, s Style, blank bool) {
	l := p.Look
	if l.Profile == NoColor {
		return
	}
	ink, ground := 1+int(l.same[s.ink()]), 1+int(l.same[s.ground()])
	newInk, newGround := !blank && ink != p.ink, ground != p.ground
	if !newInk && !newGround {
		return
	}
	b.WriteString("\x1b[")
	if newInk {
		b.WriteString(l.ink[s.ink()])
		p.ink = ink
	}
	if newGround {
		if newInk {
			b.WriteByte(';')
		}
		b.WriteString(l.ground[s.ground()])
		p.ground = ground
	}
	b.WriteByte('m')
}

// Reset appends what it takes to go back to the terminal's own colours.
func (p *Pen) Reset(b *strings.Builder) {
	if p.ink != 0 || p.ground != 0 {
		b.WriteString("\x1b[m")
		p.ink, p.ground = 0, 0
	}
}
