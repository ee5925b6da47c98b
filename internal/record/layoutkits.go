package record

import (
	"fmt"
	"strings"

	"floorpace/internal/units"
)

func (q printer) batches() block {
	t := &table{cols: cols(">No", "Zone", ">Mixer", "Lots", "Mix start", "Parts in", "Mixed", "Poured", ">Age", ">Interval", "Where it lies", ">Area", ">Depth", "Fate"), empty: "no batch was started"}
	for i := range q.p.Batches {
		b := &q.p.Batches[i]
		row := []string{
			fmt.Sprint(b.No), t.text(b.Zone), fmt.Sprint(b.Mixer), t.lots(b), t.when(b.Started), t.steps(b), t.mixed(b), t.when(b.Poured),
			t.num(b.Age, clockOf), t.num(b.Gap, clockOf), t.where(q, b), t.num(b.AreaM2, q.f(units.Area)), t.num(b.DepthM, depth(q.sys)), t.fate(b),
		}
		if b.Fate != "poured" || b.Used.OK() && b.Used.V > 1 {
			t.addHeavy(row...)
		} else {
			t.add(row...)
		}
	}
	return block{head: "Batches", words: []string{"Parts in: each step pressed, counted from mix start. Mixed in brackets: by the plan's minutes, not pressed. Interval: since the pour before, same zone. Place: where the batch begins and ends."}, table: t}
}

func (t *table) lots(b *Batch) string {
	if len(b.Lots) == 0 {
		return t.na("no part on the sheet")
	}
	var order []string
	parts := map[string][]string{}
	for _, l := range b.Lots {
		k := l.Lot.S
		if !l.Lot.OK() {
			k = t.na(l.Lot.NA)
		}
		if _, ok := parts[k]; !ok {
			order = append(order, k)
		}
		parts[k] = append(parts[k], l.Part)
	}
	if len(order) == 1 {
		return order[0]
	}
	var out []string
	for _, k := range order {
		out = append(out, strings.Join(parts[k], " ")+" "+k)
	}
	return strings.Join(out, ", ")
}

func (t *table) steps(b *Batch) string {
	if len(b.Parts) == 0 {
		return t.na(b.PartsNA)
	}
	var out []string
	for _, w := range b.Parts {
		out = append(out, units.Clock(w.T.Sub(b.Started.T)))
	}
	return strings.Join(out, " ")
}

func (t *table) mixed(b *Batch) string {
	if b.Mixed.OK() && !b.Told {
		return "(" + hms(b.Mixed.T) + ")"
	}
	return t.when(b.Mixed)
}

func (t *table) where(q printer, b *Batch) string {
	if !b.Row.OK() {
		return t.na(b.Row.NA)
	}
	row := fmt.Sprintf("row %.0f", b.Row.V)
	if b.RowTo.V != b.Row.V {
		row = fmt.Sprintf("rows %.0f-%.0f", b.Row.V, b.RowTo.V)
	}
	if !b.X.OK() || !b.X2.OK() {
		return row
	}
	p := func(x, y Num) string { // a tenth is what a tape gives on a wet floor; the tables have more
		return fmt.Sprintf("%.1f,%.1f", units.To(units.Length, x.V, q.sys)+0, units.To(units.Length, y.V, q.sys)+0)
	}
	return row + " " + p(b.X, b.Y) + " to " + p(b.X2, b.Y2)
}

func (t *table) fate(b *Batch) string {
	s := b.Fate
	if b.Share < 1 {
		s += " " + units.Format(units.Share, b.Share, units.Metric) + " kit"
		if b.Weights.OK() {
			s += " " + b.Weights.S
		}
	}
	if b.Why.OK() {
		s += ": " + b.Why.S
	}
	if b.Fate == "scrapped" && b.Gone.OK() {
		s += " " + hms(b.Gone.T)
	}
	for _, n := range b.Notes {
		s += "; corrected: " + n
	}
	return s
}

func (q printer) yield() block {
	t := &table{cols: cols("Lot", "Part", ">On hand", ">Opened", ">Used", ">Scrapped", ">Left of opened", ">Not opened"), empty: "no batch was started and the plan counts no lots"}
	for i := range q.p.Yield {
		y := &q.p.Yield[i]
		t.add(t.text(y.Lot), y.Part, t.num(y.OnHand, kits), kits(y.Opened), kits(y.Used), kits(y.Scrapped), kits(y.Left), t.num(y.Unopened, kits))
	}
	for _, s := range q.p.yieldSums() {
		t.addHeavy("all lots", s.Part, t.num(s.OnHand, kits), kits(s.Opened), kits(s.Used), kits(s.Scrapped), kits(s.Left), t.num(s.Unopened, kits))
	}
	return block{head: "Yield", words: []string{"In kits: opened = used + scrapped + left of those opened. A part batch opens a kit and leaves the rest of it."}, table: t}
}

// yieldSums adds up each part over its lots.
func (p *Paper) yieldSums() []Yield {
	var out []Yield
	at := map[string]int{}
	for i := range p.Yield {
		y := &p.Yield[i]
		k, ok := at[y.Part]
		if !ok {
			k = len(out)
			at[y.Part] = k
			out = append(out, Yield{Lot: Text{S: "all lots"}, Part: y.Part, OnHand: noNum(y.OnHand.NA), Unopened: noNum(y.Unopened.NA)})
		}
		s := &out[k]
		s.Opened += y.Opened
		s.Used += y.Used
		s.Scrapped += y.Scrapped
		s.Left += y.Left
		if y.OnHand.OK() {
			s.OnHand = num(s.OnHand.V + y.OnHand.V)
		}
	}
	for i := range out {
		if s := &out[i]; s.OnHand.OK() {
			s.Unopened = num(s.OnHand.V - s.Opened)
		}
	}
	return out
}
