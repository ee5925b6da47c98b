package record

import (
	"fmt"
	"strings"

	"floorpace/internal/day"
	"floorpace/internal/units"
)

// blocks is the whole record in the order of the paper.
func (p *Paper) blocks() []block {
	q := printer{p, p.sys}
	out := []block{q.head(), q.findings()}
	out = append(out, q.readiness()...)
	out = append(out, q.zones()...)
	for _, f := range p.floors {
		b := block{head: "The floor as poured: " + f.zone, picture: f.d}
		if f.d == nil {
			b.words = []string{"N/A: " + f.none}
		}
		out = append(out, b)
	}
	out = append(out, q.edges()...)
	out = append(out, q.depths(), q.openings())
	out = append(out, q.charts()...)
	out = append(out, q.batches(), q.yield())
	out = append(out, q.lotPlaces()...)
	out = append(out, q.readings())
	out = append(out, q.holds()...)
	out = append(out, q.calls(), q.corrections(), q.diary())
	out = append(out, q.log()...)
	out = append(out, q.sign())
	return out
}

func (q printer) head() block {
	p := q.p
	t := &table{cols: cols("", "")}
	t.add("Site", t.text(p.Site))
	t.add("Material, as the crew typed its data sheet", t.text(p.Sheet))
	t.add("Day", dayOf(p))
	t.add("First and last event", t.whenAs(p.Begin, "2006-01-02 15:04:05 -07:00")+" to "+t.whenAs(p.End, "2006-01-02 15:04:05 -07:00"))
	t.add("Log", p.sealWords())
	t.add("Printed", p.Printed.Format("2006-01-02 15:04:05 -07:00"))
	return block{words: p.totalLines(), table: t}
}

func dayOf(p *Paper) string {
	if p.Log.Day != "" {
		return p.Log.Day
	}
	if p.Begin.OK() {
		return p.Begin.T.Format("2006-01-02")
	}
	return "N/A, the log has no event"
}

func (q printer) findings() block {
	b := block{head: "What does not fit together"}
	if len(q.p.Findings) == 0 {
		b.words = []string{"Nothing was found: the log's figures agree with each other and with the plan."}
		return b
	}
	found := "1 finding"
	if n := len(q.p.Findings); n > 1 {
		found = fmt.Sprintf("%d findings", n)
	}
	b.words = []string{found + ". Nothing was mended: the figures below stand as they are on the log."}
	b.strong = true
	t := &table{cols: cols(">No", "What", "Where", "At", "Found")}
	for i, f := range q.p.Findings {
		t.add(fmt.Sprint(i+1), f.Kind, f.Where, t.when(f.At), f.What)
	}
	b.table = t
	return b
}

func (q printer) readiness() []block {
	t := &table{cols: cols("Question", "Answer", "Figures"), empty: "the sheet and the plan ask no question"}
	for _, g := range q.p.Gates {
		row := []string{g.Name, strings.ToUpper(g.Call), g.Why}
		if g.Call == "stop" {
			t.addHeavy(row...)
		} else {
			t.add(row...)
		}
	}
	at := "As it stood at the first batch, "
	if q.p.GatesAt.OK() {
		at += q.p.GatesAt.T.Format("15:04:05") + "."
	} else {
		at = "N/A for the first batch: " + q.p.GatesAt.NA + "."
	}
	o := &table{cols: cols("At", "What", "Who", "Role", "Why"), empty: "none was given"}
	for _, v := range q.p.Overrides {
		o.add(hms(v.At), o.text(v.What), o.text(v.Who), o.text(v.Role), o.text(v.Why))
	}
	return []block{{head: "Readiness: go or no-go", words: []string{at}, table: t}, {head: "Overrides", sub: true, table: o}}
}

