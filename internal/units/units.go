// Package units reads and prints the quantities a floor crew writes: lengths,
// depths, areas, volumes, masses, temperatures, rates, shares and times.
//
// Inside the program everything is SI (m, m², L, kg, °C, s); the crew's own
// units, metric or US, appear only where text comes in or goes out.
//
// # Exact conversions used
//
//	1 in = 25.4 mm, 1 ft = 12 in, 1 mil = 0.001 in      (NIST SP 811, app. B)
//	1 US gal = 231 in³ = 3.785411784 L                  (NIST Handbook 44, app. C)
//	1 lb = 0.45359237 kg, 1 oz = 1/16 lb                (NIST SP 811, app. B)
//	t(°F) = 1.8·t(°C) + 32
//	1 L over 1 m² stands 1 mm deep
//
// (The sources are cited from memory; the tests check the numbers against the
// printed wet-film table.) From them 1 US gal at 1 mil covers 231/144·1000 =
// 1604.17 ft².
//
// # How a quantity is written
//
// A number, a fraction or both, then a unit: "6 mm", "3/16 in", "1 1/2 in",
// "66 ft²", "14 L", "72 °F". Feet and inches, pounds and ounces, and hours,
// minutes and seconds may follow one another: "12 ft 6 in", `12'6"`. A bare
// number is in the kind's own unit (see [Unit]). The decimal sign is a point; a
// comma is refused, because "1,500" means two different things on two sites.
//
// # Limits
//
// Each kind has a widest range, far beyond any floor, so that a slipped key is
// caught before it is computed with. Only Length, Temp and TempDiff may be
// negative. Every refusal is an [*Error] that says what was wrong and what to
// write instead.
package units

import (
	"fmt"
	"math"
)

// System is the crew's own system of units.
type System uint8

// The two systems a plan may be written in. US means US customary: its gallon is
// the 231 in³ one, never the imperial gallon.
const (
	Metric System = iota
	US
)

// String gives the word used in plan files: "metric" or "us".
func (s System) String() string {
	if s == US {
		return "us"
	}
	return "metric"
}

// ParseSystem reads "metric" or "us", in any letter case.
func ParseSystem(s string) (System, error) {
	switch normalise(s) {
	case "metric", "si":
		return Metric, nil
	case "us":
		return US, nil
	}
	return Metric, &Error{Input: s, What: "system of units", Reason: "is not known", Hint: "write metric or us"}
}

// Kind is the sort of quantity: it settles the SI unit inside, the crew's unit
// outside, which units may be written and the widest range.
type Kind uint8

// The kinds, with the SI unit each is held in and the metric / US unit that a
// bare number stands for.
const (
	Length   Kind = iota // m; m / ft
	Depth                // m; mm / in
	Area                 // m²; m² / ft²
	Volume               // L; L / US gal
	Mass                 // kg; kg / lb
	Temp                 // °C; °C / °F
	TempDiff             // K; degrees C / degrees F
	Speed                // m/s; m/s / ft/s
	AreaRate             // m²/min; m²/min / ft²/min
	Share                // 0 to 1; per cent in both
	Time                 // s; minutes in both
	kinds                // how many there are
)

// Exact factors; see the package comment for sources.
const (
	mPerIn  = 0.0254
	mPerFt  = 12 * mPerIn
	m2PerF2 = mPerFt * mPerFt
	lPerGal = 231 * mPerIn * mPerIn * mPerIn * 1000
	kgPerLb = 0.45359237
	kPerF   = 5.0 / 9.0
)

// crewUnit is one system's unit of a kind: how it is printed and how many SI
// units it holds. Digits after the point are the most that Format prints.
type crewUnit struct {
	name   string
	factor float64
	places int
}

// kindInfo says everything that depends on the kind alone.
type kindInfo struct {
	name     string
	dim      dim
	unit     [2]crewUnit // by System
	min, max float64     // SI, inclusive
	fits     string      // the units to suggest when another kind's was written
}

