package tui

import (
	"context"
	"fmt"
	"strings"
	"time"

	"floorpace/internal/advice"
	"floorpace/internal/day"
	"floorpace/internal/pace"
	"floorpace/internal/shift"
)

func yes(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}

func list(ns []int) string { return strings.Trim(fmt.Sprint(ns), "[]") }

// probe looks an answer up in the view, by its words.
func (w *wrong) probe(asked string) any {
	v := w.view
	for _, p := range []struct {
		lead string
		of   func(string) any
	}{
		{"zone ", w.zoneProbe},
		{"latest last batch ", func(z string) any { return w.zoneView(z).Turnout.Latest }},
		{"call ", w.callProbe},
		{"job ", func(id string) any {
			for _, j := range v.Jobs {
				if j.ID == id {
					return j.Why
				}
			}
			return "none"
		}},
		{"best stop", w.stopProbe},
		{"stop chosen", func(s string) any {
			if s == " why" {
				return w.lastOf(day.StopChosen).Why
			}
			return w.lastOf(day.StopChosen).Text
		}},
		{"stop ", func(name string) any {
			for _, q := range v.Stops {
				if q.Name == name {
					return q.Missing()
				}
			}
			return "none"
		}},
		{"exit ", func(z string) any {
			if why := v.Exits[v.Plan.Zone(z)].Why; why != "" {
				return why
			}
			return "none"
		}},
		{"fence", w.fenceProbe},
		{"bad", w.badProbe},
		{"roll ", func(s string) any { return w.finishProbe(v.Finishing.Roll, s) }},
		{"broadcast ", func(s string) any { return w.finishProbe(v.Finishing.Broad, s) }},
		{"edge life at ", func(s string) any { return w.spot(s).Edge }},
		{"dew margin at ", func(s string) any { return w.spot(s).Dew.MarginK }},
		{"lot in use ", func(part string) any {
			for _, l := range v.Lots.InUse {
				if l.Part == part {
					return l.Lot
				}
			}
			return "none"
		}},
		{"lots for ", func(z string) any { return lotsFor(v, z) }},
		{"calls since ", func(s string) any {
			from, n := w.instant(strings.TrimSuffix(s, " at most")), 0
			for _, c := range v.History {
				if !c.Raised.Before(from) {
					w.t.Logf("%s %d %s: %s", c.Raised.Format("15:04:05"), c.Grade, c.What, c.Why)
					n++
				}
			}
			return float64(n)
		}},
	} {
		if rest, ok := strings.CutPrefix(asked, p.lead); ok {
			return p.of(rest)
		}
	}
	if what, ok := strings.CutSuffix(asked, " lost at"); ok && what != "first" {
		for _, d := range v.Danger.Dies {
			if d.What == what {
				return d.At
			}
		}
	}
	if f, ok := plainProbes[asked]; ok {
		return f(w)
	}
	return nil
}