func (q printer) zones() []block {
	t := &table{cols: cols("Zone", "Blend", "Begun", "Closed", "Ended", ">Batches", ">Laid", ">of", ">Interval", ">An hour", ">Plan kits")}
	u := &table{cols: cols("Zone", ">A kit, plan", ">A kit, real", ">Use", ">Last three", ">To finish: plan", ">mean", ">last three", ">On hand", ">Reaches", ">by last three", ">Reset saves it for")}
	for _, z := range q.p.Zones {
		t.add(z.Name, z.Blend, t.when(z.Began), t.when(z.Closed), z.Ended, fmt.Sprint(z.Batches), q.f(units.Area)(z.LaidM2), q.f(units.Area)(z.AreaM2),
			t.num(z.Interval, clockOf), t.num(z.M2PerHour, q.f(units.Area)), fmt.Sprintf("%d (%.2f)", z.PlanKits, z.KitsExact))
		u.add(z.Name, q.kitArea(z.M2PerKit), u.num(z.RealM2Kit, q.kitArea), u.num(z.Drift, percent), u.num(z.DriftLast, percent),
			u.num(z.NeedPlan, count), u.num(z.NeedMean, count), u.num(z.NeedLast, count), u.num(z.OnHand, count),
			u.num(z.ReachM2, q.f(units.Area)), u.num(z.ReachLast, q.f(units.Area)), u.num(z.SaveFor, count))
	}
	out := []block{
		{head: "Zones", words: []string{"Plan kits: those the plan's take-off asks for, with the exact figure before rounding up."}, table: t},
		{head: "Kits against the plan", sub: true, words: []string{"Use is how far the front moved for what was poured, against the plan: below 100 % the floor went down thicker. To finish, on hand and reach are as at the end of the log."}, table: u},
	}
	r := &table{cols: cols("Zone", "At", ">Use", ">Last three", ">To finish: mean", ">last three", ">On hand", ">Reaches", ">by last three", ">Reset saves it for", ">To finish after")}
	for _, z := range q.p.Zones {
		for _, x := range z.Resets {
			r.add(z.Name, hms(x.At), r.num(x.Drift, percent), r.num(x.DriftLast, percent), r.num(x.NeedMean, count), r.num(x.NeedLast, count), r.num(x.OnHand, count),
				r.num(x.ReachM2, q.f(units.Area)), r.num(x.ReachLast, q.f(units.Area)), r.num(x.SaveFor, count), r.num(x.NeedAfter, count))
		}
	}
	if len(r.rows) > 0 {
		out = append(out, block{head: "The rake set anew", sub: true, words: []string{"As it stood just before, and the kits to finish just after."}, table: r})
	}
	return out
}

// kitArea prints the area of one kit to what sixty kits of it make a tenth of a
// square metre.
func (q printer) kitArea(v float64) string {
	if q.sys == units.US {
		return units.FormatFixed(units.Area, v, q.sys, 2)
	}
	return units.FormatFixed(units.Area, v, q.sys, 3)
}

func percent(v float64) string { return fmt.Sprintf("%.1f %%", 100*v) }

func (q printer) edges() []block {
	t := &table{cols: cols("Zone", ">Joined", ">Inside margin", ">Too late", ">No age", ">Least slack", "At", "Place")}
	j := &table{cols: cols("Zone", ">Batch", ">Joined by", "State", ">Length", "At", ">Age", ">Left", "Place")}
	for _, z := range q.p.Zones {
		e := &z.Edge
		where := q.place(t, e.LeastX, e.LeastY)
		t.add(z.Name, q.f(units.Length)(e.JoinedM), q.f(units.Length)(e.RiskM), q.f(units.Length)(e.LostM), q.f(units.Length)(e.NoAgeM),
			t.num(e.Least, clockOf), t.when(e.LeastAt), where)
		for _, x := range e.Joins {
			j.add(z.Name, fmt.Sprint(x.Old), fmt.Sprint(x.New), stateWord(x.State), q.f(units.Length)(x.LengthM), hms(x.At), clockOf(x.AgeS), clockOf(x.OverS), q.at(x.X, x.Y))
		}
	}
	out := []block{{head: "Wet edges", words: []string{"Slack is what was left of the edge life, over the margin, when the next row joined it. Places are metres or feet from the drawing's corner."}, table: t}}
	if len(j.rows) > 0 {
		out = append(out, block{head: "Edges joined inside the margin or too late", sub: true, table: j})
	}
	return out
}

func (q printer) at(x, y float64) string {
	return q.bare(units.Length)(x) + ", " + q.f(units.Length)(y)
}

func (q printer) place(t *table, x, y Num) string {
	switch {
	case !x.OK():
		return t.na(x.NA)
	case !y.OK():
		return t.na(y.NA)
	}
	return q.at(x.V, y.V)
}

func (q printer) depths() block {
	t := &table{cols: cols("Zone", "Bay", ">Area", ">Laid", ">Plan depth", ">Depth")}
	for _, z := range q.p.Zones {
		for _, b := range z.Bays {
			t.add(z.Name, b.Name, q.f(units.Area)(b.AreaM2), q.f(units.Area)(b.LaidM2), depth(q.sys)(b.PlanDepthM), t.num(b.DepthM, depth(q.sys)))
		}
		t.add(z.Name, "mean", q.f(units.Area)(z.AreaM2), q.f(units.Area)(z.LaidM2), depth(q.sys)(z.MeanDepthM), t.num(z.DepthM, depth(q.sys)))
	}
	return block{head: "Depth by bay", words: []string{"Volume poured, net of the plan's loss, over the area that a front mark measured."}, table: t}
}

