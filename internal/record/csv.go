package record

import (
	"encoding/csv"
	"fmt"
	"io"
	"strconv"
	"time"

	"floorpace/internal/clean"
	"floorpace/internal/day"
	"floorpace/internal/units"
)

// cell is one cell of a comma-separated file. Text is made safe for
// spreadsheets; figures of ours are plain numbers and stay as they are, so that
// a minus sign is still a minus sign.
type cell struct {
	s      string
	figure bool
}

func txt(s string) cell { return cell{s: s} }

func fig(v float64) cell { return cell{strconv.FormatFloat(v, 'f', -1, 64), true} }

// round prints a figure to the decimals that can be measured.
func round(v float64, decimals int) cell {
	return cell{strconv.FormatFloat(v, 'f', decimals, 64), true}
}

func (n Num) cell(decimals int) cell {
	if !n.OK() {
		return txt("N/A: " + n.NA)
	}
	return round(n.V, decimals)
}

func (w When) cell() cell {
	if !w.OK() {
		return txt("N/A: " + w.NA)
	}
	return txt(w.T.Format(time.RFC3339))
}

func (t Text) cell() cell {
	if !t.OK() {
		return txt("N/A: " + t.NA)
	}
	return txt(t.S)
}

// in turns a figure into the crew's unit before it is printed.
func (n Num) in(k units.Kind, sys units.System) Num {
	if n.OK() {
		n.V = units.To(k, n.V, sys)
	}
	return n
}

// CSVFile is one comma-separated file of the papers (RFC 4180).
type CSVFile struct {
	Name  string // batches, readings, calls, yield, holds, zones
	Write func(io.Writer) error
}

// CSV lists the comma-separated files: figures in the crew's units, named in the
// head of each column; instants as RFC 3339; times in seconds.
func (p *Paper) CSV() []CSVFile {
	return []CSVFile{
		{"batches", func(w io.Writer) error { return writeCSV(w, p.batchRows()) }},
		{"readings", func(w io.Writer) error { return writeCSV(w, p.readingRows()) }},
		{"calls", func(w io.Writer) error { return writeCSV(w, p.callRows()) }},
		{"yield", func(w io.Writer) error { return writeCSV(w, p.yieldRows()) }},
		{"holds", func(w io.Writer) error { return writeCSV(w, p.holdRows()) }},
		{"zones", func(w io.Writer) error { return writeCSV(w, p.zoneRows()) }},
	}
}

func writeCSV(w io.Writer, rows [][]cell) error {
	c := csv.NewWriter(w)
	c.UseCRLF = true
	for _, r := range rows {
		out := make([]string, len(r))
		for i, x := range r {
			if out[i] = x.s; !x.figure {
				out[i] = clean.CSV(x.s)
			}
		}
		if err := c.Write(out); err != nil {
			return fmt.Errorf("the comma-separated file: %w", err)
		}
	}
	c.Flush()
	if err := c.Error(); err != nil {
		return fmt.Errorf("the comma-separated file: %w", err)
	}
	return nil
}

func heads(names ...string) []cell {
	out := make([]cell, len(names))
	for i, n := range names {
		out[i] = txt(n)
	}
	return out
}

