package units

import (
	"errors"
	"math"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

func TestParse(t *testing.T) {
	const in = 0.0254
	for _, c := range []struct {
		kind Kind
		text string
		sys  System
		want float64
	}{
		{Depth, "3/16 in", US, 3.0 / 16 * in},
		{Depth, "6 mm", US, 0.006},
		{Depth, "6", Metric, 0.006},
		{Depth, "1/4", US, 0.25 * in},
		{Depth, "1 1/2 in", Metric, 1.5 * in},
		{Depth, "1-1/2 in", Metric, 1.5 * in},
		{Depth, "1½ in", Metric, 1.5 * in},
		{Depth, "125 mil", Metric, 0.125 * in},
		{Depth, "1/8\"", Metric, 0.125 * in},
		{Length, "9", Metric, 9},
		{Length, "9", US, 9 * 12 * in},
		{Length, "12 ft 6 in", Metric, 150 * in},
		{Length, `12'6"`, Metric, 150 * in},
		{Length, `12' - 6"`, Metric, 150 * in},
		{Length, "12′ 6 1/2″", Metric, 150.5 * in},
		{Length, "12ft6in", Metric, 150 * in},
		{Length, "-3 ft 6 in", Metric, -42 * in},
		{Length, "  3.5   M ", US, 3.5},
		{Length, ".5 m", US, 0.5},
		{Area, "66 ft²", Metric, 66 * 144 * in * in},
		{Area, "66 ft2", Metric, 66 * 144 * in * in},
		{Area, "66 sq ft", Metric, 66 * 144 * in * in},
		{Area, "66", US, 66 * 144 * in * in},
		{Area, "174", Metric, 174},
		{Volume, "14 L", US, 14},
		{Volume, "3.7 gal", Metric, 3.7 * 231 * in * in * in * 1000},
		{Mass, "25 kg", US, 25},
		{Mass, "3 lb 4 oz", Metric, 3.25 * 0.45359237},
		{Temp, "72 °F", Metric, 40.0 / 1.8},
		{Temp, "72F", Metric, 40.0 / 1.8},
		{Temp, "72", US, 40.0 / 1.8},
		{Temp, "22 C", US, 22},
		{Temp, "−5 °C", US, -5},
		{Temp, "-40 F", Metric, -40},
		{TempDiff, "5 °F", Metric, 25.0 / 9},
		{TempDiff, "3 K", US, 3},
		{Speed, "72 m/min", US, 1.2},
		{AreaRate, "15 ft²/min", Metric, 15 * 144 * in * in},
		{AreaRate, "15 sq ft/min", Metric, 15 * 144 * in * in},
		{Share, "6 %", Metric, 0.06},
		{Share, "6", US, 0.06},
		{Share, "0.5%", US, 0.005},
		{Share, "1", US, 0.01},
		{Share, "0", US, 0},
		{Time, "4:30", US, 270},
		{Time, "2", Metric, 120},
	} {
		got, err := Parse(c.kind, c.text, c.sys)
		if err != nil || math.Abs(got-c.want) > 1e-12*math.Max(1, math.Abs(c.want)) {
			t.Errorf("Parse(%v, %q, %v) = %.15g, %v; want %.15g", c.kind, c.text, c.sys, got, err, c.want)
		}
	}
}

func TestParseRefuses(t *testing.T) {
	for _, c := range []struct {
		kind Kind
		text string
		says string // must be in the message
	}{
		{Depth, "", "no number"},
		{Depth, "mm", "no number"},
		{Depth, "1,5 mm", "comma"},
		{Length, "1,500", "comma"},
		{Depth, "6 L", "unit of volume; use mm, cm, in, mil"},
		{Volume, "6 mm", "unit of length; use L, mL, m³, gal, qt"},
		{Area, "66 ft", "unit of length; use m², ft²"},
		{Length, "66 ft2", "unit of area"},
		{Temp, "300 K", "temperature difference"},
		{Depth, "6 furlongs", "use mm, cm, in, mil"},
		{Depth, "6 mmm", "no unit this program knows"},
		{Depth, "1e3", "no unit this program knows"},
		{Depth, "NaN", "no number"},
		{Depth, "Inf mm", "no number"},
		{Depth, "-3 mm", "negative"},
		{Depth, "20000 mm", "out of range"},
		{Length, "999999999 m", "out of range"},
		{Length, strings.Repeat("9", 60), "out of range"},
		{Length, strings.Repeat("9", 400), "too long"},
		{Share, "0.06", "write 6 % or 0.06 %"},
		{Share, "120 %", "between 0 % and 100 %"},
		{Depth, "1/0 in", "no number"},
		{Depth, "1 5/4 in", "no number"},
		{Depth, "1.5 1/2 in", "no unit this program knows"},
		{Length, "12 ft 6", "write it like 12 ft 6 in"},
		{Length, "12 ft 13 in", "left over"},
		{Length, "12 ft 12 in", "left over"},
		{Length, "12.5 ft 6 in", "one number"},
		{Length, "6 in 12 ft", `"ft" after "in"`},
		{Length, "6 m 5 cm", "one number with one unit"},
		{Length, "6 ft 2 ft", `"ft" after "ft"`},
		{Length, "--6 m", "no number"},
		{Mass, "3 lb 16 oz", "left over"},
		{Temp, "72 F 3 F", "one number"},
		{Temp, "-500 C", "out of range"},
		{Time, "-4:30", "not a time"},
		{Time, "2:75", "two digits up to 59"},
		{Time, "2:5", "two digits up to 59"},
		{Time, "1:2:30", "two digits up to 59"},
		{Time, "1:02:30:00", "colons"},
		{Time, "9000 h", "out of range"},
		{Time, "999999:00", "longer than a year"},
		{Time, "5 mm", "unit of length"},
	} {
		got, err := Parse(c.kind, c.text, Metric)
		if err == nil {
			t.Errorf("Parse(%v, %q) = %g, want an error", c.kind, c.text, got)
			continue
		}
		var e *Error
		if !errors.As(err, &e) || e.Hint == "" || !strings.Contains(err.Error(), c.says) {
			t.Errorf("Parse(%v, %q): %q does not say %q", c.kind, c.text, err, c.says)
		}
	}
}

func TestFormat(t *testing.T) {
	const in = 0.0254
	for _, c := range []struct {
		kind Kind
		si   float64
		sys  System
		want string
	}{
		{Depth, 0.006, Metric, "6 mm"},
		{Depth, 3.0 / 16 * in, US, "3/16 in"},
		{Depth, 1.5 * in, US, "1 1/2 in"},
		{Depth, 2 * in, US, "2 in"},
		{Depth, 7.0 / 32 * in, US, "7/32 in"},
		{Depth, 0.006, US, "0.236 in"},
		{Depth, 0.1249 * in, US, "1/8 in"}, // it would print as 0.125
		{Depth, 0, US, "0 in"},
		{Depth, -0.25 * in, US, "-1/4 in"},
		{Length, 7.4683, Metric, "7.47 m"},
		{Length, 9, Metric, "9 m"},
		{Length, -0.0001, Metric, "0 m"},
		{Length, 3.81, US, "12.5 ft"},
		{Area, 174.04, Metric, "174 m²"},
		{Area, 8.4096, Metric, "8.41 m²"},
		{Area, 12345.6, Metric, "12346 m²"},
		{AreaRate, 1.46763, Metric, "1.468 m²/min"},
		{Temp, 14.5, Metric, "14.5 °C"},
		{Temp, 22.2222, US, "72 °F"},
		{TempDiff, 25.0 / 9, Metric, "2.78 °C"},
		{TempDiff, 25.0 / 9, US, "5 °F"},
		{Share, 0.841, Metric, "84.1 %"},
		{Time, 270, Metric, "4:30"},
		{Volume, math.NaN(), Metric, "no figure"},
		{Time, math.Inf(1), Metric, "no figure"},
	} {
		if got := Format(c.kind, c.si, c.sys); got != c.want {
			t.Errorf("Format(%v, %g, %v) = %q, want %q", c.kind, c.si, c.sys, got, c.want)
		}
	}
	if got := FormatBare(Temp, 22.2222, US); got != "72" {
		t.Errorf("FormatBare = %q, want 72", got)
	}
	if got := FormatFixed(TempDiff, -0.001, Metric, 2); got != "0.00 °C" {
		t.Errorf("FormatFixed(-0.001) = %q, want 0.00 °C", got)
	}
	if got := FormatFixed(Length, 5.6, Metric, 2); got != "5.60 m" {
		t.Errorf("FormatFixed(5.6) = %q, want 5.60 m", got)
	}
}

func TestToFrom(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		k := Kind(rapid.IntRange(0, int(kinds)-1).Draw(rt, "kind"))
		sys := System(rapid.IntRange(0, 1).Draw(rt, "system"))
		si := rapid.Float64Range(k.info().min, k.info().max).Draw(rt, "si")
		back := From(k, To(k, si, sys), sys)
		if math.Abs(back-si) > 1e-12*math.Max(100, math.Abs(si)) {
			rt.Errorf("%v %v: %g went out and came back as %g", k, sys, si, back)
		}
	})
	if got := To(Share, 0.06, US); math.Abs(got-6) > 1e-12 {
		t.Errorf("To(Share, 0.06) = %g, want 6", got)
	}
	if got := Unit(Area, US) + Unit(Depth, Metric); got != "ft²mm" {
		t.Errorf("units are %q", got)
	}
}

