package record

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"
	"unicode/utf16"

	"github.com/google/go-cmp/cmp"
	"github.com/santhosh-tekuri/jsonschema/v6"

	"floorpace/config"
	"floorpace/internal/day"
	"floorpace/internal/plan"
)

// pdfText is the words of an uncompressed PDF in the order they were written:
// every shown string is UTF-16 with its own escapes.
func pdfText(t *testing.T, q *Paper, size PaperSize) string {
	t.Helper()
	var b bytes.Buffer
	if err := q.writePDF(&b, size, false); err != nil {
		t.Fatal(err)
	}
	var out strings.Builder
	raw := b.Bytes()
	for i := bytes.Index(raw, []byte("BT ")); i >= 0 && i < len(raw); {
		open := bytes.IndexByte(raw[i:], '(')
		if open < 0 {
			break
		}
		i += open + 1
		var s []byte
		for i < len(raw) && raw[i] != ')' {
			c := raw[i]
			if c == '\\' {
				i++
				if c = raw[i]; c == 'r' {
					c = '\r'
				}
			}
			s = append(s, c)
			i++
		}
		var u []uint16
		for k := 0; k+1 < len(s); k += 2 {
			u = append(u, uint16(s[k])<<8|uint16(s[k+1]))
		}
		out.WriteString(string(utf16.Decode(u)))
		out.WriteByte('\n')
		next := bytes.Index(raw[i:], []byte("BT "))
		if next < 0 {
			break
		}
		i += next
	}
	return out.String()
}

var (
	batchLine = regexp.MustCompile(`Batches: (\d+) started = (\d+) poured \+ (\d+) scrapped \+ (\d+) on the way`)
	kitLine   = regexp.MustCompile(`Kits: ([\d.]+) opened = ([\d.]+) used \+ ([\d.]+) scrapped \+ ([\d.]+) left of those opened`)
)

func figures(t *testing.T, re *regexp.Regexp, text string) []float64 {
	t.Helper()
	m := re.FindStringSubmatch(text)
	if m == nil {
		t.Fatalf("%s does not stand in the text", re)
	}
	var out []float64
	for _, s := range m[1:] {
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, v)
	}
	return out
}

// Totals on the page, in the PDF, in the tables and in the document are read
// back from each and must be one.
func TestTotalsAgreeToTheLastKit(t *testing.T) {
	for _, b := range []*book{soundDay(t), rehearsed(t, config.USPlan, 1), rehearsed(t, config.MetricPlan, 3)} {
		q := b.paper()
		var page, doc, yield, batches bytes.Buffer
		for _, err := range []error{q.WriteHTML(&page), q.WriteJSON(&doc), q.CSV()[3].Write(&yield), q.CSV()[0].Write(&batches)} {
			if err != nil {
				t.Fatal(err)
			}
		}
		var j struct {
			Totals map[string]any
			Yield  []struct{ Opened, Used, Scrapped, Left float64 }
		}
		if err := json.Unmarshal(doc.Bytes(), &j); err != nil {
			t.Fatal(err)
		}
		f := func(k string) float64 { return j.Totals[k].(float64) }
		wantBatches := []float64{f("batches_started"), f("batches_poured"), f("batches_scrapped"), f("batches_on_the_way")}
		wantKits := []float64{f("kits_opened"), f("kits_used"), f("kits_scrapped"), f("kits_left")}
		text := pdfText(t, q, A4)
		html := strings.ReplaceAll(page.String(), "&#43;", "+")
		for name, s := range map[string]string{"page": html, "PDF": text} {
			if d := cmp.Diff(wantBatches, figures(t, batchLine, s)); d != "" {
				t.Errorf("%s: batches differ from the document: %s", name, d)
			}
			if d := cmp.Diff(wantKits, figures(t, kitLine, s)); d != "" {
				t.Errorf("%s: kits differ from the document: %s", name, d)
			}
		}
		rows := readCSV(t, yield.Bytes())
		last := rows[len(rows)-1]
		var got []float64
		for _, s := range last[3:7] {
			v, err := strconv.ParseFloat(s, 64)
			if err != nil {
				t.Fatal(err)
			}
			got = append(got, v)
		}
		if d := cmp.Diff(wantKits, got); d != "" {
			t.Errorf("yield table: %s", d)
		}
		fates := map[string]float64{}
		for _, r := range readCSV(t, batches.Bytes())[1:] {
			fates[r[27]]++
		}
		if fates["poured"] != wantBatches[1] || fates["scrapped"] != wantBatches[2] || fates["on the way"] != wantBatches[3] {
			t.Errorf("batches table: %v, want %v", fates, wantBatches)
		}
		// The day's own count, by the package that ran the day.
		s := b.s.Totals()
		if d := cmp.Diff([]float64{float64(s.Poured), float64(s.Scrapped), float64(s.OnTheWay)}, wantBatches[1:]); d != "" {
			t.Errorf("the day counts otherwise: %s", d)
		}
		for _, y := range j.Yield {
			if math.Abs(y.Opened-y.Used-y.Scrapped-y.Left) > 1e-9 {
				t.Errorf("yield does not add up: %+v", y)
			}
		}
	}
}

