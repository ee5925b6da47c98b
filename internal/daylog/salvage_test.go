package daylog_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"floorpace/internal/daylog"
	"floorpace/internal/daylog/logtest"

	"github.com/google/go-cmp/cmp"
)

// TestSalvageExact: two copies damaged in different places give the original,
// byte for byte, and are themselves not touched.
func TestSalvageExact(t *testing.T) {
	d, c, path := newDay(t, 40)
	sound := d.Get(path)
	rng := rand.New(rand.NewPCG(3, 1))
	for round := range 200 {
		all := splitLines(sound)
		copies := [2][]byte{}
		for i := range copies { // each line is spoilt in one copy at most
			var lines [][]byte
			for n, line := range all {
				line = bytes.Clone(line)
				if n%2 == i && rng.IntN(3) == 0 {
					line[rng.IntN(len(line)-1)] ^= 1 << rng.IntN(8)
				}
				lines = append(lines, line)
			}
			copies[i] = bytes.Join(lines, nil)
		}
		d.Put("/a/A-6ae6783f.jsonl", copies[0])
		d.Put("/b/A-6ae6783f.jsonl", copies[1])
		out := fmt.Sprintf("/out/%d.jsonl", round)
		rep, err := daylog.Salvage(d, c, options(5), out, "/a/A-6ae6783f.jsonl", "/b/A-6ae6783f.jsonl")
		if err != nil {
			t.Fatal(err)
		}
		if !rep.Exact || rep.Missing != 0 || !bytes.Equal(d.Get(out), sound) {
			t.Fatalf("round %d: %+v", round, rep)
		}
		if !bytes.Equal(d.Get("/a/A-6ae6783f.jsonl"), copies[0]) || !bytes.Equal(d.Get("/b/A-6ae6783f.jsonl"), copies[1]) {
			t.Fatal("a copy was touched")
		}
	}
}

// TestSalvagePart: what no copy holds is named; the rest is carried as it
// stood, in a log that is sound itself.
func TestSalvagePart(t *testing.T) {
	d, c, path := newDay(t, 10)
	all := splitLines(d.Get(path))
	d.Put("/a/x", join(slices.Delete(slices.Clone(all), 4, 6)...))
	d.Put("/b/x", join(slices.Delete(slices.Clone(all), 5, 8)...))
	rep, err := daylog.Salvage(d, c, options(5), "/out/s.jsonl", "/a/x", "/b/x")
	if err != nil {
		t.Fatal(err)
	}
	if rep.Exact || rep.Events != 10 || rep.Missing != 1 {
		t.Errorf("%+v", rep)
	}
	got := read(t, d, "/out/s.jsonl")
	set := daylog.NewSet()
	set.AddContents(got)
	want := read(t, d, path).Records
	want = slices.Delete(want, 4, 5)
	var inner []daylog.Record
	for _, r := range set.Records(nil) {
		if r.Writer == want[0].Writer {
			inner = append(inner, r)
		}
	}
	if diff := cmp.Diff(lines(want), lines(inner)); got.Verdict != daylog.Clean || diff != "" {
		t.Errorf("%s: %s", got.Verdict, diff)
	}
	if !bytes.Equal(got.Header.Plan, header().Plan) {
		t.Error("the plan was not carried along")
	}
	again, err := daylog.Salvage(d, c, options(6), "/out/t.jsonl", "/b/x", "/a/x")
	if err != nil || read(t, d, again.Path).Header.Writer != got.Header.Writer {
		t.Errorf("salvaged twice, the log has two names (%v)", err)
	}
	if _, err := daylog.Salvage(d, c, options(6), "/out/t.jsonl", "/a/x"); err == nil {
		t.Error("an existing file was overwritten")
	}
}

