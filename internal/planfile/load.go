package planfile

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"floorpace/internal/plan"
)

// Bundle is a plan and its sheet as texts, for the header of a day log: what is
// needed to read the same plan again, and nothing else.
type Bundle struct {
	PlanName  string // file name, for messages
	Plan      []byte
	SheetName string // empty when the sheet stands in the plan
	Sheet     []byte
}

// bundleJSON is the form in the log. Texts, not bytes: a log stays readable.
type bundleJSON struct {
	PlanName  string `json:"plan_name"`
	Plan      string `json:"plan"`
	SheetName string `json:"sheet_name,omitempty"`
	Sheet     string `json:"sheet,omitempty"`
}

// MarshalJSON writes the texts as they are. Files that are not UTF-8, which
// Check refuses, do not survive it.
func (b Bundle) MarshalJSON() ([]byte, error) {
	return json.Marshal(bundleJSON{b.PlanName, string(b.Plan), b.SheetName, string(b.Sheet)})
}

// UnmarshalJSON reads what MarshalJSON wrote; other fields are ignored, so that
// an older program can read a newer log.
func (b *Bundle) UnmarshalJSON(data []byte) error {
	var j bundleJSON
	if err := json.Unmarshal(data, &j); err != nil {
		return fmt.Errorf("plan in the log: %w", err)
	}
	if j.Plan == "" {
		return errors.New("plan in the log: there is no plan text")
	}
	*b = Bundle{PlanName: j.PlanName, Plan: []byte(j.Plan), SheetName: j.SheetName}
	if j.Sheet != "" {
		b.Sheet = []byte(j.Sheet)
	}
	return nil
}

// Load reads a plan and its sheet from fsys. The plan is nil when there is any
// problem; all problems come at once, in the order of the files.
func Load(fsys fs.FS, name string) (*plan.Plan, []Problem) {
	b, ps := Read(fsys, name)
	if len(ps) > 0 {
		return nil, ps
	}
	p, ps, _ := b.Check()
	return p, ps
}

// LoadPath is Load for a path of the operating system. The sheet is looked for
// beside the plan. The bundle is what was read.
func LoadPath(path string) (*plan.Plan, Bundle, []Problem) {
	dir, name := filepath.Split(path)
	if dir == "" {
		dir = "."
	}
	b, ps := Read(os.DirFS(dir), name)
	if len(ps) > 0 {
		return nil, b, named(ps, filepath.ToSlash(path), b)
	}
	p, ps, _ := b.Check()
	return p, b, named(ps, filepath.ToSlash(path), b)
}

// NotesAt are the notes of a bundle that LoadPath read without problems, named
// as LoadPath names problems.
func NotesAt(path string, b Bundle) []Problem {
	_, _, notes := b.Check()
	return named(notes, filepath.ToSlash(path), b)
}

// named puts the plan's folder before the file names of problems, so that an
// editor can jump to them.
func named(ps []Problem, path string, b Bundle) []Problem {
	dir := strings.TrimSuffix(path, b.PlanName)
	for i := range ps {
		ps[i].File = dir + ps[i].File
	}
	return ps
}

// Read reads the texts of a plan and of the sheet it names. A problem is a file
// that cannot be read.
func Read(fsys fs.FS, name string) (Bundle, []Problem) {
	b := Bundle{PlanName: name}
	data, err := readFile(fsys, name)
	if err != nil {
		return b, []Problem{{File: name, What: reason(err), Mend: "give the path of a plan file, or begin with one of the example plans"}}
	}
	b.Plan = data
	Parse(name, data, func(sheet string) ([]byte, error) {
		data, err := readFile(fsys, sheet)
		if err == nil {
			b.SheetName, b.Sheet = sheet, data
		}
		return data, err
	})
	return b, nil
}

// readFile reads a file, but not one far too long to be a plan.
func readFile(fsys fs.FS, name string) ([]byte, error) {
	if !fs.ValidPath(name) {
		return nil, fs.ErrInvalid
	}
	info, err := fs.Stat(fsys, name)
	switch {
	case err != nil:
		return nil, err
	case info.IsDir():
		return nil, errors.New("it is a folder")
	case info.Size() > MaxFile:
		return nil, fmt.Errorf("it holds %d bytes, at most %d are read", info.Size(), MaxFile)
	}
	return fs.ReadFile(fsys, name)
}

