// Package clean makes a string from outside safe to print: plan texts, file
// and host names, system errors, lines of another station's log. Every string
// that is not a literal of this program goes through String (or Fit, Pad, CSV)
// before it reaches a terminal or a paper.
//
// What is left after String is graphic characters and plain spaces only:
//
//	dropped   C0 controls and DEL, C1 controls (U+0080-9F), bytes that are not
//	          UTF-8, format and bidi controls (Cf), private use (Co),
//	          unassigned code points and noncharacters (Cn), U+2028 and
//	          U+2029, variation selectors and other invisible letters and
//	          marks (Default_Ignorable_Code_Point)
//	changed   every space separator (Zs) becomes one plain space
//	limited   combining marks: at most MaxMarks in a row, none without a base
//
// The remains of an escape sequence ("[31m" after its ESC is gone) stay as
// text: harmless, and honest about what was in the file.
//
// Widths are counted in terminal cells, by grapheme cluster (UAX #29) and East
// Asian width (UAX #11), ambiguous characters as one cell, with the library
// that the terminal renderer measures with: a second opinion on widths would
// tear rectangles (others differ on about 600 characters).
//
// Sources: ECMA-48 (C0, C1 and escape sequences), The Unicode Standard ch. 4
// (general categories) and ch. 23 (special areas and format characters),
// UAX #9 (bidi controls).
package clean

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/clipperhouse/displaywidth"
)

// MaxMarks is the longest run of combining marks kept behind one base
// character. Three serve written languages (a Hebrew letter with point, dagesh
// and accent; a Thai consonant with vowel and tone); stacks beyond that only
// paint over the rows above and below.
const MaxMarks = 3

// ellipsis ends a text that was cut; one cell wide.
const ellipsis = "…"

// String returns s without anything a terminal might act upon. It is
// idempotent and never longer, in bytes, than s.
func String(s string) string {
	if isPlain(s) {
		return s
	}
	var b strings.Builder
	b.Grow(len(s))
	marks, based := 0, false
	for i := 0; i < len(s); {
		r, size := utf8.DecodeRuneInString(s[i:])
		bad := r == utf8.RuneError && size == 1
		i += size
		switch {
		case bad || !keep(r):
			continue
		case unicode.Is(unicode.Zs, r):
			b.WriteByte(' ')
			marks, based = 0, true
		case unicode.Is(unicode.M, r):
			if !based || marks == MaxMarks {
				continue
			}
			marks++
			b.WriteRune(r)
		default:
			b.WriteRune(r)
			marks, based = 0, true
		}
	}
	return b.String()
}

// isPlain reports whether s is printable ASCII only, the usual case.
func isPlain(s string) bool {
	for i := 0; i < len(s); i++ {
		if s[i] < 0x20 || s[i] > 0x7e {
			return false
		}
	}
	return true
}

// keep reports whether a terminal shows r as a visible character, a mark or a
// space, and nothing else happens.
func keep(r rune) bool {
	return unicode.IsGraphic(r) &&
		!unicode.Is(unicode.Variation_Selector, r) &&
		!unicode.Is(unicode.Other_Default_Ignorable_Code_Point, r)
}

// Cells returns how many terminal cells String(s) takes.
func Cells(s string) int {
	s = String(s)
	if isPlain(s) {
		return len(s)
	}
	return width(s)
}

func width(s string) int { return displaywidth.String(s) }

// Fit cleans s and cuts it to at most cells cells, an ellipsis last when
// something was cut. Grapheme clusters are never split. cells <= 0 gives "".
func Fit(s string, cells int) string {
	if cells <= 0 {
		return ""
	}
	s = String(s)
	if width(s) <= cells {
		return s
	}
	end, used := 0, 0
	for g := displaywidth.StringGraphemes(s); g.Next(); {
		if used+g.Width() > cells-1 {
			break
		}
		used += g.Width()
		end += len(g.Value())
	}
	return s[:end] + ellipsis
}

// Pad is Fit filled up with spaces on the right to exactly cells cells.
func Pad(s string, cells int) string {
	s = Fit(s, cells)
	return s + strings.Repeat(" ", max(0, cells-width(s)))
}

// CSV cleans s for a cell of a comma-separated file. A text that a spreadsheet
// would take for a formula (it starts with = + - or @; a leading tab or CR is
// already gone) gets an apostrophe in front.
// Source of the list: OWASP, "CSV Injection".
func CSV(s string) string {
	s = String(s)
	if s != "" && strings.ContainsRune("=+-@", rune(s[0])) {
		return "'" + s
	}
	return s
}
