package cli

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"floorpace/internal/daylog"
)

// deadDisk is the machine's disk until the folder dies: every write there then
// fails, as with a stick that was pulled out.
type deadDisk struct {
	daylog.FS
	dir  string
	dead bool
}

var errDead = errors.New("the disk is gone")

func (d *deadDisk) OpenFile(name string, flag int) (daylog.File, error) {
	f, err := d.FS.OpenFile(name, flag)
	if err != nil || !strings.HasPrefix(name, d.dir) {
		return f, err
	}
	if d.dead && flag&(os.O_WRONLY|os.O_RDWR) != 0 {
		_ = f.Close()
		return nil, errDead
	}
	return &deadFile{f, d}, nil
}

type deadFile struct {
	daylog.File
	disk *deadDisk
}

func (f *deadFile) Write(b []byte) (int, error) {
	if f.disk.dead {
		return 0, errDead
	}
	return f.File.Write(b)
}

// paperFile is what the document says of a log file by its place.
type paperFile struct {
	name, found, verdict, sum string
	seal                      any
	sound                     bool
}

func filesOf(p *papers) (out []paperFile) {
	p.t.Helper()
	for _, x := range p.at("log.files").([]any) {
		m := x.(map[string]any)
		out = append(out, paperFile{m["name"].(string), m["found"].(string), m["verdict"].(string), m["sha256"].(string), m["seal"], m["sound"].(bool)})
	}
	return out
}

func kindsOf(p *papers) (out []string) {
	for _, x := range p.at("findings").([]any) {
		out = append(out, x.(map[string]any)["kind"].(string))
	}
	return out
}

