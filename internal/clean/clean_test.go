package clean_test

import (
	"bytes"
	"encoding/csv"
	"os"
	"strconv"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"floorpace/internal/clean"

	"github.com/rivo/uniseg"
	"pgregory.net/rapid"
)

// corpus reads testdata/escapes.csv; its texts are written with Go's escapes.
func corpus(t testing.TB) (rows []row) {
	t.Helper()
	b, err := os.ReadFile("testdata/escapes.csv")
	if err != nil {
		t.Fatal(err)
	}
	all, err := csv.NewReader(bytes.NewReader(b)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range all[1:] {
		cells, err := strconv.Atoi(r[3])
		if err != nil || r[4] == "" {
			t.Fatalf("row %s: %v", r[0], err)
		}
		rows = append(rows, row{r[0], unquote(t, r[1]), unquote(t, r[2]), cells})
	}
	return rows
}

type row struct {
	name, text, clean string
	cells             int
}

func unquote(t testing.TB, s string) string {
	t.Helper()
	text, err := strconv.Unquote(`"` + strings.ReplaceAll(s, `"`, `\"`) + `"`)
	if err != nil {
		t.Fatalf("%s: %v", s, err)
	}
	return text
}

func TestCorpus(t *testing.T) {
	rows := corpus(t)
	if len(rows) < 18 {
		t.Errorf("%d rows, at least 18 are asked for", len(rows))
	}
	for _, r := range rows {
		if got := clean.String(r.text); got != r.clean {
			t.Errorf("%s: String(%q) = %q, want %q", r.name, r.text, got, r.clean)
		}
		if got := clean.Cells(r.text); got != r.cells {
			t.Errorf("%s: Cells(%q) = %d, want %d", r.name, r.text, got, r.cells)
		}
	}
}

// harmless reports why a cleaned string is not what the package promises.
func harmless(s string) string {
	marks, based := 0, false
	for i, r := range s {
		switch {
		case r == utf8.RuneError && !strings.HasPrefix(s[i:], "\ufffd"):
			return "not UTF-8"
		case r < 0x20 || r >= 0x7f && r < 0xa0:
			return "a control character"
		case unicode.In(r, unicode.Cf, unicode.Co, unicode.Cs, unicode.Zl, unicode.Zp, unicode.Bidi_Control, unicode.Variation_Selector):
			return "a format character"
		case unicode.Is(unicode.M, r):
			if marks++; marks > clean.MaxMarks || !based {
				return "marks without end or base"
			}
		default:
			marks, based = 0, true
		}
	}
	return ""
}

func checkLaws(t interface {
	Helper()
	Errorf(string, ...any)
}, s string, cells int,
) {
	t.Helper()
	got := clean.String(s)
	if why := harmless(got); why != "" {
		t.Errorf("String(%q) = %q holds %s", s, got, why)
	}
	if clean.String(got) != got || len(got) > len(s) {
		t.Errorf("String(%q) = %q, again %q", s, got, clean.String(got))
	}
	fit := clean.Fit(s, cells)
	if n := clean.Cells(fit); n > max(cells, 0) || harmless(fit) != "" || clean.String(fit) != fit {
		t.Errorf("Fit(%q, %d) = %q of %d cells", s, cells, fit, n)
	}
	if clean.Cells(s) <= cells && fit != got {
		t.Errorf("Fit(%q, %d) = %q although %q fits", s, cells, fit, got)
	}
	if pad := clean.Pad(s, cells); cells > 0 && clean.Cells(pad) != cells {
		t.Errorf("Pad(%q, %d) = %q of %d cells", s, cells, pad, clean.Cells(pad))
	}
	if c := clean.CSV(s); c != "" && strings.ContainsRune("=+-@\t\r", rune(c[0])) {
		t.Errorf("CSV(%q) = %q", s, c)
	}
}

func TestLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		checkLaws(t, rapid.String().Draw(t, "s"), rapid.IntRange(-1, 30).Draw(t, "cells"))
	})
	for _, r := range corpus(t) {
		for cells := -1; cells < 40; cells++ {
			checkLaws(t, r.text, cells)
		}
	}
}

func FuzzString(f *testing.F) {
	for _, r := range corpus(f) {
		f.Add(r.text, 8)
	}
	f.Fuzz(func(t *testing.T, s string, cells int) { checkLaws(t, s, cells%1000) })
}

// TestEveryCodePoint cleans each code point and holds its width against another
// library. The two are known to differ on some marks that take room and on
// some rare symbols, not on the letters, digits and signs of a plan.
func TestEveryCodePoint(t *testing.T) {
	kept, differ := 0, 0
	for r := rune(0); r <= unicode.MaxRune; r++ {
		s := clean.String("a" + string(r))
		if s == "a" || !utf8.ValidRune(r) {
			continue
		}
		kept++
		if why := harmless(s); why != "" {
			t.Errorf("%U leaves %s", r, why)
		}
		got, want := clean.Cells("a"+string(r)), uniseg.StringWidth(s)
		if got == want {
			continue
		}
		differ++
		if !unicode.Is(unicode.M, r) && unicode.In(r, unicode.Latin, unicode.Greek, unicode.Cyrillic, unicode.Han, unicode.Hiragana, unicode.Katakana, unicode.Nd, unicode.Sm, unicode.Sc) ||
			got < 1 || got > 3 {
			t.Errorf("%U %q: %d cells, the other library says %d", r, s, got, want)
		}
	}
	t.Logf("%d code points kept, %d widths differ", kept, differ)
	if differ > kept/100 {
		t.Errorf("%d of %d widths differ: more than one in a hundred", differ, kept)
	}
}

func TestFit(t *testing.T) {
	for _, c := range []struct {
		s     string
		cells int
		want  string
	}{
		{"north bay", 9, "north bay"},
		{"north bay", 8, "north b…"},
		{"north bay", 1, "…"},
		{"north bay", 0, ""},
		{"\u65bd\u5de5\u65bd\u5de5", 6, "\u65bd\u5de5…"}, // the third wide one does not fit beside the ellipsis
		{"a\u0301\u0302bc", 2, "a\u0301\u0302…"},
	} {
		if got := clean.Fit(c.s, c.cells); got != c.want {
			t.Errorf("Fit(%q, %d) = %q, want %q", c.s, c.cells, got, c.want)
		}
	}
	if got := clean.Pad("ab", 5); got != "ab   " {
		t.Errorf("Pad gives %q", got)
	}
}

// TestCSV: the list of OWASP, "CSV Injection".
func TestCSV(t *testing.T) {
	for in, want := range map[string]string{
		"=1+1": "'=1+1", "+1": "'+1", "-1": "'-1", "@SUM(A1)": "'@SUM(A1)", "\t=1": "'=1", "\r=1": "'=1", "bag 3": "bag 3", "": "",
	} {
		if got := clean.CSV(in); got != want {
			t.Errorf("CSV(%q) = %q, want %q", in, got, want)
		}
	}
}
