package mix

import (
	"time"

	"floorpace/internal/day"
	"floorpace/internal/tui/frame"
	"floorpace/internal/tui/keys"
	"floorpace/internal/tui/look"
	"floorpace/internal/units"
)

// presses draws the last presses, newest first, with what became of them.
func (d *drawing) presses(p frame.Pane) {
	if p.H() < 2 {
		return
	}
	v := d.v
	list, title := v.LastAre, "Last presses"
	if len(v.Resumed) > 0 {
		list, title = v.Resumed, "Resumed: the last presses before the stop"
	}
	note := ""
	if v.Approx {
		note = "≈ ages cross a restart"
	}
	p = p.Title(title, note)
	y := 0
	if d.at.Waiting > 0 {
		p.PrintFit(0, y, p.W(), look.Warn, Saving(d.at.Waiting, d.at.Since))
		y++
	}
	for i := len(list) - 1; i >= 0 && y < p.H(); i-- {
		x := p.Print(0, y, look.Dim, hms(list[i].At)+" ")
		mark, role := look.GlyphGood, look.Good
		if v.Unsaved > 0 && i == len(list)-1 {
			mark, role = look.GlyphWarn, look.Warn
		}
		x = p.Print(x, y, role, p.Glyph(mark)+" ")
		x = p.PrintFit(x, y, p.W()-x, look.Text, Words(list[i], d.sys))
		if i == len(list)-1 && len(v.Resumed) == 0 && list[i].Kind != day.PressUndone {
			d.undo(p, x, y, list[i].At)
		}
		y++
	}
	if y == 0 {
		p.PrintFit(0, 0, p.W(), look.Dim, "none yet")
	}
}

// UndoFor is how long one key takes back the last press, as the day has it.
const UndoFor = time.Minute

func (d *drawing) undo(p frame.Pane, x, y int, at time.Time) {
	left := UndoFor - d.at.Now.Sub(at)
	k := d.at.Key(keys.Undo)
	if k == "" || left <= 0 {
		return
	}
	p.PrintFit(x+2, y, p.W()-x-2, look.Dim, k+" takes it back, "+units.ClockLeft(left))
}
