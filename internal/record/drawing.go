package record

import (
	"fmt"
	"html/template"
	"math"
	"strings"

	"floorpace/internal/clean"
)

// rgb is a colour; nil pointers mean none.
type rgb struct{ r, g, b uint8 }

// Colours are told apart in grey too: by lightness, and lost and risky edges by
// width and dashes as well.
var (
	black  = &rgb{20, 20, 20}
	grey   = &rgb{120, 120, 120}
	pale   = &rgb{214, 214, 214}
	fillA  = &rgb{222, 233, 242}
	fillB  = &rgb{247, 236, 214}
	fillNo = &rgb{250, 250, 250}
	blue   = &rgb{24, 82, 140}
	amber  = &rgb{176, 98, 0}
	red    = &rgb{176, 0, 32}
	shade  = &rgb{235, 235, 235}
)

// drawing is a picture made of a few primitives, in mm, y down; both the page
// and the PDF draw it.
type drawing struct {
	w, h  float64
	alt   string
	id    string // tells this drawing's shapes from those of others on the page
	items []item
}

type item struct {
	pts    [][2]float64 // a line, or the corners of a shape when closed
	closed bool
	fill   *rgb
	stroke *rgb
	width  float64 // mm
	dash   []float64
	text   string
	size   float64 // mm, height of the letters' em
	anchor byte    // 'l', 'm', 'r'
	bold   bool
	clip   byte // '(' what follows shows only inside this shape, ')' until here
}

// inside shows what draw draws only inside a shape.
func (d *drawing) inside(pts [][2]float64, draw func()) {
	d.items = append(d.items, item{pts: pts, closed: true, clip: '('})
	draw()
	d.items = append(d.items, item{clip: ')'})
}

func (d *drawing) line(x1, y1, x2, y2 float64, c *rgb, width float64, dash ...float64) {
	d.items = append(d.items, item{pts: [][2]float64{{x1, y1}, {x2, y2}}, stroke: c, width: width, dash: dash})
}

func (d *drawing) path(pts [][2]float64, c *rgb, width float64, dash ...float64) {
	if len(pts) > 1 {
		d.items = append(d.items, item{pts: pts, stroke: c, width: width, dash: dash})
	}
}

func (d *drawing) shape(pts [][2]float64, fill, stroke *rgb, width float64, dash ...float64) {
	d.items = append(d.items, item{pts: pts, closed: true, fill: fill, stroke: stroke, width: width, dash: dash})
}

func (d *drawing) rect(x, y, w, h float64, fill, stroke *rgb, width float64) {
	d.shape([][2]float64{{x, y}, {x + w, y}, {x + w, y + h}, {x, y + h}}, fill, stroke, width)
}

// dot is a small square standing on its corner.
func (d *drawing) dot(x, y, r float64, fill *rgb) {
	d.shape([][2]float64{{x - r, y}, {x, y - r}, {x + r, y}, {x, y + r}}, fill, nil, 0)
}

func (d *drawing) label(x, y float64, s string, size float64, anchor byte, c *rgb) {
	d.items = append(d.items, item{pts: [][2]float64{{x, y}}, text: clean.String(s), size: size, anchor: anchor, fill: c})
}

func (d *drawing) strong(x, y float64, s string, size float64, anchor byte, c *rgb) {
	d.label(x, y, s, size, anchor, c)
	d.items[len(d.items)-1].bold = true
}

func (c *rgb) css() string {
	if c == nil {
		return "none"
	}
	return fmt.Sprintf("#%02x%02x%02x", c.r, c.g, c.b)
}

// svg writes the drawing for a page; its size is that of the column.
func (d *drawing) svg() template.HTML {
	var b strings.Builder
	fmt.Fprintf(&b, `<svg viewBox="0 0 %.1f %.1f" role="img" aria-label="%s">`, d.w, d.h, template.HTMLEscapeString(d.alt))
	for i, it := range d.items {
		switch {
		case it.clip == '(':
			id := fmt.Sprintf("%s-%d", d.id, i)
			fmt.Fprintf(&b, `<clipPath id="%s"><polygon points="%s"/></clipPath><g clip-path="url(#%s)">`, id, points(it.pts), id)
		case it.clip == ')':
			b.WriteString(`</g>`)
		case it.text != "":
			anchor := map[byte]string{'m': "middle", 'r': "end"}[it.anchor]
			if anchor == "" {
				anchor = "start"
			}
			weight := ""
			if it.bold {
				weight = ` font-weight="bold"`
			}
			fmt.Fprintf(&b, `<text x="%.2f" y="%.2f" font-size="%.2f" text-anchor="%s" fill="%s"%s>%s</text>`,
				it.pts[0][0], it.pts[0][1], it.size, anchor, it.fill.css(), weight, template.HTMLEscapeString(it.text))
		case it.closed:
			fmt.Fprintf(&b, `<polygon points="%s" fill="%s"%s/>`, points(it.pts), it.fill.css(), pen(it))
		default:
			fmt.Fprintf(&b, `<polyline points="%s" fill="none"%s/>`, points(it.pts), pen(it))
		}
	}
	b.WriteString(`</svg>`)
	return template.HTML(b.String()) //nolint:gosec // every text is escaped above
}

func points(pts [][2]float64) string {
	var b strings.Builder
	for i, p := range pts {
		if i > 0 {
			b.WriteByte(' ')
		}
		fmt.Fprintf(&b, "%.2f,%.2f", p[0], p[1])
	}
	return b.String()
}

func pen(it item) string {
	if it.stroke == nil {
		return ""
	}
	s := fmt.Sprintf(` stroke="%s" stroke-width="%.2f"`, it.stroke.css(), it.width)
	if len(it.dash) > 0 {
		var parts []string
		for _, d := range it.dash {
			parts = append(parts, fmt.Sprintf("%.1f", d))
		}
		s += ` stroke-dasharray="` + strings.Join(parts, " ") + `"`
	}
	return s
}

// ticks are round values that part [lo, hi] into about n.
func ticks(lo, hi float64, n int) []float64 {
	if !(hi > lo) {
		return []float64{lo}
	}
	raw := (hi - lo) / float64(n)
	step := math.Pow(10, math.Floor(math.Log10(raw)))
	for _, k := range []float64{1, 2, 5, 10} {
		if step*k >= raw {
			step *= k
			break
		}
	}
	var out []float64
	for v := math.Ceil(lo/step-1e-9) * step; v <= hi+1e-9*step; v += step {
		out = append(out, v)
	}
	return out
}
