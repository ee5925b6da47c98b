package tui

import (
	"fmt"
	"math"
	"strings"

	"floorpace/internal/clean"
	"floorpace/internal/day"
	"floorpace/internal/sheet"
	"floorpace/internal/tui/entry"
	"floorpace/internal/units"

	tea "github.com/charmbracelet/bubbletea"
)

// markSpan is how far from the reckoned front a mark may lie before the console
// asks: a rake worn by a quarter is the worst that is still one rake.
const markSpan = 0.25

// marks asks where the front is: along the pull, by area, or past a bay.
func (m *Model) marks() tea.Cmd {
	v := m.v
	if v.Zone < 0 || len(v.Laid) == 0 {
		return m.warn("nothing is down yet")
	}
	path := v.Floor.Path
	about := func(now float64) [2]float64 { return [2]float64{now * (1 - markSpan), now * (1 + markSpan)} }
	figure := func(ask string, k units.Kind, now float64, press func(float64) day.Press) choice {
		return choice{ask, "reckoned " + units.Format(k, now, v.Plan.Units), func() tea.Cmd {
			m.openLine(&entry.Line{Ask: "front, " + ask, Kind: k, Usual: about(now)}, func(o entry.Outcome) tea.Cmd {
				return m.press(press(o.Value))
			})
			return nil
		}}
	}
	zone := v.Floor.Z.Name
	cs := []choice{
		figure("along the pull", units.Length, path.FrontAt(v.PosL), func(x float64) day.Press {
			return day.Press{Kind: day.FrontMarked, Zone: zone, AlongM: day.Value(x)}
		}),
		figure("area covered", units.Area, path.AreaAt(v.PosL), func(x float64) day.Press {
			return day.Press{Kind: day.FrontMarked, Zone: zone, AreaM2: day.Value(x)}
		}),
	}
	for _, b := range v.Floor.Z.Bays {
		cs = append(cs, choice{"past bay " + b.Name, "", func() tea.Cmd {
			return m.press(day.Press{Kind: day.FrontMarked, Zone: zone, Bay: b.Name})
		}})
	}
	m.openList("Front at", cs...)
	return nil
}

// blend is what the next batch is mixed from, by the view.
func (m *Model) blend() *sheet.Blend {
	if m.v.Floor == nil {
		return nil
	}
	return m.v.Floor.Blend
}

// tally asks for the empties of one part after the other.
func (m *Model) tally(so []string) tea.Cmd {
	b := m.blend()
	if b == nil || len(b.Parts) == 0 {
		return m.warn("the sheet names no parts to count")
	}
	part := b.Parts[len(so)].Name
	m.openLine(&entry.Line{Ask: "empties of " + part, Sort: entry.Whole}, func(o entry.Outcome) tea.Cmd {
		so = append(so, fmt.Sprintf("%s=%.0f", word(part), o.Value))
		if len(so) < len(b.Parts) {
			return m.tally(so)
		}
		return m.press(day.Press{Kind: day.TallyTaken, Counts: strings.Join(so, " ")})
	})
	return nil
}

// word makes a name fit for a "name=value" list, as the day writes lots.
func word(s string) string {
	return strings.NewReplacer(" ", "_", "=", "_").Replace(clean.String(s))
}

// part asks which mixer a part batch goes to, then for the weight of each part.
func (m *Model) part() tea.Cmd {
	if m.blend() == nil {
		return m.warn("every zone is closed")
	}
	var cs []choice
	for i := range m.v.Mixers {
		x := &m.v.Mixers[i]
		if x.Down || x.Batch > 0 {
			continue
		}
		cs = append(cs, choice{fmt.Sprintf("mixer %d", x.No), "", func() tea.Cmd { return m.weigh(&partBatch{mixer: x.No}) }})
	}
	if len(cs) == 0 {
		return m.warn("no mixer is free")
	}
	m.openList("Part batch on", cs...)
	return nil
}

// partBatch gathers the weights of one part batch.
type partBatch struct {
	mixer   int
	kg      []float64
	first   sheet.Part // the first with a weight on the sheet
	firstKg float64
	least   float64 // share of a full kit by the part that has least
	most    float64
	shares  int
}

// weigh asks for the next part; with all of them the batch is started. Where
// the sheet gives no weights but allows volumes the share is asked for instead.
func (m *Model) weigh(p *partBatch) tea.Cmd {
	b := m.blend()
	if !day.Weighed(b) {
		if !m.v.Plan.Sheet.Limits.VolumeAllowed {
			return m.warn("the sheet gives no weights to split a kit by: mix whole kits only")
		}
		m.openLine(&entry.Line{Ask: fmt.Sprintf("part batch on mixer %d, share of a kit", p.mixer), Kind: units.Share, Refuse: refuseShare}, func(o entry.Outcome) tea.Cmd {
			return m.press(day.Press{Kind: day.BatchStarted, Mixer: p.mixer, Share: o.Value})
		})
		return nil
	}
	q := b.Parts[len(p.kg)]
	full := units.Format(units.Mass, q.KgPerKit, m.v.Plan.Units)
	l := &entry.Line{Ask: fmt.Sprintf("weight of %s (a full kit has %s)", q.Name, full), Kind: units.Mass}
	if q.KgPerKit == 0 {
		l.Ask = "weight of " + q.Name
	}
	l.Refuse = func(kg float64) string { return p.refuse(kg, q, day.PartTolerance(&m.v.Plan.Sheet)) }
	m.openLine(l, func(o entry.Outcome) tea.Cmd {
		p.add(o.Value, q)
		if len(p.kg) < len(b.Parts) {
			return m.weigh(p)
		}
		return m.press(day.Press{Kind: day.BatchStarted, Mixer: p.mixer, Share: math.Min(1, (p.least+p.most)/2), Weights: p.weights(b)})
	})
	return nil
}

func refuseShare(v float64) string {
	if v <= 0 || v > 1 {
		return "a part batch is more than 0 and at most 100 % of a kit"
	}
	return ""
}

// refuse says in words why a weight cannot be: too much, nothing, or off the
// ratio of the parts before it.
func (p *partBatch) refuse(kg float64, q sheet.Part, tol float64) string {
	switch {
	case kg <= 0:
		return "a part weighs more than nothing"
	case q.KgPerKit <= 0:
		return ""
	case kg > q.KgPerKit*(1+tol):
		return "that is more than a full kit has"
	case p.shares == 0:
		return ""
	}
	share := kg / q.KgPerKit
	if off := math.Max(share/p.least, p.most/share) - 1; off > tol {
		return fmt.Sprintf("%s to %s is %.3f, sheet %.3f: %.1f %% off the ratio, %.1f %% allowed: weigh again, do not mix",
			clean.String(q.Name), clean.String(p.first.Name), kg/p.firstKg, q.KgPerKit/p.first.KgPerKit, 100*off, 100*tol)
	}
	return ""
}

func (p *partBatch) add(kg float64, q sheet.Part) {
	p.kg = append(p.kg, kg)
	if q.KgPerKit <= 0 {
		return
	}
	share := kg / q.KgPerKit
	if p.shares == 0 {
		p.least, p.most = share, share
		p.first, p.firstKg = q, kg
	}
	p.least, p.most = math.Min(p.least, share), math.Max(p.most, share)
	p.shares++
}

// weights writes "A=1.20 B=0.80", in kg.
func (p *partBatch) weights(b *sheet.Blend) string {
	var out []string
	for i, kg := range p.kg {
		out = append(out, fmt.Sprintf("%s=%.2f", word(b.Parts[i].Name), kg))
	}
	return strings.Join(out, " ")
}