var plainProbes = map[string]func(*wrong) any{
	"interval":        func(w *wrong) any { return pace.Interval(w.view.Band.Limit) },
	"needed interval": func(w *wrong) any { return pace.Interval(w.view.Band.Needed) },
	"widest pull m":   func(w *wrong) any { return w.view.Band.WidestM },
	"finish":          func(w *wrong) any { return w.view.Finish },
	"next": func(w *wrong) any {
		if w.view.Next.Why == "" {
			return "none"
		}
		return w.view.Next.Why
	},
	"gone m":                   func(w *wrong) any { return w.view.Danger.GoneM },
	"at risk m":                func(w *wrong) any { return w.view.Danger.RiskM },
	"joinable m":               func(w *wrong) any { return w.view.Danger.JoinM },
	"whole row joinable until": func(w *wrong) any { return w.view.Danger.WholeUntil },
	"last point joinable until": func(w *wrong) any {
		return w.view.Danger.LastUntil
	},
	"dead buckets":   func(w *wrong) any { return list(w.view.Danger.Dead) },
	"cut back to":    func(w *wrong) any { return w.view.Danger.Cut.Name },
	"kits to finish": func(w *wrong) any { return float64(max(w.view.Kits.NeedMean, w.view.Kits.NeedLast)) },
	"margin gone at": func(w *wrong) any { return w.view.Air.MarginGone },
	"last row": func(w *wrong) any {
		e := w.lastOf(day.RowRolled)
		return fmt.Sprintf("%s %d", e.Zone, e.Row)
	},
	"rows off": func(w *wrong) any {
		n := 0.0
		for _, r := range w.view.Finishing.Roll {
			if r.Off {
				n++
			}
		}
		return n
	},
	"last pour why": func(w *wrong) any {
		if why := w.lastOf(day.BatchPoured).Why; why != "" {
			return why
		}
		return "fresh"
	},
	"cut":           func(w *wrong) any { return w.lastOf(day.CutBack).Text },
	"cut why":       func(w *wrong) any { return w.lastOf(day.CutBack).Why },
	"cut by":        func(w *wrong) any { return w.lastOf(day.CutBack).Role },
	"cut back kits": func(w *wrong) any { return float64(w.view.Danger.Cut.Kits) },
	"first lost":    func(w *wrong) any { return w.view.Danger.Dies[0].What },
	"first lost at": func(w *wrong) any { return w.view.Danger.Dies[0].At },
	"decision at":   func(w *wrong) any { return w.lastOf(day.DecisionMade).At },
	"decided by":    func(w *wrong) any { return w.lastOf(day.DecisionMade).Role },
	"decision":      func(w *wrong) any { return w.lastOf(day.DecisionMade).Text },
	"end of zone last batch": func(w *wrong) any {
		for _, q := range w.view.Stops {
			if q.Name == "end of zone" {
				return float64(q.LastBatch)
			}
		}
		return nil
	},
	"hold":                func(w *wrong) any { return yes(w.view.Hold != nil) },
	"screen":              (*wrong).screens,
	"top call":            func(w *wrong) any { return w.nthCall(0).What },
	"top call since":      func(w *wrong) any { return w.nthCall(0).Raised },
	"second call":         func(w *wrong) any { return w.nthCall(1).What },
	"batches started":     func(w *wrong) any { return float64(len(w.view.Batches)) },
	"last share":          func(w *wrong) any { return w.view.Batches[len(w.view.Batches)-1].Share },
	"last words":          func(w *wrong) any { return w.lastOf(day.BatchStarted).Text },
	"refused":             func(w *wrong) any { return w.err },
	"laid kits":           func(w *wrong) any { return w.view.PosL / w.view.Floor.NetL(w.view.Blend) },
	"stopped since":       func(w *wrong) any { return w.view.Stopped.Since },
	"stopped why":         func(w *wrong) any { return w.view.Stopped.Why },
	"stopped where":       func(w *wrong) any { return w.view.Stopped.Where },
	"detail work ahead m": func(w *wrong) any { return w.view.Finishing.AheadM },
	"detail work ahead at": func(w *wrong) any {
		var out []string
		for _, q := range w.view.Finishing.AheadAt {
			out = append(out, fmt.Sprintf("%s %.2f m", w.view.Floor.Z.Spots[q.Spot].Name, q.M))
		}
		if out == nil {
			return "none"
		}
		return strings.Join(out, ", ")
	},
	"slab rises": func(w *wrong) any { return yes(w.view.Air.Rising) },
	"bare strip row": func(w *wrong) any {
		for _, r := range w.view.Finishing.Broad {
			if r.AtEdge && w.view.Finishing.BareM > 0 {
				return float64(r.Row)
			}
		}
		return 0.0
	},
	"post out": func(w *wrong) any {
		for _, p := range w.view.Posts {
			if !p.Down.IsZero() {
				return "yes"
			}
		}
		return "no"
	},
	"opening": func(w *wrong) any {
		for _, o := range w.view.Opening {
			if o.Asked {
				return o.At
			}
		}
		return nil
	},
	"ways out at least": func(w *wrong) any { return float64(len(w.outlook().Ways)) },
	"first way out":     func(w *wrong) any { return w.outlook().Ways[0].What },
	"a way out": func(w *wrong) any {
		var out []string
		for _, x := range w.outlook().Ways {
			out = append(out, x.What)
		}
		return strings.Join(out, "; ")
	},
	"override": func(w *wrong) any {
		e := w.lastOf(day.OverrideGiven)
		return e.Who + " " + e.Role + " " + e.Why
	},
	"edge first gone at": func(w *wrong) any {
		e := &w.view.Edge
		first := 0
		for i := range e.Points {
			if e.Points[i].Dead.Before(e.Points[first].Dead) {
				first = i
			}
		}
		if k := w.view.Floor.SpotOf[e.Points[first].Cell]; k >= 0 {
			return w.view.Floor.Z.Spots[k].Name
		}
		return "slab"
	},
}

// outlook judges the ways out as the forecast does, on fewer days.
func (w *wrong) outlook() advice.Outlook {
	c, ok := advice.Ask(w.view.Snapshot)
	if !ok {
		w.t.Fatal("nothing to forecast")
	}
	began := time.Now()
	o := c.Judge(context.Background(), 100, 1)
	w.t.Logf("ways out of 100 days in %v", time.Since(began))
	return o
}

