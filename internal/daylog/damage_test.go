package daylog_test

import (
	"bytes"
	"fmt"
	"hash/crc32"
	"strings"
	"testing"
	"time"

	"floorpace/internal/daylog"
)

// TestCutAnywhere cuts a log at every byte: no whole line is lost and the
// verdict is the right one at each.
func TestCutAnywhere(t *testing.T) {
	d, _, path := newDay(t, 12)
	data := d.Get(path)
	ends := lineEnds(data)
	for cut := range len(data) + 1 {
		c := readBytes(t, data[:cut])
		whole := 0 // lines whose closing brace is there
		for _, end := range ends {
			if end <= cut {
				whole++
			}
		}
		want := daylog.TornTail
		switch {
		case whole == 0:
			want = daylog.TornCreation
		case cut == ends[whole-1]: // all but the newline
			want = daylog.Separator
		case cut == ends[whole-1]+1:
			want = daylog.Clean
		}
		if c.Verdict != want {
			t.Errorf("cut at %d: %s, want %s", cut, c.Verdict, want)
		}
		if got := len(c.Records); got != max(0, whole-1) {
			t.Errorf("cut at %d: %d events, want %d", cut, got, whole-1)
		}
	}
}

// lineEnds are the offsets just behind each closing brace.
func lineEnds(data []byte) []int {
	var ends []int
	for i, b := range data {
		if b == '\n' {
			ends = append(ends, i)
		}
	}
	return ends
}

// TestFlipEveryBit flips each bit of a log, one at a time: none goes unnoticed,
// none in the middle is taken for a torn end, and no event but the damaged one
// is lost.
func TestFlipEveryBit(t *testing.T) {
	d, _, path := newDay(t, 5)
	data := d.Get(path)
	ends := lineEnds(data)
	lastLine := ends[len(ends)-2] + 1
	sound := readBytes(t, data)
	for i := range data {
		for bit := range 8 {
			bad := bytes.Clone(data)
			bad[i] ^= 1 << bit
			c := readBytes(t, bad)
			newline := data[i] == '\n'
			ok := false
			switch {
			case c.Verdict == daylog.Clean:
			case newline:
				ok = c.Verdict == daylog.Separator
			case i < lastLine:
				ok = c.Verdict == daylog.DamagedMiddle
			default: // a flip can make a newline in the line
				ok = c.Verdict == daylog.SuspectLast || c.Verdict == daylog.DamagedTail && bad[i] == '\n'
			}
			if !ok {
				t.Fatalf("bit %d of byte %d (%q): %s", bit, i, data[i], c.Verdict)
			}
			lost := 1
			if newline || i <= ends[0] {
				lost = 0
			}
			if got := len(sound.Records) - len(c.Records); got != lost {
				t.Fatalf("bit %d of byte %d: %d events lost, want %d", bit, i, got, lost)
			}
		}
	}
}

// TestWholeLines deletes, swaps and doubles every line: all is noticed, except
// that a log without its last line is a shorter log (the seal and the second
// copy are there for that; see the package doc).
func TestWholeLines(t *testing.T) {
	d, _, path := newDay(t, 9)
	all := splitLines(d.Get(path))
	sound := lines(readBytes(t, join(all...)).Records)
	for i := range all {
		without := append(append([][]byte{}, all[:i]...), all[i+1:]...)
		c := readBytes(t, join(without...))
		want := daylog.DamagedMiddle
		if i == len(all)-1 {
			want = daylog.Clean
		}
		if c.Verdict != want {
			t.Errorf("without line %d: %s", i, c.Verdict)
		}
		twice := append(append(append([][]byte{}, all[:i+1]...), all[i]), all[i+1:]...)
		c = readBytes(t, join(twice...))
		if c.Verdict != daylog.DamagedMiddle || lines(c.Records) != sound {
			t.Errorf("line %d twice: %s, events %s", i, c.Verdict, numbers(c.Records))
		}
		for k := i + 1; k < len(all); k++ {
			swapped := append([][]byte{}, all...)
			swapped[i], swapped[k] = swapped[k], swapped[i]
			c := readBytes(t, join(swapped...))
			if c.Verdict != daylog.DamagedMiddle || lines(c.Records) != sound {
				t.Errorf("lines %d and %d swapped: %s, events %s", i, k, c.Verdict, numbers(c.Records))
			}
		}
	}
}

