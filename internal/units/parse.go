package units

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// maxText is the longest quantity read: no sensible one is half as long.
const maxText = 64

// Parse reads a quantity of kind k and returns it in SI. A bare number is in
// the crew's unit of k (see [Unit]); otherwise any unit of the same sort will
// do. Fractions ("3/16 in", "1 1/2 in") and chains ("12 ft 6 in") are read.
//
// A Share is always per cent: "6 %" and "6" are both 0.06. A bare number
// between 0 and 1, such as "0.06", could mean 6 % or 0.06 % and is refused until
// its % sign is written.
//
// Time also takes the clock forms of [ParseDuration].
//
// Refused, each with an [*Error]: no number, a comma, a unit that is unknown or
// measures something else, an exponent, words such as "nan" or "inf", and a
// value outside the kind's widest range.
func Parse(k Kind, s string, sys System) (si float64, err error) {
	if k == Time {
		d, err := ParseDuration(s)
		return d.Seconds(), err
	}
	return parseTerms(k, s, sys)
}

// refuse builds the error for text s of kind k.
func refuse(k Kind, s, reason, hint string) *Error {
	if len(s) > maxText {
		s = s[:maxText] + "..."
	}
	return &Error{Input: s, What: k.info().name, Reason: reason, Hint: hint}
}

// parseTerms reads [sign] number [unit] { number unit }.
func parseTerms(k Kind, s string, sys System) (float64, error) {
	in := k.info()
	if len(s) > maxText {
		return 0, refuse(k, s, "is too long", "write a number and its unit, such as "+Format(k, From(k, 6, sys), sys))
	}
	if strings.ContainsAny(s, ",;") {
		return 0, refuse(k, s, "has a comma", "write a point for decimals and nothing between thousands")
	}
	text := normalise(s)
	sign := 1.0
	switch {
	case strings.HasPrefix(text, "-"):
		sign, text = -1, text[1:]
	case strings.HasPrefix(text, "+"):
		text = text[1:]
	}
	if sign < 0 && in.min >= 0 {
		return 0, refuse(k, s, "is negative", "write it without the minus sign")
	}
	var sum float64
	var prev written
	for n := 0; ; n++ {
		t, rest, err := readTerm(k, s, text)
		if err != nil {
			return 0, err
		}
		if err := chainFits(k, s, n, prev, t); err != nil {
			return 0, err
		}
		if !t.hasUnit {
			return finish(k, s, sys, sign*t.value, true)
		}
		sum += t.si(k, sign)
		if rest == "" {
			return finish(k, s, sys, sign*sum, false)
		}
		prev, text = t.unit, strings.TrimPrefix(rest, "-")
		if !t.whole {
			return 0, refuse(k, s, "goes on after a part of a "+t.unit.spelling, "write one number with one unit")
		}
	}
}

// finish turns the signed sum into SI and checks the range.
func finish(k Kind, s string, sys System, v float64, bare bool) (float64, error) {
	if bare {
		if k == Share && v > 0 && v < 1 {
			return 0, refuse(k, s, "could mean two things",
				fmt.Sprintf("write %s %% or %s %%", trimNumber(v*100, 6), trimNumber(v, 6)))
		}
		v = From(k, v, sys)
	}
	if err := Check(k, v, sys); err != nil {
		e := err.(*Error)
		e.Input = s
		return 0, e
	}
	return v + 0, nil // + 0 turns a negative zero into plain zero
}

// term is one number with its unit, as written.
type term struct {
	value   float64
	whole   bool // no decimals and no fraction
	unit    written
	hasUnit bool
}

// si is the size of the term in SI, without its sign. A Fahrenheit temperature
// needs the sign before the 32 is taken off, so it is put in and out again.
func (t term) si(k Kind, sign float64) float64 {
	if k == Temp && t.unit.chain == 'F' {
		return sign * (sign*t.value - 32) / 1.8
	}
	return t.value * t.unit.factor
}