// TestSalvageWithoutHeader: lines whose header is gone find their writer by the
// other copy; alone they need the plan from elsewhere.
func TestSalvageWithoutHeader(t *testing.T) {
	d, c, path := newDay(t, 6)
	all := splitLines(d.Get(path))
	d.Put("/a/x", join(all[1:]...))
	d.Put("/b/x", join(all[:4]...))
	rep, err := daylog.Salvage(d, c, options(5), "/out/s.jsonl", "/a/x", "/b/x")
	if err != nil || !rep.Exact || !bytes.Equal(d.Get("/out/s.jsonl"), d.Get(path)) {
		t.Errorf("%v, %+v", err, rep)
	}
	if _, err := daylog.Salvage(d, c, options(5), "/out/t.jsonl", "/a/x"); !errors.Is(err, daylog.ErrStartAgain) {
		t.Errorf("without any header: %v", err)
	}
	opt := options(5)
	opt.Header = header()
	rep, err = daylog.Salvage(d, c, opt, "/out/t.jsonl", "/a/x")
	if err != nil || rep.Events != 7 || rep.Exact || read(t, d, "/out/t.jsonl").Verdict != daylog.Clean {
		t.Errorf("%v, %+v", err, rep)
	}
	d.Put("/c/x", []byte("kits\n"))
	if _, err := daylog.Salvage(d, c, opt, "/out/u.jsonl", "/c/x"); !errors.Is(err, daylog.ErrForeign) || d.Get("/out/u.jsonl") != nil {
		t.Errorf("a foreign file: %v", err)
	}
}

// TestVerifyTogether: what one copy lacks and another has, what all lack, and
// forks.
func TestVerifyTogether(t *testing.T) {
	d, _, path := newDay(t, 10)
	all := splitLines(d.Get(path))
	d.Put("/a/x", join(slices.Delete(slices.Clone(all), 4, 6)...))
	d.Put("/b/x", join(slices.Delete(slices.Clone(all), 5, 8)...))
	rep, err := daylog.Verify(d, "/a/x", "/b/x")
	if err != nil {
		t.Fatal(err)
	}
	if rep.Code != daylog.CodeDamage || rep.Events != 10 || rep.Repaired != 3 || rep.Missing != 1 {
		t.Errorf("%+v", rep)
	}
	want := []string{
		"2 files hold 10 different events together.",
		"3 events are missing in one file and there in another: salvage puts them together.",
		"1 event is missing in all of them.",
	}
	if diff := cmp.Diff(want, rep.Words); diff != "" {
		t.Error(diff)
	}
	var back daylog.Report
	text, err := json.Marshal(rep)
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(text, &back); err != nil || back.Code != rep.Code || len(back.Files) != 2 {
		t.Errorf("as JSON: %v, %s", err, text)
	}
	rep, err = daylog.Verify(d, path, "/nothing/there")
	if err == nil || rep.Code != daylog.CodeDamage || len(rep.Files) != 1 {
		t.Errorf("a missing file: %v, %+v", err, rep)
	}
}

// TestSeal: the count and the hash of everything before, worked out by the
// tools of the house; a later event stays outside the seal.
func TestSeal(t *testing.T) {
	d, c, path := newDay(t, 5)
	l, _ := resume(t, d, path, c, options(2))
	before := d.Get(path)
	mark, _, err := l.Seal()
	if err != nil {
		t.Fatal(err)
	}
	if want := sha256Hex(before); mark.SHA256 != want || mark.Short != want[:12] || mark.Count != int64(bytes.Count(before, []byte("\n"))) {
		t.Errorf("%+v, want %s", mark, want)
	}
	press(t, l, c, 1)
	rep, err := daylog.Verify(d, path)
	if err != nil || rep.Code != 0 || rep.Files[0].Seal != mark.Short || rep.Files[0].Unsealed != 1 {
		t.Errorf("%v, %+v", err, rep)
	}
	// A seal over a file that is not what was written is refused.
	data := d.Get(path)
	i := bytes.Index(data, []byte(`"mixer":2`))
	bad := bytes.Clone(data)
	bad[i+8] = '3'
	d.Replace(path, bad)
	if _, _, err := l.Seal(); err == nil || !strings.Contains(err.Error(), "verify") {
		t.Errorf("sealed over damage: %v", err)
	}
}

