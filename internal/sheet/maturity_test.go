package sheet

import (
	"math"
	"regexp"
	"sort"
	"strconv"
	"strings"
	"testing"
	"time"

	"floorpace/internal/worked"
)

type maturityRow struct {
	inputs, output, unit string
	value                float64
}

// maturityRows reads the rows of one name from testdata/maturity.csv.
func maturityRows(t *testing.T, name string) (rows []maturityRow) {
	t.Helper()
	for _, r := range worked.Rows(t, "testdata/maturity.csv") {
		if r["case"] == name {
			rows = append(rows, maturityRow{r["inputs"], r["output"], r["unit"], r.Num(t, "value")})
		}
	}
	if len(rows) == 0 {
		t.Fatalf("no rows of %s", name)
	}
	return rows
}

// figure reads "E=41500" or "T=12C" out of a list of inputs.
func figure(t *testing.T, inputs, key string) (float64, bool) {
	t.Helper()
	m := regexp.MustCompile(`(?:^|;)` + key + `=(-?[0-9.]+)`).FindStringSubmatch(inputs)
	if m == nil {
		return 0, false
	}
	v, err := strconv.ParseFloat(m[1], 64)
	if err != nil {
		t.Fatal(err)
	}
	return v, true
}

func must(t *testing.T, inputs, key string) float64 {
	t.Helper()
	v, ok := figure(t, inputs, key)
	if !ok {
		t.Fatalf("no %s in %q", key, inputs)
	}
	return v
}

// schedule reads "2h@12;2h@16;…": hours at temperatures.
func schedule(t *testing.T, inputs string) (temps []Sample, from, to time.Time) {
	t.Helper()
	from = time.Date(2026, 5, 4, 6, 0, 0, 0, time.UTC)
	to = from
	for _, m := range regexp.MustCompile(`([0-9.]+)h@([0-9.]+)`).FindAllStringSubmatch(inputs, -1) {
		h, err1 := strconv.ParseFloat(m[1], 64)
		c, err2 := strconv.ParseFloat(m[2], 64)
		if err1 != nil || err2 != nil {
			t.Fatal(inputs)
		}
		temps = append(temps, Sample{to, c})
		to = to.Add(time.Duration(h * float64(time.Hour)))
	}
	return temps, from, to
}

// lifeRef is the life at the reference temperature of a made-up sheet.
const lifeRef = 100 * time.Hour

// sheetOf is a table with life = lifeRef / rate(T) at the temperatures given.
func sheetOf(rate func(c float64) float64, temps ...float64) Table {
	sort.Float64s(temps)
	var t Table
	for i, c := range temps {
		if i > 0 && c == temps[i-1] {
			continue
		}
		t.Points = append(t.Points, Point{c, time.Duration(float64(lifeRef) / rate(c))})
	}
	return t
}

func temperatures(s []Sample) (out []float64) {
	for _, q := range s {
		out = append(out, q.TempC)
	}
	return out
}

// rateOf is the rate law that a row of ASTM C1074 sums names, 1 at Tref.
func rateOf(t *testing.T, inputs string) func(c float64) float64 {
	const r = 8.314462618
	ref := must(t, inputs, "Tref") + 273.15
	if q10, ok := figure(t, inputs, "Q10"); ok {
		return func(c float64) float64 { return math.Pow(q10, (c+273.15-ref)/10) }
	}
	q, ok := figure(t, inputs, "Q")
	if !ok {
		q = must(t, inputs, "E") / r
	}
	return func(c float64) float64 { return math.Exp(-q * (1/(c+273.15) - 1/ref)) }
}

// Equivalent age, ASTM C1074: te = Σ γ(T)·Δt. With a sheet whose lives are
// lifeRef / γ(T), the share used times lifeRef is te.
func TestUsedIsTheEquivalentAge(t *testing.T) {
	for _, row := range maturityRows(t, "equivalent_age") {
		temps, from, to := schedule(t, row.inputs)
		rate := rateOf(t, row.inputs)
		u, ok := sheetOf(rate, temperatures(temps)...).Used(from, to, temps)
		if te := u * lifeRef.Hours(); !ok || math.Abs(te-row.value) > 6e-5 {
			t.Errorf("%s: te %.4f h, %v; want %.4f", row.inputs, te, ok, row.value)
		}
		// A sheet prints a point every ten degrees or so; straight in ln(time)
		// between them is then within 1 % of the rate law itself.
		u, ok = sheetOf(rate, 10, 20, 30).Used(from, to, temps)
		if te := u * lifeRef.Hours(); !ok || math.Abs(te/row.value-1) > 0.01 {
			t.Errorf("%s: three-point sheet: te %.4f h, %v; want %.4f within 1 %%", row.inputs, te, ok, row.value)
		}
	}
}

