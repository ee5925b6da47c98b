package day

import (
	"fmt"
	"math"
	"time"

	"floorpace/internal/units"
)

// Press is what a hand, or the program on its behalf, asks for. Only the
// fields its Kind needs are read; they mean what they mean in Event.
type Press = Event

// Refusal says why a press changes nothing, in words for the crew.
type Refusal struct{ Words string }

func (r *Refusal) Error() string { return r.Words }

func refuse(format string, args ...any) error { return &Refusal{fmt.Sprintf(format, args...)} }

// Pressed reports whether events of a kind are made by a hand, as against by
// the clock or the program.
func Pressed(k Kind) bool {
	switch k {
	case SessionOpened, CallRaised, CallCleared, ClockStepped, ClockSlept, ClockStalled, PlanChanged:
		return false
	}
	return true
}

// startsAgain is the share of the mix steps after which a press on a busy
// mixer is believed to mean the next batch; sooner it is a slip.
const startsAgain = 0.6

// undoFor is how long the last press can be taken back with one key.
const undoFor = time.Minute

// Decide turns a press at now into the events to write, or refuses it. The
// events are complete but for their place in the log.
func Decide(s *State, p Press, now time.Time) ([]Event, error) {
	p.At = now
	if err := finite(p); err != nil {
		return nil, err
	}
	switch p.Kind {
	case BatchStarted:
		return s.decideStart(p, now)
	case BatchPoured:
		return s.decidePour(p, now)
	case BatchStepped, BatchMixed, BatchScrapped:
		return s.decideBatch(p, now)
	case BatchCondemned, BatchLifted:
		return s.decideBad(p)
	case HoldEnded:
		if s.Hold == nil {
			return nil, refuse("nothing is on hold")
		}
		return []Event{p}, nil
	case ReadingTaken:
		return s.decideReading(p)
	case PullNarrowed:
		return s.decideNarrow(p)
	case FrontMarked:
		return s.decideMark(p)
	case ZoneBegan, ZoneClosed:
		return s.decideZone(p, now)
	case PressUndone:
		return s.decideUndo(p, now)
	case PostLost, PostReturned:
		return s.decidePost(p)
	case CallAcked, CallShelved:
		c := s.Calls[p.Call]
		if c == nil || !c.Standing() {
			return nil, refuse("that call does not stand any more")
		}
		p.What = c.What // on record it is what was said, not how it is filed
		if p.Kind == CallShelved && p.Why == "" {
			return nil, refuse("a call is shelved with a reason")
		}
		return []Event{p}, nil
	case RowRolled, RowBroadcast:
		return s.decideRow(p)
	case MixingStopped:
		return s.decideStopMixing(p)
	case CutBack:
		return s.decideCut(p)
	case StopChosen:
		return s.decideStop(p, now)
	case DecisionMade:
		return s.decideDecision(p, now)
	case HandoverGiven:
		return s.decideHandover(p, now)
	case LotOpened:
		return s.decideLot(p)
	case BlendChanged:
		if s.Plan.Sheet.Blend(p.Blend) == nil {
			return nil, refuse("the sheet has no blend %q", p.Blend)
		}
		return []Event{p}, nil
	case TallyTaken:
		return s.decideTally(p)
	case DoorShut, DoorOpened:
		return s.decideDoor(p)
	case OverrideGiven:
		if p.Who == "" || p.Role == "" || p.Why == "" {
			return nil, refuse("an override needs a name, a role and a reason")
		}
		return []Event{p}, nil
	}
	if _, ok := steps[p.Kind]; !ok {
		return nil, refuse("%q is not something this version can write", p.Kind)
	}
	return []Event{p}, nil
}

func finite(p Press) error {
	for _, v := range []*float64{p.Value, p.AlongM, p.AreaM2, &p.Share, &p.WidthM, &p.DepthM, &p.X, &p.Y, &p.Seconds} {
		if v != nil && (math.IsNaN(*v) || math.IsInf(*v, 0)) {
			return refuse("that is not a number")
		}
	}
	if p.Kind == PaceSet && p.Seconds < 0 {
		return refuse("a pace is a time from one batch to the next, or 0 for the plan's")
	}
	return nil
}

