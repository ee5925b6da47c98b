package mix

import (
	"fmt"
	"time"

	"floorpace/internal/clean"
	"floorpace/internal/day"
	"floorpace/internal/tui/frame"
	"floorpace/internal/tui/look"
	"floorpace/internal/tui/widget/digits"
	"floorpace/internal/tui/widget/gauge"
	"floorpace/internal/units"
)

// Where there is room each mixer and each bucket gets three rows, so that its
// minutes can be read from the drill as well, and one of air.
const (
	tallItem  = 4
	tallW     = 110 // from here both columns hold words and digits side by side
	tallFig   = 22  // cells for "12:34" three rows high
	tallWords = 46  // cells for the words before it
	bucketsT  = 3   // buckets out at once that a tall table is planned for
)

// tallRows is the height of the tables in tall form.
func (d *drawing) tallRows() int {
	return 1 + tallItem*max(len(d.v.Mixers), min(max(len(d.v.Buckets), 2), bucketsT))
}

// item splits a tall item into words and figure.
func item(p frame.Pane, i int) (words, fig frame.Pane) {
	p = p.Sub(frame.Rect{X: 0, Y: i * tallItem, W: p.W(), H: tallItem - 1})
	if most := tallWords + tallFig; p.W() > most { // the figure belongs to its words, not to the far side
		p, _ = p.Left(most)
	}
	return p.Right(tallFig)
}

func (d *drawing) tallMixer(p frame.Pane, i int) {
	m := &d.v.Mixers[i]
	words, fig := item(p, i)
	n, now := d.v.Next, d.at.Now
	_, apart := d.between()
	next := m.No == n.Mixer && !m.Down && !apart
	name := fmt.Sprintf("M%d ", m.No)
	x := words.Print(0, 0, look.Accent, name)
	switch {
	case m.Down:
		words.PrintFit(x, 0, words.W()-x, look.Bad, words.Glyph(look.GlyphBad)+" OUT OF SERVICE")
		if m.Batch > 0 {
			words.PrintFit(3, 1, words.W()-3, look.Strong, fmt.Sprintf("batch %d inside", m.Batch))
			words.PrintFit(3, 2, words.W()-3, look.Warn, d.inside(m))
		}
		digits.Draw(fig, look.Strong, "OUT")
	case m.Batch > 0:
		words.PrintFit(x, 0, words.W()-x, look.Strong, fmt.Sprintf("batch %d", m.Batch))
		words.PrintFit(3, 1, words.W()-3, look.Text, clean.String(m.Step))
		words.PrintFit(3, 2, words.W()-3, look.Dim, "then "+clean.String(m.Then))
		digits.Draw(fig, look.Strong, units.ClockLeft(max(m.StepEnds.Sub(now), 0)))
	case m.Step == "reset" && now.Before(m.StepEnds):
		words.PrintFit(x, 0, words.W()-x, look.Text, "reset")
		words.PrintFit(3, 1, words.W()-3, look.Dim, "ready at "+hms(m.StepEnds))
		digits.Draw(fig, look.Dim, units.ClockLeft(m.StepEnds.Sub(now)))
	default:
		words.PrintFit(x, 0, words.W()-x, look.Text, "free")
		d.tallNext(words, fig, next)
	}
}

// tallNext says what a free mixer waits for.
func (d *drawing) tallNext(words, fig frame.Pane, next bool) {
	if !next {
		return
	}
	n := d.v.Next
	switch d.say() {
	case day.SayWait:
		words.PrintFit(3, 1, words.W()-3, look.Accent, fmt.Sprintf("starts batch %d at %s", n.Batch, hms(n.At)))
		digits.Draw(fig, look.Accent, units.ClockLeft(n.At.Sub(d.at.Now)))
	case day.SayStart, day.SayLate:
		words.PrintFit(3, 1, words.W()-3, look.PlateGood, fmt.Sprintf(" %s START batch %d ", words.Glyph(look.GlyphNext), n.Batch))
	}
}

func (d *drawing) tallBucket(p frame.Pane, i int) {
	b := &d.v.Buckets[i]
	words, fig := item(p, i)
	left, age := b.Left-d.late, b.Age+d.late
	words.PrintFit(0, 0, words.W(), look.Strong, fmt.Sprintf("batch %d, %s%s old", b.Batch, about(b.Approx), units.Clock(age)))
	if !b.OK {
		words.PrintFit(0, 1, words.W(), look.Warn, words.Glyph(look.GlyphWarn)+" no life on sheet")
		return
	}
	s := d.bucketState(left)
	d.lifeBar(words.Row(1).Sub(frame.Rect{X: 0, Y: 0, W: words.W() - 2, H: 1}), left, age, b, s)
	words.PrintFit(0, 2, words.W(), s.role, words.Glyph(s.glyph)+" "+s.word)
	role := s.role
	if role != look.Good { // a plate no higher than its digits would eat their strokes in sunlight
		role = look.Strong
	}
	text := units.ClockLeft(left)
	if left <= 0 { // how long ago, as in the small table
		text = "-" + units.Clock(-left)
	}
	digits.Draw(fig, role, text)
}

// bucketState is how a bucket with so much of its life left is shown.
type bucketState struct {
	glyph       look.Glyph
	word        string
	role, plate look.Role
}

func (d *drawing) lifeBar(p frame.Pane, left, age time.Duration, b *day.BucketView, s bucketState) {
	share := 1 - b.Used
	if life := age + left; life > 0 {
		share = min(1, float64(left)/float64(life))
	}
	gauge.Life{Left: max(share, 0), Role: s.plate}.Draw(p)
}
