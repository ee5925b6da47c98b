package planfile

import (
	"os"
	"regexp"
	"strings"
	"testing"

	"floorpace/config"
)

// everyTable has a key that no table knows in every table there is.
const everyTable = `units = "metric"
qqqqqqqqqqqq = 1
[rules]
qqqqqqqqqqqq = 1
[crew]
qqqqqqqqqqqq = 1
[crew.spread]
qqqqqqqqqqqq = 1
[[kits]]
qqqqqqqqqqqq = 1
[readings]
qqqqqqqqqqqq = 1
[[readings.spot]]
qqqqqqqqqqqq = 1
[[room]]
qqqqqqqqqqqq = 1
[[zone]]
qqqqqqqqqqqq = 1
[[zone.column]]
qqqqqqqqqqqq = 1
[[zone.drain]]
qqqqqqqqqqqq = 1
[[zone.bay]]
qqqqqqqqqqqq = 1
[[zone.stop_line]]
qqqqqqqqqqqq = 1
[[zone.door]]
qqqqqqqqqqqq = 1
[[zone.spot]]
qqqqqqqqqqqq = 1
[[zone.extra]]
qqqqqqqqqqqq = 1
[sheet]
qqqqqqqqqqqq = 1
[sheet.limits]
qqqqqqqqqqqq = 1
[[sheet.blend]]
qqqqqqqqqqqq = 1
[sheet.blend.cure]
qqqqqqqqqqqq = 1
[[sheet.blend.step]]
qqqqqqqqqqqq = 1
[[sheet.blend.part]]
qqqqqqqqqqqq = 1
`

const everyCrewTable = `qqqqqqqqqqqq = 1
[learned]
qqqqqqqqqqqq = 1
[crew]
qqqqqqqqqqqq = 1
[crew.spread]
qqqqqqqqqqqq = 1
[rules]
qqqqqqqqqqqq = 1
`

// TestReferenceNamesEveryKey: the reference of the plan file names each key
// that the reader knows.
func TestReferenceNamesEveryKey(t *testing.T) {
	b, err := os.ReadFile("../../config/README.md")
	if err != nil {
		t.Fatal(err)
	}
	text := string(b)
	_, ps := Parse("p.toml", []byte(everyTable), none)
	_, crew := Parse("p.toml", []byte(withCrew("")), func(string) ([]byte, error) { return []byte(everyCrewTable), nil })
	ps = append(ps, crew...)
	tables, keys := 0, map[string]bool{}
	for _, p := range ps {
		_, list, ok := strings.Cut(p.Mend, "known here: ")
		if !ok {
			continue
		}
		tables++
		for _, k := range strings.Split(list, ", ") {
			keys[k] = true
		}
	}
	if want := strings.Count(everyTable+everyCrewTable, "qqqqqqqqqqqq"); tables != want {
		t.Errorf("%d tables of %d say what they know:\n%s", tables, want, said(ps))
	}
	if len(keys) < 80 {
		t.Errorf("only %d keys", len(keys))
	}
	for k := range keys {
		named := regexp.MustCompile("`\\[*([a-z]+\\.)*" + regexp.QuoteMeta(k) + "\\]*( =[^`]*)?`")
		if !named.MatchString(text) {
			t.Errorf("config/README.md does not name the key %s", k)
		}
	}
}

// TestReferenceShortestPlan: the plan the reference begins with is whole.
func TestReferenceShortestPlan(t *testing.T) {
	b, err := os.ReadFile("../../config/README.md")
	if err != nil {
		t.Fatal(err)
	}
	_, rest, _ := strings.Cut(string(b), "```toml\n")
	doc, _, ok := strings.Cut(rest, "```")
	if !ok {
		t.Fatal("no plan in the reference")
	}
	_, ps := Parse("p.toml", []byte(doc), func(string) ([]byte, error) { return config.Files.ReadFile("flow-epoxy.toml") })
	if len(ps) > 0 {
		t.Error(said(ps))
	}
}

// TestReferenceDefaults: the defaults the reference states, written out, give
// the plan that leaves them out.
func TestReferenceDefaults(t *testing.T) {
	const written = `opening_use = "full"
inspection = 0
preparation = 0
station_room = "outside"
rules.edge_margin = "2:00"
rules.bucket_margin = "1:00"
rules.turn = "0:30"
rules.reading_every = "1 h"
rules.tally_every = 0
rules.chance = "95 %"
rules.loss = "6 %"
rules.thermometer_error = "0.5 °C"
rules.hygrometer_error = "3 %"
rules.record_steps = false
rules.own_times = 59
`
	const crew = `crew = { mixers = 1, runners = 1, buckets = 2, scrape = "0:15", reset = "1:30", load = "0:05", pour = "0:30",
  headway = "0:05", walk_full = "1.2 m/s", walk_empty = "1.4 m/s", rake = "4 m²/min", roll = "6 m²/min", broadcast = 0,
  spread = { mix = 5, scrape = 15, reset = 15, load = 20, walk = 10, pour = 15, rake = 12, roll = 12, broadcast = 15 } }
`
	const zone = `pull = "+x"
row_depth = 0.75
start = "left"
pattern = "same side"
move = 0
allowance = 0
one_lot = false
`
	doc := written + strings.Replace(leastPlan, "crew = { mixers = 1, runners = 1, buckets = 2 }\n", crew, 1)
	doc = strings.Replace(doc, "station = [0, -2]\n", "station = [0, -2]\n"+zone, 1)
	got, ps := Parse("p.toml", []byte(doc), none)
	if len(ps) > 0 {
		t.Fatal(said(ps))
	}
	want, _ := Parse("p.toml", []byte(leastPlan), none)
	differ(t, "plan", got, want)
}
