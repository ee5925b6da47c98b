package planfile

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"floorpace/config"
)

// followed checks the law the scanner is held to: every key and list item the
// TOML library decodes has a place, inside the text, and a key's place begins
// with that key. It returns how many keys it looked at.
func followed(doc string, v any, p *place) (n int, err error) {
	if p == nil {
		return 0, fmt.Errorf("no place")
	}
	if p.key < 0 || p.key > len(doc) || p.value < 0 || p.value > len(doc) {
		return 0, fmt.Errorf("place %d, %d outside the text", p.key, p.value)
	}
	below := func(name string, v any, k *place) {
		m, e := followed(doc, v, k)
		n += m
		if e != nil && err == nil {
			err = fmt.Errorf("%s: %w", name, e)
		}
	}
	switch v := v.(type) {
	case map[string]any:
		for key, w := range v {
			n++
			k := p.kids[key]
			if k != nil && !k.lines && !startsWithKey(doc[k.key:], key) {
				return n, fmt.Errorf("key %q stands at %q", key, doc[k.key:min(k.key+12, len(doc))])
			}
			below(key, w, k)
		}
		if len(p.kids) != len(v) || len(p.order) != len(v) {
			return n, fmt.Errorf("%d keys found, %d decoded", len(p.kids), len(v))
		}
	case []map[string]any:
		for i := range v {
			if i >= len(p.items) {
				return n, fmt.Errorf("item %d has no place", i)
			}
			below(fmt.Sprint(i), v[i], p.items[i])
		}
		if len(p.items) != len(v) {
			return n, fmt.Errorf("%d items found, %d decoded", len(p.items), len(v))
		}
	case []any:
		if len(p.items) != len(v) {
			return n, fmt.Errorf("%d items found, %d decoded", len(p.items), len(v))
		}
		for i := range v {
			below(fmt.Sprint(i), v[i], p.items[i])
		}
	}
	return n, err
}

func startsWithKey(s, key string) bool {
	return strings.HasPrefix(s, key) || strings.HasPrefix(s, `"`) || strings.HasPrefix(s, "'")
}

var shapes = []string{
	"",
	"a = 1",
	"a = 1 # b = 2\n# c = 3\nd = 4\n",
	"a.b.c = 1\na.b.d = 2\na.e = 3\n",
	"a . b = 1\n\"a\" . 'c d' = 2\n",
	"[a]\nb = 1\n[a.c]\nd = 2\n[e.f.g]\nh = 1\n[e]\ni = 2\n",
	"[[z]]\nn = 1\n[[z.b]]\nd = 1\n[[z.b]]\nd = 2\n[z.c]\ne = 3\n[[z]]\nn = 2\n[[z.b]]\nd = 3\n",
	"t = { a = 1, \"b c\" = [1, 2], d.e = { f = 'x' } }\n",
	"t = {}\nl = []\n",
	"l = [\n  [0, 0], # corner\n  [1, 0],\n  [1, 1], ]\nm = 2\n",
	"l = [ { a = 1 }, { a = 2, b = [3] } ]\n",
	"s = \"a = 1\\n[b]\\\"] # no\"\nr = 'c:\\'\nq = 1\n",
	"s = \"\"\"\na = 1\n[b]\n\\\"\"\" \"\"\"\"\nq = 1\n",
	"s = \"\"\"a\"\"\"\"\"\nq = '''b'''''\np = 1\n",
	"'a.b' = 1\n\"c\\u0041\\\"\" = 2\n\"\" = 3\n",
	"t = 2026-05-04T22:00:00-07:00\nu = 2026-05-04 22:00:00Z # x\nv = 1e3\nw = +inf\n",
	"e = { \"10 °C\" = \"20 min\", 20 = 12, \"30,5\" = '{7}' }\n",
	"a = 1\r\n[b]\r\nc = [1,\r\n2]\r\n",
	"t = {\n a = 1,\n # note\n b = 2\n}\nc = 3\n",
	"[ a . \"b.c\" ]\nd = 1\n[[ e ]]\n f = 2\n",
	"1 = 2\n-x- = 3\n[4]\n5 = 6\n",
}

func TestEveryKeyHasAPlace(t *testing.T) {
	docs := append([]string(nil), shapes...)
	for _, name := range []string{"cellar.toml", "dock.toml", "flow-urethane.toml", "flow-epoxy.toml"} {
		b, err := config.Files.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		docs = append(docs, string(b))
	}
	for _, doc := range docs {
		var v map[string]any
		if err := decode(doc, &v); err != nil {
			t.Errorf("not TOML: %v\n%s", err, doc)
			continue
		}
		root, twice := scan(doc)
		if len(twice) > 0 {
			t.Errorf("twice %v in\n%s", twice, doc)
		}
		if _, err := followed(doc, v, root); err != nil {
			t.Errorf("%v in\n%s", err, doc)
		}
	}
}

