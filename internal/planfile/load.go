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

// Bundle is a plan, its sheet and its crew file as texts, for the header of a day
// log: what is needed to read the same plan again, and nothing else.
type Bundle struct {
	PlanName  string // file name, for messages
	Plan      []byte
	SheetName string // empty when the sheet stands in the plan
	Sheet     []byte
	CrewName  string // empty when the plan names no crew file
	Crew      []byte
}

// bundleJSON is the form in the log. Texts, not bytes: a log stays readable.
type bundleJSON struct {
	PlanName  string `json:"plan_name"`
	Plan      string `json:"plan"`
	SheetName string `json:"sheet_name,omitempty"`
	Sheet     string `json:"sheet,omitempty"`
	CrewName  string `json:"crew_name,omitempty"`
	Crew      string `json:"crew,omitempty"`
}

// MarshalJSON writes the texts as they are. Files that are not UTF-8, which
// Check refuses, do not survive it.
func (b Bundle) MarshalJSON() ([]byte, error) {
	return json.Marshal(bundleJSON{b.PlanName, string(b.Plan), b.SheetName, string(b.Sheet), b.CrewName, string(b.Crew)})
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
	*b = Bundle{PlanName: j.PlanName, Plan: []byte(j.Plan), SheetName: j.SheetName, CrewName: j.CrewName}
	if j.Sheet != "" {
		b.Sheet = []byte(j.Sheet)
	}
	if j.Crew != "" {
		b.Crew = []byte(j.Crew)
	}
	return nil
}

// Load reads a plan, its sheet and its crew file from fsys. The plan is nil when there is any
// problem; all problems come at once, in the order of the files.
func Load(fsys fs.FS, name string) (*plan.Plan, []Problem) {
	b, ps := Read(fsys, name)
	if len(ps) > 0 {
		return nil, ps
	}
	p, ps, _ := b.Check()
	return p, ps
}

// LoadPath is Load for a path of the operating system. Sheet and crew file are
// looked for beside the plan. The bundle is what was read.
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

// Read reads the texts of a plan and of the sheet and the crew file it names. A
// problem is a plan that cannot be read.
func Read(fsys fs.FS, name string) (Bundle, []Problem) {
	b := Bundle{PlanName: name}
	data, err := readFile(fsys, name)
	if err != nil {
		return b, []Problem{{File: name, What: reason(err), Mend: "give the path of a plan file, or begin with one of the example plans"}}
	}
	b.Plan = data
	parse(name, data, beside{
		sheet: func(sheet string) ([]byte, error) {
			data, err := readFile(fsys, sheet)
			if err == nil {
				b.SheetName, b.Sheet = sheet, data
			}
			return data, err
		},
		crew: func(crew string) ([]byte, error) {
			data, err := readFile(fsys, crew)
			if err == nil {
				b.CrewName, b.Crew = crew, data
			}
			return data, err
		},
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
	carried := func(have string, data []byte) func(string) ([]byte, error) {
		return func(name string) ([]byte, error) {
			if have == "" || name != have {
				return nil, fs.ErrNotExist
			}
			return data, nil
		}
	}
	return parse(b.PlanName, b.Plan, beside{carried(b.SheetName, b.Sheet), carried(b.CrewName, b.Crew)})
}

// Parse reads a plan from its text; file gives the text of a file that the plan
// names, its sheet or its crew file, and is not called where it names none. The
// plan is nil when there is any problem; all problems come at once.
func Parse(name string, data []byte, file func(string) ([]byte, error)) (*plan.Plan, []Problem) {
	p, ps, _ := parse(name, data, beside{file, file})
	return p, ps
}

// beside gives the texts of the files that a plan names.
type beside struct {
	sheet, crew func(name string) ([]byte, error)
}

func parse(name string, data []byte, files beside) (p *plan.Plan, problems, notes []Problem) {
	r := &reading{aliases: map[string]string{}}
	d, ps := readDocument(name, data)
	r.problems, r.plan, r.sheet, r.crew = ps, d, d, d
	def := plan.Default()
	p = &def
	if !d.unread {
		t := &table{r: r, d: d, p: d.root, value: d.value, top: true}
		if !t.has("units") {
			t.missing("units", "the plan does not say its units", `write units = "us" or units = "metric"`)
		}
		t.system(&t.sys)
		p.Units = t.sys
		r.readSheetOf(t, p, files.sheet)
		r.readCrewOf(t, p, files.crew)
		readTop(t, p)
		t.finish()
	}
	switch found := plan.Validate(p); {
	case !r.broken():
		r.take(found)
	case !d.unread && d.value["units"] != nil: // in units not read no figure can be judged
		r.take(r.standing(found))
	}
	if len(r.problems) == 0 {
		r.take(plan.Notes(p))
		return p, nil, sortProblems(append(r.problems, r.notes...), name)
	}
	// What only wants a look comes along: the file is open for mending anyway.
	if !d.unread && d.value["units"] != nil {
		notes := r.standing(plan.Notes(p))
		for i := range notes {
			notes[i].What = "worth a look: " + notes[i].What
		}
		r.take(notes)
		for _, q := range r.notes {
			q.What = "worth a look: " + q.What
			r.problems = append(r.problems, q)
		}
	}
	return nil, sortProblems(r.problems, name), nil
}

// broken reports whether lines of any file were left out for their syntax.
func (r *reading) broken() bool { return r.plan.broken || r.sheet.broken || r.crew.broken }

// standing keeps of ps what is about something that stands in the files as
// read: lines left out for their syntax may only seem to be missing, and names
// may stand in them.
func (r *reading) standing(ps []plan.Problem) (out []plan.Problem) {
	for _, q := range ps {
		parts := strings.Split(q.Key, ".")
		last := parts[len(parts)-1]
		if r.broken() {
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
