package tui

import (
	"context"
	"fmt"
	"io"
	"os"
	"os/exec"
	"strings"
	"testing"
	"time"

	"floorpace/internal/day"
	"floorpace/internal/daylog"
	"floorpace/internal/tui/look"
	"floorpace/internal/tui/picture"
)

// asConsole makes the test binary run the console on its terminal, so that
// tests can drive the real program loop.
const asConsole = "FLOORPACE_TEST_CONSOLE"

func TestMain(m *testing.M) {
	if os.Getenv(asConsole) != "" {
		if err := live(); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		os.Exit(0)
	}
	os.Exit(m.Run())
}

// live runs the console over a day in mid-row whose clock runs with the real
// one from there.
func live() error {
	t := &failing{}
	c := open(t, samplePlan())
	c.pour(t, 11)
	from, began := c.clock.Now(), time.Now()
	now := func() daylog.Reading {
		up := time.Since(began)
		return daylog.Reading{Wall: from.Wall.Add(up), Mono: from.Mono + up, Awake: from.Awake + up, Boot: from.Boot}
	}
	return Run(context.Background(), New(Options{Source: &beating{c, now}, Now: now, Profile: look.TrueColor}), os.Stdin, os.Stdout)
}

// beating moves the crew's clock with the real one, as the writer beside a live
// console does.
type beating struct {
	*crew
	now func() daylog.Reading
}

func (b *beating) Press(p day.Press, at time.Time) bool {
	b.clock.wall = b.now().Wall
	return b.crew.Press(p, at)
}

type failing struct{ testing.TB }

func (failing) Helper()                   {}
func (failing) Fatal(a ...any)            { panic(fmt.Sprint(a...)) }
func (failing) Fatalf(f string, a ...any) { panic(fmt.Sprintf(f, a...)) }

func start(t *testing.T, w, h int) *picture.Terminal {
	t.Helper()
	cmd := exec.Command(os.Args[0], "-test.run=^$")
	cmd.Env = append(os.Environ(), asConsole+"=1", "TERM=xterm-256color", "COLORTERM=truecolor")
	term, err := picture.Start(w, h, cmd)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(term.Close)
	if _, err := term.WaitText("PACE HOLDS", 10*time.Second); err != nil {
		t.Fatal(err)
	}
	return term
}

// On a real terminal: keys, both screens, a resize, leaving by two Ctrl+C.
func TestOnATerminal(t *testing.T) {
	term := start(t, 80, 24)
	steps := []struct{ send, want string }{
		{"3", "batch 12 started, mixer 3"},
		{"u", "took back"},
		{"r", "Reading of"},
		{"1", "slab:"},
		{"19.5\r", "read slab 19.5"},
		{"\x1b", "tab Edge"},
		{"\t", "tab Mix"},
		{"?", "What works now"},
		{"x", "tab Mix"},
		{"\x1a", "Ctrl+Z does nothing"},
	}
	for _, s := range steps {
		time.Sleep(350 * time.Millisecond) // a hand
		if err := term.Send(s.send); err != nil {
			t.Fatal(err)
		}
		if _, err := term.WaitText(s.want, 5*time.Second); err != nil {
			t.Fatalf("after %q: %v", s.send, err)
		}
	}
	if err := term.Resize(160, 45); err != nil {
		t.Fatal(err)
	}
	if _, err := term.Wait("the larger size", 5*time.Second, func(s picture.Screen) bool { return strings.HasSuffix(strings.TrimSpace(s.Line(44)), "help") }); err != nil {
		t.Fatal(err)
	}
	_ = term.Send("\x03")
	if _, err := term.WaitText("Ctrl+C again", 5*time.Second); err != nil {
		t.Fatal(err)
	}
	time.Sleep(50 * time.Millisecond)
	_ = term.Send("\x03")
	if err := term.Ended(5 * time.Second); err != nil {
		t.Errorf("left with %v", err)
	}
}

// An idle console at 160×45 sends next to nothing: 2 KB a second is what a
// telephone's line bears.
func TestIdleSendsLittle(t *testing.T) {
	if testing.Short() {
		t.Skip("takes eight seconds")
	}
	term := start(t, 160, 45)
	time.Sleep(time.Second)
	before, cpu := term.Sent(), processorTime(term.Pid())
	const seconds = 8 // ticks of 10 ms: to an eighth of one in a hundred
	time.Sleep(seconds * time.Second)
	perSecond := float64(term.Sent()-before) / seconds
	busy := 100 * (processorTime(term.Pid()) - cpu) / seconds
	t.Logf("%.0f bytes a second, %.2f %% of a core", perSecond, busy)
	if busy > 1 && !raceOn {
		t.Errorf("an idle screen takes %.2f %% of a core, want at most 1", busy)
	}
	if perSecond > 2048 {
		t.Errorf("an idle screen sends %.0f bytes a second, want at most 2048", perSecond)
	}
	if perSecond == 0 {
		t.Error("an idle screen sends nothing: the heartbeat stands still")
	}
}

// processorTime is what a process has used so far, seconds, where the system
// says so in the way of Linux (ticks of 10 ms); 0 elsewhere.
func processorTime(pid int) float64 {
	b, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", pid))
	if err != nil {
		return 0
	}
	_, rest, _ := strings.Cut(string(b), ") ")
	f := strings.Fields(rest)
	if len(f) < 13 {
		return 0
	}
	var user, system float64
	_, _ = fmt.Sscan(f[11], &user)
	_, _ = fmt.Sscan(f[12], &system)
	return (user + system) / 100
}

// The end of the input ends the console, and so does the context.
func TestEndOfInputEnds(t *testing.T) {
	c := open(t, samplePlan())
	m := console(c, plainOptions())
	done := make(chan error, 1)
	in, pipe := io.Pipe()
	go func() { done <- Run(context.Background(), m, in, io.Discard) }()
	time.Sleep(100 * time.Millisecond)
	_ = pipe.Close()
	select {
	case err := <-done:
		if err != nil {
			t.Errorf("ended with %v", err)
		}
	case <-time.After(5 * time.Second):
		t.Fatal("the console does not end with its input")
	}

	ctx, cancel := context.WithCancel(context.Background())
	in, _ = io.Pipe()
	m = console(c, plainOptions())
	go func() { done <- Run(ctx, m, in, io.Discard) }()
	time.Sleep(100 * time.Millisecond)
	cancel()
	select {
	case err := <-done:
		if err != nil {
			t.Errorf("ended from outside with %v", err)
		}
	case <-time.After(5 * time.Second):
		t.Fatal("the console does not end with its context")
	}
}
