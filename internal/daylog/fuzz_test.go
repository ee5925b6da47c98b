package daylog_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"floorpace/internal/daylog"
	"floorpace/internal/daylog/logtest"
)

// seeds are the corpus of damaged logs.
func seeds(f *testing.F) {
	f.Helper()
	for _, k := range damages {
		f.Add(mustRead(f, "testdata/logs/"+k.name+".jsonl"), uint16(700))
	}
}

// FuzzScan: whatever the bytes, each event found verifies by itself, none
// stands twice with the same bytes, and what a follower reads in two helpings
// is what one reading gives, as long as nothing is damaged.
func FuzzScan(f *testing.F) {
	seeds(f)
	f.Fuzz(func(t *testing.T, data []byte, cut uint16) { scanLaw(t, data, cut) })
}

func scanLaw(t testing.TB, data []byte, cut uint16) {
	t.Helper()
	c := readBytes(t, data)
	seen := make(map[string]bool)
	for _, r := range c.Records {
		if _, err := daylog.ParseLine(r.Bytes); err != nil || !bytes.Contains(data, r.Bytes) {
			t.Fatalf("event %d: %v", r.N, err)
		}
		if seen[string(r.Bytes)] {
			t.Fatalf("event %d twice", r.N)
		}
		seen[string(r.Bytes)] = true
	}
	if c.Verdict > daylog.Separator {
		return
	}
	d := logtest.NewDisk()
	path := folder + "/A-00000000.jsonl"
	d.Put(path, data[:min(int(cut), len(data))])
	follow := daylog.Follow(d, path)
	first, err := follow.Poll()
	if err != nil && !errors.Is(err, daylog.ErrForeign) {
		t.Fatalf("the first %d bytes: %v", cut, err)
	}
	d.Replace(path, data)
	second, err := follow.Poll()
	if err != nil || lines(append(first, second...)) != lines(c.Records) {
		t.Fatalf("in two helpings: %v, events %s, want %s", err, numbers(append(first, second...)), numbers(c.Records))
	}
}

// FuzzOpenAppend: whatever the file, opening loses no readable event and never
// touches what it must not; where a log comes out of it, a tap can be saved and
// the next start is clean.
func FuzzOpenAppend(f *testing.F) {
	seeds(f)
	f.Fuzz(func(t *testing.T, data []byte, answer uint16) { openLaw(t, data, answer) })
}

func openLaw(t testing.TB, data []byte, answer uint16) {
	t.Helper()
	d, c := logtest.NewDisk(), logtest.NewClock(dawn)
	path := folder + "/A-00000000.jsonl"
	d.Put(path, data)
	before := read(t, d, path)
	opt := options(3)
	opt.Suspect, opt.Header = daylog.Answer(answer%3), header()
	l, o, err := daylog.Open(d, path, c, opt)
	if o == nil {
		t.Fatal(err)
	}
	if !touched(o.Verdict) && !bytes.Equal(d.Get(path), data) {
		t.Fatalf("%s: the file was written", o.Verdict)
	}
	if !strings.Contains(lines(o.Records), lines(before.Records)) {
		t.Fatalf("%s: events %s, before %s", o.Verdict, numbers(o.Records), numbers(before.Records))
	}
	if o.Side != "" && !bytes.HasSuffix(data, d.Get(o.Side)) {
		t.Fatal("the side file does not hold what was cut")
	}
	if l == nil {
		if err == nil {
			t.Fatal("neither a log nor a reason")
		}
		return
	}
	r := press(t, l, c, 1)
	if err := l.Close(); err != nil {
		t.Fatal(err)
	}
	after := read(t, d, l.Path())
	if after.Verdict != daylog.Clean || !strings.HasSuffix(lines(after.Records), string(r.Bytes)+"\n") {
		t.Fatalf("after %s: %s, events %s", o.Verdict, after.Verdict, numbers(after.Records))
	}
}

// FuzzEvent: what Append takes it gives back, what it refuses is not written.
func FuzzEvent(f *testing.F) {
	f.Add("note.written", []byte(`{"note":"8 °C","list":[1,2.5e3,null,true]}`))
	f.Add("x", []byte(`{"\u0061":"\ud83d\ude00","b":-0.0}`))
	f.Add("n", []byte(`{"c":1}`))
	f.Fuzz(func(t *testing.T, kind string, body []byte) {
		d, c := logtest.NewDisk(), logtest.NewClock(dawn)
		l, err := daylog.Create(d, folder, header(), c, options(1))
		if err != nil {
			t.Fatal(err)
		}
		r, _, err := l.Append(kind, body)
		got := read(t, d, l.Path())
		if err != nil {
			if len(got.Records) != 1 || !errors.Is(err, daylog.ErrBody) && !errors.Is(err, daylog.ErrTooLong) {
				t.Fatalf("refused with %v, %d events", err, len(got.Records))
			}
			return
		}
		if got.Verdict != daylog.Clean || len(got.Records) != 2 || string(got.Records[1].Bytes) != string(r.Bytes) || got.Records[1].Kind != kind {
			t.Fatalf("%s, %d events", got.Verdict, len(got.Records))
		}
		var want, back any
		if len(bytes.TrimSpace(body)) == 0 {
			body = []byte("{}")
		}
		if json.Unmarshal(body, &want) != nil || json.Unmarshal(got.Records[1].Body, &back) != nil {
			t.Fatal("not JSON")
		}
		x, _ := json.Marshal(want)
		y, _ := json.Marshal(back)
		if !bytes.Equal(x, y) {
			t.Fatalf("%s came back as %s", x, y)
		}
	})
}