func TestCheck(t *testing.T) {
	for _, v := range []float64{math.NaN(), math.Inf(1), -0.001, 11} {
		if err := Check(Depth, v, US); err == nil {
			t.Errorf("Check(Depth, %g) passes", v)
		}
	}
	if err := Check(Depth, 0.006, US); err != nil {
		t.Error(err)
	}
}

func TestParseSystem(t *testing.T) {
	for _, sys := range []System{Metric, US} {
		if got, err := ParseSystem(strings.ToUpper(sys.String())); err != nil || got != sys {
			t.Errorf("ParseSystem(%v) = %v, %v", sys, got, err)
		}
	}
	if _, err := ParseSystem("imperial"); err == nil {
		t.Error("imperial is taken for a system")
	}
}

func TestParseDuration(t *testing.T) {
	for _, c := range []struct {
		text string
		want time.Duration
	}{
		{"4:30", 270 * time.Second},
		{"0:05", 5 * time.Second},
		{"90:00", 90 * time.Minute},
		{"1:02:30", time.Hour + 150*time.Second},
		{"2:30 h", 150 * time.Minute},
		{"55:00h", 55 * time.Hour},
		{"90 s", 90 * time.Second},
		{"2.5 min", 150 * time.Second},
		{"1 1/2 min", 90 * time.Second},
		{"8 h", 8 * time.Hour},
		{"2 h 30 min", 150 * time.Minute},
		{"2 h 30 min 5 s", 150*time.Minute + 5*time.Second},
		{"1 h 5 s", time.Hour + 5*time.Second},
		{"5", 5 * time.Minute},
		{"0.1", 6 * time.Second},
	} {
		if got, err := ParseDuration(c.text); err != nil || got != c.want {
			t.Errorf("ParseDuration(%q) = %v, %v; want %v", c.text, got, err, c.want)
		}
	}
}