func (s *State) decideStart(p Press, now time.Time) ([]Event, error) {
	if p.Mixer < 1 || p.Mixer > s.Plan.Crew.Mixers {
		return nil, refuse("there is no mixer %d in the plan", p.Mixer)
	}
	if _, down := s.Posts.MixersDown[p.Mixer]; down {
		return nil, refuse("mixer %d is out of service: bring it back first", p.Mixer)
	}
	if s.Hold != nil && s.Hold.Stop {
		return nil, refuse("mixing is stopped: %s. End the stop first", s.Hold.Why)
	}
	if b := s.inMixer(p.Mixer); b != nil && StillMixing(s.Plan, b, now) {
		return nil, refuse("mixer %d: batch %d was started %s ago", p.Mixer, b.No, units.Clock(now.Sub(b.Started)))
	}
	var out []Event
	if s.Zone < 0 {
		z := s.lookedAt()
		if z < 0 {
			return nil, refuse("every zone is closed")
		}
		name := s.Zones[z].Floor.Z.Name
		out = append(out, Event{Kind: ZoneBegan, At: now, Zone: name})
		p.Zone, p.Blend = name, s.Zones[z].Floor.Blend.Name
	} else {
		p.Zone, p.Blend = s.Zones[s.Zone].Floor.Z.Name, s.Blend
	}
	p.Batch = s.nextBatch()
	if p.Lots == "" {
		p.Lots = s.lotsInUse(p.Blend, s.Plan.Zone(p.Zone))
	}
	if err := s.partBatch(&p); err != nil {
		return nil, err
	}
	share := p.Share
	if share == 0 {
		share = 1
	}
	if why := s.mixesLots(s.Plan.Zone(p.Zone), p.Lots, share); why != "" {
		return nil, refuse("%s", why)
	}
	return append(out, p), nil
}

// decidePour takes the oldest bucket when the press names none.
func (s *State) decidePour(p Press, now time.Time) ([]Event, error) {
	if p.Batch == 0 {
		way := s.pipeline(now)
		if len(way) == 0 {
			return nil, refuse("no batch is on the way")
		}
		w := way[0]
		if StillMixing(s.Plan, w.b, now) {
			return nil, refuse("batch %d is still in mixer %d, started %s ago", w.b.No, w.b.Mixer, units.Clock(now.Sub(w.b.Started)))
		}
		p.Batch = w.b.No
	}
	b := s.batch(p.Batch)
	switch {
	case b == nil || b.Started.IsZero():
		return nil, refuse("batch %d was not started", p.Batch)
	case b.Gone():
		return nil, refuse("batch %d has left the line already", p.Batch)
	case p.Share < 0 || p.Share > 1:
		return nil, refuse("a part batch is between 0 and 1 of a kit")
	case p.Share > b.Share*(1+PartTolerance(&s.Plan.Sheet)):
		l := func(share float64) string {
			return units.FormatFixed(units.Volume, share*s.yieldOf(b), s.Plan.Units, 1)
		}
		return nil, refuse("batch %d holds %s, not %s: %.0f %% of a kit was mixed", b.No, l(b.Share), l(p.Share), 100*b.Share)
	}
	if b.Zone >= 0 {
		p.Zone = s.Zones[b.Zone].Floor.Z.Name
	}
	if p.Why == "" {
		p.Why = s.pastLife(b, now)
	}
	return []Event{p}, nil
}

// pastLife says that a batch is past its bucket life, with the figures for the
// record; "" when it is not, or the sheet has none.
func (s *State) pastLife(b *Batch, now time.Time) string {
	life := s.life(b.Blend, "bucket", "kit")
	if used, ok := s.bucketUsed(b, now); !ok || !life.ok || used < 1 {
		return ""
	}
	return fmt.Sprintf("dead: %s old, its life was %s", units.Clock(now.Sub(s.reactionAt(b))), units.Clock(life.now))
}