// FuzzDamage damages the lines of a sound log as the input says: overwrites,
// cuts, zeros, doubles, swaps and deletes them. Every line that was left alone
// is found, and no damage goes unnoticed but the loss of the last lines.
func FuzzDamage(f *testing.F) {
	f.Add([]byte{0, 3, 9, 1, 2, 5, 0, 0, 4, 1, 2, 3})
	f.Add([]byte{5, 12, 0, 0})
	f.Add([]byte{1, 0, 40, 0, 3, 7, 0, 0})
	d, _, path := newDay(f, 12)
	sound := splitLines(d.Get(path))
	f.Fuzz(func(t *testing.T, ops []byte) { damageLaw(t, sound, ops) })
}

func damageLaw(t testing.TB, sound [][]byte, ops []byte) {
	t.Helper()
	all := make([][]byte, len(sound))
	for i := range sound {
		all[i] = bytes.Clone(sound[i])
	}
	for n := 0; n < 50 && len(ops) >= 4 && len(all) > 1; n++ { // more only costs time
		all = damageLine(all, ops)
		ops = ops[4:]
	}
	data := bytes.Join(all, nil)
	c := readBytes(t, data)
	found := lines(c.Records)
	for i, line := range all { // a neighbour may have swallowed its start
		whole := i == 0 || bytes.HasSuffix(all[i-1], []byte("\n"))
		if whole && isEvent(sound, line) && !strings.Contains(found, string(line)) {
			t.Fatalf("%s: line %q is not found", c.Verdict, line)
		}
	}
	unchanged := bytes.HasPrefix(bytes.Join(sound, nil), data)
	if c.Verdict == daylog.Clean && !unchanged {
		t.Fatalf("unnoticed: %q", data)
	}
	if c.Verdict == daylog.TornTail && !bytes.HasSuffix(data, c.Tail) {
		t.Fatal("the tail is not the end")
	}
}

// TestLongFuzz runs the three laws on random damage for ten minutes in the long
// form, for a second in the short one. (go test -fuzz looks for new paths
// through the code; this looks at many more files.)
func TestLongFuzz(t *testing.T) {
	limit := time.Second / 2
	if long() {
		limit = 10 * time.Minute
	}
	d, _, path := newDay(t, 12)
	sound := splitLines(d.Get(path))
	var corpus [][]byte
	for _, k := range damages {
		corpus = append(corpus, mustRead(t, "testdata/logs/"+k.name+".jsonl"))
	}
	rng := rand.New(rand.NewPCG(uint64(time.Now().UnixNano()), 1))
	runs, last := 0, []byte(nil)
	t.Cleanup(func() {
		if t.Failed() {
			t.Logf("failed with the operations %v", last)
		}
	})
	for start := time.Now(); time.Since(start) < limit; runs++ {
		ops := make([]byte, 4*(1+rng.IntN(5)))
		for i := range ops {
			ops[i] = byte(rng.Uint32())
		}
		last = ops
		damageLaw(t, sound, ops)
		lines := splitLines(bytes.Clone(corpus[rng.IntN(len(corpus))]))
		for ; len(ops) >= 4 && len(lines) > 1; ops = ops[4:] {
			lines = damageLine(lines, ops)
		}
		data := bytes.Join(lines, nil)
		cut := uint16(rng.Uint32()) % uint16(len(data)+1)
		scanLaw(t, data, cut)
		openLaw(t, data, cut)
	}
	t.Logf("%d damaged files", runs)
}

func isEvent(sound [][]byte, line []byte) bool {
	for _, s := range sound[1:] {
		if bytes.Equal(s, line) {
			return true
		}
	}
	return false
}

// damageLine does what four bytes say: what, which line, where in it, how much.
func damageLine(all [][]byte, op []byte) [][]byte {
	i := int(op[1]) % len(all)
	line := all[i]
	at := 0
	if len(line) > 0 {
		at = int(op[2]) % len(line)
	}
	switch op[0] % 7 {
	case 0:
		if len(line) > 0 {
			line[at] ^= op[3]
		}
	case 1:
		all[i] = line[:at]
	case 2:
		clear(line[at:min(len(line), at+int(op[3]))])
	case 3:
		all = append(all[:i+1], append([][]byte{bytes.Clone(line)}, all[i+1:]...)...)
	case 4:
		k := int(op[3]) % len(all)
		all[i], all[k] = all[k], all[i]
	case 5:
		all = append(all[:i], all[i+1:]...)
	case 6:
		all[i] = append(bytes.Repeat([]byte{op[2]}, int(op[3])%40), line...)
	}
	return all
}
