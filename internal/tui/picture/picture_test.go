package picture

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"strings"
	"testing"
	"time"

	"floorpace/internal/tui/frame"
	"floorpace/internal/tui/look"

	tea "github.com/charmbracelet/bubbletea"
)

const childVar = "PICTURE_TEST_CHILD"

func TestMain(m *testing.M) {
	if os.Getenv(childVar) != "" {
		if _, err := tea.NewProgram(&child{}, tea.WithAltScreen()).Run(); err != nil {
			fmt.Println(err)
			os.Exit(3)
		}
		return
	}
	os.Exit(m.Run())
}

// child is a console as small as can be: it shows its size and the last key.
type child struct {
	w, h int
	last string
}

func (c *child) Init() tea.Cmd { return nil }

func (c *child) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		c.w, c.h = msg.Width, msg.Height
	case tea.KeyMsg:
		c.last = msg.String()
		if c.last == "q" {
			return c, tea.Quit
		}
	}
	return c, nil
}

func (c *child) View() string {
	cv := frame.New(look.New(look.Dark(), look.TrueColor, look.Unicode), c.w, c.h)
	p := cv.Pane()
	p.Print(2, 1, look.Good, fmt.Sprintf("size %d×%d", c.w, c.h))
	p.Print(2, 2, look.PlateBad, "key "+c.last)
	p.PrintRight(c.w, c.h-1, look.Dim, "corner")
	return cv.String()
}

func startChild(t *testing.T, w, h int) *Terminal {
	t.Helper()
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), childVar+"=1", "TERM=xterm-256color", "COLORTERM=truecolor")
	term, err := Start(w, h, cmd)
	if err != nil {
		t.Skipf("no pseudo-terminal here: %v", err)
	}
	t.Cleanup(term.Close)
	return term
}

const patience = 10 * time.Second // a slow machine; the usual wait is a few milliseconds

func TestProgramOnTerminal(t *testing.T) {
	began := time.Now()
	term := startChild(t, 40, 6)
	s, err := term.WaitText("size 40×6", patience)
	if err != nil {
		t.Fatal(err)
	}
	if took := time.Since(began); took > 4*time.Second {
		t.Errorf("the first screen took %v: somebody waits for an answer from the terminal", took)
	}
	if x, y, _ := s.Find("corner"); x != 34 || y != 5 {
		t.Errorf("the last word stands at %d, %d, want 34, 5", x, y)
	}
	good := look.Dark().Pairs[look.Good]
	if got, want := s.At(2, 1).Ink, (Colour{good.Ink.R, good.Ink.G, good.Ink.B, true}); got != want {
		t.Errorf("ink of the size: got %v, want %v", got, want)
	}
	if err := term.Send("x"); err != nil {
		t.Fatal(err)
	}
	if _, err := term.WaitText("key x", patience); err != nil {
		t.Fatal(err)
	}
	if err := term.Resize(60, 9); err != nil {
		t.Fatal(err)
	}
	if s, err = term.WaitText("size 60×9", patience); err != nil {
		t.Fatal(err)
	}
	if s.W != 60 || s.H != 9 || !s.Has("key x") {
		t.Errorf("after the resize: %d×%d\n%s", s.W, s.H, s.Text())
	}
	if term.Sent() == 0 {
		t.Error("no bytes counted")
	}
	if err := term.Send("q"); err != nil {
		t.Fatal(err)
	}
	if err := term.Ended(patience); err != nil {
		t.Errorf("ended with %v", err)
	}
}

func TestKillAndImpatience(t *testing.T) {
	term := startChild(t, 30, 4)
	if _, err := term.WaitText("size", patience); err != nil {
		t.Fatal(err)
	}
	if _, err := term.WaitText("never shown", 30*time.Millisecond); err == nil || !strings.Contains(err.Error(), "size 30×4") {
		t.Errorf("got %v, want an error that shows the screen", err)
	}
	if err := term.Ended(10 * time.Millisecond); !errors.Is(err, ErrStillRunning) {
		t.Errorf("got %v, want %v", err, ErrStillRunning)
	}
	if err := term.Kill(); err != nil {
		t.Fatal(err)
	}
	var exit *exec.ExitError
	if err := term.Ended(patience); !errors.As(err, &exit) {
		t.Errorf("after the kill: %v, want an exit error", err)
	}
	if _, err := term.WaitText("never shown", patience); err == nil || !strings.Contains(err.Error(), "ended") {
		t.Errorf("got %v, want an error that says the program ended", err)
	}
}

func TestFromString(t *testing.T) {
	c := frame.New(look.New(look.Sun(), look.TrueColor, look.Unicode), 12, 2)
	c.Pane().Print(0, 0, look.Text, "日本 ok")
	c.Pane().Print(3, 1, look.PlateBad, "<gone>")
	s := FromString(c.String(), 12, 2)
	if got, want := s.Text(), "日本 ok\n   <gone>"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
	bad := look.Sun().Pairs[look.PlateBad].Ground
	if got := s.At(4, 1).Ground; got != (Colour{bad.R, bad.G, bad.B, true}) {
		t.Errorf("ground of the plate: %v", got)
	}
	if x, y, ok := s.Find("ok"); !ok || x != 5 || y != 0 {
		t.Errorf("found at %d, %d, %v; want 5, 0: a wide character takes two cells", x, y, ok)
	}
}

// The picture is well-formed, holds every word once, and equal screens give
// equal bytes.
func TestSVG(t *testing.T) {
	c := frame.New(look.New(look.Dark(), look.TrueColor, look.Unicode), 20, 3)
	p := c.Pane()
	p.Print(0, 0, look.Text, "pace & <edge>")
	p.Print(0, 1, look.Bare, "█▀▄▌⣿░")
	p.Print(0, 2, look.Warn, "日本")
	svg := FromString(c.String(), 20, 3).SVG()
	d := xml.NewDecoder(strings.NewReader(svg))
	words := ""
	for {
		tok, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatalf("not well-formed: %v\n%s", err, svg)
		}
		if cd, ok := tok.(xml.CharData); ok {
			words += strings.TrimSpace(string(cd)) + " "
		}
	}
	if got, want := strings.Join(strings.Fields(words), " "), "pace & <edge> 日本"; got != want {
		t.Errorf("words: got %q, want %q (blocks are shapes)", got, want)
	}
	if again := FromString(c.String(), 20, 3).SVG(); again != svg {
		t.Error("the same screen gave another picture")
	}
	if want := `width="198" height="72"`; !strings.Contains(svg, want) { // 20·9 + 2·9, 3·18 + 2·9
		t.Errorf("size is not %s", want)
	}
}

func TestGolden(t *testing.T) {
	path := t.TempDir() + "/deep/kept.txt"
	t.Setenv("UPDATE_GOLDEN", "1")
	Golden(t, path, "as it was")
	t.Setenv("UPDATE_GOLDEN", "")
	Golden(t, path, "as it was")
	spy := &spyTB{TB: t}
	Golden(spy, path, "as it is")
	if !spy.failed {
		t.Error("a difference went unnoticed")
	}
}

type spyTB struct {
	testing.TB
	failed bool
}

func (s *spyTB) Helper()               {}
func (s *spyTB) Errorf(string, ...any) { s.failed = true }
