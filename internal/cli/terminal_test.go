//go:build unix

package cli

import (
	"bytes"
	"context"
	"errors"
	"io"
	"os"
	"os/exec"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/creack/pty"

	"floorpace/internal/tui"
)

// heard is everything a program wrote to its terminal.
type heard struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (h *heard) listen(r io.Reader) {
	buf := make([]byte, 4096)
	for {
		n, err := r.Read(buf)
		h.mu.Lock()
		h.b.Write(buf[:n])
		h.mu.Unlock()
		if err != nil {
			return
		}
	}
}

func (h *heard) String() string {
	h.mu.Lock()
	defer h.mu.Unlock()
	return h.b.String()
}

// TestConsoleChild is not a test: it is the console that TestTerminalIsPutBack
// runs on a pseudo-terminal.
func TestConsoleChild(t *testing.T) {
	how := os.Getenv("FLOORPACE_TEST_CHILD")
	if how == "" {
		t.Skip("only as a child")
	}
	env := System([]string{"demo"})
	if how == "panic" {
		o, err := (&looks{screen: "mix"}).options(env, tui.Options{Source: still{demoUntilStart(t)}})
		if err != nil {
			t.Fatal(err)
		}
		err = runScreens(context.Background(), env, o, func(context.Context) {
			time.Sleep(700 * time.Millisecond)
			panic("something broke")
		})
		os.Stdout.WriteString("\r\nended: " + strings.ReplaceAll(err.Error(), "\n", " "))
		os.Exit(ExitFailed)
	}
	if how == "screen" {
		o, err := (&looks{screen: "mix"}).options(env, tui.Options{Source: breaking{still{demoUntilStart(t)}, time.Now()}})
		if err != nil {
			t.Fatal(err)
		}
		err = runScreens(context.Background(), env, o, func(ctx context.Context) { <-ctx.Done() })
		os.Stdout.WriteString("\r\nended: " + strings.ReplaceAll(err.Error(), "\n", " "))
		os.Exit(ExitFailed)
	}
	os.Exit(Run(context.Background(), env))
}

// breaking is a source that breaks while the screens look at it.
type breaking struct {
	still
	since time.Time
}

func (b breaking) Waiting() (int, time.Time) {
	if time.Since(b.since) > 1200*time.Millisecond {
		panic("something broke")
	}
	return 0, time.Time{}
}

// However the console ends, the terminal is put back: the alternate screen is
// left and the cursor shows. The line settings are looked at too.
func TestTerminalIsPutBack(t *testing.T) {
	if testing.Short() {
		t.Skip("runs the console eight times")
	}
	for _, c := range []struct {
		how string
		end func(cmd *exec.Cmd, tty *os.File)
	}{
		{"hang-up", func(cmd *exec.Cmd, _ *os.File) { _ = cmd.Process.Signal(syscall.SIGHUP) }},
		{"quit", func(cmd *exec.Cmd, _ *os.File) { _ = cmd.Process.Signal(syscall.SIGQUIT) }},
		{"terminate", func(cmd *exec.Cmd, _ *os.File) { _ = cmd.Process.Signal(syscall.SIGTERM) }},
		{"interrupt", func(cmd *exec.Cmd, _ *os.File) { _ = cmd.Process.Signal(syscall.SIGINT) }},
		{"ctrl-c twice", func(_ *exec.Cmd, tty *os.File) {
			_, _ = tty.WriteString("\x03")
			time.Sleep(500 * time.Millisecond)
			_, _ = tty.WriteString("\x03")
		}},
		{"panic", func(*exec.Cmd, *os.File) {}},
		{"screen panics", func(*exec.Cmd, *os.File) {}},
	} {
		t.Run(c.how, func(t *testing.T) {
			cmd := exec.Command(os.Args[0], "-test.run=^TestConsoleChild$")
			cmd.Env = append(os.Environ(), "FLOORPACE_TEST_CHILD="+strings.Fields(c.how)[0], "TERM=xterm-256color", "LANG=C.UTF-8", "XDG_STATE_HOME="+t.TempDir())
			tty, err := pty.StartWithSize(cmd, &pty.Winsize{Rows: 24, Cols: 80})
			if err != nil {
				t.Fatal(err)
			}
			defer tty.Close()
			said := &heard{}
			go said.listen(tty)
			deadline := time.Now().Add(20 * time.Second)
			for !strings.Contains(said.String(), "\x1b[?1049h") {
				if time.Now().After(deadline) {
					t.Fatalf("no screen came: %q", said)
				}
				time.Sleep(50 * time.Millisecond)
			}
			time.Sleep(400 * time.Millisecond)
			c.end(cmd, tty)
			done := make(chan error, 1)
			go func() { done <- cmd.Wait() }()
			select {
			case err = <-done:
			case <-time.After(20 * time.Second):
				_ = cmd.Process.Kill()
				t.Fatal("the console did not end")
			}
			time.Sleep(100 * time.Millisecond)
			out := said.String()
			on, off := strings.LastIndex(out, "\x1b[?1049h"), strings.LastIndex(out, "\x1b[?1049l")
			if off < on {
				t.Error("the alternate screen was not left")
			}
			if hide, show := strings.LastIndex(out, "\x1b[?25l"), strings.LastIndex(out, "\x1b[?25h"); show < hide {
				t.Error("the cursor was not shown again")
			}
			var ex *exec.ExitError
			if errors.As(err, &ex) && ex.ExitCode() < 0 {
				t.Errorf("the signal ended the program instead of being handled: %v", err)
			}
			if strings.Contains(c.how, "panic") && !strings.Contains(out[max(off, 0):], "something broke") {
				t.Errorf("the failure is not said after the screen was left: %q", out[max(off, 0):])
			}
		})
	}
}

// A closed window: the terminal goes away, and the program ends.
func TestClosedWindowEnds(t *testing.T) {
	if testing.Short() {
		t.Skip("runs the console")
	}
	cmd := exec.Command(os.Args[0], "-test.run=^TestConsoleChild$")
	cmd.Env = append(os.Environ(), "FLOORPACE_TEST_CHILD=window", "TERM=xterm-256color", "LANG=C.UTF-8", "XDG_STATE_HOME="+t.TempDir())
	tty, err := pty.StartWithSize(cmd, &pty.Winsize{Rows: 24, Cols: 80})
	if err != nil {
		t.Fatal(err)
	}
	said := &heard{}
	go said.listen(tty)
	for i := 0; i < 200 && !strings.Contains(said.String(), "\x1b[?1049h"); i++ {
		time.Sleep(50 * time.Millisecond)
	}
	tty.Close()
	done := make(chan error, 1)
	go func() { done <- cmd.Wait() }()
	select {
	case <-done:
	case <-time.After(20 * time.Second):
		_ = cmd.Process.Kill()
		t.Error("the console goes on without a terminal")
	}
}
