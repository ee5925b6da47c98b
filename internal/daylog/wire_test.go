package daylog_test

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"hash/crc32"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"floorpace/internal/daylog"
	"floorpace/internal/daylog/logtest"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

var update = flag.Bool("update", false, "write the goldens anew")

// golden compares with a file under testdata.
func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(want, got) {
		t.Errorf("%s changed; old logs must open for ever:\n%s", name, cmp.Diff(string(want), string(got)))
	}
}

// TestWireForm freezes version 1: every byte of a small day.
func TestWireForm(t *testing.T) {
	d, c, path := newDay(t, 6)
	l, _ := resume(t, d, path, c, options(2))
	for _, body := range []any{
		map[string]any{"note": "tile «edge» <&> \"x\" \\ 8 °C\n"}, nil, json.RawMessage(`{ "list": [[1, 2], [3.5, -4e3]], "yes": true, "no": null }`),
	} {
		if _, _, err := l.Append("note.written", body); err != nil {
			t.Fatal(err)
		}
	}
	if _, _, err := l.Seal(); err != nil {
		t.Fatal(err)
	}
	golden(t, "wire/v1.jsonl", d.Get(path))
	if want := fmt.Sprintf("A-%s.jsonl", l.Header().Writer[:8]); filepath.Base(path) != want {
		t.Errorf("the file is called %s, want %s", filepath.Base(path), want)
	}
}

// TestWireChecksums works checksums and chain out by other means: the standard
// library's CRC over what encoding/json and plain string cuts say, and the
// check values of RFC 3720 appendix B.4.
func TestWireChecksums(t *testing.T) {
	table := crc32.MakeTable(0x82f63b78) // Castagnoli, reversed (RFC 3720)
	for _, v := range []struct {
		data []byte
		sum  uint32
	}{
		{make([]byte, 32), 0x8a9136aa},               // RFC 3720 B.4: 32 zeros, aa 36 91 8a
		{bytes.Repeat([]byte{0xff}, 32), 0x62a8ab43}, // RFC 3720 B.4: 32 ones, 43 ab a8 62
		{[]byte("123456789"), 0xe3069283},            // check value in common use, from memory
	} {
		if got := crc32.Checksum(v.data, table); got != v.sum {
			t.Errorf("CRC-32C is %08x, want %08x", got, v.sum)
		}
	}
	d, _, path := newDay(t, 30)
	before := "00000000"
	for i, line := range splitLines(d.Get(path)) {
		text := strings.TrimSuffix(string(line), "\n")
		var f struct {
			N    int64
			P, C string
		}
		if err := json.Unmarshal([]byte(text), &f); err != nil {
			t.Fatal(err)
		}
		covered, _, _ := strings.Cut(text, `,"c":`)
		if want := fmt.Sprintf("%08x", crc32.Checksum([]byte(covered), table)); f.C != want {
			t.Errorf("line %d: c is %s, want %s", i, f.C, want)
		}
		if f.N != int64(i) || f.P != before {
			t.Errorf("line %d: n %d, p %s; want p %s", i, f.N, f.P, before)
		}
		before = f.C
	}
}

// TestAppendReturnsWhatIsRead: the record handed to the caller is the one that
// a later reading gives, and decoding what was encoded loses nothing.
func TestAppendReturnsWhatIsRead(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := logtest.NewDisk()
		c := logtest.NewClock(time.UnixMilli(rapid.Int64Range(0, 4e12).Draw(t, "ms")).
			In(time.FixedZone("", 60*rapid.IntRange(-14*60, 14*60).Draw(t, "zone"))))
		l, err := daylog.Create(d, folder, header(), c, options(1))
		if err != nil {
			t.Fatal(err)
		}
		var want []daylog.Record
		bodies := rapid.SliceOfN(genBody(), 1, 6).Draw(t, "bodies")
		for _, b := range bodies {
			c.Run(time.Duration(rapid.Int64Range(0, 1e12).Draw(t, "run")))
			r, _, err := l.Append("note.written", b)
			if err != nil {
				t.Fatal(err)
			}
			if !r.Wall.Equal(c.Now().Wall.Truncate(time.Millisecond)) || r.Mono != c.Now().Mono.Milliseconds() {
				t.Errorf("clocks %v, %d", r.Wall, r.Mono)
			}
			var body map[string]any
			if err := json.Unmarshal(r.Body, &body); err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(b, body); diff != "" {
				t.Errorf("body changed: %s", diff)
			}
			want = append(want, r)
		}
		got, err := daylog.Read(d, l.Path())
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(want, got.Records[1:]); diff != "" || got.Verdict != daylog.Clean {
			t.Errorf("%s, read back: %s", got.Verdict, diff)
		}
	})
}

