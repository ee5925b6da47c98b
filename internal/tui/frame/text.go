package frame

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/charmbracelet/x/ansi"
	"golang.org/x/text/unicode/norm"
)

// Width gives the cells that text takes when it is drawn on a canvas.
func Width(text string) int {
	w := 0
	for text != "" {
		var cw int
		_, cw, text = next(text, false)
		w += cw
	}
	return w
}

const doubtful = "□" // stands for a cluster that terminals draw at different widths

// oneCell holds the signs that Set may draw without measuring them.
var oneCell = func() map[string]bool {
	m := map[string]bool{"": false}
	for r := rune(0x2500); r < 0x2600; r++ { // box drawing, blocks, geometric shapes
		if s := string(r); ansi.StringWidth(s) == 1 && ansi.StringWidthWc(s) == 1 {
			m[s] = true
		}
	}
	for r := rune(0x2800); r < 0x2900; r++ { // braille
		m[string(r)] = true
	}
	return m
}()

// next takes the first cluster off text: what to draw, its width in cells and
// the rest. The width is 0 for what is dropped, otherwise 1 or 2, and does not
// depend on whether the glyph set is ASCII.
func next(text string, ascii bool) (cluster string, width int, rest string) {
	if c := text[0]; c < utf8.RuneSelf && (len(text) == 1 || text[1] < utf8.RuneSelf) {
		return shown(text[:1], rune(c)), controlWidth(rune(c)), text[1:]
	}
	cl, w := ansi.FirstGraphemeCluster(text, ansi.GraphemeWidth)
	if cl == "" {
		return "", 0, ""
	}
	rest = text[len(cl):]
	r, size := utf8.DecodeRuneInString(cl)
	switch {
	case r == utf8.RuneError && size <= 1:
		cl, w = doubtful, 1
	case unicode.IsControl(r):
		return shown(cl, r), controlWidth(r), rest
	case hidden(r):
		return "", 0, rest
	case joinsBefore(r, cl):
		cl, w = doubtful, 1
	case w != ansi.StringWidthWc(cl) || w < 1 || w > 2 || !utf8.ValidString(cl) || hasHidden(cl):
		cl, w = base(r)
	}
	if ascii {
		cl = toASCII(cl, w)
	}
	return cl, w, rest
}

// base gives a cluster's first character alone where every terminal agrees on
// its width, else a box.
func base(r rune) (string, int) {
	s := string(r)
	w := ansi.StringWidth(s)
	if w == ansi.StringWidthWc(s) && (w == 1 || w == 2) && !(r >= 0x1F1E6 && r <= 0x1F1FF) {
		return s, w
	}
	return doubtful, 1
}

// joinsBefore tells what a terminal melts into the cell before when it stands
// first in its own: marks, skin tones and the like, Hangul vowels and finals.
func joinsBefore(r rune, cl string) bool {
	if unicode.In(r, unicode.M) || r >= 0x1160 && r <= 0x11FF || r >= 0xD7B0 && r <= 0xD7FB {
		return true
	}
	first, _ := ansi.FirstGraphemeCluster(" "+cl, ansi.GraphemeWidth)
	return first != " "
}

// Controls that separate words become a blank, the others are dropped.
func controlWidth(r rune) int {
	if r == '\n' || r == '\t' || !unicode.IsControl(r) {
		return 1
	}
	return 0
}

func shown(s string, r rune) string {
	if unicode.IsControl(r) {
		return " "
	}
	return s
}

// hidden tells format characters (bidi controls, joiners, tags), private use
// and line separators.
func hidden(r rune) bool { return unicode.In(r, unicode.Cf, unicode.Co, unicode.Zl, unicode.Zp) }

func hasHidden(s string) bool { return strings.ContainsFunc(s, hidden) }

// inASCII are the characters of our own words that ASCII lacks.
var inASCII = map[string]string{
	"°": " ", "²": "2", "³": "3", "·": ".", "–": "-", "—": "-", "−": "-", "…": "~", "≈": "~", "≥": ">", "≤": "<", "×": "x",
	"→": ">", "←": "<", "↑": "^", "↓": "v", "✓": "+", "●": "*", "○": "o", "▲": "!", "▼": "v", "►": ">", "◄": "<",
	"■": "#", "□": "?", "│": "|", "─": "-", "█": "#", "½": "?", "±": "~", "“": "\"", "”": "\"", "‘": "'", "’": "'", "•": "*",
	"⌂": "M", "♦": "*", "∆": "d", "µ": "u", "\u00a0": " ", "ß": "s", "Æ": "A", "æ": "a", "Ø": "O", "ø": "o", "Ł": "L", "ł": "l",
}

func toASCII(cl string, w int) string {
	if s, ok := inASCII[cl]; ok {
		return s
	}
	if r := norm.NFD.String(cl)[0]; r < utf8.RuneSelf {
		return string(rune(r))
	}
	return strings.Repeat("?", w)
}

// Whole gives as much of a text as fits into w cells without cutting a clause: a
// figure cut short is a wrong figure. Clauses end at a comma, semicolon or colon
// before a blank. A text whose first clause does not fit is given as it is, to be
// cut by whoever prints it.
func Whole(text string, w int) string {
	if Width(text) <= w {
		return text
	}
	for i := len(text) - 2; i > 0; i-- {
		if text[i+1] == ' ' && strings.IndexByte(",;:", text[i]) >= 0 && Width(text[:i]) <= w {
			return text[:i]
		}
	}
	return text
}

// WrapLines breaks text at blanks into lines of at most w cells; a word that
// is wider is broken where it must.
func WrapLines(text string, w int) []string {
	if w <= 0 {
		return nil
	}
	var lines []string
	line, lineW := "", 0
	flush := func() {
		if line != "" {
			lines = append(lines, line)
			line, lineW = "", 0
		}
	}
	for _, word := range strings.Fields(text) {
		ww := Width(word)
		if line != "" && lineW+1+ww > w {
			flush()
		}
		for ww > w && w > 1 {
			head, rest := cut(word, w)
			lines = append(lines, head)
			word, ww = rest, Width(rest)
		}
		if line != "" {
			line, lineW = line+" ", lineW+1
		}
		line, lineW = line+word, lineW+ww
	}
	flush()
	return lines
}

// cut splits word so that the head takes at most w cells, and at least one
// cluster.
func cut(word string, w int) (head, rest string) {
	rest, used := word, 0
	for rest != "" {
		_, cw, r := next(rest, false)
		if used+cw > w && used > 0 {
			break
		}
		used, rest = used+cw, r
	}
	return word[:len(word)-len(rest)], rest
}
