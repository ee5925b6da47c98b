package units

import (
	"sort"
	"strings"
)

// dim is what a written unit measures. Length and Depth share one, as do Temp
// and TempDiff.
type dim uint8

const (
	dimLength dim = iota
	dimArea
	dimVolume
	dimMass
	dimTemp
	dimSpeed
	dimAreaRate
	dimShare
	dimTime
)

var dimNames = [...]string{
	"length", "area", "volume", "mass", "temperature", "speed", "area rate", "share", "time",
}

// A written is one spelling of a unit, with how many SI units it holds. Units
// of one chain may follow each other, larger first: 12 ft 6 in.
type written struct {
	spelling string
	dim      dim
	factor   float64
	chain    byte // 0 = stands alone
}

// spellings holds every accepted spelling, longest first so that "ft2" is never
// read as "ft" followed by a 2.
var spellings = buildSpellings()

func buildSpellings() []written {
	var all []written
	add := func(d dim, factor float64, chain byte, names ...string) {
		for _, n := range names {
			all = append(all, written{n, d, factor, chain})
		}
	}
	add(dimLength, 1, 0, "m", "metre", "metres", "meter", "meters")
	add(dimLength, 0.01, 0, "cm")
	add(dimLength, 0.001, 0, "mm")
	add(dimLength, mPerFt, 'f', "ft", "foot", "feet", "'")
	add(dimLength, mPerIn, 'f', "in", "in.", "inch", "inches", `"`)
	add(dimLength, mPerIn/1000, 0, "mil", "mils")

	add(dimArea, 1, 0, "m2", "sq m", "sqm")
	add(dimArea, 1e-4, 0, "cm2")
	add(dimArea, m2PerF2, 0, "ft2", "sq ft", "sqft", "sf")
	add(dimArea, mPerIn*mPerIn, 0, "in2", "sq in")

	add(dimVolume, 1, 0, "l", "litre", "litres", "liter", "liters")
	add(dimVolume, 0.001, 0, "ml")
	add(dimVolume, 1000, 0, "m3", "cu m")
	add(dimVolume, lPerGal, 0, "gal", "us gal", "gallon", "gallons")
	add(dimVolume, lPerGal/4, 0, "qt", "quart", "quarts")
	add(dimVolume, m2PerF2*mPerFt*1000, 0, "ft3", "cu ft")

	add(dimMass, 1, 0, "kg")
	add(dimMass, 0.001, 0, "g")
	add(dimMass, kgPerLb, 'p', "lb", "lbs", "pound", "pounds")
	add(dimMass, kgPerLb/16, 'p', "oz")

	add(dimTemp, 1, 0, "°c", "c", "degc", "deg c")
	add(dimTemp, kPerF, 'F', "°f", "f", "degf", "deg f")
	add(dimTemp, 1, 'K', "k")

	add(dimSpeed, 1, 0, "m/s")
	add(dimSpeed, 1.0/60, 0, "m/min")
	add(dimSpeed, 1/3.6, 0, "km/h")
	add(dimSpeed, mPerFt, 0, "ft/s")
	add(dimSpeed, mPerFt/60, 0, "ft/min")
	add(dimSpeed, 5280*mPerFt/3600, 0, "mph")

	add(dimAreaRate, 1, 0, "m2/min", "sq m/min")
	add(dimAreaRate, 1.0/60, 0, "m2/h", "sq m/h")
	add(dimAreaRate, m2PerF2, 0, "ft2/min", "sq ft/min")
	add(dimAreaRate, m2PerF2/60, 0, "ft2/h", "sq ft/h")

	add(dimShare, 0.01, 0, "%", "percent", "per cent")

	add(dimTime, 1, 't', "s", "sec", "secs", "second", "seconds")
	add(dimTime, 60, 't', "min", "mins", "minute", "minutes")
	add(dimTime, 3600, 't', "h", "hr", "hrs", "hour", "hours")

	sort.SliceStable(all, func(i, j int) bool { return len(all[i].spelling) > len(all[j].spelling) })
	return all
}

// plain folds the marks of phones, drawings and word processors into the ones
// the reader knows.
var plain = strings.NewReplacer(
	"²", "2", "³", "3",
	"′", "'", "’", "'", "‘", "'",
	"″", `"`, "”", `"`, "“", `"`, "''", `"`,
	"º", "°", "−", "-", "–", "-", "⁄", "/",
	"\u00a0", " ", "\u202f", " ", "\u2009", " ", "\t", " ",
	"½", " 1/2", "¼", " 1/4", "¾", " 3/4",
	"⅛", " 1/8", "⅜", " 3/8", "⅝", " 5/8", "⅞", " 7/8",
)

// normalise lowers the case, folds marks and squeezes spaces.
func normalise(s string) string {
	return strings.Join(strings.Fields(plain.Replace(strings.ToLower(s))), " ")
}

func isDigit(c byte) bool { return c >= '0' && c <= '9' }

// isWord says whether a byte may belong to the middle of a unit's name.
func isWord(c byte) bool { return c >= 'a' && c <= 'z' || c >= 0x80 || c == '/' || c == '%' }

// matchUnit finds the longest spelling at the head of s that ends at a word's
// end.
func matchUnit(s string) (written, bool) {
	for _, w := range spellings {
		if !strings.HasPrefix(s, w.spelling) {
			continue
		}
		rest := s[len(w.spelling):]
		last := w.spelling[len(w.spelling)-1]
		if isWord(last) && rest != "" && isWord(rest[0]) {
			continue
		}
		return w, true
	}
	return written{}, false
}
