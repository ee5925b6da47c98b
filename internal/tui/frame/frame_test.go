package frame

import (
	"strings"
	"testing"

	"floorpace/internal/tui/look"

	"github.com/charmbracelet/x/ansi"
	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

func plainLook() *look.Look { return look.New(look.Dark(), look.NoColor, look.Unicode) }

// names are spellings that have broken frames before.
var names = []string{
	"Halle 3", "Señor Muñoz", "Cafe\u0301", "日本語の区画", "👷🏽‍♀️ crew", "🇩🇪 zone", "❤️ bay", "किताब", "ไทยก้ำ", "שלום \u202eabc",
	"tab\there", "line\nfeed", "\x1b[31mred\x1b[0m", "\x9b31m", "\x00\x07\x08", "\xff\xfe", "a\u200db", "Z\u0335\u0321\u0322algo", "ﷺ", "\U000E0041", "00\xc3", "\u2028x", "가\u1100\u1161",
}

// Whatever is drawn, every line has the asked width by both ways of counting
// that terminals use, and the number of lines is right.
func TestAlwaysExact(t *testing.T) {
	looks := []*look.Look{
		plainLook(), look.New(look.Sun(), look.TrueColor, look.Unicode), look.New(look.Dark(), look.Colors16, look.ASCII),
	}
	for _, text := range []string{"\u0903", "a\u0903b", "\u0301", "\u1161", "\u20e3", "\U0001f3ff"} { // found by chance: marks that stand alone
		c := New(plainLook(), 3, 1)
		c.Pane().Print(1, 0, look.Text, text)
		exact(t, c, 3, 1)
	}
	New(plainLook(), 0, 1).Pane().Print(-1, 0, look.Text, "日本") // a wide one on no room at all
	rapid.Check(t, func(t *rapid.T) {
		w, h := rapid.IntRange(0, 30).Draw(t, "w"), rapid.IntRange(0, 6).Draw(t, "h")
		l := rapid.SampledFrom(looks).Draw(t, "look")
		c := New(l, w, h)
		for range rapid.IntRange(0, 12).Draw(t, "drawings") {
			p := c.Pane().Sub(Rect{
				rapid.IntRange(-3, 30).Draw(t, "x"), rapid.IntRange(-2, 6).Draw(t, "y"),
				rapid.IntRange(-1, 40).Draw(t, "pw"), rapid.IntRange(-1, 8).Draw(t, "ph"),
			})
			text := rapid.OneOf(rapid.SampledFrom(names), rapid.String()).Draw(t, "text")
			x, y := rapid.IntRange(-4, 30).Draw(t, "tx"), rapid.IntRange(-1, 6).Draw(t, "ty")
			switch rapid.IntRange(0, 6).Draw(t, "kind") {
			case 0:
				p.Print(x, y, look.Bad, text)
			case 1:
				p.PrintRight(x, y, look.Dim, text)
			case 2:
				p.PrintCentre(y, look.Text, text)
			case 3:
				p.Title(text, text)
			case 4:
				p.Wrap(y, look.Text, text)
			case 5:
				p.PrintFit(x, y, 5, look.Good, text)
			case 6:
				src := New(l, 5, 2)
				src.Pane().Print(0, 0, look.Warn, text)
				p.Blit(x, y, src)
			}
		}
		exact(t, c, w, h)
	})
}

type failer interface {
	Helper()
	Fatalf(string, ...any)
}

func exact(t failer, c *Canvas, w, h int) {
	t.Helper()
	lines := c.Lines()
	if len(lines) != h {
		t.Fatalf("got %d lines, want %d", len(lines), h)
	}
	if got := c.String(); got != strings.Join(lines, "\n") {
		t.Fatalf("String and Lines differ:\n%q", got)
	}
	for y, line := range lines {
		bare := ansi.Strip(line)
		if g, wc := ansi.StringWidth(bare), ansi.StringWidthWc(bare); g != w || wc != w {
			t.Fatalf("line %d %q is %d (by cluster) and %d (by character) wide, want %d", y, line, g, wc, w)
		}
		if c.Look().Glyphs == look.ASCII && strings.ContainsFunc(bare, func(r rune) bool { return r > 126 || r < ' ' }) {
			t.Fatalf("line %d %q is not plain ASCII", y, line)
		}
	}
}

func TestPrintNames(t *testing.T) {
	want := map[string]string{
		"日本語の区画":             "日本語の区画",
		"Señor Muñoz":        "Señor Muñoz",
		"\x1b[31mred\x1b[0m": "[31mred[0m",
		"line\nfeed":         "line feed",
		"שלום \u202eabc":     "שלום abc",
		"🇩🇪 zone":            "□ zone",
		"a\u200db":           "ab",
	}
	for in, out := range want {
		c := New(plainLook(), 20, 1)
		n := c.Pane().Print(0, 0, look.Text, in)
		if got := strings.TrimRight(c.Plain(), " "); got != out {
			t.Errorf("%q: got %q, want %q", in, got, out)
		}
		if n != Width(in) || n != ansi.StringWidth(out) {
			t.Errorf("%q: ends at column %d, Width %d, want %d", in, n, Width(in), ansi.StringWidth(out))
		}
	}
	c := New(look.New(look.Dark(), look.NoColor, look.ASCII), 21, 1)
	c.Pane().Print(0, 0, look.Text, "Señor 72 °F · 8 m² 日")
	if got, want := c.Plain(), "Senor 72  F . 8 m2 ??"; got != want {
		t.Errorf("ASCII: got %q, want %q", got, want)
	}
}

func TestWideIsCutCleanly(t *testing.T) {
	c := New(plainLook(), 6, 1)
	p := c.Pane()
	p.Print(0, 0, look.Text, "日本語")
	p.Print(1, 0, look.Text, "x")
	if got, want := c.Plain(), " x本語"; got != want {
		t.Errorf("over the right half: got %q, want %q", got, want)
	}
	p.Print(4, 0, look.Text, "y")
	if got, want := c.Plain(), " x本y "; got != want {
		t.Errorf("over the left half: got %q, want %q", got, want)
	}
	p.Sub(Rect{0, 0, 3, 1}).Print(0, 0, look.Text, "日本")
	if got, want := c.Plain(), "日  y "; got != want {
		t.Errorf("cut at the pane's edge: got %q, want %q", got, want)
	}
}

func TestSplits(t *testing.T) {
	p := New(plainLook(), 20, 10).Pane()
	top, rest := p.Top(3)
	body, foot := rest.Bottom(2)
	left, right := body.Left(5)
	cols := p.Columns(1, 1, 1, 1)
	rows := p.Rows(0, 2, 1)
	got := []Rect{top.r, foot.r, left.r, right.r, cols[0].r, cols[1].r, cols[2].r, rows[0].r, rows[1].r, p.Inset(2, 1).r}
	want := []Rect{
		{0, 0, 20, 3},
		{0, 8, 20, 2},
		{0, 3, 5, 5},
		{5, 3, 15, 5},
		{0, 0, 6, 10},
		{7, 0, 6, 10},
		{14, 0, 6, 10},
		{0, 0, 20, 7},
		{0, 7, 20, 3},
		{2, 1, 16, 8},
	}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
}

func TestShareAddsUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		length, gap := rapid.IntRange(0, 300).Draw(t, "length"), rapid.IntRange(0, 3).Draw(t, "gap")
		weights := rapid.SliceOfN(rapid.IntRange(-1, 5), 1, 6).Draw(t, "weights")
		sum := gap * (len(weights) - 1)
		for _, n := range Share(length, gap, weights...) {
			if n < 0 {
				t.Fatalf("a part of %d", n)
			}
			sum += n
		}
		if want := max(length, gap*(len(weights)-1)); sum != want {
			t.Fatalf("parts and gaps add up to %d, want %d", sum, want)
		}
	})
}

