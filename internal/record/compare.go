package record

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"floorpace/internal/clean"
	"floorpace/internal/units"
)

// Comparison is days side by side, in SI.
type Comparison struct {
	Form    string        `json:"form"`
	Version int           `json:"version"`
	Days    []ComparedDay `json:"days"`
	sys     units.System  // of the first day, for print
}

// ComparedDay is what is compared of one day.
type ComparedDay struct {
	Name     string         `json:"log"`
	Day      string         `json:"day"`
	Plan     string         `json:"plan"`
	Units    string         `json:"units"` // of its crew
	Poured   int            `json:"batches_poured"`
	Scrapped int            `json:"batches_scrapped"`
	Line     Num            `json:"pouring_s"` // first mix start to last pour
	AreaM2   float64        `json:"area_m2"`
	Zones    []ComparedZone `json:"zones"` // poured ones, in the plan's order
	Holds    []Tally        `json:"holds"` // by cause
	Calls    []Tally        `json:"calls"` // by what they said
	RiskM    float64        `json:"joined_inside_margin_m"`
	LostM    float64        `json:"joined_too_late_m"`
	NoAgeM   float64        `json:"joined_no_age_m"`
	Opened   float64        `json:"kits_opened"`
	Used     float64        `json:"kits_used"`
	Waste    float64        `json:"kits_scrapped"`
	Left     float64        `json:"kits_left"` // of those opened
	PlanKits int            `json:"plan_kits"`
	Findings int            `json:"findings"`
	Damage   string         `json:"damage,omitempty"` // of its log, "" for a sound one
}

// ComparedZone is what is compared of one zone.
type ComparedZone struct {
	Name     string `json:"zone"`
	Interval Num    `json:"median_interval_s"`
	PerHour  Num    `json:"m2_per_hour"`
	Slack    Num    `json:"least_slack_s"`
	M2Kit    Num    `json:"m2_per_kit"`
	Use      Num    `json:"front_against_plan"` // front moved for a litre against the plan, share
}

// Tally counts what happened by its cause; Seconds is its length in all, for holds.
type Tally struct {
	What    string  `json:"what"`
	Times   int     `json:"times"`
	Seconds float64 `json:"seconds"`
}

// CompareDays puts days side by side under the names of their logs. It refuses
// fewer than two.
func CompareDays(names []string, papers []*Paper) (*Comparison, error) {
	if len(papers) < 2 || len(names) != len(papers) {
		return nil, fmt.Errorf("comparing needs two days or more")
	}
	c := &Comparison{Form: "floorpace comparison", Version: 1, sys: papers[0].sys}
	for i, p := range papers {
		c.Days = append(c.Days, p.compared(dayName(names[i])))
	}
	return c, nil
}

func (p *Paper) compared(name string) ComparedDay {
	t := &p.Totals
	d := ComparedDay{
		Name: name, Day: dayOf(p), Plan: clean.String(p.heading()), Units: p.Units,
		Poured: t.Poured, Scrapped: t.Scrapped, AreaM2: t.AreaM2,
		Opened: t.KitsOpened, Used: t.KitsUsed, Waste: t.KitsScrapped, Left: t.KitsLeft,
		Findings: len(p.Findings), Zones: []ComparedZone{}, Holds: p.holdTally(), Calls: p.callTally(),
		Line: noNum("nothing was poured"),
	}
	d.Damage = p.Log.Damage()
	var first, last time.Time
	for i := range p.Batches {
		b := &p.Batches[i]
		if b.Started.OK() && (first.IsZero() || b.Started.T.Before(first)) {
			first = b.Started.T
		}
		if b.Poured.OK() && b.Poured.T.After(last) {
			last = b.Poured.T
		}
	}
	if !first.IsZero() && !last.IsZero() {
		d.Line = seconds(last.Sub(first))
	}
	for i := range p.Zones {
		z := &p.Zones[i]
		d.PlanKits += z.PlanKits
		d.RiskM, d.LostM, d.NoAgeM = d.RiskM+z.Edge.RiskM, d.LostM+z.Edge.LostM, d.NoAgeM+z.Edge.NoAgeM
		if z.Batches > 0 {
			d.Zones = append(d.Zones, ComparedZone{clean.String(z.Name), z.Interval, z.M2PerHour, z.Edge.Least, z.RealM2Kit, z.Drift})
		}
	}
	return d
}

// Damage says in a few words what is wrong with the files of a day, "" for nothing.
func (l *Log) Damage() string {
	var out []string
	if l.Missing > 0 {
		out = append(out, fmt.Sprintf("events lost: %d", l.Missing))
	}
	if n := len(l.NotFound) + len(l.Left); n > 0 {
		out = append(out, fmt.Sprintf("files missing or not to be placed: %d", n))
	}
	if l.Forks > 0 {
		out = append(out, fmt.Sprintf("events in two versions: %d", l.Forks))
	}
	if len(out) == 0 && slices.ContainsFunc(l.Files, func(f LogFile) bool { return !f.Sound }) {
		out = append(out, "a file is damaged, every event of it was read")
	}
	return strings.Join(out, ", ")
}

// holdTally counts holds and stops by their cause. One that is not ended lasts to
// the end of the log.
func (p *Paper) holdTally() []Tally {
	by := map[string]*Tally{}
	for k := range p.Holds {
		h := &p.Holds[k]
		cause := "hold: " + strings.ToLower(h.Why.S)
		if !h.Why.OK() {
			cause = "hold: " + h.Why.NA
		}
		if h.Stop {
			cause = "stop: " + strings.ToLower(h.Why.S)
		}
		to := p.End.T
		if h.To.OK() {
			to = h.To.T
		}
		tallied(by, clean.String(cause)).Seconds += to.Sub(h.From).Seconds()
	}
	return tallies(by)
}

// callTally counts calls by what they said; numbers in them do not count, so that
// BUCKET 7 DEAD and BUCKET 9 DEAD are one.
func (p *Paper) callTally() []Tally {
	by := map[string]*Tally{}
	for k := range p.Calls {
		tallied(by, "call: "+clean.String(strings.ToLower(withoutNumbers(p.Calls[k].What))))
	}
	return tallies(by)
}

func tallied(by map[string]*Tally, what string) *Tally {
	if by[what] == nil {
		by[what] = &Tally{What: what}
	}
	by[what].Times++
	return by[what]
}

func tallies(by map[string]*Tally) []Tally {
	out := []Tally{}
	for _, k := range sortedKeys(by) {
		out = append(out, *by[k])
	}
	return out
}

func withoutNumbers(s string) string {
	var out []string
	for _, w := range strings.Fields(s) {
		if strings.Trim(w, "0123456789") != "" {
			out = append(out, w)
		}
	}
	return strings.Join(out, " ")
}