// TestContinuedDay: a day with a dead disk, a fallback folder and a restart
// comes home in one piece.
func TestContinuedDay(t *testing.T) {
	d, c := logtest.NewDisk(), logtest.NewClock(dawn)
	opt := options(1)
	opt.Fallback = []string{spare}
	l, err := daylog.Create(d, folder, header(), c, opt)
	if err != nil {
		t.Fatal(err)
	}
	s := &session{}
	s.taps(l, c, 1, 12)
	d.Fault = func(call logtest.Call) error { // the day's disk dies
		if strings.HasPrefix(call.Path, folder) {
			return logtest.ErrIO
		}
		return nil
	}
	s.taps(l, c, 13, 30)
	if !strings.HasPrefix(l.Path(), spare) || len(s.errs) > 0 {
		t.Fatalf("went on in %s, %v", l.Path(), s.errs)
	}
	_ = l.Close()
	d.Fault = nil
	opt.Rand = options(2).Rand
	l, o, err := daylog.OpenDay(d, folder, "A", c, opt)
	if err != nil {
		t.Fatal(err)
	}
	if !strings.HasPrefix(l.Path(), folder) {
		t.Errorf("goes on in %s", l.Path())
	}
	var got []daylog.Record
	for _, r := range o.Records {
		if r.Kind == "batch.started" {
			got = append(got, r)
		}
	}
	if diff := cmp.Diff(lines(s.confirmed), lines(got)); diff != "" {
		t.Errorf("the restart shows %s", diff)
	}
	if last := o.Records[len(o.Records)-1]; last.Kind != daylog.KindOpened || last.Writer != l.Header().Writer {
		t.Errorf("the last record is %s", last.Kind)
	}
	if len(o.Last) != 3 || o.Last[2].N != s.confirmed[29].N {
		t.Errorf("last taps shown: %s", numbers(o.Last))
	}
	s.taps(l, c, 31, 33)
	// The stick with the fallback folder is pulled: its taps are at home too.
	set, _, err := daylog.ReadDay(d, folder)
	if err != nil || set.Len() < 33 {
		t.Errorf("%v, %d events", err, set.Len())
	}
	all := lines(set.Records(nil))
	for _, r := range s.confirmed {
		if !strings.Contains(all, string(r.Bytes)) {
			t.Errorf("event %d of %.8s is on the stick only", r.N, r.Writer)
		}
	}
}

// TestSalvageSaysWhatIsLost: an end that cannot be read, a tap dropped from it and
// a beginning that is in no file are lost, however sound the new log is.
func TestSalvageSaysWhatIsLost(t *testing.T) {
	d, c, path := newDay(t, 10)
	all := splitLines(d.Get(path))
	suspect := bytes.Clone(d.Get(path))
	suspect[len(suspect)-20] ^= 1
	long := append(join(all[:8]...), bytes.Repeat([]byte("x"), 5000)...)
	for name, k := range map[string]struct {
		data []byte
		lost int
	}{"suspect": {suspect, 1}, "damaged tail": {long, 1}, "torn tail": {d.Get(path)[:len(d.Get(path))-30], 0}} {
		in, out := "/in/"+name, "/out/"+name
		d.Put(in, k.data)
		rep, err := daylog.Salvage(d, c, options(5), out, in)
		if err != nil || rep.Missing != k.lost || rep.Exact != (k.lost == 0) {
			t.Errorf("%s: %v, %+v", name, err, rep)
		}
	}
}

// TestTheBeginningIsMissing: a file that goes on from one that is nowhere says so
// at the start, in verify and in salvage; what it repeats is not missing.
func TestTheBeginningIsMissing(t *testing.T) {
	d, c, path := newDay(t, 10)
	d.Put(path, join(slices.Delete(splitLines(d.Get(path)), 3, 4)...)) // damage: the next start begins a new file
	l, o, err := daylog.OpenDay(d, folder, "A", c, options(2))
	if err != nil || !o.NewFile {
		t.Fatal(err, o)
	}
	press(t, l, c, 20)
	next := l.Path()
	if err := l.Close(); err != nil {
		t.Fatal(err)
	}
	if err := d.Remove(path); err != nil {
		t.Fatal(err)
	}
	l, o, err = daylog.OpenDay(d, folder, "A", c, options(3))
	if err != nil {
		t.Fatal(err)
	}
	if said := strings.Join(o.Words, " "); !strings.Contains(said, "only in a file that is not here") {
		t.Errorf("the crew reads %q", said)
	}
	if err := l.Close(); err != nil {
		t.Fatal(err)
	}
	v, err := daylog.Verify(d, next)
	if err != nil || v.Code != daylog.CodeDamage || v.Missing < 1 {
		t.Errorf("verify: %v, %+v", err, v)
	}
	rep, err := daylog.Salvage(d, c, options(5), "/out/s.jsonl", next)
	if err != nil || rep.Missing < 1 || rep.Exact {
		t.Errorf("salvage: %v, %+v", err, rep)
	}
}

