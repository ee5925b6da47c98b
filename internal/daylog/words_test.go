package daylog_test

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"floorpace/internal/clean"
	"floorpace/internal/daylog"
	"floorpace/internal/daylog/logtest"
)

// nasty is a text that would clear a screen and turn the writing round.
const nasty = "\x1b[2J\u009b31m\u202egpj"

// TestWordsAreClean: what comes from a disk, a file name or another station's
// line reaches the crew without anything a terminal acts upon.
func TestWordsAreClean(t *testing.T) {
	var words []string
	d, c := logtest.NewDisk(), logtest.NewClock(dawn)
	opt := options(1)
	opt.Fallback, opt.Second = []string{"/stick" + nasty}, "/second"
	l, err := daylog.Create(d, folder, header(), c, opt)
	if err != nil {
		t.Fatal(err)
	}
	d.SetFault(func(call logtest.Call) error {
		if strings.HasPrefix(call.Path, "/second") || strings.HasPrefix(call.Path, folder) && call.Op == logtest.OpWrite {
			return errors.New("bad disk " + nasty)
		}
		return nil
	})
	c.Run(time.Second)
	_, trouble, err := l.Append("note.written", nil)
	if err != nil || !strings.Contains(trouble.File, nasty) {
		t.Fatalf("%v, %+v", err, trouble)
	}
	words = append(words, trouble.Words...)
	waitFor(t, "the second copy fails", func() bool { return l.Second().Words != "" })
	words = append(words, l.Second().Words)
	d.SetFault(logtest.Nth(logtest.OpWrite, 1, true, errors.New(nasty)))
	_, trouble, err = l.Append("note.written", nil)
	if !errors.Is(err, daylog.ErrNotSaved) {
		t.Fatal(err)
	}
	words = append(words, trouble.Words...)
	_ = l.Close()

	d, c, path := newDay(t, 3)
	data := bytes.Replace(d.Get(path), []byte("batch.poured"), []byte("batch.\u202e\u0085ed"), 1)
	data = bytes.Replace(data, []byte(`"app":"floorpace`), []byte(`"app":"\u001b[2J\u202e`), 1)
	data = rechain(data)
	d.Put(path, data[:len(data)-20])
	rep, err := daylog.Verify(d, path)
	if err != nil {
		t.Fatal(err)
	}
	words = append(append(words, rep.Files[0].Words...), rep.Files[0].App)
	_, o := resume(t, d, path, c, options(2))
	words = append(words, o.Words...)
	if len(words) < 10 {
		t.Errorf("only %d sentences: %q", len(words), words)
	}
	for _, w := range words {
		if clean.String(w) != w {
			t.Errorf("the crew would read %q", w)
		}
	}
}

// TestWordsNameTaps: what the crew is to look at again is what a hand pressed, not
// what the program wrote by itself behind it.
func TestWordsNameTaps(t *testing.T) {
	d, c := logtest.NewDisk(), logtest.NewClock(dawn)
	l, err := daylog.Create(d, folder, header(), c, options(1))
	if err != nil {
		t.Fatal(err)
	}
	put := func(kinds ...string) (trouble daylog.Trouble) {
		for _, k := range kinds {
			c.Run(time.Second)
			if _, trouble, err = l.Append(k, nil); err != nil {
				t.Fatal(err)
			}
		}
		return trouble
	}
	taps := []string{"batch.started", "call.acknowledged", "batch.poured"}
	put(taps...)
	put("call.raised", daylog.KindSlept, "plan.changed", "call.cleared")
	path := l.Path()
	d.SetFault(logtest.Nth(logtest.OpWrite, 1, false, errors.New("bad disk")))
	trouble := put("call.raised")
	if want := "Check the last taps: batch poured 05:02:14."; len(trouble.Words) != 2 || trouble.Words[1] != want {
		t.Errorf("behind a bad disk: %q, want %q", trouble.Words, want)
	}
	_ = l.Close()
	d.SetFault(nil)

	rep, err := daylog.Verify(d, path)
	if want := "Readable: 8 events, last tap batch poured at 05:02:14."; err != nil || rep.Files[0].Words[0] != want {
		t.Errorf("verify: %q, want %q", rep.Files[0].Words, want)
	}
	_, o, err := daylog.OpenDay(d, folder, "A", c, options(2))
	if err != nil {
		t.Fatal(err)
	}
	for i, r := range o.Last {
		if r.Kind != taps[i] {
			t.Errorf("shown on resume: %s, want %s", r.Kind, taps[i])
		}
	}
	if len(o.Last) != 3 {
		t.Errorf("%d events shown on resume", len(o.Last))
	}
}

func TestWordsSlow(t *testing.T) {
	for took, want := range map[time.Duration]string{
		0:                       "",
		999 * time.Millisecond:  "",
		3200 * time.Millisecond: "The log's disk is slow: 3 s for one tap. Wait for the mark before the next one.",
		65 * time.Second:        "The log's disk is slow: 1 min 5 s for one tap. Wait for the mark before the next one.",
	} {
		if got := daylog.WordsSlow(took); got != want {
			t.Errorf("%v: %q, want %q", took, got, want)
		}
	}
}

// A file that was joined to itself, or sorted the wrong way, says so in one line and
// not in one for every event; two lines are named one by one.
func TestLinesInARowAreOneSentence(t *testing.T) {
	d, _, path := newDay(t, 9)
	data := d.Get(path)
	all := bytes.SplitAfter(bytes.TrimSuffix(data, []byte("\n")), []byte("\n"))
	all[len(all)-1] = append(bytes.Clone(all[len(all)-1]), '\n')
	last := len(all)
	back := [][]byte{all[0]}
	for i := last - 1; i > 0; i-- {
		back = append(back, all[i])
	}
	twice := append(bytes.Clone(bytes.Join(all[:5], nil)), bytes.Join(all[3:], nil)...)
	for _, q := range []struct {
		name string
		data []byte
		want string
		n    int
	}{
		{"joined", append(bytes.Clone(data), data...), fmt.Sprintf("Lines 1–%d are there twice; they count once.", last), 1},
		{"turned round", bytes.Join(back, nil), fmt.Sprintf("Lines 2–%d stand in the wrong place; nothing of them is lost.", last-1), 1},
		{"two twice", twice, "Line 5 is there twice; it counts once.", 2},
	} {
		d.Put(path, q.data)
		c, err := daylog.Read(d, path)
		if err != nil {
			t.Fatal(err)
		}
		n := 0
		for _, w := range c.Words {
			if strings.Contains(w, "twice") || strings.Contains(w, "wrong place") {
				n++
			}
		}
		if n != q.n || !slices.Contains(c.Words, q.want) {
			t.Errorf("%s: %q, want %d such with %q", q.name, c.Words, q.n, q.want)
		}
	}
}