// readTerm reads one number and the unit behind it, if any.
func readTerm(k Kind, s, text string) (t term, rest string, err error) {
	v, whole, rest, ok := readNumber(strings.TrimPrefix(text, " "))
	if !ok {
		return t, "", refuse(k, s, "has no number where one is needed", "write a number and one of "+k.info().fits)
	}
	t = term{value: v, whole: whole}
	rest = strings.TrimPrefix(rest, " ")
	if rest == "" {
		return t, "", nil
	}
	u, ok := matchUnit(rest)
	if !ok {
		return t, "", refuse(k, s, fmt.Sprintf("has no unit this program knows in %q", rest), "use "+k.info().fits)
	}
	if u.dim != k.info().dim || u.chain == 'K' && k == Temp {
		return t, "", refuse(k, s, fmt.Sprintf("is in \"%s\", a unit of %s", u.spelling, u.measures()), "use "+k.info().fits)
	}
	t.unit, t.hasUnit = u, true
	return t, strings.TrimPrefix(rest[len(u.spelling):], " "), nil
}

func (w written) measures() string {
	if w.chain == 'K' {
		return "temperature difference"
	}
	return dimNames[w.dim]
}

// chainFits checks that the n-th term may follow the one before it.
func chainFits(k Kind, s string, n int, prev written, t term) error {
	if n == 0 {
		return nil
	}
	hint := "write one number with one unit"
	switch prev.chain {
	case 'f':
		hint = "write it like 12 ft 6 in"
	case 'p':
		hint = "write it like 3 lb 4 oz"
	case 't':
		hint = "write it like 2 h 30 min"
	}
	switch {
	case !t.hasUnit:
		return refuse(k, s, "ends in a number without a unit", hint)
	case prev.chain == 0 || prev.chain == 'F' || t.unit.chain != prev.chain || t.unit.factor >= prev.factor:
		return refuse(k, s, fmt.Sprintf("has \"%s\" after \"%s\"", t.unit.spelling, prev.spelling), hint)
	case t.value*t.unit.factor >= prev.factor*(1-1e-12):
		return refuse(k, s, fmt.Sprintf("has a full \"%s\" or more left over in \"%s\"", prev.spelling, t.unit.spelling), hint)
	}
	return nil
}

// readNumber reads "12", "0.5", ".5", "3/16", "1 1/2" or "1-1/2" from the head
// of s. whole is true for plain digits.
func readNumber(s string) (v float64, whole bool, rest string, ok bool) {
	i := digits(s)
	j := i
	if j < len(s) && s[j] == '.' {
		j++
		j += digits(s[j:])
	}
	if j == 0 || s[:j] == "." {
		return 0, false, s, false
	}
	v, err := strconv.ParseFloat(s[:j], 64)
	if err != nil || math.IsInf(v, 0) {
		return 0, false, s, false
	}
	rest = s[j:]
	if j > i { // a decimal point: no fraction may follow
		return v, false, rest, true
	}
	if strings.HasPrefix(rest, "/") {
		den, after, ok := denominator(rest[1:])
		return v / den, false, after, ok
	}
	if rest != "" && (rest[0] == ' ' || rest[0] == '-') {
		n := digits(rest[1:])
		if after := rest[1+n:]; n > 0 && n <= 6 && strings.HasPrefix(after, "/") && after[1:] != "" {
			num, _ := strconv.ParseFloat(rest[1:1+n], 64)
			den, after, ok := denominator(after[1:])
			if !ok || num >= den { // "1 5/4" is a slip, not a number
				return 0, false, s, false
			}
			return v + num/den, false, after, true
		}
	}
	return v, true, rest, true
}

// denominator reads the lower half of a fraction: up to six digits, not zero.
func denominator(s string) (v float64, rest string, ok bool) {
	n := digits(s)
	if n == 0 || n > 6 {
		return 1, s, false
	}
	v, err := strconv.ParseFloat(s[:n], 64)
	return v, s[n:], err == nil && v > 0
}

// digits counts the digits at the head of s.
func digits(s string) int {
	i := 0
	for i < len(s) && isDigit(s[i]) {
		i++
	}
	return i
}