// The most decimals are what a crew can read off its own instruments: a tape to
// 1 cm, a scale to 1 g, a probe to 0.1 degree. TempDiff keeps two because a dew
// margin of 3.01 against 3 must not print as equal. The ranges are chosen a
// hundred times wider than any floor, only to catch slipped keys, and end on
// numbers that are round in feet or pounds and print no larger in either system,
// so that whatever is accepted also prints as something that is accepted.
var kindTable = [kinds]kindInfo{
	Length:   {"length", dimLength, [2]crewUnit{{"m", 1, 2}, {"ft", mPerFt, 2}}, -300e3 * mPerFt, 300e3 * mPerFt, "m, cm, mm, ft, in"},
	Depth:    {"depth", dimLength, [2]crewUnit{{"mm", 0.001, 2}, {"in", mPerIn, 3}}, 0, 360 * mPerIn, "mm, cm, in, mil"},
	Area:     {"area", dimArea, [2]crewUnit{{"m²", 1, 2}, {"ft²", m2PerF2, 2}}, 0, 1e9 * m2PerF2, "m², ft²"},
	Volume:   {"volume", dimVolume, [2]crewUnit{{"L", 1, 2}, {"gal", lPerGal, 2}}, 0, 1e8 * lPerGal, "L, mL, m³, gal, qt"},
	Mass:     {"mass", dimMass, [2]crewUnit{{"kg", 1, 3}, {"lb", kgPerLb, 2}}, 0, 1e8 * kgPerLb, "kg, g, lb, oz"},
	Temp:     {"temperature", dimTemp, [2]crewUnit{{"°C", 1, 1}, {"°F", kPerF, 1}}, -90, 1000, "°C, °F"},
	TempDiff: {"temperature difference", dimTemp, [2]crewUnit{{"°C", 1, 2}, {"°F", kPerF, 2}}, -900, 900, "°C, °F, K"},
	Speed:    {"speed", dimSpeed, [2]crewUnit{{"m/s", 1, 2}, {"ft/s", mPerFt, 2}}, 0, 300 * mPerFt, "m/s, m/min, ft/s, ft/min"},
	AreaRate: {"area rate", dimAreaRate, [2]crewUnit{{"m²/min", 1, 3}, {"ft²/min", m2PerF2, 2}}, 0, 1e7 * m2PerF2, "m²/min, m²/h, ft²/min, ft²/h"},
	Share:    {"share", dimShare, [2]crewUnit{{"%", 0.01, 1}, {"%", 0.01, 1}}, 0, 1, "%"},
	Time:     {"time", dimTime, [2]crewUnit{{"min", 60, 2}, {"min", 60, 2}}, 0, maxDurationS, "s, min, h"},
}

// info returns the kind's table row; an unknown kind is a programmer's error.
func (k Kind) info() *kindInfo {
	if k >= kinds {
		panic(fmt.Sprintf("units: no kind %d", k))
	}
	return &kindTable[k]
}

// String names the kind in plain words, as used in messages: "depth".
func (k Kind) String() string { return k.info().name }

// Unit is the crew's unit of the kind as printed: "mm", "ft²", "°F".
func Unit(k Kind, sys System) string { return k.info().crew(sys).name }

func (in *kindInfo) crew(sys System) crewUnit {
	if sys == US {
		return in.unit[US]
	}
	return in.unit[Metric]
}

// To turns an SI value into the crew's unit: To(Depth, 0.006, Metric) is 6,
// To(Share, 0.06, sys) is 6 (per cent), To(Time, 90, sys) is 1.5 (minutes).
func To(k Kind, si float64, sys System) float64 {
	v := si / k.info().crew(sys).factor
	if k == Temp && sys == US {
		v = si*1.8 + 32
	}
	return v
}

// From turns a value in the crew's unit into SI: the inverse of [To]. It does
// not judge the range; see [Check].
func From(k Kind, v float64, sys System) float64 {
	if k == Temp && sys == US {
		return (v - 32) / 1.8
	}
	return v * k.info().crew(sys).factor
}

// Check refuses a value that is not a number or lies outside the kind's widest
// range. The message gives the range in the crew's units.
func Check(k Kind, si float64, sys System) error {
	in := k.info()
	input := fmt.Sprintf("%g %s", To(k, si, sys), Unit(k, sys))
	if math.IsNaN(si) {
		return &Error{Input: input, What: in.name, Reason: "is not a number", Hint: "write a number with " + in.fits}
	}
	// A hair of room, so that the range's own ends survive conversion and back.
	room := 1e-9 * math.Max(math.Abs(in.min), math.Abs(in.max))
	if si < in.min-room || si > in.max+room {
		return &Error{
			Input: input, What: in.name, Reason: "is out of range",
			Hint: fmt.Sprintf("it must lie between %s and %s", Format(k, in.min, sys), Format(k, in.max, sys)),
		}
	}
	return nil
}

// Error is a refused quantity: what was written, what it was meant to be, what
// is wrong, and what to write instead.
type Error struct {
	Input  string // as written
	What   string // "depth", "duration", "yield"
	Reason string // "has no number"
	Hint   string // what to do
}

// Error reads: depth "6 L": L is a unit of volume; use mm, cm, in, mil.
func (e *Error) Error() string {
	return fmt.Sprintf("%s %q %s; %s", e.What, e.Input, e.Reason, e.Hint)
}
