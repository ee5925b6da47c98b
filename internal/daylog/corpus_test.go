package daylog_test

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"floorpace/internal/daylog"
	"floorpace/internal/daylog/logtest"
)

// damages make each kind of damaged file from a sound one. The corpus under
// testdata/logs was made by them once and stays: logs written then must be
// understood for ever. -update adds files that are missing and writes the
// words anew; it never writes a log that is there.
var damages = []struct {
	name string
	make func(data []byte, all [][]byte) []byte
}{
	{"sound", func(data []byte, _ [][]byte) []byte { return data }},
	{"no-last-newline", func(data []byte, _ [][]byte) []byte { return data[:len(data)-1] }},
	{"dos-newlines", func(data []byte, _ [][]byte) []byte { return bytes.ReplaceAll(data, []byte("\n"), []byte("\r\n")) }},
	{"no-newlines", func(data []byte, _ [][]byte) []byte { return bytes.ReplaceAll(data, []byte("\n"), nil) }},
	{"torn-tail", func(data []byte, _ [][]byte) []byte { return data[:len(data)-40] }},
	{"zeros-tail", func(data []byte, _ [][]byte) []byte { return append(bytes.Clone(data), make([]byte, 200)...) }},
	{"suspect-last", func(data []byte, _ [][]byte) []byte {
		return bytes.Replace(data, []byte(`"batch":9,`), []byte(`"batch":8,`), 1)
	}},
	{"suspect-unreadable", func(data []byte, _ [][]byte) []byte {
		return bytes.Replace(data, []byte(`"batch":9,`), []byte(`"bat"h":9,`), 1)
	}},
	{"damaged-tail", func(data []byte, all [][]byte) []byte {
		n := len(join(all[:len(all)-3]...))
		for i := n + 5; i < len(data)-30; i += 50 {
			data[i] ^= 0x11
		}
		return data
	}},
	{"hole", func(data []byte, all [][]byte) []byte {
		n := len(join(all[:4]...))
		clear(data[n+10 : n+len(all[4])+20])
		return data
	}},
	{"line-gone", func(_ []byte, all [][]byte) []byte { return join(slices.Delete(slices.Clone(all), 4, 5)...) }},
	{"lines-swapped", func(_ []byte, all [][]byte) []byte {
		all = slices.Clone(all)
		all[3], all[6] = all[6], all[3]
		return join(all...)
	}},
	{"line-twice", func(_ []byte, all [][]byte) []byte { return join(slices.Insert(slices.Clone(all), 5, all[4])...) }},
	{"line-edited", func(data []byte, all [][]byte) []byte {
		edited := bytes.Replace(join(all...), []byte(`"batch":4,"mixer":2`), []byte(`"batch":4,"mixer":3`), 1)
		lines, again := splitLines(edited), splitLines(rechain(edited))
		lines[5] = again[5]
		return join(lines...)
	}},
	{"stray-text", func(_ []byte, all [][]byte) []byte {
		return join(slices.Insert(slices.Clone(all), 5, []byte("checked by the office"))...)
	}},
	{"header-spoilt", func(data []byte, _ [][]byte) []byte {
		return bytes.Replace(data, []byte("install-1"), []byte("instill-1"), 1)
	}},
	{"header-only-torn", func(_ []byte, all [][]byte) []byte { return all[0][:100] }},
	{"empty", func([]byte, [][]byte) []byte { return nil }},
	{"zeros", func([]byte, [][]byte) []byte { return make([]byte, 300) }},
	{"foreign", func([]byte, [][]byte) []byte { return []byte("kits ordered: 40\n") }},
	{"newer", func(data []byte, _ [][]byte) []byte { return reversion(data, 2) }},
	{"newer-kinds", func(data []byte, _ [][]byte) []byte {
		text := strings.Replace(string(data), `"k":"batch.poured"`, `"k":"batch.weighed"`, 1)
		return rechain([]byte(strings.Replace(text, `"inst":`, `"lang":"en","inst":`, 1)))
	}},
	{"other-install", func(data []byte, _ [][]byte) []byte {
		return rechain(bytes.Replace(data, []byte("install-1"), []byte("install-2"), 1))
	}},
	{"sealed", func([]byte, [][]byte) []byte { return sealedDay() }},
	{"seal-broken", func([]byte, [][]byte) []byte {
		return rechain(bytes.Replace(sealedDay(), []byte(`"batch":4,"mixer":2`), []byte(`"batch":4,"mixer":3`), 1))
	}},
	{"mended-before", func(data []byte, _ [][]byte) []byte {
		d, c := logtest.NewDisk(), logtest.NewClock(dawn)
		d.Put(folder+"/A-6ae6783f.jsonl", data[:len(data)-25])
		l, _, err := daylog.Open(d, folder+"/A-6ae6783f.jsonl", c, options(9))
		if err != nil {
			panic(err)
		}
		return d.Get(l.Path())
	}},
}

