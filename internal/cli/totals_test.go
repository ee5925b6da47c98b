package cli

import (
	"bufio"
	"bytes"
	"fmt"
	"math"
	"os/exec"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// totals are what each paper must agree on, to the last kit.
type totals struct {
	Started, Poured, Scrapped, OnTheWay           float64
	Opened, Used, ScrappedKits, Left, OnHand, Not float64
	AreaM2, PouredL                               float64
}

var (
	batchWords = regexp.MustCompile(`Batches: (\d+) started = (\d+) poured \+ (\d+) scrapped \+ (\d+) on the way\.`)
	kitWords   = regexp.MustCompile(`Kits: ([\d.]+) opened = ([\d.]+) used \+ ([\d.]+) scrapped \+ ([\d.]+) left of those opened\.`)
	handWords  = regexp.MustCompile(`Whole kits on hand by the plan: ([\d.]+); not opened: ([\d.]+)\.`)
	floorWords = regexp.MustCompile(`Floor laid: ([\d.]+) m² with ([\d.]+) L out of the buckets`)
)

func numbers(t *testing.T, text string, res ...*regexp.Regexp) (out []float64) {
	t.Helper()
	for _, re := range res {
		m := re.FindStringSubmatch(text)
		if m == nil {
			t.Fatalf("%s does not stand in\n%.600s", re, text)
		}
		for _, s := range m[1:] {
			v, err := strconv.ParseFloat(s, 64)
			if err != nil {
				t.Fatal(err)
			}
			out = append(out, v)
		}
	}
	return out
}

func totalsOf(t *testing.T, text string) totals {
	t.Helper()
	n := numbers(t, text, batchWords, kitWords, handWords, floorWords)
	return totals{n[0], n[1], n[2], n[3], n[4], n[5], n[6], n[7], n[8], n[9], n[10], n[11]}
}

// csvTotals counts the comma-separated files again, line by line.
func csvTotals(t *testing.T, p *papers) totals {
	t.Helper()
	var out totals
	num := func(s string) float64 {
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	for i := 1; i < len(p.csv["batches"]); i++ {
		at := func(name string) string { return column(t, p.csv["batches"], name, i) }
		out.Started++
		switch at("fate") {
		case "poured":
			out.Poured++
			out.Used += num(at("share of a kit"))
			out.PouredL += num(at("poured net (L)"))
		case "scrapped":
			out.Scrapped++
		case "on the way":
			out.OnTheWay++
		}
	}
	last := len(p.csv["yield"]) - 1
	at := func(name string) float64 { return num(column(t, p.csv["yield"], name, last)) }
	out.Opened, out.ScrappedKits, out.Left, out.OnHand, out.Not = at("opened (kits)"), at("scrapped (kits)"), at("left of opened (kits)"), at("on hand (kits)"), at("not opened (kits)")
	if math.Abs(out.Used-at("used (kits)")) > 1e-9 {
		t.Errorf("batches.csv uses %g kits, yield.csv %g", out.Used, at("used (kits)"))
	}
	for i := 1; i < len(p.csv["zones"]); i++ {
		if column(t, p.csv["zones"], "as of", i) == "end of the log" {
			out.AreaM2 += num(column(t, p.csv["zones"], "laid (m²)", i))
		}
	}
	return out
}

// Totals read back from the page, the PDF, the comma-separated files and the
// document that the command wrote are one, with 5 batches and with 300; no page
// of the PDF has words outside the paper's margins, and none is empty.
func TestTotalsOnAllPapers(t *testing.T) {
	if testing.Short() {
		t.Skip("pours 300 batches")
	}
	for _, c := range []struct {
		n     int
		plan  string
		pages [2]int // least and most
	}{{5, hall5(), [2]int{4, 7}}, {300, hall300(), [2]int{10, 14}}} {
		env, _, _, dir := bench(t)
		log := pouredHall(t, dir, c.plan, c.n)
		for _, paper := range []string{"a4", "letter"} {
			p := writePapers(t, env, log, "--paper", paper)
			tt := func(k string) float64 { return p.at("totals." + k).(float64) }
			doc := totals{
				tt("batches_started"), tt("batches_poured"), tt("batches_scrapped"), tt("batches_on_the_way"),
				tt("kits_opened"), tt("kits_used"), tt("kits_scrapped"), tt("kits_left"), tt("kits_on_hand"), tt("kits_unopened"), tt("area_m2"), tt("poured_l"),
			}
			if doc.Started != float64(c.n) || doc.Opened != doc.Used+doc.ScrappedKits+doc.Left || doc.OnHand != doc.Opened+doc.Not {
				t.Errorf("%d batches: %+v", c.n, doc)
			}
			tables := csvTotals(t, p)
			if d := cmp.Diff(rounded(doc), rounded(tables)); d != "" {
				t.Errorf("%d batches, tables against the document:\n%s", c.n, d)
			}
			read := map[string]string{"page": p.text}
			if p.pdf != "" {
				read["PDF"] = p.pdf
				onPaper(t, p.name+".pdf", paper, c.pages)
			}
			for where, text := range read {
				if d := cmp.Diff(rounded(doc), rounded(totalsOf(t, text))); d != "" {
					t.Errorf("%d batches, %s against the document:\n%s", c.n, where, d)
				}
			}
			for i := 1; i <= c.n; i++ { // every batch, on each
				name := strconv.Itoa(i)
				if got := p.page["Batches"][i][0]; got != name {
					t.Errorf("row %d of the page is batch %s", i, got)
				}
			}
		}
	}
}

// rounded brings areas and litres to the four figures that the papers print.
func rounded(v totals) totals {
	four := func(x float64) float64 {
		y, err := strconv.ParseFloat(fmt.Sprintf("%.3e", x), 64)
		if err != nil {
			return math.NaN()
		}
		return y
	}
	v.AreaM2, v.PouredL, v.Used = four(v.AreaM2), four(v.PouredL), math.Round(v.Used*100)/100
	return v
}

var (
	pageBox = regexp.MustCompile(`<page width="([\d.]+)" height="([\d.]+)">`)
	wordBox = regexp.MustCompile(`<word xMin="([-\d.]+)" yMin="([-\d.]+)" xMax="([-\d.]+)" yMax="([-\d.]+)">(.*)</word>`)
)

// onPaper measures each word of a PDF by poppler: inside the margins, on a sheet
// of the size asked for, words of one line apart from each other, no page empty.
// ISO 216 A4 is 210 × 297 mm, ANSI/ASME Y14.1 size A 8.5 × 11 in.
func onPaper(t *testing.T, name, paper string, pages [2]int) {
	t.Helper()
	out, err := exec.Command("pdftotext", "-bbox", name, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	size := map[string][2]float64{"a4": {210 / 25.4 * 72, 297 / 25.4 * 72}, "letter": {612, 792}}[paper]
	const side = 13.5 / 25.4 * 72 // the margin, less half a millimetre for an overhang
	n, words := 0, 0
	var w, h float64
	var boxes [][4]float64
	var texts []string
	f := func(s string) float64 {
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	ends := func() {
		if n > 0 && words < 20 {
			t.Errorf("%s page %d has only %d words", paper, n, words)
		}
	}
	sc := bufio.NewScanner(bytes.NewReader(out))
	sc.Buffer(nil, 1<<20)
	for sc.Scan() {
		if m := pageBox.FindStringSubmatch(sc.Text()); m != nil {
			ends()
			n, words, boxes, texts = n+1, 0, nil, nil
			w, h = f(m[1]), f(m[2])
			if math.Abs(w-size[0]) > 1 || math.Abs(h-size[1]) > 1 {
				t.Errorf("page %d is %g by %g points, %s is %v", n, w, h, paper, size)
			}
		}
		m := wordBox.FindStringSubmatch(sc.Text())
		if m == nil || strings.TrimSpace(m[5]) == "" {
			continue
		}
		words++
		if x0, y0, x1, y1 := f(m[1]), f(m[2]), f(m[3]), f(m[4]); x0 < side || x1 > w-side || y0 < 20 || y1 > h-15 {
			t.Errorf("%s page %d: %q lies at %.0f,%.0f to %.0f,%.0f, outside the margins", paper, n, m[5], x0, y0, x1, y1)
		} else {
			for i, b := range boxes { // a box is as high as the font, not the letters: half of it may be shared
				if math.Min(x1, b[2])-math.Max(x0, b[0]) > 0.7 && math.Min(y1, b[3])-math.Max(y0, b[1]) > 0.5*math.Min(y1-y0, b[3]-b[1]) {
					t.Errorf("%s page %d: %q lies on %q at %.0f,%.0f", paper, n, m[5], texts[i], x0, y0)
				}
			}
			boxes, texts = append(boxes, [4]float64{x0, y0, x1, y1}), append(texts, m[5])
		}
	}
	ends()
	if n < pages[0] || n > pages[1] {
		t.Errorf("%s: %d pages, want %d to %d", paper, n, pages[0], pages[1])
	}
}