func (p *Paper) batchRows() [][]cell {
	u := func(k units.Kind) string { return " (" + units.Unit(k, p.sys) + ")" }
	rows := [][]cell{heads("batch", "zone", "mixer", "blend", "share of a kit", "weights", "lots", "mix start", "parts in (s from mix start)", "mixed", "mixed pressed", "poured",
		"bucket age (s)", "bucket life (s)", "bucket life used", "interval (s)", "longest interval for the edge (s)", "shortest interval of the crew (s)",
		"row from", "row to", "x from"+u(units.Length), "y from"+u(units.Length), "x to"+u(units.Length), "y to"+u(units.Length),
		"area"+u(units.Area), "depth"+u(units.Depth), "poured net"+u(units.Volume), "fate", "why", "scrapped at", "corrections")}
	for i := range p.Batches {
		b := &p.Batches[i]
		t := &table{}
		var parts, notes string
		for _, w := range b.Parts {
			parts = join(parts, " ", strconv.FormatFloat(w.T.Sub(b.Started.T).Seconds(), 'f', 0, 64))
		}
		if parts == "" {
			parts = "N/A: " + b.PartsNA
		}
		for _, n := range b.Notes {
			notes = join(notes, "; ", n)
		}
		if notes == "" {
			notes = "N/A: none"
		}
		lots := t.lots(b)
		if len(t.notes) > 0 { // letters are for the printed table
			lots = "N/A: " + t.notes[0]
			for _, l := range b.Lots {
				if l.Lot.OK() {
					lots = join(lots, ", ", l.Part+" "+l.Lot.S)
				}
			}
		}
		rows = append(rows, []cell{
			fig(float64(b.No)), b.Zone.cell(), fig(float64(b.Mixer)), txt(b.Blend), fig(b.Share), b.Weights.cell(), txt(lots), b.Started.cell(), txt(parts),
			b.Mixed.cell(), txt(yesNo(b.Told)), b.Poured.cell(), b.Age.cell(0), b.Life.cell(0), b.Used.cell(3), b.Gap.cell(0), b.Needed.cell(0), b.Limit.cell(0),
			b.Row.cell(0), b.RowTo.cell(0), b.X.in(units.Length, p.sys).cell(2), b.Y.in(units.Length, p.sys).cell(2), b.X2.in(units.Length, p.sys).cell(2), b.Y2.in(units.Length, p.sys).cell(2),
			b.AreaM2.in(units.Area, p.sys).cell(3), b.DepthM.in(units.Depth, p.sys).cell(3), b.PouredL.in(units.Volume, p.sys).cell(3),
			txt(b.Fate), b.Why.cell(), b.Gone.cell(), txt(notes),
		})
	}
	return rows
}

func yesNo(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}

func join(a, sep, b string) string {
	if a == "" {
		return b
	}
	return a + sep + b
}

func (p *Paper) readingRows() [][]cell {
	t := units.Unit(units.Temp, p.sys)
	rows := [][]cell{heads("at", "read", "spot", "figure", "unit", "dew point ("+t+")", "slab above dew point ("+units.Unit(units.TempDiff, p.sys)+")", "from the plan")}
	for _, r := range p.Readings {
		kind, unit := units.Temp, t
		if r.What == day.ReadHumidity {
			kind, unit = units.Share, "%"
		}
		rows = append(rows, []cell{
			r.At.cell(), txt(r.What), r.Spot.cell(), round(units.To(kind, r.Value, p.sys), 1), txt(unit),
			r.DewC.in(units.Temp, p.sys).cell(1), r.MarginK.in(units.TempDiff, p.sys).cell(1), txt(yesNo(r.Note == "plan")),
		})
	}
	return rows
}

func (p *Paper) callRows() [][]cell {
	rows := [][]cell{heads("raised", "grade", "call", "figures", "answered", "put aside", "put aside why", "cleared")}
	for _, c := range p.Calls {
		rows = append(rows, []cell{c.Raised.cell(), fig(float64(c.Grade)), txt(c.What), txt(c.Why), c.Acked.cell(), c.Shelved.cell(), c.Reason.cell(), c.Cleared.cell()})
	}
	return rows
}

// yieldRows end with a row for each part over its lots and one for the day.
func (p *Paper) yieldRows() [][]cell {
	rows := [][]cell{heads("lot", "part", "on hand (kits)", "opened (kits)", "used (kits)", "scrapped (kits)", "left of opened (kits)", "not opened (kits)")}
	add := func(y *Yield) {
		rows = append(rows, []cell{y.Lot.cell(), txt(y.Part), y.OnHand.cell(2), round(y.Opened, 2), round(y.Used, 2), round(y.Scrapped, 2), round(y.Left, 2), y.Unopened.cell(2)})
	}
	for i := range p.Yield {
		add(&p.Yield[i])
	}
	sums := p.yieldSums()
	for i := range sums {
		add(&sums[i])
	}
	t := &p.Totals
	add(&Yield{
		Lot: Text{S: "whole day"}, Part: "kits", OnHand: t.KitsOnHand, Opened: t.KitsOpened, Used: t.KitsUsed, Scrapped: t.KitsScrapped,
		Left: t.KitsLeft, Unopened: t.KitsUnopened,
	})
	return rows
}