// depth prints a measured depth in decimals: a fraction of an inch would round
// it away.
func depth(sys units.System) func(float64) string {
	return func(v float64) string {
		if sys == units.US {
			return units.FormatFixed(units.Depth, v, sys, 3)
		}
		return units.FormatFixed(units.Depth, v, sys, 2)
	}
}

func (q printer) openings() block {
	t := &table{cols: cols("Zone", "Use", "From", "The plan asks for it"), empty: "the sheet gives no cures"}
	for _, o := range q.p.Openings {
		asked := t.text(o.InTime)
		t.add(o.Zone, o.Use, t.whenAs(o.At, "Mon 2006-01-02 15:04"), asked)
	}
	return block{head: "Opening times", words: []string{"From each zone's last batch, over the slab temperatures read, then the one expected through cure. The data sheet and whoever inspects the floor decide."}, table: t}
}

func (q printer) charts() []block {
	var out []block
	for i := range q.p.charts {
		s := &q.p.charts[i]
		b := block{head: s.title, sub: true}
		if s.note != "" {
			b.words = []string{s.note}
		}
		if len(s.points) == 0 {
			b.words = append(b.words, "N/A: "+s.empty+".")
		} else {
			b.picture = s.draw()
		}
		out = append(out, b)
	}
	return append([]block{{head: "Through the day", words: []string{"Grey: holds. Red: outside the line."}, keep: chartH}}, out...)
}

func (q printer) readings() block {
	t := &table{cols: cols("At", "Read", "Spot", ">Figure", ">Dew point", ">Slab above it"), empty: "nothing was read"}
	for _, r := range q.p.Readings {
		what := r.What
		if r.Note == "plan" {
			what += " (plan)"
		}
		t.add(t.whenAs(r.At, "2 Jan 15:04:05"), what, t.text(r.Spot), readingText(r.What, r.Value, q.sys),
			t.num(r.DewC, func(v float64) string { return units.FormatFixed(units.Temp, v, q.sys, 1) }),
			t.num(r.MarginK, func(v float64) string { return units.FormatFixed(units.TempDiff, v, q.sys, 1) }))
	}
	return block{head: "Readings", words: []string{"Dew point and margin by the newest readings of that instant."}, table: t}
}

// stopWords say why all mixing was stopped.
func stopWords(why string) string {
	if why == day.StopWithoutReason {
		return "STOP, no reason given yet"
	}
	return "STOP " + why
}

func (q printer) holds() []block {
	t := &table{cols: cols(">No", "From", "To", ">Time", "Why", "Zone", "Front at", ">Waiting", "Buckets dead", ">Bucket life"), empty: "mixing was never held"}
	u := &table{cols: cols(">No", "Row", "Laid from", "to", ">Edge life", ">Limit", "Whole until", "Last until", ">Joinable", ">At risk", ">Gone", ">Roll window", "Roll shut")}
	w := &table{cols: cols(">No", "State", ">Length", "From", "To")}
	for i := range q.p.Holds {
		h := &q.p.Holds[i]
		why := t.text(h.Why)
		if h.Stop {
			why = stopWords(why)
		}
		if h.Where.OK() {
			why += " (" + h.Where.S + ")"
		}
		no := fmt.Sprint(i + 1)
		t.add(no, hms(h.From), t.when(h.To), t.num(h.Seconds, clockOf), why, t.text(h.Zone), q.place(t, h.X, h.Y), fmt.Sprint(h.Waiting), deadWords(h), t.num(h.BucketLife, clockOf))
		roll := u.when(h.RollFirst)
		if h.RollFirst.OK() {
			roll += " to " + u.when(h.RollLast)
		}
		u.add(no, u.num(h.Row, count), u.when(h.LaidFirst), u.when(h.LaidLast), u.num(h.EdgeLife, clockOf), u.num(h.EdgeLimit, clockOf), u.when(h.WholeTill), u.when(h.LastTill),
			u.num(h.JoinM, q.f(units.Length)), u.num(h.RiskM, q.f(units.Length)), u.num(h.GoneM, q.f(units.Length)), u.num(h.RollWindow, clockOf), roll)
		if h.RiskM.V+h.GoneM.V > 0 {
			for _, p := range h.Places {
				w.add(no, p.State, units.FormatFixed(units.Length, p.LengthM, q.sys, 2), q.point(p.X, p.Y), q.point(p.X2, p.Y2))
			}
		}
	}
	out := []block{{head: "Holds and stops", words: []string{"The buckets as they stood when the hold ended: batch, age, life."}, table: t}}
	if len(q.p.Holds) > 0 {
		out = append(out, block{head: "The edge at the end of each hold", sub: true, words: []string{"The newest row, the edge life and its limit (less the plan's margin), until when the whole edge and its last point could be joined, and when rolling shut along the row."}, table: u})
	}
	if len(w.rows) > 0 {
		out = append(out, block{head: "Where the edge was at risk or gone", sub: true, table: w})
	}
	o := &table{cols: cols("Post", "From", "To", "Why"), empty: "no post was out of service"}
	for _, v := range q.p.Outages {
		o.add(fmt.Sprintf("%s %d", v.Post, v.Which), hms(v.From), o.when(v.To), o.text(v.Why))
	}
	return append(out, block{head: "Out of service", sub: true, table: o})
}

