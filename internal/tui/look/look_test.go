package look

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/charmbracelet/x/ansi"
	colorful "github.com/lucasb-eyer/go-colorful"
)

// luminance is WCAG 2.2's "relative luminance" (definition in the glossary of
// the recommendation; the threshold 0.04045 is the one of the 2.2 text, and
// for 8-bit values gives the same as the older 0.03928).
func luminance(c RGB) float64 {
	lin := func(v uint8) float64 {
		s := float64(v) / 255
		if s <= 0.04045 {
			return s / 12.92
		}
		return math.Pow((s+0.055)/1.055, 2.4)
	}
	return 0.2126*lin(c.R) + 0.7152*lin(c.G) + 0.0722*lin(c.B)
}

// contrast is WCAG 2.2's "contrast ratio".
func contrast(a, b RGB) float64 {
	la, lb := luminance(a), luminance(b)
	return (max(la, lb) + 0.05) / (min(la, lb) + 0.05)
}

func TestContrastFormula(t *testing.T) {
	// Black on white is 21:1 by the recommendation's own definition; #767676 on
	// white is 4.54:1 and #595959 on white 7.00:1, the greys usually quoted as
	// the darkest that pass AA and AAA (from memory).
	for _, c := range []struct {
		a, b uint32
		want float64
	}{{0, 0xffffff, 21}, {0x767676, 0xffffff, 4.54}, {0x595959, 0xffffff, 7.00}} {
		if got := contrast(hex(c.a), hex(c.b)); math.Abs(got-c.want) > 0.005 {
			t.Errorf("contrast of #%06x on #%06x: got %.3f, want %.2f", c.a, c.b, got, c.want)
		}
	}
}

func everyLook(f func(*Look)) {
	for _, p := range []Palette{Dark(), Sun()} {
		for prof := TrueColor; prof <= NoColor; prof++ {
			for set := Unicode; set <= ASCII; set++ {
				f(New(p, prof, set))
			}
		}
	}
}

// Every pair in which words are drawn reaches level AAA.
func TestWordsContrast(t *testing.T) {
	least := map[string]float64{}
	everyLook(func(l *Look) {
		for r := Role(0); r < RoleCount; r++ {
			ink, ground, ok := l.Shown(r)
			if !ok || !r.Words() || l.Glyphs == ASCII {
				continue
			}
			got := contrast(ink, ground)
			key := l.Palette.Name + ", " + l.Profile.String()
			if least[key] == 0 || got < least[key] {
				least[key] = got
			}
			if got < 7 {
				t.Errorf("%s, %s: %s has contrast %.2f, want 7 or more", l.Palette.Name, l.Profile, r, got)
			}
		}
	})
	for k, v := range least {
		t.Logf("least contrast, %s: %.2f", k, v)
	}
}

// A laid row must stand out from bare floor: 3:1 as WCAG 2.2 asks of graphical
// objects (success criterion 1.4.11), with 24-bit and 256 colours.
func TestLaidAgainstBare(t *testing.T) {
	everyLook(func(l *Look) {
		if l.Profile > Colors256 {
			return
		}
		for _, laid := range []Role{RowA, RowB} {
			_, a, _ := l.Shown(laid)
			_, b, _ := l.Shown(Bare)
			if got := contrast(a, b); got < 3 {
				t.Errorf("%s, %s: %s against bare has contrast %.2f, want 3 or more", l.Palette.Name, l.Profile, laid, got)
			}
		}
	})
}

// visions are the ways of seeing that the palettes are tested under. The
// matrices are those of Machado, Oliveira and Fernandes, "A
// physiologically-based model for simulation of color vision deficiency",
// IEEE Transactions on Visualization and Computer Graphics 15(6), 2009,
// severity 1.0 (from memory; applied to linear RGB).
var visions = []struct {
	name string
	m    [9]float64
}{
	{"usual", [9]float64{1, 0, 0, 0, 1, 0, 0, 0, 1}},
	{"protan", [9]float64{0.152286, 1.052583, -0.204868, 0.114503, 0.786281, 0.099216, -0.003882, -0.048116, 1.051998}},
	{"deutan", [9]float64{0.367322, 0.860646, -0.227968, 0.280085, 0.672501, 0.047413, -0.011820, 0.042940, 0.968881}},
	{"tritan", [9]float64{1.255528, -0.076749, -0.178779, -0.078411, 0.930809, 0.147602, 0.004733, 0.691367, 0.303900}},
}

// Each row of such a matrix adds to 1, so that greys stay grey: a guard
// against a slip of memory.
func TestVisionMatrices(t *testing.T) {
	for _, v := range visions {
		for i := 0; i < 9; i += 3 {
			if s := v.m[i] + v.m[i+1] + v.m[i+2]; math.Abs(s-1) > 2e-6 {
				t.Errorf("%s: row %d adds to %f, want 1", v.name, i/3, s)
			}
		}
	}
}

func seen(c RGB, m [9]float64) colorful.Color {
	r, g, b := colorful.Color{R: float64(c.R) / 255, G: float64(c.G) / 255, B: float64(c.B) / 255}.LinearRgb()
	return colorful.LinearRgb(
		m[0]*r+m[1]*g+m[2]*b, m[3]*r+m[4]*g+m[5]*b, m[6]*r+m[7]*g+m[8]*b).Clamped()
}

// farApart gives the larger CIEDE2000 difference of the inks and the grounds,
// in the usual units (1 is about what the eye can just tell).
func farApart(l *Look, a, b Role, m [9]float64) float64 {
	ai, ag, _ := l.Shown(a)
	bi, bg, _ := l.Shown(b)
	return 100 * max(seen(ai, m).DistanceCIEDE2000(seen(bi, m)), seen(ag, m).DistanceCIEDE2000(seen(bg, m)))
}