func TestClock(t *testing.T) {
	s := time.Second
	for _, c := range []struct {
		d                  time.Duration
		clock, left, hours string
	}{
		{270 * s, "4:30", "4:30", "5 min"},
		{time.Hour + 150*s, "1:02:30", "1:02:30", "1 h 3 min"},
		{-45 * s, "-0:45", "-0:45", "-1 min"},
		{0, "0:00", "0:00", "0 min"},
		{s / 2, "0:01", "0:00", "0 min"},
		{-s / 2, "-0:01", "-0:01", "0 min"},
		{s/2 - 1, "0:00", "0:00", "0 min"},
		{-s / 10, "0:00", "-0:01", "0 min"},
		{3600*s - s/4, "1:00:00", "59:59", "1 h"},
		{55 * time.Hour, "55:00:00", "55:00:00", "55 h"},
		{25*time.Hour + 20*time.Minute + 24*s, "25:20:24", "25:20:24", "25 h 20 min"},
	} {
		if got := Clock(c.d); got != c.clock {
			t.Errorf("Clock(%v) = %q, want %q", c.d, got, c.clock)
		}
		if got := ClockLeft(c.d); got != c.left {
			t.Errorf("ClockLeft(%v) = %q, want %q", c.d, got, c.left)
		}
		if got := Hours(c.d); got != c.hours {
			t.Errorf("Hours(%v) = %q, want %q", c.d, got, c.hours)
		}
	}
}