// TestEveryKeyHasAPlaceInTheOutsideSuite holds the scanner against the valid
// documents of the TOML project's own test suite, which the library carries.
func TestEveryKeyHasAPlaceInTheOutsideSuite(t *testing.T) {
	out, err := exec.Command("go", "list", "-m", "-f", "{{.Dir}}", "github.com/BurntSushi/toml").Output()
	dir := strings.TrimSpace(string(out))
	if err != nil || dir == "" {
		t.Skip("the go command is not here, so the library's folder is not known")
	}
	files, keys := 0, 0
	err = filepath.WalkDir(filepath.Join(dir, "internal", "toml-test", "tests", "valid"), func(path string, _ os.DirEntry, err error) error {
		if err != nil || filepath.Ext(path) != ".toml" {
			return err
		}
		data, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		doc := strings.TrimPrefix(string(data), "\ufeff")
		var v map[string]any
		if decode(doc, &v) != nil {
			return nil // a form the library itself does not take
		}
		files++
		root, _ := scan(doc)
		n, err := followed(doc, v, root)
		keys += n
		if err != nil {
			t.Errorf("%s: %v", filepath.Base(path), err)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("%d documents, %d keys", files, keys)
	if files < 100 || keys < 500 { // fewer: the walk no longer finds the suite
		t.Errorf("%d documents with %d keys; the suite holds more", files, keys)
	}
}

func TestPlacesAreExact(t *testing.T) {
	doc := "title = \"x\"\n[crew]\nmixers = 2\n[[zone]]\nname = \"A\"\noutline = [[0, 0], [9, 0],\n  [9, 14]]\n[[zone.bay]]\ndepth = 3\n[[zone]]\nname = \"B\"\n\"a.b\" = { \"10 °C\" = 1, x.y = 2 }\n"
	root, _ := scan(doc)
	txt := newText("p", doc)
	for _, c := range []struct {
		key       string
		line, col int
		rest      string
	}{
		{"title", 1, 9, ""},
		{"crew", 2, 2, ""},
		{"crew.mixers", 3, 10, ""},
		{"crew.runners", 2, 2, "runners"},
		{"zone.0", 4, 3, ""},
		{"zone.0.outline", 6, 11, ""},
		{"zone.0.outline.2", 7, 3, ""},
		{"zone.0.bay.0.depth", 9, 9, ""},
		{"zone.1.name", 11, 8, ""},
		{"zone.1.a.b.10 °C", 12, 21, ""},
		{"zone.1.a.b.x.y", 12, 30, ""},
		{"zone.7", 4, 3, "7"},
		{"zone.1.bay.3.depth", 10, 3, "bay.3.depth"},
		{"nothing", 1, 1, "nothing"},
	} {
		at, rest := root.find(c.key)
		off := at.value
		if rest != "" {
			off = at.key
		}
		p := txt.at(off, "", "")
		if p.Line != c.line || p.Col != c.col || rest != c.rest {
			t.Errorf("%s: %d:%d rest %q; want %d:%d rest %q", c.key, p.Line, p.Col, rest, c.line, c.col, c.rest)
		}
	}
}

func TestScanFindsWhatStandsTwice(t *testing.T) {
	for doc, want := range map[string]int{
		"a.b = 1\na = 2\n":             1,
		"a = 1\nb = 2\n":               0,
		"a.b = 1\na.c = 2\n":           0,
		"t = { a.b = 1, a = 2 }\n":     1,
		"[x]\na.b = 1\n[y]\na.b = 1\n": 0,
	} {
		if _, twice := scan(doc); len(twice) != want {
			t.Errorf("%q: twice %v, want %d", doc, twice, want)
		}
	}
}

func FuzzPlaces(f *testing.F) {
	for _, s := range shapes {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, doc string) {
		root, twice := scan(doc) // must end and not panic on anything
		var v map[string]any
		if decode(doc, &v) != nil || strings.HasPrefix(doc, "\ufeff") || strings.HasPrefix(doc, "\xff\xfe") || strings.HasPrefix(doc, "\xfe\xff") {
			return
		}
		if _, err := followed(doc, v, root); err != nil && len(twice) == 0 {
			t.Errorf("%v in %q", err, doc)
		}
	})
}