// screens is what both screens show, and the line at the bottom.
func (w *wrong) screens() any {
	text := w.m.View()
	at := w.m.screen
	for w.m.screen = range 1 + len(w.m.o.Screens) {
		w.m.dirty = true
		text += w.m.View()
	}
	w.m.screen, w.m.dirty = at, true
	return text
}

func (w *wrong) lastOf(k day.Kind) day.Event {
	es := w.desk.State().Events
	for i := len(es) - 1; i >= 0; i-- {
		if es[i].Kind == k {
			return es[i]
		}
	}
	return day.Event{}
}

func (w *wrong) nthCall(n int) day.Call {
	if n < len(w.view.Calls) {
		return w.view.Calls[n]
	}
	return day.Call{What: "none"}
}

func (w *wrong) callProbe(s string) any {
	id, what, _ := strings.Cut(s, " ")
	for _, c := range w.view.Calls {
		if c.ID != id {
			continue
		}
		switch what {
		case "grade":
			return float64(c.Grade)
		case "why":
			return c.Why
		}
		return c.What
	}
	return "none"
}

func (w *wrong) zoneView(name string) day.ZoneView { return w.view.Zones[w.view.Plan.Zone(name)] }

func (w *wrong) zoneProbe(s string) any {
	name, what, _ := strings.Cut(s, " ")
	t := w.zoneView(name).Turnout
	switch what {
	case "fits":
		return yes(t.Fits)
	case "spare":
		return t.Spare
	case "ends":
		return t.Ends
	}
	return nil
}

func (w *wrong) stopProbe(s string) any {
	if len(w.view.StopPlan.Best) == 0 {
		return "none"
	}
	b := &w.view.StopPlan.Best[0]
	switch s {
	case "":
		return b.Name
	case " kits":
		return float64(b.Batches)
	case " last batch":
		return float64(b.LastBatch)
	case " last start":
		return b.LastStart
	case " spare":
		return float64(b.Spare)
	case " back m2":
		return b.OffM2
	}
	return nil
}

func (w *wrong) fenceProbe(s string) any {
	fs := w.view.Fences
	if s == "s" {
		return float64(len(fs))
	}
	if len(fs) == 0 {
		return "no fence"
	}
	switch f := &fs[0]; s {
	case " from batch":
		return float64(f.From)
	case " to batch":
		return float64(f.To)
	case " to m":
		return f.Places[len(f.Places)-1].ToM
	case " places":
		return day.PlaceWords(f.Places, w.view.Plan.Units)
	case " m2":
		return f.AreaM2
	case " on the way":
		return list(f.OnTheWay)
	}
	return nil
}

func (w *wrong) badProbe(s string) any {
	if s == " batches" {
		return float64(len(w.view.Bad))
	}
	if len(w.view.Bad) == 0 {
		return "none is bad"
	}
	switch b := &w.view.Bad[0]; s {
	case " batch":
		return float64(b.Batch)
	case " m2":
		return b.AreaM2
	case " touches":
		return list(b.Touches)
	case " edge m":
		return b.EdgeM
	case " lifts until":
		return b.LiftUntil
	case " kits":
		return float64(b.Kits)
	case " fill by":
		return b.FillBy
	case " why":
		return b.Why
	case " fill at":
		return b.FillAt
	case " edge slack":
		return b.EdgeSlack
	case " fill in time":
		return yes(b.FillOK)
	}
	return nil
}

func (w *wrong) finishProbe(rows []day.FinishRow, s string) any {
	if s == "list" {
		out, off := "", false
		for _, r := range rows {
			if r.Off && !off {
				out, off = out+" off", true
			}
			out += fmt.Sprintf(" %d", r.Row)
		}
		if out == "" {
			return "none"
		}
		return strings.TrimSpace(out)
	}
	for _, r := range rows {
		if s == fmt.Sprintf("row %d left", r.Row) {
			return r.Left
		}
	}
	return "no such row"
}

func (w *wrong) spot(name string) day.SpotView {
	for _, q := range w.view.Air.Spots {
		if q.Name == name || q.Name == "" && name == "slab" {
			return q
		}
	}
	w.t.Fatalf("there is no spot %q", name)
	return day.SpotView{}
}

func lotsFor(v *shift.View, zone string) string {
	for _, z := range pace.SpreadLots(v.Plan, v.Floors).Zones {
		if strings.TrimSpace(z.Zone+" "+z.Panel) == zone {
			return z.Words
		}
	}
	return "none"
}