func (s *State) decideBatch(p Press, now time.Time) ([]Event, error) {
	b := s.batch(p.Batch)
	if p.Batch == 0 && p.Mixer > 0 {
		b = s.inMixer(p.Mixer)
	} else if p.Batch == 0 && p.Kind == BatchScrapped {
		if way := s.pipeline(now); len(way) > 0 {
			b = way[0].b
		}
	}
	if b == nil || b.Started.IsZero() || b.Gone() {
		return nil, refuse("there is no such batch on the way")
	}
	p.Batch, p.Mixer = b.No, b.Mixer
	switch p.Kind {
	case BatchStepped:
		bl := s.Plan.Sheet.Blend(b.Blend)
		if !b.Mixed.IsZero() || bl == nil || len(b.Steps) >= len(bl.Steps) {
			return nil, refuse("batch %d has no step left", b.No)
		}
		p.Step = len(b.Steps) + 1
		if p.Step == len(bl.Steps) { // the last step done is the batch mixed
			return []Event{p, {Kind: BatchMixed, At: now, Batch: b.No, Mixer: b.Mixer}}, nil
		}
	case BatchMixed:
		if !b.Mixed.IsZero() {
			return nil, refuse("batch %d is mixed already", b.No)
		}
	case BatchScrapped:
		if p.Why == "" {
			return nil, refuse("a batch is scrapped with a reason")
		}
	}
	return []Event{p}, nil
}

// readRange is what a thermometer or hygrometer on a job can show.
var readRange = map[string][2]float64{
	ReadSlab: {-20, 60}, ReadAir: {-20, 60}, ReadKit: {-20, 60}, ReadHumidity: {0, 1},
}

func (s *State) decideReading(p Press) ([]Event, error) {
	r, ok := readRange[p.What]
	switch {
	case !ok:
		return nil, refuse("%q is not something the console reads", p.What)
	case p.Value == nil:
		return nil, refuse("a reading needs a figure")
	case *p.Value < r[0] || *p.Value > r[1]:
		k := units.Temp
		if p.What == ReadHumidity {
			k = units.Share
		}
		return nil, refuse("%s cannot be %s", p.What, units.FormatFixed(k, *p.Value, s.Plan.Units, 0))
	}
	return []Event{p}, nil
}

func (s *State) decideMark(p Press) ([]Event, error) {
	i := s.Zone
	if p.Zone != "" {
		i = s.Plan.Zone(p.Zone)
	}
	if i < 0 {
		return nil, refuse("no zone is being poured")
	}
	z := &s.Zones[i]
	p.Zone = z.Floor.Z.Name
	pos, ok := s.markedPos(z, p)
	switch {
	case !ok:
		return nil, refuse("a mark needs metres, an area or a bay of this zone")
	case len(z.Laid) == 0:
		return nil, refuse("nothing is down yet")
	case p.AlongM != nil && (*p.AlongM < 0 || *p.AlongM > z.Floor.Path.FrontMost()*1.0001):
		return nil, refuse("the zone is %s long along the pull", units.Format(units.Length, z.Floor.Path.FrontMost(), s.Plan.Units))
	case p.AreaM2 != nil && (*p.AreaM2 < 0 || *p.AreaM2 > z.Floor.Path.AreaM2()*1.0001):
		return nil, refuse("the zone has %s", units.Format(units.Area, z.Floor.Path.AreaM2(), s.Plan.Units))
	}
	if n := len(z.Marks); n > 0 && pos < z.Marks[n-1].PosL-1e-6 {
		return nil, refuse("that lies behind the last mark")
	}
	return []Event{p}, nil
}

// zoneOf finds the zone that a press is for, and names it in the press: the one it
// says, else the one looked at.
func (s *State) zoneOf(p *Press) (int, error) {
	i := s.lookedAt()
	if p.Zone != "" {
		i = s.Plan.Zone(p.Zone)
	}
	if i < 0 {
		return i, refuse("there is no such zone to pour")
	}
	p.Zone = s.Zones[i].Floor.Z.Name
	return i, nil
}