// The age factors printed for 5, 10, … 40 °C stand in for a sheet with eight
// points; the sum over the schedule of the same activation energy must agree.
func TestUsedByTabulatedAgeFactors(t *testing.T) {
	gamma := map[string]map[float64]float64{}
	for _, row := range maturityRows(t, "arrhenius_age_factor") {
		law, _, _ := strings.Cut(row.inputs, ";")
		if gamma[law] == nil {
			gamma[law] = map[float64]float64{}
		}
		c := must(t, row.inputs, "T")
		gamma[law][c] = row.value
		if got := rateOf(t, row.inputs)(c); math.Abs(got-row.value) > 6e-5 {
			t.Errorf("%s: %.4f, want %.4f", row.inputs, got, row.value)
		}
	}
	for _, row := range maturityRows(t, "equivalent_age") {
		law := regexp.MustCompile(`(Q|E)=[0-9.]+K?`).FindString(row.inputs)
		g := gamma[law]
		if g == nil {
			continue
		}
		var at []float64
		for c := range g {
			at = append(at, c)
		}
		temps, from, to := schedule(t, row.inputs)
		u, ok := sheetOf(func(c float64) float64 { return g[c] }, at...).Used(from, to, temps)
		if te := u * lifeRef.Hours(); !ok || math.Abs(te/row.value-1) > 0.002 {
			t.Errorf("%s: te %.4f h, %v; want %.4f", row.inputs, te, ok, row.value)
		}
	}
}

// A life that halves every 10 °C is straight in ln(time): two points give all
// the rows between them.
func TestHalvingEveryTenDegreesIsStraight(t *testing.T) {
	for _, row := range maturityRows(t, "q10_rule") {
		c := must(t, row.inputs, "T")
		got, ok := sheetOf(rateOf(t, row.inputs), 0, 45).At(c)
		if rate := lifeRef.Hours() / got.Hours(); !ok || math.Abs(rate-row.value) > 6e-5 {
			t.Errorf("%s: %.4f, %v; want %.4f", row.inputs, rate, ok, row.value)
		}
	}
}

// Nurse–Saul maturity M = Σ (T − T0)·Δt is the same sum with life = M/(T − T0).
func TestNurseSaul(t *testing.T) {
	for _, row := range maturityRows(t, "nurse_saul") {
		t0 := must(t, row.inputs, "T0")
		temps, from, to := schedule(t, row.inputs)
		factor := 1.0
		switch {
		case len(temps) > 0:
		case strings.Contains(row.inputs, "12 h/d"): // by day and by night
			for d := range 14 {
				temps = append(temps, Sample{from.Add(time.Duration(d) * 12 * time.Hour), 20 - 10*float64(d%2)})
			}
			to = from.Add(7 * 24 * time.Hour)
		default:
			temps = []Sample{{from, must(t, row.inputs, "T")}}
			to = from.Add(time.Duration(must(t, row.inputs, "t") * 24 * float64(time.Hour)))
			if row.unit == "C.d" {
				factor = 24
			}
		}
		want := row.value * factor
		table := sheetOf(func(c float64) float64 { return (c - t0) * lifeRef.Hours() / want }, temperatures(temps)...)
		if u, ok := table.Used(from, to, temps); !ok || math.Abs(u*want-want) > 0.01 {
			t.Errorf("%s: %.3f, %v; want %.0f", row.inputs, u*want, ok, want)
		}
		if end, ok := table.Ends(from, temps); !ok || end.Sub(to).Abs() > 10*time.Second {
			t.Errorf("%s: reached after %v, %v; want %v", row.inputs, end.Sub(from), ok, to.Sub(from))
		}
	}
	for _, row := range maturityRows(t, "nurse_saul_inverse") {
		if row.output != "t" {
			continue // the temperature for a given time is not asked of a sheet
		}
		m, c, t0 := must(t, row.inputs, "M"), must(t, row.inputs, "T"), must(t, row.inputs, "T0")
		from := time.Date(2026, 5, 4, 6, 0, 0, 0, time.UTC)
		table := sheetOf(func(c float64) float64 { return (c - t0) * lifeRef.Hours() / m }, c)
		if end, ok := table.Ends(from, []Sample{{from, c}}); !ok || math.Abs(end.Sub(from).Hours()-row.value) > 0.005 {
			t.Errorf("%s: %v, %v; want %.2f h", row.inputs, end.Sub(from), ok, row.value)
		}
	}
}

// Reading a sheet of 30, 18 and 9 minutes at 10, 20 and 30 °C between its points.
func TestPotLifeBetweenPoints(t *testing.T) {
	sheet := table(10, 30, 20, 18, 30, 9)
	for _, row := range maturityRows(t, "potlife_interp") {
		if row.output != "loglinear_in_T" {
			t.Fatalf("%s is not how a sheet is read here", row.output)
		}
		c := must(t, row.inputs, "T")
		if got, ok := sheet.At(c); !ok || math.Abs(got.Minutes()-row.value) > 5.1e-4 {
			t.Errorf("%g °C: %.4f min, %v; want %.3f", c, got.Minutes(), ok, row.value)
		}
	}
}
