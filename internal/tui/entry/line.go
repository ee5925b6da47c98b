// Package entry holds what stands at the bottom of the screen while a figure
// is typed or one of a few is chosen: a Line for figures and notes, a List for
// reasons and posts. Neither hides the clock, neither knows the day; both say
// what was wrong and wait.
//
// Figures take digits, the signs of a figure (. - / and the blank in "12 1/2")
// and Enter. A comma counts as the decimal point it is on many number pads.
// Whatever else is pressed changes nothing and says so.
package entry

import (
	"fmt"
	"strings"

	"floorpace/internal/clean"
	"floorpace/internal/tui/frame"
	"floorpace/internal/tui/look"
	"floorpace/internal/units"
)

// Sort is what a line takes.
type Sort uint8

// Sorts of lines.
const (
	Figure Sort = iota // a quantity in the crew's units
	Whole              // a count
	Words              // free text
)

// Line is one line of entry. Set the exported fields, then feed keys.
type Line struct {
	Ask    string // what is asked: "slab"
	Sort   Sort
	Kind   units.Kind   // of a Figure
	System units.System // the crew's own units
	// Usual is the range that needs no question, SI for a Figure; two equal
	// figures ask nothing. Outside it Enter asks once.
	Usual [2]float64
	// Refuse says in words why a value cannot be; nil or "" takes it.
	Refuse func(v float64) string
	// MayBeEmpty lets Enter alone through, with NaN left to the caller to read
	// from Text == "".
	MayBeEmpty bool

	text  []rune
	note  string // refusal or question of the last key
	asked string // the text for which the question was answered by asking
}

// Outcome is what a key did to a line.
type Outcome struct {
	Done  bool    // Enter took it
	Left  bool    // Esc left it
	Value float64 // SI for a Figure, the number for a Whole
	Text  string
}

// longest keeps a note within one record and one paper line or two.
const longest = 200

// Key takes a key by its name ("enter", "backspace", "7") and, for characters,
// the characters themselves, a pasted text included.
func (l *Line) Key(name string, chars []rune) Outcome {
	l.note = ""
	switch name {
	case "esc":
		return Outcome{Left: true}
	case "enter":
		return l.enter()
	case "backspace", "delete":
		if n := len(l.text); n > 0 {
			l.text = l.text[:n-1]
		}
		return Outcome{}
	case "space", " ":
		chars = []rune{' '}
	}
	if len(chars) == 0 {
		l.note = "Enter takes it, Esc leaves"
		return Outcome{}
	}
	for _, r := range chars {
		l.char(r)
	}
	return Outcome{}
}

func (l *Line) char(r rune) {
	if l.Sort == Figure && r == ',' {
		r = '.'
	}
	ok := false
	switch l.Sort {
	case Figure:
		ok = r >= '0' && r <= '9' || strings.ContainsRune(".-/ ", r)
	case Whole:
		ok = r >= '0' && r <= '9'
	case Words:
		ok = clean.String(string(r)) != ""
	}
	switch {
	case !ok && l.Sort == Words: // a control character: dropped without a word
	case !ok:
		l.note = "digits only here: Enter takes it, Esc leaves"
	case len(l.text) >= longest || l.Sort != Words && len(l.text) >= 12:
		l.note = "that is as long as it gets"
	default:
		l.text = append(l.text, r)
	}
}

func (l *Line) enter() Outcome {
	text := strings.TrimSpace(clean.String(string(l.text)))
	out := Outcome{Text: text}
	if text == "" {
		if l.MayBeEmpty {
			out.Done = true
			return out
		}
		l.note = "nothing is written yet: Esc leaves"
		return Outcome{}
	}
	if l.Sort == Words {
		out.Done = true
		return out
	}
	v, err := l.value(text)
	if err != nil {
		l.note = err.Error()
		return Outcome{}
	}
	if l.Refuse != nil {
		if words := l.Refuse(v); words != "" {
			l.note = words
			return Outcome{}
		}
	}
	if lo, hi := l.Usual[0], l.Usual[1]; lo != hi && (v < lo || v > hi) && l.asked != text {
		l.asked = text
		l.note = fmt.Sprintf("%s is unusual (%s to %s): Enter again if it is right", l.show(v), l.bare(lo), l.show(hi))
		return Outcome{}
	}
	out.Done, out.Value = true, v
	return out
}

func (l *Line) value(text string) (float64, error) {
	if l.Sort == Whole {
		n := 0
		for _, r := range text {
			n = n*10 + int(r-'0')
			if n > 1e6 {
				return 0, fmt.Errorf("%s is too many", text)
			}
		}
		return float64(n), nil
	}
	if l.Kind == units.Share { // the unit stands on the line, so that 0.5 means half a per cent
		text += " %"
	}
	return units.Parse(l.Kind, text, l.System)
}

func (l *Line) show(v float64) string {
	if l.Sort == Whole {
		return fmt.Sprintf("%.0f", v)
	}
	return units.Format(l.Kind, v, l.System)
}

func (l *Line) bare(v float64) string {
	if l.Sort == Whole {
		return fmt.Sprintf("%.0f", v)
	}
	return units.FormatBare(l.Kind, v, l.System)
}

// Say shows words until the next key.
func (l *Line) Say(words string) { l.note = words }

// Note is what the last key had to be told, "" for nothing.
func (l *Line) Note() string { return l.note }

// Text is what stands on the line.
func (l *Line) Text() string { return string(l.text) }

// Unit is the unit that a figure is typed in; "" where there is none.
func (l *Line) Unit() string {
	if l.Sort == Figure {
		return units.Unit(l.Kind, l.System)
	}
	return ""
}

// Draw draws the line on the first row of the pane and, where there is a
// second, what had to be said or how to go on. On one row alone a refusal
// takes the place of the question.
func (l *Line) Draw(p frame.Pane) {
	if p.Empty() {
		return
	}
	hint := "Enter takes it" + " " + p.Glyph(look.GlyphDot) + " Esc leaves"
	row := p.Row(0)
	row.Plate(look.PlateText)
	ask := clean.String(l.Ask)
	if p.H() == 1 && l.note != "" {
		ask = l.note
	}
	typed := string(l.text)
	unit := l.Unit()
	room := max(p.W()-frame.Width(typed)-frame.Width(unit)-5, 0)
	x := row.PrintFit(1, 0, room, look.PlateText, ask+":") + 1
	if over := frame.Width(typed) + frame.Width(unit) + 3 + x - p.W(); over > 0 { // a long note: its end is being written
		typed = tail(typed, max(frame.Width(typed)-over, 1))
	}
	x = row.Print(x, 0, look.PlateText, typed)
	x = row.Print(x, 0, look.PlateText, "_") + 1
	x = row.Print(x, 0, look.PlateText, unit)
	below := hint
	if frame.Width(hint)+x+3 <= p.W() {
		row.PrintRight(p.W()-1, 0, look.PlateText, hint)
		below = ""
	}
	if p.H() > 1 {
		role, words := look.Dim, below
		if l.note != "" {
			role, words = look.Warn, p.Glyph(look.GlyphWarn)+" "+l.note
		}
		p.PrintFit(1, 1, p.W()-2, role, words)
	}
}

// tail is the end of a text in at most w cells.
func tail(text string, w int) string {
	rs := []rune(text)
	for len(rs) > 0 && frame.Width(string(rs)) > w {
		rs = rs[1:]
	}
	return string(rs)
}
