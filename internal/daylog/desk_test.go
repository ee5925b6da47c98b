package daylog_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"testing"
	"time"

	"floorpace/internal/daylog"
	"floorpace/internal/daylog/logtest"
)

// long reports whether the long forms of the tests are asked for:
// FLOORPACE_LONG=1 go test ./internal/daylog/... -timeout 30m
func long() bool { return os.Getenv("FLOORPACE_LONG") != "" }

const folder = "/data/2026-05-04"

var dawn = time.Date(2026, 5, 4, 5, 2, 11, 4_000_000, time.FixedZone("", -7*3600))

// header is that of all test days: invented, as everything here.
func header() daylog.Header {
	return daylog.Header{Station: "A", Day: "2026-05-04", Plan: json.RawMessage(`{"name":"loading dock","text":"[zone]\nname = \"A\"\n"}`)}
}

// options draw writer ids from a fixed sequence.
func options(seed uint64) daylog.Options {
	var s [32]byte
	s[0], s[1] = byte(seed), byte(seed>>8)
	return daylog.Options{Install: "install-1", App: "floorpace test", Rand: rand.NewChaCha8(s), Ballast: -1}
}

type tap struct {
	Batch int    `json:"batch"`
	Mixer int    `json:"mixer"`
	Note  string `json:"note,omitempty"`
}

var kinds = []string{"batch.started", "batch.mixed", "batch.poured", "front.marked", "note.written"}

// press appends the ith tap of the test days.
func press(t testing.TB, l *daylog.Log, c *logtest.Clock, i int) daylog.Record {
	t.Helper()
	c.Run(7 * time.Second)
	r, trouble, err := l.Append(kinds[i%len(kinds)], tap{Batch: i, Mixer: 1 + i%3})
	if err != nil || !trouble.None() {
		t.Fatalf("tap %d: %v %v", i, err, trouble.Words)
	}
	return r
}

// newDay writes a log with n taps on a disk in memory and closes it.
func newDay(t testing.TB, n int) (*logtest.Disk, *logtest.Clock, string) {
	t.Helper()
	d, c := logtest.NewDisk(), logtest.NewClock(dawn)
	l, err := daylog.Create(d, folder, header(), c, options(1))
	if err != nil {
		t.Fatal(err)
	}
	for i := range n {
		press(t, l, c, i+1)
	}
	if err := l.Close(); err != nil {
		t.Fatal(err)
	}
	return d, c, l.Path()
}

func read(t testing.TB, d daylog.FS, path string) *daylog.Contents {
	t.Helper()
	c, err := daylog.Read(d, path)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// readBytes reads bytes as if they were the file of a log.
func readBytes(t testing.TB, data []byte) *daylog.Contents {
	t.Helper()
	d := logtest.NewDisk()
	d.Put(folder+"/A-00000000.jsonl", data)
	return read(t, d, folder+"/A-00000000.jsonl")
}

// splitLines cuts a sound log into its lines, each with its newline.
func splitLines(data []byte) [][]byte {
	return bytes.SplitAfter(bytes.TrimSuffix(data, []byte("\n")), []byte("\n"))
}

// join puts lines together, each with one newline.
func join(lines ...[]byte) []byte {
	var b []byte
	for _, l := range lines {
		b = append(append(b, bytes.TrimSuffix(l, []byte("\n"))...), '\n')
	}
	return b
}

// numbers are the numbers of records, for comparing.
func numbers(records []daylog.Record) string {
	var b []byte
	for _, r := range records {
		b = fmt.Appendf(b, "%d ", r.N)
	}
	return string(b)
}

// lines are the lines of records, for comparing.
func lines(records []daylog.Record) string {
	var b []byte
	for _, r := range records {
		b = append(append(b, r.Bytes...), '\n')
	}
	return string(b)
}

// resume opens a log again, as the next session does.
func resume(t testing.TB, d daylog.FS, path string, c daylog.Clock, opt daylog.Options) (*daylog.Log, *daylog.Opening) {
	t.Helper()
	l, o, err := daylog.Open(d, path, c, opt)
	if err != nil {
		t.Fatalf("open %s: %v", path, err)
	}
	t.Cleanup(func() { _ = l.Close() })
	return l, o
}

// appendFlags open a file to append to it, making it when missing.
const appendFlags = os.O_RDWR | os.O_CREATE | os.O_APPEND

func writeFile(t testing.TB, path string, data []byte) {
	t.Helper()
	if err := os.WriteFile(path, data, 0o644); err != nil {
		t.Fatal(err)
	}
}
