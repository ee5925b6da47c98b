package record

import (
	"cmp"
	"strconv"
	"time"

	"floorpace/internal/units"
)

// holdRows are the holds, with the edge as it stood at the end of each.
func (p *Paper) holdRows() [][]cell {
	u := " (" + units.Unit(units.Length, p.sys) + ")"
	rows := [][]cell{heads("hold", "from", "to", "time (s)", "stop", "why", "where", "zone", "front x"+u, "front y"+u,
		"edge life (s)", "edge limit (s)", "joinable"+u, "at risk"+u, "gone"+u, "whole edge joinable until", "last point joinable until",
		"row", "row laid from", "row laid to", "roll window (s)", "roll shut from", "roll shut to", "buckets waiting", "bucket life (s)", "buckets dead", "edge from place to place"+u)}
	for i := range p.Holds {
		h := &p.Holds[i]
		dead, places := "", ""
		for _, d := range h.Dead {
			dead = join(dead, "; ", "batch "+strconv.Itoa(d.Batch)+": "+seconds0(d.AgeS)+" s of "+seconds0(d.LifeS)+" s")
		}
		if dead == "" {
			dead = "none"
		}
		m := func(v float64) string { return strconv.FormatFloat(units.To(units.Length, v, p.sys)+0, 'f', 2, 64) }
		for _, e := range h.Places {
			places = join(places, "; ", e.State+" "+m(e.X)+" "+m(e.Y)+" to "+m(e.X2)+" "+m(e.Y2))
		}
		if places == "" {
			places = "N/A: " + cmp.Or(h.JoinM.NA, "no wet edge was open")
		}
		l := func(n Num) cell { return n.in(units.Length, p.sys).cell(2) }
		rows = append(rows, []cell{
			fig(float64(i + 1)), txt(h.From.Format(time.RFC3339)), h.To.cell(), h.Seconds.cell(0), txt(yesNo(h.Stop)), h.Why.cell(), h.Where.cell(), h.Zone.cell(), l(h.X), l(h.Y),
			h.EdgeLife.cell(0), h.EdgeLimit.cell(0), l(h.JoinM), l(h.RiskM), l(h.GoneM), h.WholeTill.cell(), h.LastTill.cell(),
			h.Row.cell(0), h.LaidFirst.cell(), h.LaidLast.cell(), h.RollWindow.cell(0), h.RollFirst.cell(), h.RollLast.cell(),
			fig(float64(h.Waiting)), h.BucketLife.cell(0), txt(dead), txt(places),
		})
	}
	return rows
}

func seconds0(v float64) string { return strconv.FormatFloat(v, 'f', 0, 64) }

// zoneRows are the zones as at the end of the log, each with a row more for
// every time the rake was set anew: as it stood just before.
func (p *Paper) zoneRows() [][]cell {
	a := " (" + units.Unit(units.Area, p.sys) + ")"
	l := " (" + units.Unit(units.Length, p.sys) + ")"
	rows := [][]cell{heads("zone", "as of", "blend", "begun", "closed", "ended", "batches", "laid"+a, "of"+a, "plan kits", "plan kits exact", "a kit by plan"+a, "a kit really"+a,
		"use (%)", "use by the last three (%)", "kits on hand", "to finish by plan", "to finish by the mean", "to finish by the last three", "reaches"+a, "reaches by the last three"+a,
		"reset saves it for (kits)", "to finish after a reset", "median interval (s)", "edge joined"+l, "inside the margin"+l, "too late"+l, "no age"+l, "least slack (s)")}
	area := func(n Num) cell { return n.in(units.Area, p.sys).cell(3) }
	share := func(n Num) cell { return n.in(units.Share, p.sys).cell(1) }
	len2 := func(v float64) cell { return round(units.To(units.Length, v, p.sys), 2) }
	for i := range p.Zones {
		z := &p.Zones[i]
		row := func(at cell, x Reset, needPlan Num) []cell {
			return []cell{
				txt(z.Name), at, txt(z.Blend), z.Began.cell(), z.Closed.cell(), txt(z.Ended), fig(float64(z.Batches)), area(num(z.LaidM2)), area(num(z.AreaM2)),
				fig(float64(z.PlanKits)), round(z.KitsExact, 2), area(num(z.M2PerKit)), area(z.RealM2Kit),
				share(x.Drift), share(x.DriftLast), x.OnHand.cell(0), needPlan.cell(0), x.NeedMean.cell(0), x.NeedLast.cell(0), area(x.ReachM2), area(x.ReachLast),
				x.SaveFor.cell(0), x.NeedAfter.cell(0), z.Interval.cell(0), len2(z.Edge.JoinedM), len2(z.Edge.RiskM), len2(z.Edge.LostM), len2(z.Edge.NoAgeM), z.Edge.Least.cell(0),
			}
		}
		for _, x := range z.Resets {
			rows = append(rows, row(txt("before the rake was set anew "+x.At.Format(time.RFC3339)), x, noNum("as at the end of the log only")))
		}
		rows = append(rows, row(txt("end of the log"), Reset{
			Drift: z.Drift, DriftLast: z.DriftLast, OnHand: z.OnHand, NeedMean: z.NeedMean, NeedLast: z.NeedLast, ReachM2: z.ReachM2, ReachLast: z.ReachLast,
			SaveFor: z.SaveFor, NeedAfter: noNum("no reset at this instant"),
		}, z.NeedPlan))
	}
	return rows
}
