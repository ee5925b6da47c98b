package picture

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"sync"
	"time"

	"github.com/charmbracelet/x/vt"
	"github.com/creack/pty"
)

// Terminal is a program running on a pseudo-terminal with an emulator behind
// it. Its methods may be called from any goroutine.
type Terminal struct {
	cmd *exec.Cmd
	tty *os.File

	mu      sync.Mutex // guards all below; the emulator has no lock of its own that covers reading cells
	emu     *vt.Emulator
	w, h    int
	bytes   int64
	bells   int
	changed chan struct{} // closed and replaced after each write to the emulator

	ended   chan struct{} // closed when the program's output has ended
	waitErr error
	close   sync.Once
}

// Start runs cmd on a terminal of w × h cells. Environment entries TERM and
// COLORTERM are set for a 24-bit terminal unless cmd.Env is already filled in.
func Start(w, h int, cmd *exec.Cmd) (*Terminal, error) {
	if cmd.Env == nil {
		cmd.Env = append(os.Environ(), "TERM=xterm-256color", "COLORTERM=truecolor", "NO_COLOR=")
	}
	tty, err := pty.StartWithSize(cmd, &pty.Winsize{Rows: uint16(h), Cols: uint16(w)})
	if err != nil {
		return nil, fmt.Errorf("start %s on a pseudo-terminal: %w", cmd.Path, err)
	}
	t := &Terminal{cmd: cmd, tty: tty, emu: vt.NewEmulator(w, h), w: w, h: h, changed: make(chan struct{}), ended: make(chan struct{})}
	t.emu.SetCallbacks(vt.Callbacks{Bell: func() { t.bells++ }})
	// The emulator answers queries (colours, cursor place); a program may wait
	// seconds for them, so they go back to it.
	go func() { _, _ = io.Copy(tty, t.emu) }()
	go t.pump()
	return t, nil
}

func (t *Terminal) pump() {
	buf := make([]byte, 1<<16)
	for {
		n, err := t.tty.Read(buf)
		t.mu.Lock()
		if n > 0 {
			t.bytes += int64(n)
			_, _ = t.emu.Write(buf[:n])
		}
		close(t.changed)
		t.changed = make(chan struct{})
		t.mu.Unlock()
		if err != nil {
			break
		}
	}
	t.waitErr = t.cmd.Wait()
	close(t.ended)
}

// Send types text as it is: "1", "\t", "\r", "\x1b[A".
func (t *Terminal) Send(keys string) error {
	_, err := io.WriteString(t.tty, keys)
	return err
}

// Screen gives what stands on the terminal now.
func (t *Terminal) Screen() Screen {
	s, _ := t.look()
	return s
}

func (t *Terminal) look() (Screen, chan struct{}) {
	t.mu.Lock()
	defer t.mu.Unlock()
	return read(t.emu, t.w, t.h), t.changed
}

// Sent gives how many bytes the program has written so far.
func (t *Terminal) Sent() int64 {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.bytes
}

// Bells gives how often the bell has rung so far.
func (t *Terminal) Bells() int {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.bells
}

// Wait waits until a screen is as wanted and gives it; after the time-out, or
// when the program has ended, the error shows what stood there instead.
func (t *Terminal) Wait(what string, timeout time.Duration, wanted func(Screen) bool) (Screen, error) {
	ctx, cancel := context.WithTimeout(context.Background(), timeout)
	defer cancel()
	for {
		s, changed := t.look()
		if wanted(s) {
			return s, nil
		}
		select {
		case <-changed:
		case <-t.ended:
			if s, _ = t.look(); wanted(s) {
				return s, nil
			}
			return s, fmt.Errorf("the program ended (%v) while waiting for %s; on screen:\n%s", t.waitErr, what, s.Text())
		case <-ctx.Done():
			return s, fmt.Errorf("waited %v in vain for %s; on screen:\n%s", timeout, what, s.Text())
		}
	}
}

// WaitText waits until words stand in one row.
func (t *Terminal) WaitText(words string, timeout time.Duration) (Screen, error) {
	return t.Wait(fmt.Sprintf("%q", words), timeout, func(s Screen) bool { return s.Has(words) })
}

// Resize changes the size of the terminal and tells the program.
func (t *Terminal) Resize(w, h int) error {
	t.mu.Lock()
	t.emu.Resize(w, h)
	t.w, t.h = w, h
	t.mu.Unlock()
	return pty.Setsize(t.tty, &pty.Winsize{Rows: uint16(h), Cols: uint16(w)})
}

// Pid gives the process id of the program.
func (t *Terminal) Pid() int { return t.cmd.Process.Pid }

// Kill ends the program at once, as a lost battery would.
func (t *Terminal) Kill() error {
	err := t.cmd.Process.Kill()
	<-t.ended
	return err
}

// ErrStillRunning is given by Ended when the time ran out.
var ErrStillRunning = errors.New("the program is still running")

// Ended waits for the program to end by itself and gives its error (nil for
// exit code 0, *exec.ExitError for others).
func (t *Terminal) Ended(timeout time.Duration) error {
	ctx, cancel := context.WithTimeout(context.Background(), timeout)
	defer cancel()
	select {
	case <-t.ended:
		return t.waitErr
	case <-ctx.Done():
		return ErrStillRunning
	}
}

// Close kills the program if it still runs and lets go of the terminal.
func (t *Terminal) Close() {
	t.close.Do(func() {
		_ = t.cmd.Process.Kill()
		<-t.ended
		// Closing the pipe ends the goroutine that copies replies; closing the
		// emulator itself would race with it.
		if c, ok := t.emu.InputPipe().(io.Closer); ok {
			_ = c.Close()
		}
		_ = t.tty.Close()
	})
}
