package picture

import (
	"fmt"
	"html"
	"sort"
	"strconv"
	"strings"
	"unicode/utf8"
)

// The grid of a picture, in SVG units. 0.6 em is the advance of the usual
// monospace fonts, so a word of any of them fits its cells.
const (
	cellW, cellH = 9, 18
	fontSize     = 15
	baseline     = 13.5
	margin       = 9
)

// SVG draws the screen, each character in its cell. Blocks, braille and rules
// are drawn as shapes, so that they join in every viewer; words are text.
// Equal screens give equal bytes.
func (s Screen) SVG() string {
	d := drawing{s: s, shapes: map[string]*strings.Builder{}, words: map[string]*strings.Builder{}}
	ground := s.commonGround()
	for y := range s.H {
		d.grounds(y, ground)
		d.inks(y)
	}
	w, h := s.W*cellW+2*margin, s.H*cellH+2*margin
	var b strings.Builder
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" width="%d" height="%d" viewBox="0 0 %d %d">`+"\n", w, h, w, h)
	fmt.Fprintf(&b, `<rect width="%d" height="%d" fill="%s"/>`+"\n", w, h, ground)
	fmt.Fprintf(&b, `<g transform="translate(%d %d)" shape-rendering="crispEdges">`+"\n", margin, margin)
	for _, k := range d.order {
		fmt.Fprintf(&b, "<path fill=\"%s\" d=\"%s\"/>\n", k[1:], d.shapes[k])
	}
	b.WriteString("</g>\n")
	fmt.Fprintf(&b, `<g transform="translate(%d %d)" font-family="DejaVu Sans Mono,Menlo,Consolas,monospace" font-size="%d" xml:space="preserve">`+"\n", margin, margin, fontSize)
	for _, k := range sortedKeys(d.words) {
		fmt.Fprintf(&b, "<g fill=\"%s\">\n%s</g>\n", k, d.words[k])
	}
	b.WriteString("</g>\n</svg>\n")
	return b.String()
}

func sortedKeys(m map[string]*strings.Builder) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	return keys
}

// Colours of a terminal that sets none.
const ownInk, ownGround = "#d0d0d0", "#101010"

func (c Colour) css(own string) string {
	if !c.Set {
		return own
	}
	return fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B)
}

const reverse = 1 << 5 // the emulator's bit for reverse video

func (c Cell) colours() (ink, ground string) {
	ink, ground = c.Ink.css(ownInk), c.Ground.css(ownGround)
	if c.Attrs&reverse != 0 {
		ink, ground = ground, ink
	}
	return ink, ground
}

// commonGround gives the ground of most cells; it paints the whole picture.
func (s Screen) commonGround() string {
	count := map[string]int{}
	best, most := ownGround, 0
	for _, c := range s.Cells {
		_, g := c.colours()
		count[g]++
		if n := count[g]; n > most {
			best, most = g, n
		}
	}
	return best
}

type drawing struct {
	s      Screen
	shapes map[string]*strings.Builder // by layer and colour
	order  []string                    // grounds first, then inks, each as first met
	words  map[string]*strings.Builder // by colour
}

// rect adds a rectangle, in eighths of a cell's width and height, to a layer
// ('0' ground, '1' ink).
func (d *drawing) rect(layer byte, fill string, x0, y0, w, h float64) {
	k := string(layer) + fill
	b := d.shapes[k]
	if b == nil {
		b = &strings.Builder{}
		d.shapes[k] = b
		d.order = append(d.order, k)
		sort.SliceStable(d.order, func(i, j int) bool { return d.order[i][0] < d.order[j][0] })
	}
	fmt.Fprintf(b, "M%s %sh%sv%sh-%sz", num(x0), num(y0), num(w), num(h), num(w))
}

