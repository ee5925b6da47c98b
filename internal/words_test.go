package internal_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// counted is a figure followed by a word for more than one of a thing: with
// one of it a crew reads "1 kits".
var counted = regexp.MustCompile(`%d (?:more |whole |different )?([a-z]+s)\b`)

// verbs end in s as well: "batch 3 is mixed".
var verbs = []string{"is", "was", "has", "does", "lies", "reads", "holds", "names", "shuts", "gives"}

// never are the words in which the figure cannot be one, with why.
var never = map[string]string{
	"%d presses…":            "said from two on",
	"%d findings":            "said from two on",
	"%d times to":            "said from two on",
	"%d days lie in this":    "said from two on",
	"%d steps start the":     "refused from two on",
	"%d files hold":          "several files together",
	"%d files, at most":      "past a limit",
	"%d files: %w":           "past a limit",
	"%d logs, at most":       "past a limit",
	"%d bytes, at most":      "past a limit",
	"%d entries":             "past a limit",
	"%d lines":               "past a limit",
	"%d readings were":       "said from two on",
	"seen %d times":          "a fit wants more than one",
	"of %d days":             "a study has thousands",
	"%d days":                "said from two on, or of a study's thousands",
	"%d points":              "for whoever calls it, not for a crew",
	"%d cells of":            "for whoever calls it, not for a crew",
	"%d given for":           "for whoever calls it, not for a crew",
	"%d batches to mix":      "for whoever calls it, not for a crew",
	"%d mixers, but":         "for whoever calls it, not for a crew",
	"%d buckets are full":    "for whoever calls it, not for a crew",
	"%d needed":              "no plural",
	"%d timings":             "a rule, not a count",
	"%d rollers and":         "for whoever calls it, not for a crew",
	"%d bytes":               "past a limit",
	"text has %d characters": "past a limit",
	"more than %d names":     "a limit",
	"%s of the %d this":      "asks for is a verb",
	"over %d carries":        "a fit wants more than one",
	"%d keys came":           "said from two on",
}

// A figure and its thing agree in every text the program prints: one kit, two
// kits. [units.Count] says it.
func TestOneOfAThingIsNotMany(t *testing.T) {
	seen := 0
	err := filepath.WalkDir(".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return err
		}
		files := token.NewFileSet()
		f, err := parser.ParseFile(files, path, nil, 0)
		if err != nil {
			return err
		}
		ast.Inspect(f, func(n ast.Node) bool {
			lit, ok := n.(*ast.BasicLit)
			if !ok || lit.Kind != token.STRING {
				return true
			}
			words, err := strconv.Unquote(lit.Value)
			m := counted.FindStringSubmatch(words)
			if err != nil || m == nil || slices.Contains(verbs, m[1]) {
				return true
			}
			seen++
			for w := range never {
				if strings.Contains(words, w) {
					return true
				}
			}
			t.Errorf("%s: %q says many of one: let units.Count say it", files.Position(lit.Pos()), words)
			return true
		})
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if seen == 0 {
		t.Error("no text with a figure and a thing was found: the test looks in the wrong place")
	}
}