func deadWords(h *Hold) string {
	switch {
	case h.Waiting == 0:
		return "none waiting"
	case len(h.Dead) == 0:
		return "none"
	}
	s := ""
	for _, d := range h.Dead {
		s = join(s, ", ", fmt.Sprintf("%d: %s of %s", d.Batch, clockOf(d.AgeS), clockOf(d.LifeS)))
	}
	return s
}

func (q printer) calls() block {
	t := &table{cols: cols("Raised", ">Grade", "Call", "Figures", "Answered", "Put aside", "Cleared"), empty: "nothing was called out"}
	for _, c := range q.p.Calls {
		aside := t.when(c.Shelved)
		if c.Reason.OK() {
			aside += " " + c.Reason.S
		}
		t.add(t.when(c.Raised), fmt.Sprint(c.Grade), c.What, c.Why, t.when(c.Acked), aside, t.when(c.Cleared))
	}
	return block{head: "Calls", words: []string{"Grade 1: now; 2: soon; 3: when there is a hand free."}, table: t}
}

func (q printer) corrections() block {
	t := &table{cols: cols("Taken back at", "What stood before", "Of", ">Batch"), empty: "no press was taken back"}
	for _, c := range q.p.Corrections {
		t.add(hms(c.At), t.text(c.What), t.when(c.OfAt), t.num(c.Batch, count))
	}
	return block{head: "Corrections", words: []string{"A press taken back stays on the log; here it stands beside what took it back."}, table: t}
}

func (q printer) diary() block {
	t := &table{cols: cols("At", "What", "Who"), empty: "nothing else was pressed"}
	for _, e := range q.p.Diary {
		t.add(hms(e.At), e.What, t.text(e.Who))
	}
	return block{head: "Decisions, notes, marks and changes", table: t}
}

func (q printer) log() []block {
	t := &table{cols: cols("File", "Found", "Station", "Writer", "Program", "State", ">Events", "Seal", ">Behind it"), empty: "no log file is named"}
	u := &table{cols: cols("File", "What its check said"), empty: "no log file is named"}
	for _, f := range q.p.Log.Files {
		writer := t.text(f.Writer)
		if f.Writer.OK() && len(writer) > 8 {
			writer = writer[:8]
		}
		t.add(f.Name, f.Found, t.text(f.Station), writer, t.text(f.App), f.Verdict, fmt.Sprint(f.Events), t.text(f.Seal), fmt.Sprint(f.Unsealed))
		u.add(f.Name, strings.Join(f.Words, " ")+" SHA-256 of the file as read: "+f.SHA256)
	}
	words := []string{"The day was put together from the files below. The seal is the first 12 hex of the SHA-256 over every line before it: compare it with the one said by the log's own check."}
	return []block{
		{head: "The log", words: append(words, q.p.Log.Words...), table: t},
		{head: "The files, each by itself", sub: true, table: u},
	}
}

// signers are who puts a name under the record. They sign by hand.
var signers = []string{"Foreman of the crew", "Whoever mixed", "For the site", "Inspected by"}

func (q printer) sign() block {
	return block{head: "Signed", words: []string{"N/A until signed by hand: name, date and time, signature.", q.p.Caution}, sign: signers}
}

// heading is the first line of the papers.
func (p *Paper) heading() string {
	if p.Title.OK() {
		return p.Title.S
	}
	return "Pour day " + dayOf(p)
}

// foot is the line at the foot of each page.
func (p *Paper) foot() string {
	var seals []string
	for _, f := range p.Log.Files {
		if f.Seal.OK() {
			seals = append(seals, "log "+f.Seal.S)
		}
	}
	switch n := len(p.Log.Files) - len(seals); {
	case len(seals) == 0:
		seals = []string{"NOT SEALED"}
	case n > 0:
		seals = append(seals, fmt.Sprintf("%d of %s not sealed", n, units.Count(len(p.Log.Files), "file", "files")))
	}
	return fmt.Sprintf("%s · %s · %s", p.heading(), dayOf(p), strings.Join(seals, ", "))
}
