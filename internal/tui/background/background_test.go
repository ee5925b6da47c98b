package background_test

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"testing"
	"time"

	_ "floorpace/internal/tui/background"

	_ "github.com/charmbracelet/bubbletea" // asks in its init unless we came first
	"github.com/creack/pty"
)

const childVar = "BACKGROUND_TEST_CHILD"

func TestMain(m *testing.M) {
	if os.Getenv(childVar) != "" {
		fmt.Print("up")
		return
	}
	os.Exit(m.Run())
}

// A program with both packages in it starts on a terminal that never answers
// without asking it anything. Bubble Tea alone would ask twice and wait five
// seconds.
func TestSilentTerminalIsNotAsked(t *testing.T) {
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), childVar+"=1", "TERM=xterm-256color")
	start := time.Now()
	tty, err := pty.Start(cmd)
	if err != nil {
		t.Skipf("no pseudo-terminal on this system: %v", err)
	}
	defer tty.Close()
	var got bytes.Buffer
	buf := make([]byte, 256)
	for { // a closed pseudo-terminal ends in an error on Linux, in EOF elsewhere
		n, err := tty.Read(buf)
		got.Write(buf[:n])
		if err != nil {
			break
		}
	}
	if err := cmd.Wait(); err != nil {
		t.Fatal(err)
	}
	if got.String() != "up" {
		t.Errorf("the terminal was sent %q, want only %q", got.String(), "up")
	}
	took := time.Since(start)
	t.Logf("started in %v", took)
	if took > 3*time.Second {
		t.Errorf("start took %v; Bubble Tea's own wait is 5 s, so it must have asked", took)
	}
}