// decideNarrow refuses a pull that the path cannot be laid in.
func (s *State) decideNarrow(p Press) ([]Event, error) {
	i, err := s.zoneOf(&p)
	if err != nil {
		return nil, err
	}
	z := &s.Zones[i]
	if p.WidthM < 0 || p.WidthM == 0 && p.DepthM == 0 && p.What != SameSide {
		return nil, refuse("a narrower pull needs a width, a row depth or rows from the same side")
	}
	if _, err := z.Floor.Narrow(z.PosL, p.WidthM, p.DepthM, p.What == SameSide); err != nil {
		return nil, refuse("%v", err)
	}
	return []Event{p}, nil
}

func (s *State) decideZone(p Press, now time.Time) ([]Event, error) {
	i := s.Plan.Zone(p.Zone)
	if p.Zone == "" {
		i = s.Zone
		if p.Kind == ZoneBegan && i < 0 {
			i = s.lookedAt()
		}
	}
	if i < 0 {
		return nil, refuse("no zone is being poured")
	}
	p.Zone = s.Zones[i].Floor.Z.Name
	switch {
	case p.Kind == ZoneClosed && s.Zone != i:
		return nil, refuse("zone %s is not being poured", p.Zone)
	case p.Kind == ZoneBegan && s.Zone == i:
		return nil, refuse("zone %s is being poured already", p.Zone)
	case p.Kind == ZoneBegan && s.Zone >= 0:
		return nil, refuse("close zone %s first", s.Zones[s.Zone].Floor.Z.Name)
	}
	if way := s.pipeline(now); p.Kind == ZoneClosed && len(way) > 0 {
		return nil, refuse("batch %d is still on the way: pour or scrap it first", way[0].b.No)
	}
	return []Event{p}, nil
}

// decideUndo takes back the last press that a hand made, or the one named.
func (s *State) decideUndo(p Press, now time.Time) ([]Event, error) {
	for i := len(s.Events) - 1; i >= 0; i-- {
		e := s.Events[i]
		if p.Of > 0 && e.N != p.Of || s.Undone[e.N] || !Pressed(e.Kind) || e.Kind == PressUndone {
			continue
		}
		if p.Of == 0 && now.Sub(e.At) > undoFor {
			return nil, refuse("the last press is %s old: take it from the list", units.Clock(now.Sub(e.At)))
		}
		p.Of, p.What = e.N, string(e.Kind)
		p.Batch = e.Batch
		return []Event{p}, nil
	}
	return nil, refuse("there is nothing to take back")
}

func (s *State) decidePost(p Press) ([]Event, error) {
	most := 1
	switch p.Post {
	case PostMixer:
		most = s.Plan.Crew.Mixers
	case PostRunner:
		most = s.Plan.Crew.Runners
	case PostRake, PostRoll, PostBroadcast, PostPower:
		p.Which = 1
	default:
		return nil, refuse("%q is not a post of the line", p.Post)
	}
	if p.Which < 1 || p.Which > most {
		return nil, refuse("there is no %s %d in the plan", p.Post, p.Which)
	}
	if down := s.postDown(p.Post, p.Which); down == (p.Kind == PostLost) {
		if down {
			return nil, refuse("%s %d is out already", p.Post, p.Which)
		}
		return nil, refuse("%s %d is at work", p.Post, p.Which)
	}
	return []Event{p}, nil
}

func (s *State) postDown(post string, which int) bool {
	var t time.Time
	switch post {
	case PostMixer:
		t = s.Posts.MixersDown[which]
	case PostRunner:
		t = s.Posts.RunnersDown[which]
	case PostRake:
		t = s.Posts.RakeDown
	case PostRoll:
		t = s.Posts.RollDown
	case PostBroadcast:
		t = s.Posts.BroadDown
	case PostPower:
		t = s.Posts.PowerDown
	}
	return !t.IsZero()
}

// key makes a name fit for "name=value" lists: blanks become underscores.
func key(s string) string {
	b := []byte(s)
	for i := range b {
		if b[i] == ' ' || b[i] == '=' {
			b[i] = '_'
		}
	}
	return string(b)
}

// yieldOf is what a whole kit of a batch's blend gives, litres.
func (s *State) yieldOf(b *Batch) float64 {
	if bl := s.Plan.Sheet.Blend(b.Blend); bl != nil {
		return bl.YieldL
	}
	return 0
}
