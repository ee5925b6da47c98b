package tui

import (
	"floorpace/internal/day"
	"floorpace/internal/shift"
	"floorpace/internal/tui/keys"
	"floorpace/internal/tui/mix"
)

// works tells whether an action does something now; the help and the screens
// name only those. What the day would refuse does not work.
func (m *Model) works(a keys.Action) bool {
	v := m.v
	switch a {
	case keys.Help, keys.Palette:
		return true
	case keys.Other:
		return len(m.o.Screens) > 0
	case keys.Page:
		_, ok := m.pager()
		return ok
	}
	if v == nil {
		return false
	}
	switch a {
	case keys.Calls:
		return len(v.Calls)+len(v.History) > 0
	case keys.WaysOut:
		return len(v.Forecast.Ways) > 0
	}
	if m.o.ReadOnly != "" {
		return false
	}
	if n := a.Mixer(); n > 0 {
		return m.mixerWorks(n)
	}
	return m.pressWorks(a, v)
}

// mixerWorks tells whether the key of a mixer starts a batch or ends a step.
func (m *Model) mixerWorks(n int) bool {
	v := m.v
	if n > len(v.Mixers) {
		return false
	}
	if v.Plan.Rules.StepPresses && v.Mixers[n-1].Batch > 0 {
		return true
	}
	if v.Mixers[n-1].Down || !m.mayStart() {
		return false
	}
	for i := len(v.Batches) - 1; i >= 0; i-- {
		if b := &v.Batches[i]; b.Mixer == n && !b.Started.IsZero() {
			return !day.StillMixing(v.Plan, b, m.dayNow())
		}
	}
	return true
}

// mayStart tells whether a batch may start on a mixer that is ready.
func (m *Model) mayStart() bool {
	v := m.v
	return v.Floor != nil && (v.Hold == nil || !v.Hold.Stop) && v.Lots.Refuse == ""
}

// pourWorks tells whether there is a batch to pour: the one that is out of its
// mixer first, unless it was started only just now.
func (m *Model) pourWorks() bool {
	v := m.v
	if len(v.Way) == 0 {
		return false
	}
	for i := range v.Batches {
		if b := &v.Batches[i]; b.No == v.Way[0].Batch {
			return !day.StillMixing(v.Plan, b, m.dayNow())
		}
	}
	return true
}

// partWorks tells whether a part batch can be weighed and has a mixer.
func (m *Model) partWorks() bool {
	v := m.v
	if !m.mayStart() || !day.Weighed(v.Floor.Blend) && !v.Plan.Sheet.Limits.VolumeAllowed {
		return false
	}
	for i := range v.Mixers {
		if x := &v.Mixers[i]; !x.Down && x.Batch == 0 {
			return true
		}
	}
	return false
}

// lastTaken is the press that one key takes back; nil for none.
func lastTaken(v *shift.View) *day.Event {
	for i := len(v.LastAre) - 1; i >= 0; i-- {
		if e := &v.LastAre[i]; e.Kind != day.PressUndone {
			return e
		}
	}
	return nil
}

func (m *Model) pressWorks(a keys.Action, v *shift.View) bool {
	switch a {
	case keys.Pour:
		return m.pourWorks()
	case keys.Scrap:
		return len(v.Way) > 0
	case keys.Undo:
		e := lastTaken(v)
		return e != nil && m.dayNow().Sub(e.At) <= mix.UndoFor
	case keys.TakeBack:
		return lastTaken(v) != nil
	case keys.Answer:
		return m.topCall(true) != nil
	case keys.PutAside:
		return m.topCall(false) != nil
	case keys.Decide:
		return m.mayDecide()
	case keys.Mark, keys.RakeReset:
		return v.Zone >= 0 && len(v.Laid) > 0
	case keys.Part:
		return m.partWorks()
	case keys.Zone:
		return v.Zone < 0 || len(v.Way) == 0
	case keys.Rolled:
		return m.elsewhere(v.Finishing.Roll) != nil || m.openRow(func(r *day.RowWindow) bool { return r.RolledAt.IsZero() }) != nil
	case keys.Broadcast:
		return m.elsewhere(v.Finishing.Broad) != nil || m.openRow(func(r *day.RowWindow) bool { return r.BroadcastAt.IsZero() }) != nil
	case keys.Quiet:
		return len(v.Banner) > 0
	case keys.Stop:
		return v.Hold == nil || !v.Hold.Stop
	case keys.Tally:
		return v.Floor != nil && len(v.Floor.Blend.Parts) > 0
	case keys.Lot:
		return v.Floor != nil && len(v.Lots.Left) > 0
	}
	return true
}