// A day whose disk died went on in the folder among the program's own files. The
// papers are made of both files whichever is named, each with its own seal and
// its own sum, and the batches of both are there.
func TestRecordGathersAFallbackFolder(t *testing.T) {
	env, _, _, dir := bench(t)
	home := filepath.Join(dir, "hall.days", "2026-09-12")
	disk := &deadDisk{FS: daylog.OS(), dir: home}
	spare := fallback(env, home)
	s := beginHall(t, dir, hall5(), disk, daylog.Options{Fallback: spare})
	s.pour(1, 3)
	disk.dead = true
	s.pour(4, 5)
	s.end()
	first, second := logFiles(home), logFiles(spare[0])
	// A dead disk may leave the name of a file behind, and nothing in it.
	if err := os.WriteFile(filepath.Join(home, "A-0badf11e.jsonl"), nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if len(first) != 1 || len(second) != 1 {
		t.Fatalf("the day lies in %v and %v", first, second)
	}
	for _, named := range []string{home, first[0]} {
		p := writePapers(t, env, named)
		got := filesOf(p)
		if len(got) != 2 || got[1].found != foundFallback || got[0].found != foundNamed {
			t.Fatalf("%s: files %+v", named, got)
		}
		for i, name := range []string{first[0], second[0]} {
			data, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			sum := sha256.Sum256(data)
			if got[i].sum != hex.EncodeToString(sum[:]) || got[i].name != filepath.Base(name) {
				t.Errorf("%s: file %d is %+v", named, i, got[i])
			}
		}
		if seal, ok := got[1].seal.(string); !ok || len(seal) != 12 {
			t.Errorf("the second file's seal is %v", got[1].seal)
		}
		if _, ok := got[0].seal.(map[string]any); !ok {
			t.Errorf("the first file was never sealed, the papers say %v", got[0].seal)
		}
		if n := p.at("totals.batches_poured"); n != 5.0 {
			t.Errorf("%v batches poured, want 5", n)
		}
		if slices.Contains(kindsOf(p), "not possible then") {
			t.Errorf("presses of a day that went on elsewhere are called impossible:\n%s", p.said)
		}
		for _, words := range []string{"fallback folder", got[0].name, got[1].name, "1 of 2 files not sealed", "never begun properly"} {
			if !strings.Contains(string(p.bytes(".html")), words) {
				t.Errorf("the page does not say %q", words)
			}
		}
	}
	// The file in the fallback folder alone: where the day began is said to be missing.
	away := filepath.Join(t.TempDir(), filepath.Base(second[0]))
	copyTo(t, second[0], away)
	p := writePapers(t, env, away)
	if p.code != ExitNo || !slices.Contains(kindsOf(p), "log file not found") || !strings.Contains(p.said, "log file not found") {
		t.Errorf("exit %d, the other file is not missed:\n%s", p.code, p.said)
	}
	// And with the rest named, from wherever it is, the day is whole again.
	if p = writePapers(t, env, away, "--with", home); slices.Contains(kindsOf(p), "log file not found") || p.at("totals.batches_poured") != 5.0 {
		t.Errorf("with the other folder: %v", kindsOf(p))
	}
}

func copyTo(t *testing.T, from, to string) {
	t.Helper()
	data, err := os.ReadFile(from)
	if err == nil {
		err = os.WriteFile(to, data, 0o644)
	}
	if err != nil {
		t.Fatal(err)
	}
}

// harm is damage to a file of a day and what the papers must say of it.
type harm struct {
	name string
	do   func(b []byte) []byte
	kind string
}

var harms = []harm{
	{"a bit flipped in the middle", func(b []byte) []byte {
		i := bytes.Index(b, []byte(`"batch.poured"`))
		b[i+3] ^= 1
		return b
	}, "log file not sound"},
	{"a line taken out", func(b []byte) []byte {
		lines := bytes.SplitAfter(b, []byte("\n"))
		return bytes.Join(slices.Delete(lines, 5, 6), nil)
	}, "log file not sound"},
	{"an unfinished end", func(b []byte) []byte { return append(b, `{"n":99,"k":"batch.st`...) }, "log file not sound"},
	{"the end cut off", func(b []byte) []byte { return b[:len(b)-40] }, "log file not sound"},
	{"an event behind the seal", nil, "events behind the seal"},
}

// Damage to a file is listed with the file's name and the day's second copy puts
// the lines back: said too, and nothing is written to either.
func TestRecordSaysDamageInEachFile(t *testing.T) {
	env, _, _, dir := bench(t)
	day := pouredHall(t, dir, hall5(), 5)
	log := logFiles(day)[0]
	sound, err := os.ReadFile(log)
	if err != nil {
		t.Fatal(err)
	}
	for _, h := range harms {
		t.Run(h.name, func(t *testing.T) {
			at := filepath.Join(t.TempDir(), filepath.Base(log))
			if h.do != nil {
				if err := os.WriteFile(at, h.do(bytes.Clone(sound)), 0o644); err != nil {
					t.Fatal(err)
				}
			} else {
				copyTo(t, log, at)
				goOnBehindSeal(t, at)
			}
			before, err := os.ReadFile(at)
			if err != nil {
				t.Fatal(err)
			}
			p := writePapers(t, env, at)
			if p.code != ExitNo || !slices.Contains(kindsOf(p), h.kind) || !strings.Contains(p.said, filepath.Base(at)) {
				t.Errorf("exit %d, found %v, said:\n%s", p.code, kindsOf(p), p.said)
			}
			if p.pdf != "" && !strings.Contains(spaceless(p.pdf), spaceless(h.kind)) {
				t.Errorf("%q does not stand in the PDF", h.kind)
			}
			// With the sound copy beside it, all batches are there; the damage stays said.
			p = writePapers(t, env, at, "--with", log)
			if n := p.at("totals.batches_poured"); n != 5.0 || !slices.Contains(kindsOf(p), h.kind) || len(filesOf(p)) != 2 {
				t.Errorf("with the second copy: %v batches, %v, %+v", n, kindsOf(p), filesOf(p))
			}
			after, err := os.ReadFile(at)
			if err != nil || !bytes.Equal(before, after) {
				t.Error("the log was changed by making its papers")
			}
		})
	}
}

// goOnBehindSeal appends an event to a sealed log.
func goOnBehindSeal(t *testing.T, path string) {
	t.Helper()
	l, _, err := daylog.Open(daylog.OS(), path, &fastClock{}, daylog.Options{Ballast: -1})
	if err != nil {
		t.Fatal(err)
	}
	if err := l.Close(); err != nil {
		t.Fatal(err)
	}
}

// Logs of other days in the folder stay out of a day that is named by its file,
// and a folder with two days gives papers of each; a file of any name is read.
func TestRecordKeepsDaysApart(t *testing.T) {
	env, _, _, dir := bench(t)
	one, two := filepath.Join(dir, "one"), filepath.Join(dir, "two")
	for _, d := range []string{one, two} {
		if err := os.Mkdir(d, 0o755); err != nil {
			t.Fatal(err)
		}
	}
	a, b := logFiles(pouredHall(t, one, hall5(), 5))[0], logFiles(pouredHall(t, two, hall5(), 4))[0]
	heap := t.TempDir()
	copyTo(t, a, filepath.Join(heap, "from the mail (1).jsonl"))
	copyTo(t, b, filepath.Join(heap, filepath.Base(b)))
	p := writePapers(t, env, filepath.Join(heap, "from the mail (1).jsonl"))
	if n := p.at("totals.batches_poured"); n != 5.0 || len(filesOf(p)) != 1 {
		t.Errorf("one file named: %v batches of %+v", n, filesOf(p))
	}
	out := t.TempDir()
	run(t, ExitOK, env, "record", heap, "--out", out)
	pages, err := filepath.Glob(filepath.Join(out, "*.html"))
	if err != nil || len(pages) != 2 {
		t.Errorf("a folder with two days gives %v", pages)
	}
	// What the console keeps beside a log is passed over: a name with a star takes it along.
	lock := filepath.Join(one, "A.lock")
	if err := os.WriteFile(lock, nil, 0o644); err != nil {
		t.Fatal(err)
	}
	run(t, ExitOK, env, "record", lock, a, filepath.Join(one, "A.ballast"), "--out", t.TempDir())
	run(t, ExitOK, env, "verify", lock, a)
	// The same day named twice, or by both its copies, is one day.
	out = t.TempDir()
	run(t, ExitOK, env, "record", a, a, filepath.Join(heap, "from the mail (1).jsonl"), "--out", out)
	if pages, err = filepath.Glob(filepath.Join(out, "*.html")); err != nil || len(pages) != 1 {
		t.Errorf("one day named three times gives %v", pages)
	}
}

// The second copy that a pour keeps on another disk carries the whole day.
func TestRecordFromTheSecondCopy(t *testing.T) {
	env, _, _, dir := bench(t)
	stick := filepath.Join(dir, "stick")
	s := beginHall(t, dir, hall5(), daylog.OS(), daylog.Options{Second: stick})
	s.pour(1, 5)
	s.end()
	p := writePapers(t, env, s.dir, "--with", stick)
	files := filesOf(p)
	if len(files) != 2 || files[0].sum != files[1].sum || fmt.Sprint(files[0].seal) != fmt.Sprint(files[1].seal) || files[1].found != foundWith {
		t.Fatalf("%+v", files)
	}
	if p.code != ExitOK || p.at("totals.batches_poured") != 5.0 {
		t.Errorf("exit %d:\n%s", p.code, p.said)
	}
	if err := os.RemoveAll(s.dir); err != nil {
		t.Fatal(err)
	}
	if p = writePapers(t, env, stick); p.code != ExitOK || p.at("totals.batches_poured") != 5.0 {
		t.Errorf("from the second copy alone, exit %d:\n%s", p.code, p.said)
	}
}