// TestStartsInTheFallback: the day's own folder takes nothing at the start, as on a
// full disk: the day goes on in the fallback folder with all that was saved.
func TestStartsInTheFallback(t *testing.T) {
	for _, inSpare := range []bool{false, true} {
		d, c, _ := newDay(t, 6)
		opt := options(2)
		opt.Fallback = []string{"/spare"}
		full := func(call logtest.Call) error {
			if strings.HasPrefix(call.Path, folder) && (call.Op == logtest.OpWrite || call.Op == logtest.OpSync) {
				return daylog.ErrFull
			}
			return nil
		}
		if inSpare { // the day went on there already
			l, _, err := daylog.OpenDay(d, folder, "A", c, opt)
			if err != nil {
				t.Fatal(err)
			}
			d.SetFault(full)
			if _, _, err := l.Append("batch.started", tap{Batch: 7}); err != nil || !strings.HasPrefix(l.Path(), "/spare") {
				t.Fatal(err, l.Path())
			}
			if err := l.Close(); err != nil {
				t.Fatal(err)
			}
		}
		d.SetFault(full)
		l, o, err := daylog.OpenDay(d, folder, "A", c, opt)
		if err != nil || !strings.HasPrefix(l.Path(), "/spare") {
			t.Fatalf("in spare before %v: %v", inSpare, err)
		}
		if said := strings.Join(o.Words, " "); !strings.Contains(said, "The log goes on in /spare/") {
			t.Errorf("the crew reads %q", said)
		}
		want := 6
		if inSpare {
			want++
		}
		taps := 0
		for _, r := range o.Records {
			if r.Kind != daylog.KindOpened && r.Kind != daylog.KindKept {
				taps++
			}
		}
		if taps != want {
			t.Errorf("in spare before %v: %d taps are there, want %d", inSpare, taps, want)
		}
		press(t, l, c, 30)
		if err := l.Close(); err != nil {
			t.Fatal(err)
		}
	}
}

// TestBadSectors: of a copy whose disk fails in places all the rest is read, for
// salvage and verify, and the bytes that are gone are counted; a second copy fills
// them in. Copies that give nothing are passed over as long as one gives something.
func TestBadSectors(t *testing.T) {
	d, c, path := newDay(t, 120)
	data := d.Get(path)
	d.Put("/other", data)
	d.Put("/foreign", []byte("kits ordered: 40\n"))
	reads := 0
	bad := func(call logtest.Call) error {
		if call.Op != logtest.OpRead || call.Path != path {
			return nil
		}
		reads++
		if reads == 1 || reads == 3 { // the file in one piece; then its second block
			return logtest.ErrIO
		}
		return nil
	}
	d.SetFault(bad)
	rep, err := daylog.Verify(d, path)
	gone := bytes.Count(data[4096:8192], []byte("\n"))
	if err != nil || rep.Code != daylog.CodeDamage || rep.Events < 121-gone-2 || rep.Events > 121-gone {
		t.Fatalf("%v, code %d, %d events of 121, about %d in the bad block", err, rep.Code, rep.Events, gone)
	}
	if w := rep.Files[0].Words[0]; !strings.Contains(w, "4096 bytes of it cannot be read from the disk") {
		t.Errorf("the crew reads %q", w)
	}
	reads = 0
	one, err := daylog.Salvage(d, c, options(5), "/out/one", path, "/foreign", "/nowhere")
	if err != nil || one.Events != rep.Events || one.Missing == 0 || one.Exact {
		t.Errorf("alone: %v, %+v", err, one)
	}
	if w := strings.Join(one.Words, " "); !strings.Contains(w, "Passed over: /foreign: not a day log.") || !strings.Contains(w, "Passed over: /nowhere: there is no such log") {
		t.Errorf("the crew reads %q", one.Words)
	}
	reads = 0
	two, err := daylog.Salvage(d, c, options(6), "/out/two", path, "/other")
	if err != nil || !two.Exact || two.Missing != 0 || !bytes.Equal(d.Get("/out/two"), data) {
		t.Errorf("with the second copy: %v, %+v", err, two)
	}

	d.SetFault(func(call logtest.Call) error {
		if call.Path == path && call.Op == logtest.OpRead || strings.HasPrefix(call.Path, "/full") {
			return logtest.ErrIO
		}
		return nil
	})
	if _, err := daylog.Verify(d, path); !errors.Is(err, logtest.ErrIO) {
		t.Errorf("a copy of which nothing can be read: %v", err)
	}
	if _, err := daylog.Salvage(d, c, options(7), "/full/x", "/other"); !errors.Is(err, daylog.ErrNotSaved) {
		t.Errorf("nowhere to write: %v", err)
	}
	if _, err := daylog.Salvage(d, c, options(8), "/out/none", path, "/foreign"); err == nil || !strings.Contains(err.Error(), "/foreign") {
		t.Errorf("nothing in any copy: %v", err)
	}
}
