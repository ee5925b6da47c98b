package day

import (
	"fmt"
	"reflect"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"floorpace/internal/floor"
	"floorpace/internal/pace"
	"floorpace/internal/plan"
)

// busyDay is a state in which every list and map of State holds something.
func busyDay(t *testing.T) (*State, time.Time) {
	t.Helper()
	p := rectangle(9, 12)
	p.Zones[0].StopLines = []floor.Line{{Name: "joint", A: floor.Point{Y: 9}, B: floor.Point{X: 9, Y: 9}}}
	p.Zones[0].Spots = []floor.Spot{{Name: "door", At: floor.Point{X: 1, Y: 0.5}, RadiusM: 1}}
	p.Zones[0].Doors = []plan.Door{{Door: floor.Door{Name: "door", To: floor.Outside}}}
	s := begin(t, p)
	at := p.Handover.Add(time.Hour)
	press := func(q Press) {
		s = do(t, s, at, q)
		at = at.Add(20 * time.Second)
	}
	for i := range 6 {
		press(Press{Kind: BatchStarted, Mixer: i%3 + 1, Blend: "plain"})
		press(Press{Kind: BatchStepped, Batch: i + 1})
		at = at.Add(3 * time.Minute)
		if i == 2 {
			press(Press{Kind: HoldBegan, Why: "lunch"})
			press(Press{Kind: HoldEnded})
		}
		press(Press{Kind: BatchPoured, Batch: i + 1})
	}
	for _, q := range []Press{
		{Kind: FrontMarked, AreaM2: Value(12)},
		{Kind: ReadingTaken, What: ReadSlab, Value: Value(18.5)},
		{Kind: ReadingTaken, What: ReadSlab, Spot: "A/door", Value: Value(17)},
		{Kind: RowRolled, Row: 1},
		{Kind: RowBroadcast, Row: 1},
		{Kind: CutBack, Value: Value(60)},
		{Kind: PostLost, Post: PostMixer, Which: 2},
		{Kind: PostLost, Post: PostRunner, Which: 1},
		{Kind: LotOpened, What: "A", Text: "L1"},
		{Kind: TallyTaken, Counts: "A=5"},
		{Kind: OverrideGiven, What: LotsMixed, Who: "R. Example", Role: "foreman", Why: "client agreed"},
		{Kind: DoorShut, What: "A/door"},
		{Kind: NoteWritten, Text: "wind"},
		{Kind: HoldBegan, Why: "wait"},
	} {
		press(q)
	}
	s = s.Apply(Event{Kind: CallRaised, N: int64(len(s.Events)), At: at, Call: "edge", Grad: 1, What: "EDGE AT RISK"})
	Look(s, at) // fills what is kept
	press(Press{Kind: NoteWritten, Text: "a slip"})
	press(Press{Kind: PressUndone, Of: s.Events[len(s.Events)-1].N})
	Look(s, at)
	return s, at
}

// shareable are the types behind which nothing is ever changed.
var shareable = map[reflect.Type]bool{
	reflect.TypeOf(&plan.Plan{}):       true,
	reflect.TypeOf(&pace.Zone{}):       true,
	reflect.TypeOf([]*pace.Zone{}):     true,
	reflect.TypeOf(&pace.TempAdvice{}): true,
	reflect.TypeOf(pace.TempAdvice{}):  true,
	reflect.TypeOf(&lifeClock{}):       true,
	reflect.TypeOf(new(float64)):       true, // an event's figure
	reflect.TypeOf(&time.Location{}):   true,
	reflect.TypeOf(bandKept{}):         true, // a value; its lists are read only
	reflect.TypeOf(map[int][]int{}):    true, // which cells lie at spots
}

// collect notes every place in memory that a value could be changed through.
func collect(v reflect.Value, path string, into map[uintptr]string) {
	if shareable[v.Type()] {
		return
	}
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			into[v.Pointer()] = path
			collect(v.Elem(), path, into)
		}
	case reflect.Slice:
		if v.Cap() > 0 && v.Cap() > v.Len() || v.Len() > 0 && v.Type() != reflect.TypeOf([]Event{}) {
			into[v.Pointer()] = path
		}
		for i := range v.Len() {
			collect(v.Index(i), fmt.Sprintf("%s[%d]", path, i), into)
		}
	case reflect.Map:
		if !v.IsNil() {
			into[v.Pointer()] = path
		}
		for it := v.MapRange(); it.Next(); {
			collect(it.Value(), path+"{}", into)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			collect(v.Field(i), path+"."+v.Type().Field(i).Name, into)
		}
	}
}

func TestCloneSharesNothingThatChanges(t *testing.T) {
	s, _ := busyDay(t)
	for i, f := range reflect.VisibleFields(reflect.TypeOf(*s)) { // an empty list would prove nothing
		v := reflect.ValueOf(*s).FieldByIndex(f.Index)
		if k := v.Kind(); (k == reflect.Map || k == reflect.Slice) && v.Len() == 0 {
			t.Errorf("field %d, %s, is empty in the busy day: fill it, or this test proves nothing about it", i, f.Name)
		}
	}
	mine, theirs := map[uintptr]string{}, map[uintptr]string{}
	collect(reflect.ValueOf(s).Elem(), "state", mine)
	collect(reflect.ValueOf(s.Clone()).Elem(), "state", theirs)
	for at, path := range theirs {
		if where, shared := mine[at]; shared {
			t.Errorf("%s of the clone is %s of the original", path, where)
		}
	}
	if len(mine) < 20 {
		t.Fatalf("only %d places were looked at", len(mine))
	}
}

func TestCloneGoesOnByItself(t *testing.T) {
	s, at := busyDay(t)
	same := func(a, b *State) string {
		return cmp.Diff(a, b, cmpopts.IgnoreUnexported(State{}), cmpopts.IgnoreFields(State{}, "Plan", "Floors"), cmpopts.IgnoreFields(ZoneState{}, "Floor"))
	}
	c := s.Clone()
	if d := same(s, c); d != "" {
		t.Fatalf("a clone differs:\n%s", d)
	}
	kept := Fold(s.Plan, s.Floors, s.Events)
	for i, q := range []Press{
		{Kind: HoldEnded},
		{Kind: BatchStarted, Mixer: 1},
		{Kind: BatchCondemned, Batch: 3, Why: "lumps"},
		{Kind: BatchPoured, Batch: 7},
		{Kind: CallAcked, Call: "edge"},
		{Kind: PostReturned, Post: PostMixer, Which: 2},
		{Kind: DoorOpened, What: "A/door"},
		{Kind: RowRolled, Row: 2},
		{Kind: LotOpened, What: "A", Text: "L2"},
	} {
		c = do(t, c, at.Add(time.Duration(i)*time.Minute), q)
	}
	if d := same(kept, s); d != "" {
		t.Errorf("the original changed with its clone:\n%s", d)
	}
	if d := same(s, c); d == "" {
		t.Error("the clone did not change")
	}
	if d := cmp.Diff(Look(kept, at), Look(s, at), cmp.Exporter(func(reflect.Type) bool { return true }), cmpopts.IgnoreTypes(&plan.Plan{}, &pace.Zone{}, pace.TempAdvice{}), cmpopts.EquateNaNs()); d != "" {
		t.Errorf("the original looks different:\n%s", d)
	}
}
