package record

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
)

// Schema is the published form of the data document, JSON Schema 2020-12.
//
//go:embed schema.json
var Schema []byte

// WriteJSON writes the record as one data document in SI; Schema describes it.
func (p *Paper) WriteJSON(w io.Writer) error {
	e := json.NewEncoder(w)
	e.SetIndent("", " ")
	if err := e.Encode(p); err != nil {
		return fmt.Errorf("the data document: %w", err)
	}
	return nil
}

// Save writes all papers into dir, which must be there, under one name: the
// page, the PDF, the comma-separated files and the data document. Each file is
// whole or not there. It returns the names written.
func (p *Paper) Save(dir, name string, size PaperSize) ([]string, error) {
	type out struct {
		name  string
		write func(io.Writer) error
	}
	files := []out{
		{name + ".html", p.WriteHTML},
		{name + ".pdf", func(w io.Writer) error { return p.WritePDF(w, size) }},
		{name + ".json", p.WriteJSON},
	}
	for _, c := range p.CSV() {
		files = append(files, out{name + "-" + c.Name + ".csv", c.Write})
	}
	var done []string
	for _, f := range files {
		path := filepath.Join(dir, f.name)
		if err := whole(path, f.write); err != nil {
			return done, err
		}
		done = append(done, path)
	}
	return done, nil
}

// whole writes a file beside its name and renames it when it is on disk, so
// that a paper of before is replaced by a whole one or stays.
func whole(path string, write func(io.Writer) error) (err error) {
	tmp := path + ".part"
	f, err := os.OpenFile(tmp, os.O_WRONLY|os.O_CREATE|os.O_TRUNC, 0o644)
	if err != nil {
		return fmt.Errorf("cannot be written: %w", err)
	}
	defer func() {
		if err != nil {
			_ = os.Remove(tmp) // the first error is the one to tell
		}
	}()
	err = write(f)
	if err == nil {
		err = f.Sync()
	}
	if cerr := f.Close(); err == nil {
		err = cerr
	}
	if err == nil {
		err = os.Rename(tmp, path)
	}
	if err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	return nil
}