// stable is the law: what is accepted prints to text that is accepted and prints
// the same, in either system, and the second value is the first to the printed
// figures.
func stable(t interface{ Errorf(string, ...any) }, k Kind, text string, sys System) {
	v, err := Parse(k, text, sys)
	if err != nil {
		return
	}
	if Check(k, v, sys) != nil {
		t.Errorf("Parse(%v, %q, %v) let %g through, out of range", k, text, sys, v)
	}
	for _, out := range []System{Metric, US} {
		printed := Format(k, v, out)
		for _, in := range []System{Metric, US} { // the unit is printed, so the reader's system must not matter
			again, err := Parse(k, printed, in)
			if err != nil {
				t.Errorf("%v %q printed as %q, which is refused: %v", k, text, printed, err)
				return
			}
			if got := Format(k, again, out); got != printed {
				t.Errorf("%v %q printed as %q, read and printed again as %q", k, text, printed, got)
			}
			step := k.info().crew(out)
			half := 0.51 * math.Pow(10, -float64(min(step.places, placesFor(To(k, v, out)*1.001)))) * step.factor
			if k == Time {
				half = 0.5
			}
			if math.Abs(again-v) > half+1e-9*math.Abs(v) {
				t.Errorf("%v %q: %g printed as %q came back as %g", k, text, v, printed, again)
			}
		}
	}
}

func TestPrintIsStable(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		k := Kind(rapid.IntRange(0, int(kinds)-1).Draw(rt, "kind"))
		sys := System(rapid.IntRange(0, 1).Draw(rt, "system"))
		text := rapid.OneOf(
			rapid.StringMatching(`-?[0-9]{1,7}(\.[0-9]{1,6})?`),
			rapid.StringMatching(`[0-9]{1,4}(\.[0-9]{1,4})? ?(m|mm|ft|in|mil|m²|ft2|L|gal|kg|lb|°F|C|m/s|ft/min|m2/min|ft²/h|%|s|min|h)`),
			rapid.StringMatching(`([0-9]{1,3}[ -])?[0-9]{1,2}/(2|4|8|16|32|64|3|7) ?(in|ft|"|mm|gal|min|)`),
			rapid.StringMatching(`[0-9]{1,3}( ft |')[0-9]{1,2}( in|")`),
			rapid.StringMatching(`([0-9]{1,2}:)?[0-9]{1,3}:[0-5][0-9]( h)?`),
		).Draw(rt, "text")
		stable(rt, k, text, sys)
	})
}

func FuzzPrintIsStable(f *testing.F) {
	for _, s := range []string{"3/16 in", `12'6"`, "1 1/2 in", "66 sq ft", "72F", "6 %", "4:30", "2 h 30 min", "1,5", "0.06", "125 mil", "-40 F", "99.9996", "NaN", "1/0", "½"} {
		for k := range kinds {
			f.Add(uint8(k), s, true)
			f.Add(uint8(k), s, false)
		}
	}
	f.Fuzz(func(t *testing.T, k uint8, text string, us bool) {
		sys := Metric
		if us {
			sys = US
		}
		stable(t, Kind(k)%kinds, text, sys)
	})
}

func FuzzYieldIsStable(f *testing.F) {
	for _, s := range []string{"14 L", "3.7 gal", "66 ft² at 1/8 in", "2.2 m2 at 6 mm", "3 at 6", "2@3", "at"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		y, err := ParseYield(text, US)
		if err != nil {
			return
		}
		for _, sys := range []System{Metric, US} {
			printed := y.Format(sys)
			again, err := ParseYield(printed, Metric)
			if err != nil {
				if strings.HasPrefix(printed, "0 ") || strings.Contains(printed, "at 0 ") {
					continue // too small to print: refused as nothing
				}
				t.Fatalf("%q printed as %q, which is refused: %v", text, printed, err)
			}
			if got := again.Format(sys); got != printed {
				t.Fatalf("%q printed as %q, then as %q", text, printed, got)
			}
		}
	})
}

func TestCount(t *testing.T) {
	for n, want := range map[int]string{0: "0 kits", 1: "1 kit", 2: "2 kits", -1: "-1 kits", 1200: "1200 kits"} {
		if got := Count(n, "kit", "kits"); got != want {
			t.Errorf("Count(%d) = %q, want %q", n, got, want)
		}
	}
}
