package cli

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"floorpace/internal/units"
	"floorpace/internal/worked"
)

// papers are a day's papers as the command wrote them, read back by other
// means than those that wrote them.
type papers struct {
	t    *testing.T
	code int
	said string
	page map[string][][]string // tables of the page by heading, the head first
	text string                // words of the page outside tables
	pdf  string                // "" where there is no tool to read it
	doc  any
	csv  map[string][][]string
	dir  string
	name string
}

// writePapers runs the command and reads what it wrote.
func writePapers(t *testing.T, env *Env, args ...string) *papers {
	t.Helper()
	p := &papers{t: t, page: map[string][][]string{}, csv: map[string][][]string{}, dir: t.TempDir()}
	var out bytes.Buffer
	env.Out, env.Args = &out, append([]string{"record", "--out", p.dir}, args...)
	p.code = Run(context.Background(), env)
	p.said = out.String()
	names, err := filepath.Glob(filepath.Join(p.dir, "*.html"))
	if err != nil || len(names) != 1 {
		t.Fatalf("exit %d, pages %v\n%s%s", p.code, names, p.said, env.Err)
	}
	p.name = strings.TrimSuffix(names[0], ".html")
	p.readPage(p.bytes(".html"))
	if err := json.Unmarshal(p.bytes(".json"), &p.doc); err != nil {
		t.Fatal(err)
	}
	for _, n := range []string{"batches", "readings", "calls", "yield", "holds", "zones"} {
		if p.csv[n], err = csv.NewReader(bytes.NewReader(p.bytes("-" + n + ".csv"))).ReadAll(); err != nil {
			t.Fatal(err)
		}
	}
	p.pdf = pdfWords(t, p.name+".pdf")
	return p
}

func (p *papers) bytes(end string) []byte {
	p.t.Helper()
	b, err := os.ReadFile(p.name + end)
	if err != nil {
		p.t.Fatal(err)
	}
	return b
}

// pdfWords reads a PDF with poppler's pdftotext; without the tool there is
// nothing to compare, and the test says so.
func pdfWords(t *testing.T, name string) string {
	t.Helper()
	tool, err := exec.LookPath("pdftotext")
	if err != nil {
		t.Log("no pdftotext on this machine: the PDF is not read here")
		return ""
	}
	out, err := exec.Command(tool, "-layout", name, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	return string(out)
}

// readPage reads the tables of a page by the heading above them.
func (p *papers) readPage(b []byte) {
	d := xml.NewDecoder(bytes.NewReader(b))
	d.Entity = xml.HTMLEntity
	head, in, cell := "", "", ""
	var row []string
	foot := false
	var words strings.Builder
	for {
		tok, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			p.t.Fatal(err)
		}
		switch x := tok.(type) {
		case xml.StartElement:
			switch in = x.Name.Local; in {
			case "h2", "h3":
				head = ""
			case "th", "td":
				cell = ""
			case "tr":
				row = nil
				foot = len(x.Attr) > 0 && x.Attr[0].Value == "notes" // the reasons of N/A are no row
			}
		case xml.CharData:
			switch in {
			case "h2", "h3":
				head += string(x)
			case "th", "td":
				cell += string(x)
			case "p":
				words.Write(x)
			}
		case xml.EndElement:
			switch x.Name.Local {
			case "th", "td":
				row = append(row, strings.TrimSpace(cell))
			case "tr":
				if !foot {
					p.page[head] = append(p.page[head], row)
				}
			}
			in = ""
		}
	}
	p.text = words.String()
}

// column is a cell of a table by the name of its column; row counts from 1.
func column(t *testing.T, table [][]string, name string, row int) string {
	t.Helper()
	if len(table) <= row {
		t.Fatalf("column %q: no row %d in %q", name, row, table)
	}
	for k, n := range table[0] {
		if n == name {
			return table[row][k]
		}
	}
	t.Fatalf("no column %q in %q", name, table[0])
	return ""
}

// at follows a path such as zones.0.drift into the document.
func (p *papers) at(path string) any {
	p.t.Helper()
	v := p.doc
	for _, k := range strings.Split(path, ".") {
		switch x := v.(type) {
		case map[string]any:
			v = x[k]
		case []any:
			i, err := strconv.Atoi(k)
			if err != nil || i >= len(x) {
				p.t.Fatalf("%s: no %s", path, k)
			}
			v = x[i]
		default:
			p.t.Fatalf("%s: nothing at %s", path, k)
		}
	}
	return v
}

var (
	clockOfDay = regexp.MustCompile(`\d\d:\d\d:\d\d`)
	minutes    = regexp.MustCompile(`^\d+:\d\d$`)
	figure     = regexp.MustCompile(`-?\d+(\.\d+)?`)
)