func num(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

func (d *drawing) grounds(y int, common string) {
	for x := 0; x < d.s.W; {
		_, g := d.s.At(x, y).colours()
		n := 1
		for x+n < d.s.W {
			if _, g2 := d.s.At(x+n, y).colours(); g2 != g {
				break
			}
			n++
		}
		if g != common {
			d.rect('0', g, float64(x*cellW), float64(y*cellH), float64(n*cellW), cellH)
		}
		x += n
	}
}

func (d *drawing) inks(y int) {
	for x := 0; x < d.s.W; {
		c := d.s.At(x, y)
		ink, _ := c.colours()
		if c.Text == "" || c.Text == " " {
			x++
			continue
		}
		if d.shape(x, y, c.Text, ink) {
			x++
			continue
		}
		n, word := 0, ""
		for x+n < d.s.W {
			k := d.s.At(x+n, y)
			i, _ := k.colours()
			if k.Text == " " || i != ink || (n > 0 && isShape(k.Text)) {
				break
			}
			word, n = word+k.Text, n+1
		}
		d.word(x, y, n, word, ink)
		x += n
	}
}

func (d *drawing) word(x, y, n int, word, ink string) {
	b := d.words[ink]
	if b == nil {
		b = &strings.Builder{}
		d.words[ink] = b
	}
	length := ""
	if n > 1 {
		length = fmt.Sprintf(` textLength="%d" lengthAdjust="spacingAndGlyphs"`, n*cellW)
	}
	fmt.Fprintf(b, "<text x=\"%d\" y=\"%s\"%s>%s</text>\n", x*cellW, num(float64(y*cellH)+baseline), length, html.EscapeString(word))
}

// blocks gives the shape of block and rule characters: x, y, w, h as parts of
// the cell.
var blocks = map[string][][4]float64{
	"█": {{0, 0, 1, 1}},
	"▀": {{0, 0, 1, .5}},
	"▄": {{0, .5, 1, .5}},
	"▌": {{0, 0, .5, 1}},
	"▐": {{.5, 0, .5, 1}},
	"─": {{0, 8. / 18, 1, 1. / 18}},
	"│": {{4. / 9, 0, 1. / 9, 1}},
	"┴": {{0, 8. / 18, 1, 1. / 18}, {4. / 9, 0, 1. / 9, .5}},
	"┬": {{0, 8. / 18, 1, 1. / 18}, {4. / 9, .5, 1. / 9, .5}},
	"├": {{4. / 9, 0, 1. / 9, 1}, {4. / 9, 8. / 18, 5. / 9, 1. / 18}},
	"┤": {{4. / 9, 0, 1. / 9, 1}, {0, 8. / 18, 5. / 9, 1. / 18}},
	"└": {{4. / 9, 0, 1. / 9, .5}, {4. / 9, 8. / 18, 5. / 9, 1. / 18}},
	"═": {{0, 6. / 18, 1, 2. / 18}, {0, 11. / 18, 1, 2. / 18}},
	"║": {{2. / 9, 0, 2. / 9, 1}, {6. / 9, 0, 2. / 9, 1}},
}

func isShape(text string) bool {
	r, _ := utf8.DecodeRuneInString(text)
	return blocks[text] != nil || shades[text] != 0 || (r >= 0x2800 && r < 0x2900)
}

// shades are drawn as a grid of dots; the value is the spacing in cell units.
var shades = map[string]int{"░": 3, "▒": 2}

func (d *drawing) shape(x, y int, text, ink string) bool {
	x0, y0 := float64(x*cellW), float64(y*cellH)
	for _, p := range blocks[text] {
		d.rect('1', ink, x0+p[0]*cellW, y0+p[1]*cellH, p[2]*cellW, p[3]*cellH)
	}
	if step := shades[text]; step != 0 {
		for dy := 0; dy < cellH; dy += step {
			for dx := dy / step % 2 * step / 2; dx < cellW; dx += step {
				d.rect('1', ink, x0+float64(dx), y0+float64(dy), 1, 1)
			}
		}
	}
	if r, _ := utf8.DecodeRuneInString(text); r >= 0x2800 && r < 0x2900 {
		// Dot numbers of the standard's 8-dot cell: 1 2 3 7 down the left
		// column, 4 5 6 8 down the right, one bit each from the lowest.
		for bit, at := range [8][2]float64{{0, 0}, {0, 1}, {0, 2}, {1, 0}, {1, 1}, {1, 2}, {0, 3}, {1, 3}} {
			if r&(1<<bit) != 0 {
				d.rect('1', ink, x0+1.5+at[0]*4.5, y0+1.5+at[1]*4.5, 2, 2)
			}
		}
	}
	return isShape(text)
}
