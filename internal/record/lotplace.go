package record

import (
	"fmt"
	"slices"
	"strings"

	"floorpace/internal/clean"
)

// LotPlace is one lot of one part in one zone, or one panel of it.
type LotPlace struct {
	Zone    string `json:"zone"`
	Panel   Text   `json:"panel"` // not there: what lies in no panel, or the zone has none
	Part    string `json:"part"`
	Lot     string `json:"lot"`
	Batches []int  `json:"batches"`
}

// lotPlaces lists the lots where the plan says that they must not mix.
func (m *maker) lotPlaces() {
	for _, q := range m.state.LotPlaces() {
		z := m.plan.Zone(q.Zone)
		if z < 0 || len(m.plan.Zones[z].Panels) == 0 && !m.plan.Zones[z].OneLot {
			continue
		}
		none := "in no panel"
		if len(m.plan.Zones[z].Panels) == 0 {
			none = "the zone has no panels"
		}
		m.paper.LotPlaces = append(m.paper.LotPlaces, LotPlace{
			Zone: clean.String(q.Zone), Panel: text(clean.String(q.Panel), none),
			Part: clean.String(q.Part), Lot: m.lotName(q.Lot), Batches: q.Batches,
		})
	}
}

// lotPlaces is a table of its own only where lots must not mix.
func (q printer) lotPlaces() []block {
	if len(q.p.LotPlaces) == 0 {
		return nil
	}
	t := &table{cols: cols("Zone", "Panel", "Part", "Lot", "Batches")}
	for i := range q.p.LotPlaces {
		l := &q.p.LotPlaces[i]
		t.add(l.Zone, t.text(l.Panel), l.Part, l.Lot, numbers(l.Batches))
	}
	return []block{{head: "Lots by zone and panel", words: []string{"Where lots must not mix: every lot that lies there, by the batches on the floor. A batch that reaches over an edge stands in both."}, table: t}}
}

// numbers lists batches, runs of them as "3 to 7".
func numbers(ns []int) string {
	ns = slices.Clone(ns)
	slices.Sort(ns)
	var out []string
	for i := 0; i < len(ns); {
		j := i
		for j+1 < len(ns) && ns[j+1] == ns[j]+1 {
			j++
		}
		switch {
		case j > i+1:
			out = append(out, fmt.Sprintf("%d to %d", ns[i], ns[j]))
		case j == i+1:
			out = append(out, fmt.Sprint(ns[i]), fmt.Sprint(ns[j]))
		default:
			out = append(out, fmt.Sprint(ns[i]))
		}
		i = j + 1
	}
	return strings.Join(out, ", ")
}
