package cli

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"reflect"
	"strings"

	"floorpace/internal/clean"
	"floorpace/internal/day"
	"floorpace/internal/daylog"
	"floorpace/internal/plan"
	"floorpace/internal/planfile"
	"floorpace/internal/shift"
)

// planForDay is the plan that a day goes on with: the one it was going by, and
// words when the plan file has changed since or gives none; or the file's when the
// crew says so. p is nil when the file gives no plan.
func planForDay(o *opened, p *loaded, po pourOptions) (*loaded, error) {
	if !o.resumed {
		return p, nil
	}
	wire := planInForce(o.header.Plan, o.records)
	old, err := planOf(wire)
	if err != nil {
		return nil, err
	}
	if p == nil {
		why, more, _ := strings.Cut(po.planErr.Error(), "\n")
		if more != "" {
			why += " (and more)"
		}
		o.words = append(o.words, clean.String("The plan cannot be read now; the day goes on with the one it has. "+why))
		return old, nil
	}
	changed := changedFiles(wire, p.Wire)
	if len(changed) == 0 {
		return old, nil
	}
	unfit := fitsDay(old.Plan, p.Plan, begunZones(o.records))
	if !po.newPlan {
		what := "To take the new one start again with --new-plan."
		if unfit != nil {
			what = "The new one cannot take over: " + unfit.Error() + "."
		}
		o.words = append(o.words, clean.String(fmt.Sprintf("Changed since the day began: %s. The day goes on with the plan it has. %s", strings.Join(changed, ", "), what)))
		return old, nil
	}
	if unfit != nil {
		return nil, fail(ExitUsage, "the changed plan cannot take over this day: %v\nleave --new-plan out to go on with the plan the day has", unfit)
	}
	written, err := changePlan(o.log, p.Wire)
	if err != nil {
		return nil, err
	}
	o.records = append(o.records, written...)
	o.words = append(o.words, clean.String(fmt.Sprintf("The day goes on with the changed plan (%s). The change is on record.", strings.Join(changed, ", "))))
	return p, nil
}

// changedFiles names the files in which two plans differ, plan, sheet and crew file.
func changedFiles(a, b json.RawMessage) (names []string) {
	var was, is planfile.Bundle
	if json.Unmarshal(a, &was) != nil || json.Unmarshal(b, &is) != nil {
		return []string{"the plan"}
	}
	for _, f := range []struct {
		was, is       string
		before, after []byte
	}{{was.PlanName, is.PlanName, was.Plan, is.Plan}, {was.SheetName, is.SheetName, was.Sheet, is.Sheet}, {was.CrewName, is.CrewName, was.Crew, is.Crew}} {
		if f.was != f.is || !bytes.Equal(f.before, f.after) {
			names = append(names, cmp.Or(f.is, f.was, "sheet"))
		}
	}
	return names
}

// planPart is how much of a changed plan goes into one event, bytes: escaped
// it at most doubles, and a line of the log holds 4,096.
const planPart = 1500

// changePlan writes a changed plan into the log, in as many events as it
// takes, and gives the records written.
func changePlan(log *daylog.Log, wire json.RawMessage) ([]daylog.Record, error) {
	sum := sha256.Sum256(wire)
	var parts []string
	for rest := string(wire); rest != ""; {
		n := min(planPart, len(rest))
		for n < len(rest) && rest[n]&0xC0 == 0x80 { // not inside a character
			n--
		}
		parts, rest = append(parts, rest[:n]), rest[n:]
	}
	var out []daylog.Record
	for i, text := range parts {
		e := day.Event{Kind: day.PlanChanged, Step: i + 1, Which: len(parts), Text: text, Hash: hex.EncodeToString(sum[:8])}
		r, _, err := log.Append(string(e.Kind), e.Body())
		if err != nil {
			return nil, fail(ExitFailed, "the changed plan cannot be saved: %v", err)
		}
		out = append(out, r)
	}
	return out, nil
}

// planInForce is the plan of a day: the one in its header, or the last changed
// one that was saved whole.
func planInForce(header json.RawMessage, records []daylog.Record) json.RawMessage {
	got, text := header, strings.Builder{}
	for _, e := range shift.Events(records) {
		if e.Kind != day.PlanChanged {
			continue
		}
		if e.Step == 1 {
			text.Reset()
		}
		text.WriteString(e.Text)
		sum := sha256.Sum256([]byte(text.String()))
		if e.Step == e.Which && hex.EncodeToString(sum[:8]) == e.Hash {
			got = json.RawMessage(text.String())
		}
	}
	return got
}

// fitsDay says why a changed plan cannot take over a day that has begun: the
// zones that were begun must stay as they are, and so must the crew's units.
func fitsDay(old, now *plan.Plan, begun []string) error {
	if old.Units != now.Units {
		return fmt.Errorf("it is in other units")
	}
	for _, name := range begun {
		i, j := old.Zone(name), now.Zone(name)
		if j != i {
			return fmt.Errorf("zone %s, which was begun, is missing or stands in another place", name)
		}
		a, b := old.Zones[i], now.Zones[j]
		if !reflect.DeepEqual(a.Zone, b.Zone) || a.PullDeg != b.PullDeg || a.RowDepthM != b.RowDepthM ||
			a.StartLeft != b.StartLeft || a.Pattern != b.Pattern || old.BlendOf(&a).Name != now.BlendOf(&b).Name {
			return fmt.Errorf("zone %s was begun and is laid otherwise in it", name)
		}
	}
	return nil
}

// begunZones are the zones that a day has begun.
func begunZones(records []daylog.Record) (names []string) {
	for _, e := range shift.Events(records) {
		if e.Kind == day.ZoneBegan {
			names = append(names, e.Zone)
		}
	}
	return names
}