// answer brings a cell of a paper into the form in which answers.csv prints it.
func answer(cell any, form string) string {
	s, isText := cell.(string)
	if v, ok := cell.(float64); ok {
		s = strconv.FormatFloat(v, 'f', -1, 64)
	}
	switch form {
	case "time":
		return clockOfDay.FindString(s)
	case "clock":
		if isText && minutes.MatchString(s) {
			return s
		}
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			return s
		}
		return units.Clock(time.Duration(v * float64(time.Second)).Round(time.Second))
	}
	v, err := strconv.ParseFloat(figure.FindString(s), 64)
	if err != nil {
		return s
	}
	if form == "%d" {
		form = "%.0f"
	}
	return fmt.Sprintf(form, v)
}

// stands says where an answer stands on the papers: table and column of the page
// (the PDF shows the same words), file and column of the tables, path of the
// document. pick takes the figure out of a longer cell; scale turns the
// document's unit into the answer's.
type stands struct {
	asked       string
	head, col   string
	row         int
	file, field string
	line        int
	path        string
	pick        string
	scale       float64
}

func daySix() []stands {
	edge, buckets, where := "The edge at the end of each hold", "Holds and stops", "Where the edge was at risk or gone"
	return []stands{
		{"row laid from", edge, "Laid from", 1, "holds", "row laid from", 1, "holds.0.row_laid_from", "", 0},
		{"row laid to", edge, "to", 1, "holds", "row laid to", 1, "holds.0.row_laid_to", "", 0},
		{"edge life", edge, "Edge life", 1, "holds", "edge life (s)", 1, "holds.0.edge_life_s", "", 0},
		{"edge limit", edge, "Limit", 1, "holds", "edge limit (s)", 1, "holds.0.edge_limit_s", "", 0},
		{"whole row joinable until", edge, "Whole until", 1, "holds", "whole edge joinable until", 1, "holds.0.whole_edge_joinable_until", "", 0},
		{"last point joinable until", edge, "Last until", 1, "holds", "last point joinable until", 1, "holds.0.last_point_joinable_until", "", 0},
		{"gone to", where, "To", 1, "holds", "edge from place to place (m)", 1, "holds.0.edge.0.x_to_m", `gone \S+ \S+ to (\S+)`, 0},
		{"at risk to", where, "To", 2, "holds", "edge from place to place (m)", 1, "holds.0.edge.1.x_to_m", `at risk \S+ \S+ to (\S+)`, 0},
		{"bucket age", buckets, "Buckets dead", 1, "holds", "buckets dead", 1, "holds.0.buckets_dead.0.age_s", `batch \d+: (\d+)|\d+: (\d+:\d+) of`, 0},
		{"bucket life", buckets, "Bucket life", 1, "holds", "bucket life (s)", 1, "holds.0.buckets_dead.0.life_s", "", 0},
		{"roll window", edge, "Roll window", 1, "holds", "roll window (s)", 1, "holds.0.roll_window_s", "", 0},
		{"roll shut from", edge, "Roll shut", 1, "holds", "roll shut from", 1, "holds.0.roll_shut_from", "", 0},
		{"roll shut to", edge, "Roll shut", 1, "holds", "roll shut to", 1, "holds.0.roll_shut_to", `to (\d\d:\d\d:\d\d)`, 0},
	}
}

func daySeven() []stands {
	kits, reset, zone := "Kits against the plan", "The rake set anew", "Zones"
	return []stands{
		{"kits exact", zone, "Plan kits", 1, "zones", "plan kits exact", 1, "zones.0.plan_kits_exact", `\((.+)\)`, 0},
		{"kits", zone, "Plan kits", 1, "zones", "plan kits", 1, "zones.0.plan_kits", "", 0},
		{"on site", "Yield", "On hand", 1, "yield", "on hand (kits)", 1, "totals.kits_on_hand", "", 0},
		{"area of a kit", kits, "A kit, plan", 1, "zones", "a kit by plan (m²)", 1, "zones.0.plan_m2_per_kit", "", 0},
		{"covered", zone, "Laid", 1, "zones", "laid (m²)", 1, "zones.0.laid_m2", "", 0},
		{"of plan", reset, "Use", 1, "zones", "use (%)", 1, "zones.0.rake_resets.0.drift", "", 100},
		{"to finish by the mean", reset, "To finish: mean", 1, "zones", "to finish by the mean", 1, "zones.0.rake_resets.0.kits_to_finish_by_mean", "", 0},
		{"to finish by the last three", reset, "last three", 1, "zones", "to finish by the last three", 1, "zones.0.rake_resets.0.kits_to_finish_by_last_three", "", 0},
		{"on hand", reset, "On hand", 1, "zones", "kits on hand", 1, "zones.0.rake_resets.0.kits_on_hand", "", 0},
		{"stops at by the mean", reset, "Reaches", 1, "zones", "reaches (m²)", 1, "zones.0.rake_resets.0.reach_m2", "", 0},
		{"stops at by the last three", reset, "by last three", 1, "zones", "reaches by the last three (m²)", 1, "zones.0.rake_resets.0.reach_by_last_three_m2", "", 0},
		{"after a reset", reset, "To finish after", 1, "zones", "to finish after a reset", 1, "zones.0.rake_resets.0.kits_to_finish_after", "", 0},
		{"saved for", reset, "Reset saves it for", 1, "zones", "reset saves it for (kits)", 1, "zones.0.rake_resets.0.kits_until_reset_is_too_late", "", 0},
	}
}