// TestEditedLine: a line that was changed together with its own checksum
// verifies alone and breaks the chain. This is what the chain is for.
func TestEditedLine(t *testing.T) {
	d, _, path := newDay(t, 9)
	all := splitLines(d.Get(path))
	for i := 1; i < len(all)-1; i++ {
		edited := append([][]byte{}, all...)
		text := string(bytes.TrimSuffix(all[i], []byte("\n")))
		text = strings.Replace(text, `"w":"2026`, `"w":"2027`, 1)
		covered, _, _ := strings.Cut(text, `,"c":`)
		sum := crc32.Checksum([]byte(covered), crc32.MakeTable(crc32.Castagnoli))
		edited[i] = fmt.Appendf(nil, "%s,\"c\":\"%08x\"}\n", covered, sum)
		if _, err := daylog.ParseLine(bytes.TrimSuffix(edited[i], []byte("\n"))); err != nil {
			t.Fatalf("the edited line should verify alone: %v", err)
		}
		c := readBytes(t, join(edited...))
		if c.Verdict != daylog.DamagedMiddle || !hasFault(c, daylog.FaultChange) {
			t.Errorf("line %d edited: %s, %+v", i, c.Verdict, c.Faults)
		}
	}
}

func hasFault(c *daylog.Contents, what daylog.FaultKind) bool {
	for _, f := range c.Faults {
		if f.What == what {
			return true
		}
	}
	return false
}

// TestNewlinesCostNothing: whatever stands for the newlines, every event is
// there.
func TestNewlinesCostNothing(t *testing.T) {
	d, c, path := newDay(t, 9)
	data := d.Get(path)
	sound := lines(read(t, d, path).Records)
	for _, sep := range []string{"", "\r\n", "\n\n\n", " \n ", "\x00", "\x0b", "J"} {
		bad := bytes.ReplaceAll(data, []byte("\n"), []byte(sep))
		d.Put(path, bad)
		got := read(t, d, path)
		if got.Verdict != daylog.Separator || lines(got.Records) != sound {
			t.Errorf("separator %q: %s with %d events", sep, got.Verdict, len(got.Records))
			continue
		}
		l, o, err := daylog.Open(d, path, c, options(2))
		if err != nil {
			t.Fatalf("separator %q: %v", sep, err)
		}
		if len(o.Words) != 0 {
			t.Errorf("separator %q: the crew reads %q, want nothing", sep, o.Words)
		}
		if err := l.Close(); err != nil {
			t.Fatal(err)
		}
		if mended := d.Get(path); !bytes.HasPrefix(mended, data) || read(t, d, path).Verdict != daylog.Clean {
			t.Errorf("separator %q: not mended", sep)
		}
	}
}

// TestHolesInTheMiddle overwrites every stretch of a few lengths with zeros, as
// a bad sector does: never taken for a torn end, never unnoticed.
func TestHolesInTheMiddle(t *testing.T) {
	d, _, path := newDay(t, 10)
	data := d.Get(path)
	ends := lineEnds(data)
	lastLine := ends[len(ends)-2] + 1
	for _, size := range []int{3, 64, 200, 512} {
		for at := 0; at+size < lastLine; at += 17 {
			bad := bytes.Clone(data)
			clear(bad[at : at+size])
			c := readBytes(t, bad)
			if c.Verdict != daylog.DamagedMiddle {
				t.Errorf("%d zeros at %d: %s", size, at, c.Verdict)
			}
		}
	}
}

