package tui

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"sync"

	tea "github.com/charmbracelet/bubbletea"
)

// framesPerSecond is for Bubble Tea's own writer, which has nothing to do: our
// painter writes as soon as a frame is drawn.
const framesPerSecond = 10

// sizeMsg is a size of the terminal, kept from Bubble Tea's own writer: it
// would send its whole screen again with each, once a second.
type sizeMsg struct{ w, h int }

func ownSize(_ tea.Model, msg tea.Msg) tea.Msg {
	if s, ok := msg.(tea.WindowSizeMsg); ok {
		return sizeMsg{s.Width, s.Height}
	}
	return msg
}

// painted is the model as Bubble Tea sees it: its frames go to the painter.
type painted struct {
	m *Model
	p *painter
}

func (s painted) Init() tea.Cmd { return s.m.Init() }

func (s painted) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	_, cmd := s.m.Update(msg)
	return s, cmd
}

func (s painted) View() string {
	if s.m.redraw() {
		s.p.show(s.m.canvas)
	}
	return " "
}

// Run shows the console until it is left, the input ends or ctx is done. The
// terminal is put back as it was, after a panic too. in and out are the
// terminal's own files where there is one: the size arrives through them.
func Run(ctx context.Context, m *Model, in io.Reader, out io.Writer) error {
	end, paint := &ending{}, newPainter(out)
	if m.o.Bell == nil {
		m.o.Bell = paint.ring
	}
	p := tea.NewProgram(
		painted{m, paint},
		tea.WithoutSignalHandler(), tea.WithAltScreen(), tea.WithFPS(framesPerSecond), tea.WithContext(ctx), tea.WithFilter(ownSize),
		tea.WithInput(end.watch(in)), tea.WithOutput(paint.file()),
	)
	end.tell = func() { p.Send(endMsg{}) }
	stop, stopped := make(chan struct{}), make(chan any, 1)
	go func() {
		defer func() {
			r := recover()
			stopped <- r
			if r != nil {
				p.Kill() // the terminal is put back, then the panic is told
			}
		}()
		paint.run(stop)
	}()
	_, err := p.Run()
	close(stop)
	if r := <-stopped; r != nil {
		return fmt.Errorf("drawing the screen failed and the console was ended: %v", r)
	}
	if errors.Is(err, tea.ErrProgramKilled) && ctx.Err() != nil {
		return nil // asked to end from outside: not a failure of the screen
	}
	return err
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
