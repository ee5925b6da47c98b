package keys

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestNoClashes(t *testing.T) {
	if c := Clashes(standard); len(c) > 0 {
		t.Errorf("standard keys: %s", strings.Join(c, "; "))
	}
	got := Clashes([]Binding{{"p", Pour}, {"p", Hold}, {"ctrl+p", Undo}, {"esc", Help}, {"xy", Help}})
	want := []string{
		"p does both pour and hold", `"ctrl+p" needs two keys at once: a gloved hand presses one`,
		"esc leaves what is open and cannot be bound", `"xy" is not a key`,
	}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
}

// Every action has words, a key, and that key needs no modifier and no Shift
// (the question mark, which does nothing to a batch, has F1 beside it).
func TestEveryActionHasABareKey(t *testing.T) {
	m := Default()
	for _, a := range Actions() {
		if a.What() == "" {
			t.Errorf("%s: no words for the help", a)
		}
		bare := false
		for _, k := range m.Keys(a) {
			if len(k) > 1 || strings.Contains("abcdefghijklmnopqrstuvwxyz0123456789", k) {
				bare = true
			}
			if got, ok := m.Action(k); !ok || got != a {
				t.Errorf("%s: key %s does %s", a, k, got)
			}
		}
		if !bare {
			t.Errorf("%s: no key without Shift", a)
		}
	}
	if a, _ := m.Action("P"); a != Pour {
		t.Errorf("with Caps Lock on, P does %q", a)
	}
	if n := Mixer7.Mixer(); n != 7 {
		t.Errorf("mixer-7 starts mixer %d", n)
	}
}

func TestParse(t *testing.T) {
	m, err := Parse("pedals.keys", []byte("# left pedal\nf5 = pour\r\n\n  F6=mixer-1 \np = nothing\nenter = answer\n"))
	if err != nil {
		t.Fatal(err)
	}
	for key, want := range map[string]Action{"f5": Pour, "0": Pour, "f6": Mixer1, "1": Mixer1, "enter": Answer, "p": ""} {
		if got, _ := m.Action(key); got != want {
			t.Errorf("%s does %q, want %q", key, got, want)
		}
	}
}

func TestParseProblems(t *testing.T) {
	text := "pour\n  ctrl+p = pour\nf5 =  poor\nf6 = pour\nf6 = undo\nu = nothing\nbackspace = pour\n = pour\né = hold\nesc = help\n"
	_, err := Parse("a.keys", []byte(text))
	if err == nil {
		t.Fatal("taken")
	}
	var got []string
	for _, line := range strings.Split(err.Error(), "\n") {
		place, rest, _ := strings.Cut(line, ": ")
		if len(rest) > 34 {
			rest = rest[:34]
		}
		got = append(got, place+" "+rest)
	}
	want := []string{
		`a.keys:1:1 no "=": write a line as "f5 = pour`,
		`a.keys:2:3 "ctrl+p" needs two keys at once: a`,
		`a.keys:3:7 "poor" is not an action; write one`,
		`a.keys:5:1 f6 is bound on line 4 already: kee`,
		`a.keys:8:2 no key before "=": write one chara`,
		`a.keys:10:1 esc leaves what is open and cannot`,
		`a.keys:7:1 this leaves undo without a key: gi`,
	}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
	for name, bad := range map[string]string{"not UTF-8": "p = \xff", "more than 64 kB": strings.Repeat("#", 70<<10)} {
		if _, err := Parse("b.keys", []byte(bad)); err == nil || !strings.Contains(err.Error(), name) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// No action loses its key unseen: a key put on something else leaves the old action
// another one, or the file is refused; freeing it on purpose is fine.
func TestNoActionLosesItsKey(t *testing.T) {
	for text, says := range map[string]string{
		"x = mixer-1":             "k.keys:1:1: this leaves scrap without a key",
		"f9 = pour\nx = nothing":  "",
		"x = mixer-1\nf9 = scrap": "",
		"f9 = scrap\nx = mixer-1": "",
		"h = scrap":               "", // 9 holds still
		"s = nothing":             "k.keys:1:1: this leaves stop-mixing without a key",
	} {
		_, err := Parse("k.keys", []byte(text))
		if says == "" && err != nil || says != "" && (err == nil || !strings.HasPrefix(err.Error(), says)) {
			t.Errorf("%q: %v, want %q", text, err, says)
		}
	}
}

// The reference of the key file names each action with what it does and its
// standard keys, and the file it begins with is whole.
func TestReferenceNamesEveryAction(t *testing.T) {
	b, err := os.ReadFile("../../../config/README.md")
	if err != nil {
		t.Fatal(err)
	}
	_, text, _ := strings.Cut(string(b), "## The key file")
	_, file, _ := strings.Cut(text, "```\n")
	file, _, _ = strings.Cut(file, "```")
	m, err := Parse("k.keys", []byte(file))
	if err != nil {
		t.Fatalf("its example: %v", err)
	}
	if a, _ := m.Action("f5"); a != Mixer1 {
		t.Errorf("its first key does %q", a)
	}
	for _, a := range Actions() {
		if a.Mixer() > 0 {
			continue
		}
		var keys []string
		for _, k := range Standard() {
			if k.Action == a {
				keys = append(keys, "`"+k.Key+"`")
			}
		}
		if row := fmt.Sprintf("| `%s` | %s | %s |", a, a.What(), strings.Join(keys, " ")); !strings.Contains(text, row) {
			t.Errorf("not in config/README.md: %s", row)
		}
	}
}

// Whatever a file says, it is either refused at a place inside it or leaves a
// map in which a batch can be started, poured and taken back.
func FuzzParse(f *testing.F) {
	for _, s := range []string{"f5 = pour", "p = nothing\n0 = nothing", "1 = mixer-2\n2 = mixer-1", "= =\n#\n\x00 = pour", "é= hold", "tab=help\nf2=other-screen"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		m, err := Parse("k", []byte(s))
		if err != nil {
			ps, ok := err.(Problems)
			if !ok || len(ps) == 0 {
				t.Fatalf("%T %v", err, err)
			}
			lines := strings.Split(s, "\n")
			for _, p := range ps {
				if p.Line < 1 || p.Line > len(lines) || p.Col < 1 || p.Col > len([]rune(lines[p.Line-1]))+1 || p.Words == "" {
					t.Fatalf("%q: problem outside the text: %+v", s, p)
				}
			}
			return
		}
		for _, a := range must {
			if m.Key(a) == "" {
				t.Fatalf("%q leaves %s without a key", s, a)
			}
		}
	})
}