// genBody draws flat fields as encoding/json would give them back.
func genBody() *rapid.Generator[map[string]any] {
	value := rapid.OneOf(
		rapid.Float64Range(-1e12, 1e12).AsAny(), rapid.Bool().AsAny(),
		rapid.StringN(0, 40, 200).AsAny(), rapid.SampledFrom([]any{nil, `,"c":"00000000"}`, `{"n":3,"k":"x"`, "\u2028\x00<&>"}),
	)
	return rapid.Custom(func(t *rapid.T) map[string]any {
		m := map[string]any{}
		for range rapid.IntRange(0, 5).Draw(t, "fields") {
			name := "f" + rapid.StringMatching(`[a-z_]{0,8}`).Draw(t, "name")
			m[name] = value.Draw(t, "value")
		}
		return m
	})
}

// TestRefusedEvents: what cannot stand in a log is refused before anything is
// written, and the log goes on.
func TestRefusedEvents(t *testing.T) {
	rows, err := csv.NewReader(bytes.NewReader(mustRead(t, "testdata/refused.csv"))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	d, c, path := newDay(t, 2)
	l, _ := resume(t, d, path, c, options(2))
	before := len(d.Get(path))
	for _, row := range rows[1:] {
		kind, body := row[0], row[1]
		_, trouble, err := l.Append(kind, []byte(body))
		if !errors.Is(err, daylog.ErrBody) || !trouble.None() {
			t.Errorf("%s %s: error %v, want a refusal", kind, body, err)
		} else if !strings.Contains(err.Error(), row[2]) {
			t.Errorf("%s %s: error %q does not say %q", kind, body, err, row[2])
		}
	}
	_, _, err = l.Append("note.written", tap{Note: strings.Repeat("x", daylog.MaxLine)})
	if !errors.Is(err, daylog.ErrTooLong) {
		t.Errorf("a line that is too long: %v", err)
	}
	if got := len(d.Get(path)); got != before {
		t.Errorf("refusals wrote %d bytes", got-before)
	}
	press(t, l, c, 3)
}

// TestLongestLine: a line of exactly MaxLine bytes is written and read back,
// and its repetition in a new file fits too, however much is escaped.
func TestLongestLine(t *testing.T) {
	d, c, path := newDay(t, 1)
	l, _ := resume(t, d, path, c, options(2))
	var r daylog.Record
	for n := daylog.MaxLine; ; n-- {
		var err error
		if r, _, err = l.Append("note.written", tap{Note: strings.Repeat(`"`, n/2) + strings.Repeat("x", n%2)}); err == nil {
			break
		} else if !errors.Is(err, daylog.ErrTooLong) {
			t.Fatal(err)
		}
	}
	if len(r.Bytes) != daylog.MaxLine {
		t.Errorf("the longest line that was taken has %d bytes, want %d", len(r.Bytes), daylog.MaxLine)
	}
	d.Fault = logtest.Nth(logtest.OpSync, 1, false, logtest.ErrIO)
	c.Run(time.Second)
	if _, trouble, err := l.Append("note.written", nil); err != nil || trouble.File == "" {
		t.Fatalf("after the fault: %v, %+v", err, trouble)
	}
	set, _, err := daylog.ReadDay(d, folder)
	if err != nil {
		t.Fatal(err)
	}
	d.Put(path, nil) // the first disk's bytes are gone for good
	again, _, err := daylog.ReadDay(d, folder)
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range []*daylog.Set{set, again} {
		if !strings.Contains(lines(s.Records(nil)), string(r.Bytes)) {
			t.Error("the longest line did not survive")
		}
	}
}

// TestHeaderLimit: a plan with sheets may be long, not endless.
func TestHeaderLimit(t *testing.T) {
	for _, c := range []struct {
		size int
		ok   bool
	}{{200 << 10, true}, {daylog.MaxHeader - 1000, true}, {daylog.MaxHeader + 1, false}} {
		d, h := logtest.NewDisk(), header()
		h.Plan, _ = json.Marshal(map[string]string{"text": strings.Repeat("p", c.size)})
		l, err := daylog.Create(d, folder, h, logtest.NewClock(dawn), options(1))
		if c.ok != (err == nil) || !c.ok && !errors.Is(err, daylog.ErrTooLong) {
			t.Errorf("plan of %d bytes: %v", c.size, err)
		}
		if err == nil {
			got := read(t, d, l.Path())
			if got.Verdict != daylog.Clean || !bytes.Equal(got.Header.Plan, h.Plan) {
				t.Errorf("plan of %d bytes reads back as %s", c.size, got.Verdict)
			}
		} else if len(d.Paths()) > 0 && len(d.Get(d.Paths()[0])) > 0 {
			t.Errorf("a refused plan left %v", d.Paths())
		}
	}
}

// TestNewerVersion: a newer major version is readable, never written.
func TestNewerVersion(t *testing.T) {
	d, c, path := newDay(t, 3)
	data := reversion(d.Get(path), 2)
	d.Put(path, data)
	_, o, err := daylog.Open(d, path, c, options(2))
	if !errors.Is(err, daylog.ErrNewer) || o.Verdict != daylog.Newer || len(o.Records) != 4 {
		t.Errorf("%v, %+v", err, o)
	}
	if !bytes.Equal(d.Get(path), data) {
		t.Error("the newer file was written")
	}
}

// reversion writes another version number into a log and makes the chain
// right again.
func reversion(data []byte, version int) []byte {
	text := strings.Replace(string(data), `"v":1`, fmt.Sprintf(`"v":%d`, version), 1)
	return rechain([]byte(text))
}

// rechain works out p and c of every line anew, as one who edits a log with
// some care would.
func rechain(data []byte) []byte {
	var out []byte
	before := "00000000"
	for _, line := range splitLines(data) {
		text := strings.TrimSuffix(string(line), "\n")
		head := text[:len(text)-len(`,"p":"00000000","c":"00000000"}`)] + `,"p":"` + before + `"`
		before = fmt.Sprintf("%08x", crc32.Checksum([]byte(head), crc32.MakeTable(crc32.Castagnoli)))
		out = append(out, head+`,"c":"`+before+"\"}\n"...)
	}
	return out
}

func mustRead(t testing.TB, path string) []byte {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// TestWallForm holds our own writing of instants against package time.
func TestWallForm(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		zone := time.FixedZone("", 60*rapid.IntRange(-15*60, 15*60).Draw(t, "zone"))
		at := time.Unix(rapid.Int64Range(-62135500000, 253402200000).Draw(t, "s"), rapid.Int64Range(0, 999999999).Draw(t, "ns")).In(zone)
		if at.Year() < 1 || at.Year() > 9999 {
			t.Skip("outside the years a log knows")
		}
		want := at.Format("2006-01-02T15:04:05.000-07:00")
		if got := daylog.WallForm(at); got != want {
			t.Errorf("wrote %s, package time writes %s", got, want)
		}
		if back, ok := daylog.ReadWall(want); !ok || !back.Equal(at.Truncate(time.Millisecond)) {
			t.Errorf("read %s as %v", want, back)
		}
	})
	for _, bad := range []string{
		"2026-02-30T05:02:11.004-07:00", "2026-05-04T24:02:11.004-07:00", "2026-05-04 05:02:11.004-07:00",
		"2026-05-04T05:02:11.004Z", "2026-13-04T05:02:11.004-07:00", "2026-05-04T05:60:11.004-07:00", "",
		"0000-05-04T05:02:11.004-07:00", "2026-05-04T05:02:11.004-25:00",
	} {
		if at, ok := daylog.ReadWall(bad); ok {
			t.Errorf("%s was read as %v", bad, at)
		}
	}
}