// Every figure that the worked days 6 and 7 ask for stands on the page, in the
// PDF, in the comma-separated files and in the document that the command makes
// of their logs, as the answers print it. Source of the answers: worked by hand
// from an invented sheet (testdata/days/*/answers.csv).
func TestWorkedDaysOnAllPapers(t *testing.T) {
	for day, list := range map[string][]stands{"day6": daySix(), "day7": daySeven()} {
		t.Run(day, func(t *testing.T) {
			dir := filepath.Join("..", "..", "testdata", "days", day)
			env, _, _, _ := bench(t)
			p := writePapers(t, env, filepath.Join(dir, "day.jsonl"))
			asked := answersOf(t, filepath.Join(dir, "answers.csv"))
			for _, s := range list {
				want, ok := asked[s.asked]
				if !ok {
					t.Errorf("%q is no answer", s.asked)
					continue
				}
				delete(asked, s.asked)
				p.holds(s, want[0], want[1])
			}
			if day == "day6" { // both buckets, counted
				want := asked["dead buckets"]
				delete(asked, "dead buckets")
				cell := column(t, p.page["Holds and stops"], "Buckets dead", 1)
				for where, n := range map[string]int{
					"page": strings.Count(cell, " of "), "CSV": strings.Count(column(t, p.csv["holds"], "buckets dead", 1), "batch "), "document": len(p.at("holds.0.buckets_dead").([]any)),
				} {
					if strconv.Itoa(n) != want[0] {
						t.Errorf("%s: %d dead buckets, want %s", where, n, want[0])
					}
				}
			}
			for a := range asked {
				t.Errorf("%q is asked and was looked for nowhere", a)
			}
		})
	}
}

// holds looks an answer up on all four papers.
func (p *papers) holds(s stands, want, form string) {
	p.t.Helper()
	picked := func(cell string) string {
		if m := regexp.MustCompile(s.pick).FindStringSubmatch(cell); m != nil && s.pick != "" {
			return strings.Join(m[1:], "") // one of the ways it may stand
		}
		return cell
	}
	cell := column(p.t, p.page[s.head], s.col, s.row)
	got := map[string]string{"page": answer(picked(cell), form), "CSV": answer(picked(column(p.t, p.csv[s.file], s.field, s.line)), form)}
	v := p.at(s.path)
	if f, ok := v.(float64); ok && s.scale > 0 {
		v = f * s.scale
	}
	got["document"] = answer(v, form)
	for where, g := range got {
		if g != want {
			p.t.Errorf("%s: %s says %s, want %s", s.asked, where, g, want)
		}
	}
	if p.pdf == "" {
		return
	}
	if part := section(p.pdf, s.head); !strings.Contains(spaceless(part), spaceless(cell)) {
		p.t.Errorf("%s: %q does not stand in the PDF under %q:\n%s", s.asked, cell, s.head, part)
	}
}

// section is what stands under a heading of the PDF, some lines of it.
func section(text, head string) string {
	_, after, ok := strings.Cut(text, "\n"+head+"\n")
	if !ok {
		_, after, _ = strings.Cut(text, head+"\n") // at the top of a page
	}
	lines := strings.Split(after, "\n")
	return strings.Join(lines[:min(len(lines), 20)], "\n")
}

// spaceless takes the spaces out: where a PDF breaks a line is no difference.
func spaceless(s string) string { return strings.Join(strings.Fields(s), "") }

// answersOf reads what a worked day is to answer: asked → answer, form.
func answersOf(t *testing.T, name string) map[string][2]string {
	t.Helper()
	out := map[string][2]string{}
	for _, row := range worked.Rows(t, name) {
		out[row["asked"]] = [2]string{row["answer"], row["form"]}
	}
	return out
}