// reason words why a file could not be read.
func reason(err error) string {
	var pe *fs.PathError
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return "there is no such file"
	case errors.Is(err, fs.ErrPermission):
		return "the file may not be read"
	case errors.Is(err, fs.ErrInvalid):
		return "this is not a file name beside the plan"
	case errors.As(err, &pe):
		return "the file cannot be read: " + pe.Err.Error()
	}
	return "the file cannot be read: " + err.Error()
}

// Check parses the bundle. The plan is nil when there is any problem; notes are
// what can be poured from but wants a look.
func (b Bundle) Check() (p *plan.Plan, problems, notes []Problem) {
	return parse(b.PlanName, b.Plan, func(name string) ([]byte, error) {
		if b.SheetName == "" || name != b.SheetName {
			return nil, fs.ErrNotExist
		}
		return b.Sheet, nil
	})
}

// Parse reads a plan from its text; sheetFile gives the text of the sheet file
// that the plan names, and is not called when the sheet stands in the plan. The
// plan is nil when there is any problem; all problems come at once.
func Parse(name string, data []byte, sheetFile func(string) ([]byte, error)) (*plan.Plan, []Problem) {
	p, ps, _ := parse(name, data, sheetFile)
	return p, ps
}

func parse(name string, data []byte, sheetFile func(string) ([]byte, error)) (p *plan.Plan, problems, notes []Problem) {
	r := &reading{aliases: map[string]string{}}
	d, ps := readDocument(name, data)
	r.problems, r.plan, r.sheet = ps, d, d
	def := plan.Default()
	p = &def
	if !d.unread {
		t := &table{r: r, d: d, p: d.root, value: d.value, top: true}
		if !t.has("units") {
			t.missing("units", "the plan does not say its units", `write units = "us" or units = "metric"`)
		}
		t.system(&t.sys)
		p.Units = t.sys
		r.readSheetOf(t, p, sheetFile)
		readTop(t, p)
		t.finish()
	}
	switch found := plan.Validate(p); {
	case !r.plan.broken && !r.sheet.broken:
		r.take(found)
	case !d.unread && d.value["units"] != nil: // in units not read no figure can be judged
		r.take(r.standing(found))
	}
	if len(r.problems) == 0 {
		r.take(plan.Notes(p))
		return p, nil, sortProblems(r.problems, name)
	}
	// What only wants a look comes along: the file is open for mending anyway.
	if !d.unread && d.value["units"] != nil {
		notes := r.standing(plan.Notes(p))
		for i := range notes {
			notes[i].What = "worth a look: " + notes[i].What
		}
		r.take(notes)
	}
	return nil, sortProblems(r.problems, name), nil
}

// standing keeps of ps what is about something that stands in the files as
// read: lines left out for their syntax may only seem to be missing, and names
// may stand in them.
func (r *reading) standing(ps []plan.Problem) (out []plan.Problem) {
	for _, q := range ps {
		parts := strings.Split(q.Key, ".")
		last := parts[len(parts)-1]
		if r.plan.broken || r.sheet.broken {
			if last == "blend" || last == "room" || parts[0] == "room" || last == "station_room" || parts[0] == "kits" || isIn(parts, "spot") || isIn(parts, "door") || isIn(parts, "stop_line") {
				continue
			}
			if d, _ := r.locate(q.Key); d.unread || !r.stands(q.Key) {
				continue
			}
		}
		out = append(out, q)
	}
	return out
}

