// Package keys says which key does what. Every action has at least one key
// that needs no modifier; the figures and 0, 9 lie together on a number pad or
// a box of buttons, so that a whole batch goes by one gloved finger. Foot
// pedals and button boxes are keyboards: any single key can be bound to any
// action in a file (see Parse).
//
// A key is named by the character it types, in lower case whatever Caps Lock
// says, or by a word: space, tab, enter, backspace, delete, insert, home, end,
// pgup, pgdown, up, down, left, right, f1 to f20. Esc and everything with Ctrl
// or Alt stay with the console.
package keys

import (
	"fmt"
	"sort"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Action is what a key asks for, by the word a key file writes.
type Action string

// Actions. Nothing frees a key.
const (
	Mixer1 Action = "mixer-1"
	Mixer2 Action = "mixer-2"
	Mixer3 Action = "mixer-3"
	Mixer4 Action = "mixer-4"
	Mixer5 Action = "mixer-5"
	Mixer6 Action = "mixer-6"
	Mixer7 Action = "mixer-7"
	Mixer8 Action = "mixer-8"
	Pour   Action = "pour"
	Undo   Action = "undo"
	Hold   Action = "hold"
	Stop   Action = "stop-mixing"

	Answer    Action = "answer"
	PutAside  Action = "put-aside"
	Calls     Action = "calls"
	WaysOut   Action = "ways-out"
	Reading   Action = "reading"
	Mark      Action = "mark"
	Scrap     Action = "scrap"
	Part      Action = "part-batch"
	Note      Action = "note"
	Zone      Action = "zone"
	Post      Action = "post"
	TakeBack  Action = "take-back"
	Handover  Action = "handover"
	Tally     Action = "tally"
	Rolled    Action = "rolled"
	Broadcast Action = "broadcast"
	RakeReset Action = "rake-reset"
	Decide    Action = "decide"
	Lot       Action = "lot"
	Wrong     Action = "wrong"

	Quiet   Action = "quiet"
	Other   Action = "other-screen"
	Page    Action = "page"
	Palette Action = "palette"
	Help    Action = "help"
	Nothing Action = "nothing"
)

// Mixers is the most mixers that have a key of their own.
const Mixers = 8

// Mixer gives the mixer, from 1, that an action starts; 0 for other actions.
func (a Action) Mixer() int {
	for n := 1; n <= Mixers; n++ {
		if a == MixerKey(n) {
			return n
		}
	}
	return 0
}

// MixerKey is the action of a mixer, from 1.
func MixerKey(n int) Action { return Action(fmt.Sprintf("mixer-%d", n)) }

// Presses tells whether an action by itself, without a list or a line in
// between, writes to the day.
func (a Action) Presses() bool {
	switch a {
	case Pour, Undo, Hold, Stop, Answer, Rolled, Broadcast, RakeReset:
		return true
	}
	return a.Mixer() > 0
}

// What says in a few words what an action does, for the help.
func (a Action) What() string {
	if n := a.Mixer(); n > 0 {
		return fmt.Sprintf("start on mixer %d", n)
	}
	return what[a]
}

var what = map[Action]string{
	Pour: "oldest bucket poured", Undo: "take back the last press", Hold: "hold, or go on", Stop: "stop mixing",
	Answer: "answer the top call", PutAside: "put the top call aside", Calls: "all calls", WaysOut: "ways out",
	Reading: "enter a reading", Mark: "mark the front", Scrap: "scrap a batch", Part: "start a part batch", Note: "write a note",
	Zone: "zone done, next zone", Post: "post out or back in", TakeBack: "take back an older press",
	Handover: "floor handed over", Tally: "empties counted", Rolled: "row rolled", Broadcast: "row broadcast", RakeReset: "gauge rake reset",
	Decide: "go on, cut back or stop", Lot: "lot opened", Wrong: "bad batch, door, override",
	Quiet: "banner read", Other: "other screen", Page: "next page", Palette: "dark or sun palette", Help: "what works now",
}

// Actions lists all actions in the order of the help.
func Actions() []Action {
	return []Action{
		Mixer1, Mixer2, Mixer3, Mixer4, Mixer5, Mixer6, Mixer7, Mixer8, Pour, Undo, Hold, Stop,
		Answer, PutAside, Calls, WaysOut, Reading, Mark, Scrap, Part, Note, Zone, Post, TakeBack,
		Handover, Tally, Rolled, Broadcast, RakeReset, Decide, Lot, Wrong, Quiet, Other, Page, Palette, Help,
	}
}

// Binding is one key and what it does.
type Binding struct {
	Key    string
	Action Action
}

// standard are the keys of the console before a file changes any.
var standard = []Binding{
	{"1", Mixer1},
	{"2", Mixer2},
	{"3", Mixer3},
	{"4", Mixer4},
	{"5", Mixer5},
	{"6", Mixer6},
	{"7", Mixer7},
	{"8", Mixer8},
	{"0", Pour},
	{"p", Pour},
	{"u", Undo},
	{"backspace", Undo},
	{"9", Hold},
	{"h", Hold},
	{"s", Stop},
	{"a", Answer},
	{"d", PutAside},
	{"c", Calls},
	{"w", WaysOut},
	{"r", Reading},
	{"f", Mark},
	{"x", Scrap},
	{"b", Part},
	{"n", Note},
	{"z", Zone},
	{"o", Post},
	{"l", TakeBack},
	{"g", Handover},
	{"t", Tally},
	{"e", Rolled},
	{"i", Broadcast},
	{"k", RakeReset},
	{"v", Decide},
	{"j", Lot},
	{"m", Wrong},
	{"q", Quiet},
	{"tab", Other},
	{"space", Page},
	{"y", Palette},
	{"?", Help},
	{"f1", Help},
}

// Standard gives the keys of the console before a file changes any.
func Standard() []Binding { return append([]Binding(nil), standard...) }

// Clashes names every key that has two actions, and every key that may not be
// bound.
func Clashes(bs []Binding) []string {
	var out []string
	has := map[string]Action{}
	for _, b := range bs {
		if old, ok := has[b.Key]; ok && old != b.Action {
			out = append(out, fmt.Sprintf("%s does both %s and %s", b.Key, old, b.Action))
		}
		has[b.Key] = b.Action
		if words := unfit(b.Key); words != "" {
			out = append(out, words)
		}
	}
	return out
}

// Map finds the action of a key. It is not changed after it is made.
type Map struct {
	keys map[string]Action
}

// Default is the map of the standard keys.
func Default() *Map {
	m := &Map{keys: map[string]Action{}}
	for _, b := range standard {
		m.keys[b.Key] = b.Action
	}
	return m
}

// Action gives what a key does; ok is false for a key without an action.
func (m *Map) Action(key string) (a Action, ok bool) {
	a, ok = m.keys[Name(key)]
	return a, ok
}

// Keys lists the keys of an action: characters first, then words.
func (m *Map) Keys(a Action) []string {
	var out []string
	for k, b := range m.keys {
		if b == a {
			out = append(out, k)
		}
	}
	sort.Slice(out, func(i, j int) bool {
		if len(out[i]) != len(out[j]) {
			return len(out[i]) < len(out[j])
		}
		// A letter says more than a figure: "p" before "0".
		if li, lj := unicode.IsLetter(rune(out[i][0])), unicode.IsLetter(rune(out[j][0])); li != lj {
			return li
		}
		return out[i] < out[j]
	})
	return out
}

// Key is the first key of an action, "" when it has none.
func (m *Map) Key(a Action) string {
	if ks := m.Keys(a); len(ks) > 0 {
		return ks[0]
	}
	return ""
}

// Name is the name of a key as it stands in the map: lower case, words for
// keys that type nothing.
func Name(key string) string {
	if key == " " {
		return "space"
	}
	return strings.ToLower(key)
}

var words = func() map[string]bool {
	m := map[string]bool{}
	for _, w := range strings.Fields("space tab enter backspace delete insert home end pgup pgdown up down left right") {
		m[w] = true
	}
	for n := 1; n <= 20; n++ {
		m[fmt.Sprintf("f%d", n)] = true
	}
	return m
}()

// unfit says why a key may not be bound; "" when it may.
func unfit(key string) string {
	switch r, size := utf8.DecodeRuneInString(key); {
	case key == "esc":
		return "esc leaves what is open and cannot be bound"
	case strings.Contains(key, "+") && len(key) > 1:
		return fmt.Sprintf("%q needs two keys at once: a gloved hand presses one", key)
	case words[key]:
		return ""
	case size == len(key) && unicode.IsGraphic(r) && r != utf8.RuneError && r != ' ' && r != '=' && r != '#':
		return ""
	}
	return fmt.Sprintf("%q is not a key", key)
}
