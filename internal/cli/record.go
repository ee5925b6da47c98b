package cli

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"floorpace/internal/clean"
	"floorpace/internal/day"
	"floorpace/internal/daylog"
	"floorpace/internal/pace"
	"floorpace/internal/plan"
	"floorpace/internal/record"
	"floorpace/internal/shift"
)

func newRecord(env *Env) *cobra.Command {
	var dir, size string
	c := &cobra.Command{
		Use:   "record LOG...",
		Short: "Write the day's papers: page, PDF, tables, data",
		Long: `record writes the papers of a day from its log into the current folder: one page
for the browser that prints on A4 and Letter, a PDF, four comma-separated files
(batches, readings, calls, yield) and one data document. LOG is a log file or the
folder of a day; each LOG gives papers of its own. What does not fit together is
listed first, all at once; nothing is mended.

Exit 0 nothing was found, 1 the papers are written and say what does not fit,
2 bad input: nothing was written.

` + caution,
		Args: cobra.MinimumNArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			return writeRecords(env, args, dir, size)
		},
	}
	c.Flags().StringVar(&dir, "out", ".", "folder for the papers")
	c.Flags().StringVar(&size, "paper", "", "paper of the PDF: a4 or letter (default: letter for US units, else a4)")
	return c
}

// pouredDay is a day read back from its log.
type pouredDay struct {
	path   string
	name   string // for papers and columns
	plan   *plan.Plan
	floors []*pace.Zone
	events []day.Event
	log    record.Log
}

// readPoured reads a day and everything known of its files.
func readPoured(arg string) (*pouredDay, error) {
	path, err := logPath(arg)
	if err != nil {
		return nil, err
	}
	records, header, err := readDay(path)
	if err != nil {
		return nil, err
	}
	p, err := planOf(header.Plan)
	if err != nil {
		return nil, err
	}
	floors, err := pace.Floors(p.Plan)
	if err != nil {
		return nil, fail(ExitUsage, "%s: %v", path, err)
	}
	d := &pouredDay{path: path, plan: p.Plan, floors: floors, events: shift.Events(records)}
	if d.log, err = logFacts(path, header.Day, records); err != nil {
		return nil, err
	}
	d.name = "record-" + header.Day
	if abs, err := filepath.Abs(path); err == nil && filepath.Base(filepath.Dir(abs)) != "" && strings.HasPrefix(filepath.Base(filepath.Dir(abs)), header.Day) {
		d.name = "record-" + filepath.Base(filepath.Dir(abs)) // a second day of one date has a folder of its own
	}
	return d, nil
}

// logFacts says how the files of a day stand.
func logFacts(path, date string, records []daylog.Record) (record.Log, error) {
	out := record.Log{Day: date}
	files := logFiles(filepath.Dir(path))
	if len(files) == 0 {
		files = []string{path}
	}
	r, err := daylog.Verify(daylog.OS(), files...)
	if err != nil && !errors.Is(err, daylog.ErrForeign) {
		return out, fail(ExitDamage, "%v", err)
	}
	names := map[string]string{} // writer → file
	for _, f := range r.Files {
		if f.Writer == "" {
			continue
		}
		seal := record.Text{S: f.Seal}
		if f.Seal == "" {
			seal = record.Text{NA: "no sealing event that holds is on it"}
		}
		names[f.Writer] = filepath.Base(f.Path)
		out.Files = append(out.Files, record.LogFile{
			Name: clean.String(filepath.Base(f.Path)), Station: clean.String(f.Station), Writer: clean.String(f.Writer), App: clean.String(f.App),
			Verdict: f.Verdict, Events: f.Events, Seal: seal, Unsealed: f.Unsealed,
		})
	}
	for _, w := range r.Words {
		out.Words = append(out.Words, clean.String(w))
	}
	out.Missing, out.Forks = r.Missing, r.Forks
	last := map[string]daylog.Record{}
	for _, q := range records {
		if before, ok := last[q.Writer]; ok && q.Wall.Before(before.Wall) {
			out.Backward = append(out.Backward, record.Backward{File: names[q.Writer], Line: q.N, At: q.Wall, Seconds: before.Wall.Sub(q.Wall).Seconds()})
		}
		last[q.Writer] = q
	}
	return out, nil
}

// paper builds the record of a day.
func (d *pouredDay) paper(now time.Time) (*record.Paper, error) {
	q, err := record.Build(d.plan, d.floors, d.events, d.log, now)
	if err != nil {
		return nil, fail(ExitUsage, "%s: %v", d.path, err)
	}
	return q, nil
}

func writeRecords(env *Env, args []string, dir, size string) error {
	paper, err := paperSize(size)
	if err != nil {
		return err
	}
	if st, err := os.Stat(dir); err == nil && !st.IsDir() {
		return fail(ExitUsage, "--out %s: this is a file, not a folder", dir)
	}
	days, err := readAll(args)
	if err != nil {
		return err
	}
	if err := os.MkdirAll(dir, 0o755); err != nil { // only now: bad input leaves nothing behind
		return fail(ExitFailed, "%v", err)
	}
	p := &page{w: env.Out}
	found := 0
	taken := map[string]int{}
	for _, d := range days {
		q, err := d.paper(env.wall())
		if err != nil {
			return err
		}
		name := d.name
		if taken[d.name]++; taken[d.name] > 1 {
			name = fmt.Sprintf("%s-%d", d.name, taken[d.name])
		}
		to := paper
		if to == "" {
			to = record.SizeFor(d.plan.Units)
		}
		for i, f := range q.Findings {
			if i == 0 {
				p.say("%s: does not fit together:", d.path)
			}
			p.say("  %s, %s: %s", f.Kind, f.Where, f.What)
		}
		found += len(q.Findings)
		files, err := q.Save(dir, name, to)
		if err != nil {
			return fail(ExitFailed, "%v\nchoose a folder that can be written with --out DIR", err)
		}
		for _, f := range files {
			p.say("%s", f)
		}
	}
	p.say("%s", caution)
	switch {
	case p.err != nil:
		return &exit{ExitFailed, p.err}
	case found > 0:
		return &exit{code: ExitNo}
	}
	return nil
}

// readAll reads every day before anything is written.
func readAll(args []string) ([]*pouredDay, error) {
	var out []*pouredDay
	for _, a := range args {
		d, err := readPoured(a)
		if err != nil {
			return nil, err
		}
		out = append(out, d)
	}
	return out, nil
}

func paperSize(s string) (record.PaperSize, error) {
	switch strings.ToLower(s) {
	case "":
		return "", nil
	case "a4":
		return record.A4, nil
	case "letter":
		return record.Letter, nil
	}
	return "", fail(ExitUsage, "--paper %s: write a4 or letter", s)
}