// readSheetOf reads the sheet, from under [sheet] or from the file it names.
func (r *reading) readSheetOf(t *table, p *plan.Plan, sheetFile func(string) ([]byte, error)) {
	const mend = `write sheet = "material.toml", a file beside the plan, or the sheet itself under [sheet]`
	v, ok := t.get("sheet")
	if !ok {
		t.missing("sheet", "the plan has no data sheet", mend)
		return
	}
	name, ok := v.(string)
	if !ok {
		if _, ok := v.(map[string]any); !ok {
			t.fault("sheet", "this is "+kindOf(v)+", not a sheet", mend)
			return
		}
		t.child("sheet", func(c *table) { readSheet(c, &p.Sheet) })
		return
	}
	if strings.Contains(name, `\`) || !fs.ValidPath(name) || name == t.d.name || len(name) > maxName {
		t.fault("sheet", fmt.Sprintf("%q is not a file beside the plan", name), `write its name, such as sheet = "material.toml", with / before a name in a folder`)
		return
	}
	data, err := sheetFile(name)
	if err != nil {
		t.fault("sheet", fmt.Sprintf("sheet %q: %s", name, reason(err)), "put the sheet beside the plan, or write its right name")
		return
	}
	d, ps := readDocument(name, data)
	r.problems = append(r.problems, ps...)
	r.sheet = d
	if d.unread {
		return
	}
	c := &table{r: r, d: d, p: d.root, value: d.value, key: "sheet", sys: t.sys, top: true}
	readSheet(c, &p.Sheet)
	c.finish()
}

// alias notes that the plan's check calls what stands under written by the key
// checked.
func (r *reading) alias(checked, written string) { r.aliases[checked] = written }

// under reports whether something at or below key could not be read.
func (r *reading) under(key string) bool {
	for _, w := range r.wrong {
		if w == key || strings.HasPrefix(w, key+".") {
			return true
		}
	}
	return false
}

// take adds what the plan's own check found, each at its place, but for what
// only follows from a value that could not be read.
func (r *reading) take(ps []plan.Problem) {
	for _, q := range ps {
		if r.follows(q.Key) {
			continue
		}
		d, off := r.locate(q.Key)
		r.add(d, off, q.What, q.Mend)
	}
}

// follows reports whether a problem at key only repeats one already found.
func (r *reading) follows(key string) bool {
	for _, w := range r.wrong {
		if key == w || strings.HasPrefix(key, w+".") {
			return true
		}
	}
	parts := strings.Split(key, ".")
	switch last := parts[len(parts)-1]; {
	case parts[0] == "kits" && (last == "blend" || isIn(parts, "parts")), parts[0] == "zone" && last == "blend":
		return r.illegible("sheet", "blend")
	case parts[0] == "readings" && isIn(parts, "spot"):
		return r.illegible("zone", "spot")
	case parts[0] == "room", last == "room", last == "station_room":
		return r.illegible("room", "room")
	}
	return false
}

// illegible reports whether a name under the key top may be there, only not
// legible: top or a list in it, or a name, could not be read.
func (r *reading) illegible(top, list string) bool {
	for _, w := range r.wrong {
		parts := strings.Split(w, ".")
		last := parts[len(parts)-1]
		if parts[0] == top && (len(parts) == 1 || last == "name" || last == list) {
			return true
		}
	}
	return false
}

// locate finds the place of a key of the plan: that of the value, or of the
// nearest table above it when there is none.
func (r *reading) locate(key string) (*document, int) {
	d, at, rest := r.find(key)
	if rest == "" {
		return d, at.value
	}
	return d, at.key
}

// stands reports whether there is something at key itself.
func (r *reading) stands(key string) bool {
	_, _, rest := r.find(key)
	return rest == ""
}

// find follows a key of the plan as far as it goes; rest is what is not there.
func (r *reading) find(key string) (d *document, at *place, rest string) {
	for checked, written := range r.aliases {
		if key == checked || strings.HasPrefix(key, checked+".") {
			key = written + key[len(checked):]
			break
		}
	}
	if strings.HasPrefix(key, "crew.reset") && r.plan.root.kids["crew"] != nil && r.plan.root.kids["crew"].kids["cycle"] != nil {
		key = "crew.cycle"
	}
	d = r.plan
	if below, ok := strings.CutPrefix(key, "sheet"); ok && r.sheet != r.plan {
		d, key = r.sheet, strings.TrimPrefix(below, ".")
	}
	at, rest = d.root.find(key)
	return d, at, rest
}