func sealedDay() []byte {
	d, c := logtest.NewDisk(), logtest.NewClock(dawn)
	l, err := daylog.Create(d, folder, header(), c, options(1))
	for i := 1; i < 6 && err == nil; i++ {
		_, _, err = l.Append("batch.started", tap{Batch: i, Mixer: 1 + i%3})
	}
	if err == nil {
		_, _, err = l.Seal()
	}
	if err != nil {
		panic(err)
	}
	return d.Get(l.Path())
}

func TestCorpus(t *testing.T) {
	for _, k := range damages {
		t.Run(k.name, func(t *testing.T) {
			path := filepath.Join("testdata", "logs", k.name+".jsonl")
			if _, err := os.Stat(path); *update && os.IsNotExist(err) {
				d, _, p := newDay(t, 9)
				data := d.Get(p)
				if err := os.WriteFile(path, k.make(data, splitLines(bytes.Clone(data))), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			golden(t, "logs/"+k.name+".txt", []byte(story(t, k.name, mustRead(t, path))))
		})
	}
	files, err := filepath.Glob("testdata/logs/*.jsonl")
	if err != nil || len(files) != len(damages) {
		t.Errorf("%d logs in the corpus, %d kinds of damage (%v)", len(files), len(damages), err)
	}
}

// story is all that a crew and an office read about a file: the words of
// verify, of the next start, and what lies in the folder then.
func story(t *testing.T, name string, data []byte) string {
	t.Helper()
	d, c := logtest.NewDisk(), logtest.NewClock(dawn.Add(3600e9))
	path := folder + "/A-6ae6783f.jsonl"
	d.Put(path, data)
	var b strings.Builder
	rep, err := daylog.Verify(d, path)
	if err != nil {
		t.Fatal(err)
	}
	fmt.Fprintf(&b, "%s\n\nverify: %s, code %d, %d events\n", name, rep.Files[0].Verdict, rep.Code, rep.Files[0].Events)
	for _, w := range rep.Files[0].Words {
		fmt.Fprintf(&b, "  %s\n", w)
	}
	for _, f := range rep.Files[0].Faults {
		fmt.Fprintf(&b, "  fault: %s %d–%d, %d bytes\n", f.What, f.From, f.To, f.Bytes)
	}
	for _, answer := range []daylog.Answer{daylog.Ask, daylog.Keep, daylog.Drop} {
		if answer != daylog.Ask && name != "suspect-last" && name != "suspect-unreadable" {
			continue
		}
		d, opt := logtest.NewDisk(), options(7)
		d.Put(path, data)
		opt.Suspect = answer
		l, o, err := daylog.Open(d, path, c, opt)
		fmt.Fprintf(&b, "\nopen, answer %d: %s\n", answer, o.Verdict)
		for _, w := range o.Words {
			fmt.Fprintf(&b, "  %s\n", w)
		}
		if err != nil {
			fmt.Fprintf(&b, "  error: %v\n", err)
		}
		fmt.Fprintf(&b, "  events %s; last shown %s; %d bytes cut; goes on in a new file: %v\n", numbers(o.Records), numbers(o.Last), o.Lost, o.NewFile)
		if o.Suspect != nil {
			fmt.Fprintf(&b, "  suspect: %s %s\n", o.Suspect.Kind, o.Suspect.Body)
		}
		for _, p := range d.Paths() {
			fmt.Fprintf(&b, "  %s: %d bytes\n", filepath.Base(p), len(d.Get(p)))
		}
		if !touched(o.Verdict) && !bytes.Equal(d.Get(path), data) {
			t.Errorf("%s: the file was changed", o.Verdict)
		}
		if l != nil {
			press(t, l, c, 1)
			if got := read(t, d, l.Path()); got.Verdict != daylog.Clean {
				t.Errorf("after going on: %s", got.Verdict)
			}
		} else if err == nil || !anyOf(err, daylog.ErrAsk, daylog.ErrForeign, daylog.ErrNewer, daylog.ErrStartAgain) {
			t.Errorf("no log and error %v", err)
		}
	}
	return b.String()
}

// touched reports whether Open may write to a file with this verdict.
func touched(v daylog.Verdict) bool {
	return v <= daylog.SuspectLast || v == daylog.TornCreation
}

func anyOf(err error, targets ...error) bool {
	for _, t := range targets {
		if errors.Is(err, t) {
			return true
		}
	}
	return false
}
