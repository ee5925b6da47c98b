package tui

import (
	"context"
	"errors"
	"io"
	"os"
	"sync"

	tea "github.com/charmbracelet/bubbletea"
)

// framesPerSecond bounds how often a changed screen is written. The screen
// changes once a second and after a key; between that the writer only compares.
const framesPerSecond = 60

// Run shows the console until it is left, the input ends or ctx is done. The
// terminal is put back as it was, after a panic too. in and out are the
// terminal's own files where there is one: the size arrives through them.
func Run(ctx context.Context, m *Model, in io.Reader, out io.Writer) error {
	end := &ending{}
	quiet := &writer{out: out}
	opts := []tea.ProgramOption{
		tea.WithAltScreen(), tea.WithFPS(framesPerSecond), tea.WithContext(ctx), tea.WithFilter(sameSize),
		tea.WithInput(end.watch(in)), tea.WithOutput(quiet.file()),
	}
	if m.o.Bell == nil {
		m.o.Bell = func() { _, _ = quiet.Write([]byte{'\a'}) }
	}
	p := tea.NewProgram(m, opts...)
	end.tell = func() { p.Send(endMsg{}) }
	_, err := p.Run()
	if errors.Is(err, tea.ErrProgramKilled) && ctx.Err() != nil {
		return nil // asked to end from outside: not a failure of the screen
	}
	return err
}

// sameSize drops a size that is already shown: the renderer would send the
// whole screen again, once a second.
func sameSize(model tea.Model, msg tea.Msg) tea.Msg {
	s, ok := msg.(tea.WindowSizeMsg)
	if m, is := model.(*Model); ok && is && s.Width == m.w && s.Height == m.h {
		return nil
	}
	return msg
}

// ending notices the end of the input: a terminal that went away, a pipe that
// closed. Bubble Tea itself would wait for ever.
type ending struct {
	tell func()
	once sync.Once
}

func (e *ending) watch(in io.Reader) io.Reader {
	if f, ok := in.(*os.File); ok {
		return &watchedFile{f, e}
	}
	return &watchedReader{in, e}
}

func (e *ending) saw(err error) {
	if errors.Is(err, io.EOF) {
		e.once.Do(func() { go e.tell() }) // Send blocks until the program takes it
	}
}

type watchedReader struct {
	io.Reader
	e *ending
}

func (r *watchedReader) Read(b []byte) (int, error) {
	n, err := r.Reader.Read(b)
	r.e.saw(err)
	return n, err
}

// watchedFile keeps the file's own handle visible: raw mode and size need it.
type watchedFile struct {
	*os.File
	e *ending
}

func (f *watchedFile) Read(b []byte) (int, error) {
	n, err := f.File.Read(b)
	f.e.saw(err)
	return n, err
}

// writer lets the bell ring between two frames, never inside one.
type writer struct {
	mu  sync.Mutex
	out io.Writer
}

func (w *writer) Write(b []byte) (int, error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.out.Write(b)
}

// file is the writer with the handle of a file behind it, where there is one.
func (w *writer) file() io.Writer {
	if f, ok := w.out.(*os.File); ok {
		return &writtenFile{f, w}
	}
	return w
}

type writtenFile struct {
	*os.File
	w *writer
}

func (f *writtenFile) Write(b []byte) (int, error) { return f.w.Write(b) }

// WriteString would go past the lock by way of the file's own method.
func (f *writtenFile) WriteString(s string) (int, error) { return f.w.Write([]byte(s)) }