// States that a crew must tell apart at a glance differ by at least the
// CIEDE2000 difference given, whoever looks. The bars are our own: side by side a
// difference of 5 is plain to see; here the patches are small, far off and (15)
// apart, or carry a glyph as well (10). Neighbouring rows lie side by side and
// need only show their seam (4), bays their tint (5).
func TestStatesApart(t *testing.T) {
	groups := []struct {
		name string
		min  float64
		rs   []Role
	}{
		{"words", 10, []Role{Text, Good, Warn, Bad}},
		{"plates", 15, []Role{PlateGood, PlateWarn, PlateBad}},
		{"edge", 15, []Role{Joinable, AtRisk, Gone}},
		{"floor", 10, []Role{Bare, RowA, Joinable, AtRisk, Gone, Column}},
		{"floor, other rows", 10, []Role{Bare, RowB, Joinable, AtRisk, Gone, Column}},
		{"rows", 4, []Role{RowA, RowB}},
		{"bays", 5, []Role{Bare, BareBay}},
		{"marks", 10, []Role{Station, Next, Slack}},
		{"gauge", 10, []Role{BandSlow, BandHold, BandOver}},
	}
	least := map[string]float64{}
	everyLook(func(l *Look) {
		if l.Profile == NoColor || l.Glyphs == ASCII {
			return
		}
		for _, v := range visions {
			for _, g := range groups {
				if g.name == "bays" && l.Profile == Colors16 {
					continue // 16 colours are too few for a tint: bays are told by their names
				}
				for i, a := range g.rs {
					for _, b := range g.rs[:i] {
						got := farApart(l, a, b, v.m)
						if key := g.name + ", " + l.Profile.String(); least[key] == 0 || got < least[key] {
							least[key] = got
						}
						if got < g.min {
							t.Errorf("%s, %s, %s vision, %s: %s and %s differ by %.1f, want %.0f",
								l.Palette.Name, l.Profile, v.name, g.name, a, b, got, g.min)
						}
					}
				}
			}
		}
	})
	for k, v := range least {
		t.Logf("least difference, %s: %.1f", k, v)
	}
}

// Without colour the glyphs alone tell the states apart.
func TestGlyphsApart(t *testing.T) {
	for set := Unicode; set <= ASCII; set++ {
		l := New(Dark(), NoColor, set)
		byGlyph := map[string]string{}
		for g, name := range map[Glyph]string{
			GlyphJoinable: "joinable", GlyphAtRisk: "at risk", GlyphGone: "gone", GlyphNext: "next",
			GlyphStation: "mix station", GlyphSlack: "least slack", GlyphDoor: "door", GlyphDrain: "drain",
			GlyphColumn: "column", GlyphStopAcross: "stop across", GlyphStopDown: "stop down",
		} {
			if was, twice := byGlyph[l.Glyph(g)]; twice {
				t.Errorf("set %d: %s and %s share %q", set, was, name, l.Glyph(g))
			}
			byGlyph[l.Glyph(g)] = name
		}
		byFill := map[string]Role{}
		for _, r := range []Role{Bare, BareBay, RowA, RowB, Column, Joinable, AtRisk, Gone} {
			if was, twice := byFill[l.Fill(r)]; twice {
				t.Errorf("set %d: %s and %s share the fill %q", set, was, r, l.Fill(r))
			}
			byFill[l.Fill(r)] = r
		}
	}
}

func TestGlyphsAreOneCell(t *testing.T) {
	for set := range glyphs {
		for g, s := range glyphs[set] {
			if ansi.StringWidth(s) != 1 || ansi.StringWidthWc(s) != 1 {
				t.Errorf("set %d glyph %d: %q is not one cell wide", set, g, s)
			}
			if set == int(ASCII) && s[0] > 126 {
				t.Errorf("glyph %d: %q is not ASCII", g, s)
			}
		}
		for r, s := range textures[set] {
			if s != "" && ansi.StringWidth(s) != 1 {
				t.Errorf("set %d texture of %s: %q is not one cell wide", set, Role(r), s)
			}
		}
	}
}

func TestPen(t *testing.T) {
	write := func(l *Look) string {
		var b strings.Builder
		p := Pen{Look: l}
		for _, s := range []Style{Plain(Text), Plain(Dim), Plain(Dim), Halves(RowA, Bare)} {
			p.Set(&b, s, false)
			b.WriteString("a")
		}
		p.Set(&b, Plain(Bad), true)
		p.Reset(&b)
		p.Reset(&b)
		return b.String()
	}
	for _, c := range []struct {
		p    Profile
		want string
	}{
		{TrueColor, "\x1b[38;2;230;226;216;48;2;15;19;23ma\x1b[38;2;169;176;183maa\x1b[38;2;95;152;180;48;2;26;32;38ma\x1b[48;2;15;19;23m\x1b[m"},
		{Colors16, "\x1b[97;40ma\x1b[37maa\x1b[94;100ma\x1b[107m\x1b[m"},
		{NoColor, "aaaa"},
	} {
		if got := write(New(Dark(), c.p, Unicode)); got != c.want {
			t.Errorf("%s: got %q, want %q", c.p, got, c.want)
		}
	}
}

func TestNearest256(t *testing.T) {
	for n := 16; n < 256; n++ {
		if got := XTerm(Nearest256(XTerm(uint8(n)))); got != XTerm(uint8(n)) {
			t.Errorf("colour %d is not nearest to itself: got %v", n, got)
		}
	}
}

func ExampleRole_String() {
	fmt.Println(AtRisk)
	// Output: at risk
}