// TestLongEnd: an unfinished end that cannot be one unflushed line is damage.
func TestLongEnd(t *testing.T) {
	d, _, path := newDay(t, 5)
	data := d.Get(path)
	all := splitLines(data)
	last := all[len(all)-1]
	for _, c := range []struct {
		name string
		tail []byte
		want daylog.Verdict
	}{
		{"nothing", nil, daylog.Clean},
		{"one byte", []byte("{"), daylog.TornTail},
		{"start of a line", last[:40], daylog.TornTail},
		{"zeros for a line", make([]byte, daylog.MaxLine), daylog.TornTail},
		{"zeros for more than a line", make([]byte, daylog.MaxLine+1), daylog.DamagedTail},
		{"a line with a line start inside", append([]byte("xxxxxxx"), last[:40]...), daylog.DamagedTail},
		{"two spoilt lines", bytes.ReplaceAll(append(bytes.Clone(last), last...), []byte("batch"), []byte("botch")), daylog.DamagedTail},
		{"one spoilt line", bytes.ReplaceAll(last, []byte("batch"), []byte("botch")), daylog.SuspectLast},
		{"one spoilt line without newline", bytes.TrimSpace(bytes.ReplaceAll(last, []byte("batch"), []byte("botch"))), daylog.SuspectLast},
		{"start of a long carried line", append([]byte(`{"n":7,"k":"line.kept","w":"`), bytes.Repeat([]byte("x"), 2*daylog.MaxLine)...), daylog.TornTail},
	} {
		got := readBytes(t, append(bytes.Clone(data), c.tail...))
		if got.Verdict != c.want {
			t.Errorf("%s: %s, want %s", c.name, got.Verdict, c.want)
		}
		if len(got.Records) != 6 {
			t.Errorf("%s: %d events", c.name, len(got.Records))
		}
	}
}

// TestForeignFiles: what is not ours is never touched.
func TestForeignFiles(t *testing.T) {
	for name, data := range map[string]string{
		"text": "Monday: ordered 40 kits\n", "json": `{"a":1}`, "csv": "n,k\n0,log\n",
		"zip": "PK\x03\x04\x14\x00", "brace": "[", "array": `[{"n":0,"k":"log"}]`,
	} {
		d, c, path := newDay(t, 1)
		d.Put(path, []byte(data))
		before := d.Paths()
		l, o, err := daylog.Open(d, path, c, options(2))
		if err == nil || l != nil || o == nil || o.Verdict != daylog.Foreign {
			t.Errorf("%s: %v, %+v", name, err, o)
		}
		if string(d.Get(path)) != data || fmt.Sprint(d.Paths()) != fmt.Sprint(before) {
			t.Errorf("%s was touched", name)
		}
	}
}

// TestReadingStaysLinear: files made to cost time, and a long log without
// newlines, take no longer than others. Each would take minutes if some step
// looked at every byte for every line.
func TestReadingStaysLinear(t *testing.T) {
	const size = 1 << 20
	sound := bigLog(t, 8000)
	_, line, _ := bytes.Cut(sound, []byte("\n"))
	line, _, _ = bytes.Cut(line, []byte("\n"))
	bad := bytes.Replace(line, []byte("boot"), []byte("bood"), 1)
	fill := func(s string) []byte { return bytes.Repeat([]byte(s), size/len(s)) }
	for name, data := range map[string][]byte{
		"no newlines":        bytes.ReplaceAll(sound, []byte("\n"), nil),
		"line starts":        fill(`{"n":`),
		"header starts":      fill(`{"n":0,"k":"log","v":`),
		"line ends":          append([]byte(`{"n":0,"k":"log","v":1`), fill(`,"p":"00000000","c":"00000000"}`)...),
		"starts and ends":    fill(`{"n":1,"p":"00000000","c":"00000000"}`),
		"spoilt lines":       fill(string(bad)),
		"spoilt with breaks": fill(string(bad) + "\n"),
		"one line again":     append(bytes.Clone(sound[:1000]), fill(string(line)+"\n")...),
		"newlines":           fill("\n"),
		"zeros":              make([]byte, size),
		"brackets":           fill(`{"n":1,"k":"x","a":[[[[`),
	} {
		start := cpuTime()
		c := readBytes(t, data)
		if took := cpuTime() - start; took > 3*time.Second && !raceOn {
			t.Errorf("%s: %v for %d MB (%s)", name, took, len(data)>>20, c.Verdict)
		}
		if name == "no newlines" && (c.Verdict != daylog.Separator || len(c.Records) != 8001) {
			t.Errorf("%s: %s, %d events", name, c.Verdict, len(c.Records))
		}
	}
}