func TestTitleAndWrap(t *testing.T) {
	c := New(plainLook(), 20, 4)
	rest := c.Pane().Title("Pace", "2 min ago")
	rest.Wrap(0, look.Text, "rake waits on the second mixer, start the next batch as soon as a bucket is back")
	want := "Pace ───── 2 min ago\nrake waits on the   \nsecond mixer, start \nthe next batch as s…"
	if got := c.Plain(); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

func TestCachedDrawsOnlyOnChange(t *testing.T) {
	var k Cached[int]
	l := plainLook()
	n := 0
	draw := func(p Pane) { n++; p.Print(0, 0, look.Text, "seen") }
	show := func(l *look.Look, w, key int) string {
		c := New(l, w, 1)
		k.Draw(c.Pane(), key, draw)
		return c.Plain()
	}
	show(l, 6, 1)
	if got := show(l, 6, 1); got != "seen  " || n != 1 {
		t.Errorf("same key: %q after %d drawings, want one", got, n)
	}
	show(l, 6, 2)
	show(l, 7, 2)
	show(plainLook(), 7, 2)
	if n != 4 {
		t.Errorf("%d drawings, want 4: one for each new key, size and look", n)
	}
}

func FuzzPrint(f *testing.F) {
	for _, s := range names {
		f.Add(s, 7)
	}
	l := look.New(look.Dark(), look.Colors256, look.Unicode)
	f.Fuzz(func(t *testing.T, s string, w int) {
		w = min(max(w, 0), 40)
		c := New(l, w, 2)
		c.Pane().Print(0, 0, look.Text, s)
		c.Pane().Title(s, s)
		exact(t, c, w, 2)
	})
}

func BenchmarkString(b *testing.B) {
	c := New(look.New(look.Dark(), look.TrueColor, look.Unicode), 160, 45)
	for y := range 45 {
		c.Pane().Spans(0, y, Span{look.Text, "batch 31 poured "}, Span{look.Good, "joinable "}, Span{look.Dim, "2 min ago"})
	}
	b.ReportAllocs()
	for b.Loop() {
		_ = c.String()
	}
}

// A text is shortened by whole clauses; a figure stands whole or not at all.
func TestWholeClauses(t *testing.T) {
	for _, q := range []struct {
		text string
		w    int
		want string
	}{
		{"needs one every 3:19, mixers can 4:15; widest pull 21.3 ft", 80, "needs one every 3:19, mixers can 4:15; widest pull 21.3 ft"},
		{"needs one every 3:19, mixers can 4:15; widest pull 21.3 ft", 57, "needs one every 3:19, mixers can 4:15"},
		{"needs one every 3:19, mixers can 4:15; widest pull 21.3 ft", 36, "needs one every 3:19"},
		{"needs one every 3:19, mixers can 4:15", 10, "needs one every 3:19, mixers can 4:15"},
		{"at 12:30", 5, "at 12:30"},
		{"日本: 12:30", 4, "日本"},
		{"", 0, ""},
	} {
		if got := Whole(q.text, q.w); got != q.want {
			t.Errorf("%q in %d: %q, want %q", q.text, q.w, got, q.want)
		}
	}
}
