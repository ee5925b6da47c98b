package planfile

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	"floorpace/config"
)

// FuzzParse: whatever the files hold, Parse gives a plan or problems, each at a
// place inside its file, the same ones every time.
func FuzzParse(f *testing.F) {
	files, _ := filepath.Glob("testdata/bad/*.toml")
	sheetText, err := os.ReadFile("testdata/bad/badsheet.toml")
	if err != nil || len(files) < 10 {
		f.Fatal(len(files), err)
	}
	for _, file := range files {
		b, err := os.ReadFile(file)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(string(b), string(sheetText))
	}
	for _, name := range []string{config.USPlan, config.MetricPlan} {
		b, _ := Read(config.Files, name)
		f.Add(string(b.Plan), string(b.Sheet))
	}
	f.Add(leastPlan, "")
	for _, crew := range []string{everyCrewTable, "[crew]\ncycle = 5\nmixers = 1\n[learned]\ninvented = true", "crew = 1"} {
		f.Add(withCrew("crew = { runners = 1, buckets = 2, reset = 1 }"), crew)
	}
	f.Fuzz(func(t *testing.T, doc, sheetDoc string) {
		sheetFile := func(string) ([]byte, error) { return []byte(sheetDoc), nil }
		p, ps := Parse("p.toml", []byte(doc), sheetFile)
		if (p == nil) != (len(ps) > 0) {
			t.Fatalf("plan %v with %d problems", p != nil, len(ps))
		}
		for _, q := range ps {
			text := doc
			if q.File != "p.toml" {
				text = sheetDoc
			}
			if q.Line == 0 && len(text) > MaxFile {
				continue
			}
			lines := strings.Split(strings.TrimPrefix(text, "\ufeff"), "\n")
			if q.Line < 1 || q.Line > len(lines) || q.Col < 1 || q.Col > utf8.RuneCountInString(lines[q.Line-1])+1 {
				t.Fatalf("%v is outside the file", q)
			}
			if q.What == "" || q.Mend == "" || strings.ContainsAny(q.String(), "\n\x1b") {
				t.Fatalf("not a message: %q", q)
			}
		}
		if _, again := Parse("p.toml", []byte(doc), sheetFile); said(again) != said(ps) {
			t.Fatalf("first\n%s\nthen\n%s", said(ps), said(again))
		}
	})
}
