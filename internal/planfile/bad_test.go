package planfile

import (
	"errors"
	"flag"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

var update = flag.Bool("update", false, "write what the bad plans give into their .want files; read the difference before keeping it")

// sheets and crew files among the bad plans, read through them
var sheetFiles = []string{"good.toml", "badsheet.toml", "badcrew.toml", "brokencrew.toml"}

func said(ps []Problem) string {
	var b strings.Builder
	for _, p := range ps {
		b.WriteString(p.String() + "\n")
	}
	return b.String()
}

func TestBadPlans(t *testing.T) {
	fsys := os.DirFS("testdata/bad")
	files, err := filepath.Glob("testdata/bad/*.toml")
	if err != nil || len(files) < 10 {
		t.Fatalf("%d bad plans: %v", len(files), err)
	}
	for _, file := range files {
		name := filepath.Base(file)
		if slices.Contains(sheetFiles, name) {
			continue
		}
		t.Run(strings.TrimSuffix(name, ".toml"), func(t *testing.T) {
			p, ps := Load(fsys, name)
			if p != nil || len(ps) == 0 {
				t.Fatal("the plan was taken")
			}
			insideFiles(t, ps)
			want := strings.TrimSuffix(file, ".toml") + ".want"
			if *update {
				if err := os.WriteFile(want, []byte(said(ps)), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			b, err := os.ReadFile(want)
			if err != nil {
				t.Fatal(err)
			}
			if d := cmp.Diff(strings.ReplaceAll(string(b), "\r\n", "\n"), said(ps)); d != "" {
				t.Error(d)
			}
		})
	}
}

// insideFiles checks that every problem stands on a character of its file, or
// just behind the last one of a line, and that they come in order.
func insideFiles(t *testing.T, ps []Problem) {
	t.Helper()
	for i, p := range ps {
		if p.What == "" || p.Mend == "" || strings.Contains(p.String(), "\n") {
			t.Errorf("not a message: %q", p)
		}
		b, err := os.ReadFile(filepath.Join("testdata/bad", p.File))
		if err != nil {
			t.Errorf("%v: %v", p, err)
			continue
		}
		lines := strings.Split(string(b), "\n")
		if p.Line < 1 || p.Line > len(lines) || p.Col < 1 || p.Col > len([]rune(lines[p.Line-1]))+1 {
			t.Errorf("outside the file: %v", p)
		}
		if i > 0 && ps[i-1].File == p.File && (ps[i-1].Line > p.Line || ps[i-1].Line == p.Line && ps[i-1].Col > p.Col) {
			t.Errorf("out of order: %v after %v", p, ps[i-1])
		}
	}
}

var errNoSheet = errors.New("no sheet here")

func none(string) ([]byte, error) { return nil, errNoSheet }

func TestEncodings(t *testing.T) {
	for _, c := range []struct {
		name, doc, want string
	}{
		{"latin-1", "units = \"metric\"\n# 10 \xb0C\n", "p.toml:2:6: byte 0xb0 is not UTF-8; save the file as UTF-8 (a degree sign from an older editor is a usual cause)\n"},
		{"utf-16 le", "\xff\xfeu\x00n\x00", "p.toml:1:1: the file is UTF-16; save it as UTF-8\n"},
		{"utf-16 be", "\xfe\xff\x00u\x00n", "p.toml:1:1: the file is UTF-16; save it as UTF-8\n"},
		{"nul", "units = \"metric\"\nq = \x00\n", "p.toml:2:5: there is a NUL byte; save the file as plain text, UTF-8\n"},
		{"long", strings.Repeat("#", MaxFile+1), "p.toml: the file holds 131073 bytes; give a plan of at most 131072 bytes\n"},
		{"deep lists", "a = " + strings.Repeat("[", 60000) + strings.Repeat("]", 60000), "p.toml:1:55: lists, tables or keys stand too deep in one another; a plan goes four deep; 50 is the most that is read\n"},
		{"deep tables", "a = " + strings.Repeat("{a=", 30000) + "1" + strings.Repeat("}", 30000), "p.toml:1:155: lists, tables or keys stand too deep in one another; a plan goes four deep; 50 is the most that is read\n"},
		{"long key", strings.Repeat("a.", 60000) + "a = 1", "p.toml:1:102: lists, tables or keys stand too deep in one another; a plan goes four deep; 50 is the most that is read\n"},
		{"columns count characters", "units = \"metric\"\ntitle = \"m²m²\" x\n", "p.toml:2:16: there is more after the value; write one key to a line; put words, and figures with a unit, in quotes: depth = \"6 mm\"\n"},
	} {
		if _, ps := Parse("p.toml", []byte(c.doc), none); said(ps) != c.want {
			t.Errorf("%s:\n%s\nwant\n%s", c.name, said(ps), c.want)
		}
	}
}

// TestLoadPath: problems name files by the path given, so that an editor finds
// them.
func TestLoadPath(t *testing.T) {
	for path, want := range map[string][]string{
		"testdata/bad/twofiles.toml": {"testdata/bad/twofiles.toml:10:1: ", "testdata/bad/badsheet.toml:4:1: "},
		"testdata/bad/none.toml":     {"testdata/bad/none.toml: there is no such file; "},
		"nowhere/none.toml":          {"nowhere/none.toml: there is no such file; "},
		"testdata/bad":               {"testdata/bad: the file cannot be read: it is a folder; "},
		"testdata/bad/":              {"testdata/bad/: "},
	} {
		p, _, ps := LoadPath(filepath.FromSlash(path))
		if p != nil {
			t.Errorf("%s was taken", path)
		}
		for _, w := range want {
			if !strings.Contains("\n"+said(ps), "\n"+w) {
				t.Errorf("%s: %q is not in\n%s", path, w, said(ps))
			}
		}
	}
	path := filepath.Join("..", "..", "config", "cellar.toml")
	p, b, ps := LoadPath(path)
	if p == nil || b.SheetName != "flow-urethane.toml" || b.PlanName != "cellar.toml" {
		t.Errorf("%v %q %q %s", p != nil, b.PlanName, b.SheetName, said(ps))
	}
}
