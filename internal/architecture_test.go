package internal_test

import (
	"encoding/json"
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// floors is the house: a package may import packages of lower floors only, and
// its own floor where beside says so.
var floors = map[string]int{
	"worked": 0,                                            // tables for tests
	"units":  0, "stats": 0, "clean": 0, "cli/sysclock": 7, // sysclock only reads clocks for daylog
	"air": 1, "slab": 1, "sheet": 1, "floor": 1,
	"plan": 2,
	"path": 3,
	"pace": 4, "line": 4,
	"day": 5, "advice": 6,
	"planfile": 6, "daylog": 6, "record": 6,
	"daylog/logtest": 7, // disks and crashes for tests
	"shift":          7, "playback": 7, "rehearsal": 8,
	"tui/background": 0, "tui/look": 8, "tui/frame": 9, "tui/widget": 10, "tui/picture": 11,
	"tui/keys": 8, "tui/entry": 10,
	"tui/mix": 11, "tui/edge": 11, "tui/replay": 12,
	"tui": 13,
	"cli": 14,
}

// only says who alone may import what.
var only = map[string][]string{
	"github.com/BurntSushi/toml":   {"planfile"},
	"github.com/charmbracelet/":    {"tui", "cli"},
	"github.com/muesli/termenv":    {"tui", "cli"},
	"github.com/spf13/cobra":       {"cli"},
	"codeberg.org/go-pdf/fpdf":     {"record"},
	"math/rand":                    nil, // without a source of its own it is not repeatable
	"github.com/gofrs/flock":       {"daylog"},
	"text/template":                {"record"},
	"html/template":                {"record"},
	"github.com/mattn/go-isatty":   {"cli"},
	"github.com/adrg/xdg":          {"cli"},
	"gonum.org/v1/gonum":           {"air", "stats", "record"},
	"github.com/paulmach/orb":      nil,             // tests only
	"github.com/google/go-cmp":     {"tui/picture"}, // tests only
	"pgregory.net/rapid":           nil,             // tests only
	"floorpace/internal/worked":    nil,             // tests only
	"github.com/santhosh-tekuri/":  nil,             // tests only
	"github.com/creack/pty":        {"tui/picture"},
	"github.com/charmbracelet/x/v": {"tui/picture"},
}

// calls says who alone may call what.
var calls = map[string][]string{
	"time.Now":      {"cli", "cli/sysclock", "tui/picture"},
	"os.Exit":       {"cli"},
	"os.WriteFile":  {"planfile", "daylog", "record", "cli", "tui/picture"},
	"os.Create":     {"planfile", "daylog", "record", "cli", "tui/picture"},
	"os.OpenFile":   {"planfile", "daylog", "record", "cli", "tui/picture"},
	"os.Rename":     {"planfile", "daylog", "record", "cli"},
	"os.Remove":     {"planfile", "daylog", "record", "cli", "tui/picture"},
	"fmt.Print":     nil,
	"fmt.Println":   nil,
	"fmt.Printf":    nil,
	"rand.IntN":     nil,
	"rand.Float64":  nil,
	"rand.Shuffle":  nil,
	"log.Print":     nil,
	"log.Printf":    nil,
	"log.Fatal":     nil,
	"time.Sleep":    {"cli", "tui/picture"},
	"time.Since":    {"cli", "tui/picture"},
	"time.Until":    {"cli"},
	"exec.Command":  {"tui/picture"},
	"signal.Notify": {"cli"},
}

var badNames = []string{"common", "util", "utils", "helpers", "helper", "types", "misc", "base", "lib"}

type listed struct {
	ImportPath, Dir, Doc string
	GoFiles, Imports     []string
}

func packages(t *testing.T) []listed {
	t.Helper()
	out, err := exec.Command("go", "list", "-json=ImportPath,Dir,Doc,GoFiles,Imports", "floorpace/...").Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	var all []listed
	for d := json.NewDecoder(strings.NewReader(string(out))); d.More(); {
		var p listed
		if err := d.Decode(&p); err != nil {
			t.Fatal(err)
		}
		all = append(all, p)
	}
	return all
}

// room is a package's name below internal; "" for others.
func room(importPath string) string {
	r, _ := strings.CutPrefix(importPath, "floorpace/internal/")
	if r == importPath {
		return ""
	}
	return r
}

// lookup finds the entry for a room or the nearest room above it.
func lookup(r string) (int, bool) {
	for {
		if f, ok := floors[r]; ok {
			return f, true
		}
		i := strings.LastIndexByte(r, '/')
		if i < 0 {
			return 0, false
		}
		r = r[:i]
	}
}

func allowed(r string, list []string) bool {
	return slices.ContainsFunc(list, func(a string) bool { return r == a || strings.HasPrefix(r, a+"/") })
}

func TestFloors(t *testing.T) {
	for _, p := range packages(t) {
		r := room(p.ImportPath)
		if slices.Contains(badNames, filepath.Base(p.ImportPath)) {
			t.Errorf("%s: a package is named for what it holds", p.ImportPath)
		}
		if p.Doc == "" && len(p.GoFiles) > 0 {
			t.Errorf("%s has no package doc", p.ImportPath)
		}
		if r == "" {
			continue
		}
		mine, ok := lookup(r)
		if !ok {
			t.Errorf("%s stands on no floor: add it to the map and say why in DEVELOPERS.md", r)
			continue
		}
		for _, imp := range p.Imports {
			if other := room(imp); other != "" {
				if theirs, _ := lookup(other); theirs >= mine && !strings.HasPrefix(other, "tui/widget/") {
					t.Errorf("%s (floor %d) imports %s (floor %d)", r, mine, other, theirs)
				}
			}
			for lib, who := range only {
				if strings.HasPrefix(imp, lib) && imp != "math/rand/v2" && !allowed(r, who) {
					t.Errorf("%s imports %s; only %v may", r, imp, who)
				}
			}
		}
	}
}

func TestCallsAtTheEdgeOnly(t *testing.T) {
	for _, p := range packages(t) {
		r := room(p.ImportPath)
		if r == "" {
			continue
		}
		for _, name := range p.GoFiles {
			set := token.NewFileSet()
			f, err := parser.ParseFile(set, filepath.Join(p.Dir, name), nil, 0)
			if err != nil {
				t.Fatal(err)
			}
			ast.Inspect(f, func(n ast.Node) bool {
				sel, ok := n.(*ast.SelectorExpr)
				if !ok {
					return true
				}
				pkg, ok := sel.X.(*ast.Ident)
				if !ok || pkg.Obj != nil {
					return true
				}
				what := pkg.Name + "." + sel.Sel.Name
				if who, banned := calls[what]; banned && !allowed(r, who) {
					t.Errorf("%s: %s calls %s; only %v may", set.Position(n.Pos()), r, what, who)
				}
				return true
			})
		}
	}
}

func TestTopLevel(t *testing.T) {
	want := []string{"CHANGELOG.md", "DEVELOPERS.md", "README.md", "cmd", "config", "go.mod", "go.sum", "internal", "testdata"}
	entries, err := os.ReadDir("..")
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, e := range entries {
		if !strings.HasPrefix(e.Name(), ".") {
			got = append(got, e.Name())
		}
	}
	if !slices.Equal(got, want) {
		t.Errorf("top level is %v, want %v", got, want)
	}
}

// The module path must sort before the libraries', because Go initialises
// packages in the order of their paths and the quiet start must come first.
func TestModuleSortsFirst(t *testing.T) {
	for _, p := range packages(t) {
		for _, imp := range p.Imports {
			if strings.HasPrefix(imp, "github.com/charmbracelet/bubbletea") && !(p.ImportPath < imp) {
				t.Errorf("%s sorts behind %s", p.ImportPath, imp)
			}
		}
	}
}

// Files and functions that grow without end are what ruins such a program.
func TestLengths(t *testing.T) {
	const file, function = 450, 75 // 400 and 60 are the aim; a table may be longer
	for _, p := range packages(t) {
		for _, name := range p.GoFiles {
			path := filepath.Join(p.Dir, name)
			data, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			if n := strings.Count(string(data), "\n"); n > file {
				t.Errorf("%s/%s has %d lines", p.ImportPath, name, n)
			}
			set := token.NewFileSet()
			f, err := parser.ParseFile(set, path, data, 0)
			if err != nil {
				t.Fatal(err)
			}
			for _, d := range f.Decls {
				fn, ok := d.(*ast.FuncDecl)
				if !ok {
					continue
				}
				if n := set.Position(fn.End()).Line - set.Position(fn.Pos()).Line + 1; n > function {
					t.Errorf("%s/%s: %s has %d lines", p.ImportPath, name, fn.Name.Name, n)
				}
			}
		}
	}
}