func readCSV(t *testing.T, b []byte) [][]string {
	t.Helper()
	r := csv.NewReader(bytes.NewReader(b)) // the library's own reading of RFC 4180
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows
}

// The document is what the published schema says, on a whole day, on a day that
// has nothing, and on one full of contradictions.
func TestDocumentKeepsItsSchema(t *testing.T) {
	schema, err := jsonschema.UnmarshalJSON(bytes.NewReader(Schema))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	c.AssertFormat()
	if err := c.AddResource("record.json", schema); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("record.json")
	if err != nil {
		t.Fatal(err)
	}
	bad := soundDay(t)
	es := slices.Clone(bad.s.Events)
	for _, k := range contradictions()[:12] {
		if k.events != nil {
			es = k.events(es)
		}
	}
	over := slices.Clone(bad.s.Events)
	over = edit(day.BatchStarted, 10, func(e *day.Event) { e.Share, e.Weights = 1.7, "A=5.10 B=6.80 aggregate=34.00" })(over)
	bare := open(t, hall(9, 6))
	for name, q := range map[string]*Paper{
		"more than a kit": paperOf(t, bad.p, bad.floors, over),
		"whole day":       rehearsed(t, config.USPlan, 1).paper(), "nothing poured": bare.paper(), "no event at all": paperOf(t, bare.p, bare.floors, nil),
		"contradictions": paperOf(t, bad.p, bad.floors, es),
	} {
		var b bytes.Buffer
		if err := q.WriteJSON(&b); err != nil {
			t.Fatal(err)
		}
		doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(b.Bytes()))
		if err != nil {
			t.Fatal(err)
		}
		if err := s.Validate(doc); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		m := doc.(map[string]any)
		m["extra"] = 1
		if s.Validate(doc) == nil {
			t.Errorf("%s: the schema lets anything through", name)
		}
		delete(m, "extra")
		m["totals"].(map[string]any)["kits_used"] = -1
		if s.Validate(doc) == nil {
			t.Errorf("%s: the schema lets kits below zero through", name)
		}
		var back Paper
		if err := json.Unmarshal(b.Bytes(), &back); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// No box is blank: every cell of every table says something, and every N/A has
// its reason.
func TestNoBlankBox(t *testing.T) {
	bare := open(t, hall(9, 6))
	lotless := hall(9, 6)
	lotless.Lots, lotless.Site = nil, ""
	lotless.Readings.SlabC, lotless.Readings.AirC, lotless.Readings.Humidity, lotless.Readings.KitC = nan, nan, nan, nan
	unread := open(t, lotless)
	at := lotless.Handover.Add(time.Hour)
	for i := range 5 {
		unread.press(at, day.Press{Kind: day.BatchStarted, Mixer: i%3 + 1})
		at = at.Add(3 * time.Minute)
		unread.press(at, day.Press{Kind: day.BatchPoured})
	}
	for name, q := range map[string]*Paper{
		"sound": soundDay(t).paper(), "us": rehearsed(t, config.USPlan, 1).paper(), "bare": bare.paper(), "empty": paperOf(t, bare.p, bare.floors, nil), "unread": unread.paper(),
	} {
		for _, b := range q.blocks() {
			if b.head == "" && b.table == nil || b.table == nil && len(b.words) == 0 && b.picture == nil {
				t.Errorf("%s: %q is empty", name, b.head)
			}
			if b.table == nil {
				continue
			}
			if len(b.table.rows) == 0 && b.table.empty == "" {
				t.Errorf("%s: %q has no row and does not say why", name, b.head)
			}
			for i, r := range b.table.rows {
				if len(r) != len(b.table.cols) {
					t.Errorf("%s: %q row %d has %d cells for %d columns", name, b.head, i, len(r), len(b.table.cols))
				}
				for k, s := range r {
					if strings.TrimSpace(s) == "" || strings.Contains(s, "NaN") || strings.Contains(s, "0001-01-01") {
						t.Errorf("%s: %q, %s in row %d is %q", name, b.head, b.table.cols[k].name, i, s)
					}
				}
			}
			for i, n := range b.table.notes {
				if strings.TrimSpace(n) == "" {
					t.Errorf("%s: %q: N/A %s has no reason", name, b.head, letter(i))
				}
			}
		}
		for _, c := range q.CSV() {
			var out bytes.Buffer
			if err := c.Write(&out); err != nil {
				t.Fatal(err)
			}
			for i, r := range readCSV(t, out.Bytes()) {
				for k, s := range r {
					if strings.TrimSpace(s) == "" || strings.HasSuffix(s, "N/A: ") {
						t.Errorf("%s: %s row %d cell %d is %q", name, c.Name, i, k, s)
					}
				}
			}
		}
		var doc bytes.Buffer
		if err := q.WriteJSON(&doc); err != nil {
			t.Fatal(err)
		}
		if bytes.Contains(doc.Bytes(), []byte(`"na": ""`)) || bytes.Contains(doc.Bytes(), []byte("0001-01-01")) {
			t.Errorf("%s: the document has an N/A without a reason or an instant that never was", name)
		}
	}
}

// Hostile names reach no formula, no tag, no terminal.
func TestHostileNames(t *testing.T) {
	p := hall(9, 6)
	p.Title = `<script>alert(1)</script> =1+1 "q" & \ x`
	b := open(t, p)
	at := p.Handover.Add(time.Hour)
	b.press(at, day.Press{Kind: day.BatchStarted, Mixer: 1, Lots: "A==cmd|calc B=@x aggregate=-1+1"})
	b.press(at.Add(time.Minute), day.Press{Kind: day.BatchScrapped, Batch: 1, Why: "=HYPERLINK(\"x\")\x1b[31m\r\nnext, \"quoted\""})
	b.put(at.Add(2*time.Minute), day.Event{Kind: day.CallRaised, Call: "+x", What: "+CALL", Why: "\t=A1", Grad: 2})
	q := b.paper()
	number := regexp.MustCompile(`^-?\d+(\.\d+)?$`)
	for _, c := range q.CSV() {
		var out bytes.Buffer
		if err := c.Write(&out); err != nil {
			t.Fatal(err)
		}
		if !bytes.HasSuffix(out.Bytes(), []byte("\r\n")) || bytes.Count(out.Bytes(), []byte("\n")) != bytes.Count(out.Bytes(), []byte("\r\n")) {
			t.Errorf("%s: lines do not end with CR LF (RFC 4180, 2.1)", c.Name)
		}
		rows := readCSV(t, out.Bytes())
		for _, r := range rows {
			if len(r) != len(rows[0]) {
				t.Errorf("%s: %d fields, the head has %d (RFC 4180, 2.4)", c.Name, len(r), len(rows[0]))
			}
			for _, s := range r {
				if s != "" && strings.ContainsAny(s[:1], "=+-@\t\r") && !number.MatchString(s) {
					t.Errorf("%s: a spreadsheet would run %q", c.Name, s)
				}
				if strings.ContainsAny(s, "\x1b\r\n") {
					t.Errorf("%s: control characters in %q", c.Name, s)
				}
			}
		}
	}
	var page bytes.Buffer
	if err := q.WriteHTML(&page); err != nil {
		t.Fatal(err)
	}
	for _, bad := range []string{"<script", "\x1b", "HYPERLINK(\"x"} {
		if strings.Contains(page.String(), bad) {
			t.Errorf("the page contains %q", bad)
		}
	}
	// Self-contained: nothing is fetched and nothing runs.
	for _, bad := range []string{"http:", "https:", "src=", "@import", "<link", "javascript:", " onload"} {
		if strings.Contains(page.String(), bad) {
			t.Errorf("the page reaches outside: %q", bad)
		}
	}
	if n := strings.Count(page.String(), "url("); n != strings.Count(page.String(), "url(#floor") {
		t.Error("the page reaches outside with url()")
	}
	if got := pdfText(t, q, Letter); !strings.Contains(got, "<script>alert(1)</script>") {
		t.Error("the PDF lost the title")
	}
}

// The page is well-formed: tags nest and close.
func TestPageIsWellFormed(t *testing.T) {
	var page bytes.Buffer
	if err := rehearsed(t, config.USPlan, 2).paper().WriteHTML(&page); err != nil {
		t.Fatal(err)
	}
	d := xml.NewDecoder(&page)
	d.Strict = true
	d.Entity = xml.HTMLEntity
	for {
		_, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
	}
}

// Every batch stands on the page and in the PDF, with either paper, and the
// signs that core fonts garble come through.
func TestEveryBatchOnEveryPaper(t *testing.T) {
	q := rehearsed(t, config.USPlan, 1).paper()
	var page bytes.Buffer
	if err := q.WriteHTML(&page); err != nil {
		t.Fatal(err)
	}
	for _, size := range []PaperSize{A4, Letter} {
		text := pdfText(t, q, size)
		for _, b := range q.Batches {
			if !strings.Contains(text, "\n"+hms(b.Started.T)+"\n") || !strings.Contains(page.String(), ">"+hms(b.Started.T)+"<") {
				t.Errorf("%s: batch %d is missing", size, b.No)
			}
		}
		for _, sign := range []string{"ft²", "°F", "0123456789ab", "Signed", "isocyanates"} {
			if !strings.Contains(text, sign) {
				t.Errorf("%s: %q does not stand in the PDF", size, sign)
			}
		}
	}
}

// What the font does not have is said, not shown as an empty box.
func TestLettersTheFontLacks(t *testing.T) {
	p := hall(9, 6)
	p.Title = "地下室 ± 6 mm"
	q := open(t, p).paper()
	text := pdfText(t, q, A4)
	if !strings.Contains(text, "??? ± 6 mm") || !strings.Contains(text, "not in the fonts of this PDF") {
		t.Error("letters that the font lacks are not replaced and counted")
	}
	var page bytes.Buffer
	if err := q.WriteHTML(&page); err != nil || !strings.Contains(page.String(), p.Title) {
		t.Errorf("the page lost the title (%v)", err)
	}
}

// Joined edges are judged as on the day: the same lengths, the same least slack.
func TestEdgesAgreeWithTheDay(t *testing.T) {
	worst := 0.0
	for seed := range uint64(4) {
		b := rehearsed(t, []string{config.USPlan, config.MetricPlan}[seed%2], seed)
		q := b.paper()
		for i, z := range q.Zones {
			j := b.s.Joined(i)
			if !j.OK {
				t.Errorf("seed %d zone %s: nothing joined", seed, z.Name)
				continue
			}
			if d := (z.Edge.Least.Dur() - j.Least).Abs(); d > time.Millisecond {
				t.Errorf("seed %d zone %s: least slack %s, the day says %s", seed, z.Name, z.Edge.Least.Dur(), j.Least)
			}
			if math.Abs(z.Edge.RiskM-j.RiskM) > 1e-6 || math.Abs(z.Edge.LostM-j.LostM) > 1e-6 {
				t.Errorf("seed %d zone %s: %.3f and %.3f m, the day says %.3f and %.3f", seed, z.Name, z.Edge.RiskM, z.Edge.LostM, j.RiskM, j.LostM)
			}
			risk, lost := 0.0, 0.0
			for _, k := range z.Edge.Joins {
				if k.State == day.Gone.String() {
					lost += k.LengthM
				} else {
					risk += k.LengthM
				}
			}
			if math.Abs(risk-z.Edge.RiskM) > 1e-6 || math.Abs(lost-z.Edge.LostM) > 1e-6 {
				t.Errorf("seed %d zone %s: the places do not add up to the lengths", seed, z.Name)
			}
			worst = math.Max(worst, z.Edge.RiskM)
		}
	}
	if worst == 0 {
		t.Error("no edge came inside its margin in any day: the comparison shows nothing")
	}
}

// The same log gives the same bytes.
func TestPapersAreTheSameTwice(t *testing.T) {
	b := rehearsed(t, config.USPlan, 1)
	var a, c [3]bytes.Buffer
	for _, out := range []*[3]bytes.Buffer{&a, &c} {
		q := b.paper()
		for i, f := range []func(io.Writer) error{q.WriteHTML, q.WriteJSON, func(w io.Writer) error { return q.WritePDF(w, A4) }} {
			if err := f(&out[i]); err != nil {
				t.Fatal(err)
			}
		}
	}
	for i := range a {
		if !bytes.Equal(a[i].Bytes(), c[i].Bytes()) {
			t.Errorf("paper %d differs from one run to the next", i)
		}
	}
}

func TestSaveWritesWholeFiles(t *testing.T) {
	dir := t.TempDir()
	q := soundDay(t).paper()
	names, err := q.Save(dir, "record-2026-05-04", A4)
	if err != nil || len(names) != 9 {
		t.Fatalf("%v, %v", names, err)
	}
	for _, n := range names {
		if st, err := os.Stat(n); err != nil || st.Size() == 0 {
			t.Errorf("%s: %v", n, err)
		}
	}
	left, err := filepath.Glob(filepath.Join(dir, "*.part"))
	if err != nil || len(left) > 0 {
		t.Errorf("left behind: %v %v", left, err)
	}
	if _, err := q.Save(filepath.Join(dir, "nowhere"), "x", A4); err == nil {
		t.Error("a folder that is not there was written to")
	}
}

func TestBuildRefusesAPlanWithoutZones(t *testing.T) {
	if _, err := Build(&plan.Plan{}, nil, nil, Log{}, time.Time{}); err == nil {
		t.Error("a plan without a zone was made a record of")
	}
}

// longDay is a day of about n events on an invented hall.
func longDay(t testing.TB, n int) *book {
	t.Helper()
	p := hall(18, 90)
	p.Rules.StepPresses = true
	p.Lots[0].Parts = map[string]int{"A": 900, "B": 900, "aggregate": 900}
	b := open(t, p)
	at := p.Handover.Add(time.Hour)
	for i := 0; len(b.s.Events) < n; i++ {
		b.put(at, day.Event{Kind: day.BatchStarted, Batch: i + 1, Mixer: i%3 + 1, Zone: "Hall", Blend: "plain", Lots: "A=L_1 B=L_1 aggregate=L_1"})
		if i == 0 {
			b.put(at, day.Event{Kind: day.ZoneBegan, Zone: "Hall"})
		}
		for k := range 3 {
			b.put(at.Add(time.Duration(k+1)*20*time.Second), day.Event{Kind: day.BatchStepped, Batch: i + 1, Step: k + 1})
		}
		if i > 1 {
			b.put(at.Add(80*time.Second), day.Event{Kind: day.BatchPoured, Batch: i - 1, Zone: "Hall"})
		}
		switch {
		case i%40 == 39:
			b.put(at.Add(81*time.Second), day.Event{Kind: day.ReadingTaken, What: day.ReadSlab, Value: day.Value(19 - float64(i%5)/10)})
		case i%50 == 49:
			b.put(at.Add(81*time.Second), day.Event{Kind: day.HoldBegan, Why: "WATER"})
			b.put(at.Add(85*time.Second), day.Event{Kind: day.HoldEnded})
		}
		at = at.Add(90 * time.Second)
	}
	return b
}

// A day of 2,000 events is on paper within two seconds.
func TestRecordOfALongDayIsQuick(t *testing.T) {
	b := longDay(t, 2000)
	best := time.Hour
	for range 3 { // the best of three: other programs may be at work
		from := time.Now()
		if _, err := b.paper().Save(t.TempDir(), "x", A4); err != nil {
			t.Fatal(err)
		}
		best = min(best, time.Since(from))
	}
	t.Logf("%d events: %s", len(b.s.Events), best)
	if limit := 2 * time.Second * raceFactor; best > limit {
		t.Errorf("%d events took %s, at most %s", len(b.s.Events), best, limit)
	}
}

func BenchmarkRecord2000(b *testing.B) {
	d := longDay(b, 2000)
	dir := b.TempDir()
	for i := range b.N {
		if _, err := d.paper().Save(dir, fmt.Sprint(i), A4); err != nil {
			b.Fatal(err)
		}
	}
}
