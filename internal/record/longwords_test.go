package record

import (
	"bytes"
	"html"
	"math"
	"regexp"
	"strings"
	"testing"

	"floorpace/internal/day"
)

// A word without a break takes no room from the other columns, and neither the
// page nor the PDF is wider than the paper for it.
func TestLongWordsBreakAlone(t *testing.T) {
	for _, f := range []struct{ want, least, share []float64 }{
		{[]float64{20, 600, 30}, []float64{20, 600, 30}, []float64{20, 130, 30}},
		{[]float64{600, 10, 600}, []float64{600, 10, 600}, []float64{85, 10, 85}},
		{[]float64{20, 600, 30}, []float64{20, 42, 30}, []float64{20, 130, 30}},
		{[]float64{90, 40, 60}, []float64{42, 40, 42}, []float64{80, 40, 60}},
	} {
		got := share(f.want, f.least, make([]bool, 3), 180)
		for i := range got {
			if math.Abs(got[i]-f.share[i]) > 0.6 {
				t.Errorf("want %v, least %v: shared %v, not %v", f.want, f.least, got, f.share)
				break
			}
		}
	}
	b := soundDay(t)
	long := strings.Repeat("x", 300) + "<&" + strings.Repeat("y", 50)
	es := after(day.BatchPoured, 5, day.Event{Kind: day.NoteWritten, Text: long})(b.s.Events)
	q := paperOf(t, b.p, b.floors, es)
	var page bytes.Buffer
	if err := q.WriteHTML(&page); err != nil {
		t.Fatal(err)
	}
	cells := regexp.MustCompile(`(?s)<td[^>]*>(.*?)</td>`).FindAllStringSubmatch(page.String(), -1)
	found := false
	for _, c := range cells {
		found = found || strings.Contains(html.UnescapeString(strings.ReplaceAll(c[1], "<wbr/>", "")), long)
		for _, w := range strings.FieldsFunc(strings.ReplaceAll(c[1], "<wbr/>", " "), func(r rune) bool { return r == ' ' || r == '\n' }) {
			if n := len([]rune(html.UnescapeString(w))); n > softFrom {
				t.Errorf("%d letters without a break: %.40s", n, w)
			}
		}
	}
	if !found {
		t.Error("the note does not stand on the page as it was written")
	}
}
