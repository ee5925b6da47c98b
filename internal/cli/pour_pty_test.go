package cli_test

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"strings"
	"testing"
	"time"

	"floorpace/config"
	"floorpace/internal/cli/sysclock"
	"floorpace/internal/day"
	"floorpace/internal/daylog"
	"floorpace/internal/pace"
	"floorpace/internal/planfile"
	"floorpace/internal/shift"
	"floorpace/internal/tui/picture"
)

// program builds the real program once.
func program(t *testing.T) string {
	t.Helper()
	if runtime.GOOS == "windows" {
		t.Skip("no pseudo-terminal of this kind on Windows")
	}
	bin := filepath.Join(t.TempDir(), "floorpace")
	out, err := exec.Command("go", "build", "-o", bin, "floorpace/cmd/floorpace").CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	return bin
}

// place is a folder with the shipped US plan in it.
func place(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	for _, name := range []string{config.USPlan, "flow-urethane.toml"} {
		data, err := config.Files.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, name), data, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// rate is how fast the clock of the driven program runs: a minute of the pour
// is three seconds of the test.
const rate = 20

type console struct {
	t    *testing.T
	bin  string
	dir  string
	env  []string
	term *picture.Terminal
}

func newConsole(t *testing.T) *console {
	c := &console{t: t, bin: program(t), dir: place(t)}
	ms := sysclock.New().Now().Mono.Milliseconds()
	c.env = append(os.Environ(), "TERM=xterm-256color", "COLORTERM=truecolor", "LANG=C.UTF-8", "LC_ALL=C.UTF-8", "NO_COLOR=",
		"XDG_STATE_HOME="+filepath.Join(c.dir, "state"), fmt.Sprintf("FLOORPACE_TEST_CLOCK=%d,2026-05-02T04:00:00-07:00,%d", rate, ms))
	return c
}

func (c *console) start(w, h int, args ...string) {
	c.t.Helper()
	cmd := exec.Command(c.bin, args...)
	cmd.Dir, cmd.Env = c.dir, c.env
	term, err := picture.Start(w, h, cmd)
	if err != nil {
		c.t.Fatal(err)
	}
	c.term = term
	c.t.Cleanup(term.Close)
}

func (c *console) see(words string) picture.Screen {
	c.t.Helper()
	s, err := c.term.WaitText(words, 20*time.Second)
	if err != nil {
		c.t.Fatal(err)
	}
	return s
}

// press presses one key, as a hand does: not at once after the one before.
func (c *console) press(keys string) {
	c.t.Helper()
	time.Sleep(900 * time.Millisecond)
	if err := c.term.Send(keys); err != nil {
		c.t.Fatal(err)
	}
}

// full checks that a screen fills its size and nothing spills.
func (c *console) full(s picture.Screen, w, h int) {
	c.t.Helper()
	if s.W != w || s.H != h {
		c.t.Errorf("the screen is %d×%d, want %d×%d", s.W, s.H, w, h)
	}
	if s.Line(0) == "" || s.Line(h-1) == "" {
		c.t.Errorf("first or last row is empty:\n%s", s.Text())
	}
}

// A crew pours through the real program: three batches started, two poured, a
// reading, an undo, both screens, two sizes, kill −9 and on again. Then the
// log is folded and held against what stood on the screen.
func TestPourThroughTerminal(t *testing.T) {
	if testing.Short() {
		t.Skip("drives the real program for half a minute")
	}
	c := newConsole(t)
	c.start(100, 30, "pour", config.USPlan)
	c.see("key 1 starts mixer 1")
	c.press("1")
	c.see("batch 1 started")
	c.press("2")
	c.see("batch 2 started")
	time.Sleep(9 * time.Second) // three minutes of the pour: both are in buckets
	c.press("0")
	c.see("batch 1 poured")
	c.press("0")
	c.see("batch 2 poured")
	c.press("1")
	c.see("batch 3 started")

	c.press("r") // a reading: a list, a figure
	c.see("slab")
	for _, k := range []string{"1", "6", "5", "\r"} {
		c.press(k)
	}
	c.see("read slab 65")
	c.press("\x1b") // it asks for the air next; not now
	c.press("2")
	c.see("batch 4 started")
	c.press("u")
	c.see("took back")

	c.press("\t")
	c.see("joinable")
	for _, size := range [][2]int{{80, 24}, {160, 45}} {
		if err := c.term.Resize(size[0], size[1]); err != nil {
			t.Fatal(err)
		}
		time.Sleep(1500 * time.Millisecond)
		c.full(c.term.Screen(), size[0], size[1])
	}
	c.press("\t")
	c.see("Mixers")

	pid := c.term.Pid()
	if err := c.term.Kill(); err != nil {
		t.Fatal(err)
	}
	_ = c.term.Ended(5 * time.Second)
	c.start(100, 30, "pour", config.USPlan)
	c.see("batch 4") // the next one: batch 4 was taken back
	if c.term.Pid() == pid {
		t.Fatal("the program was not started again")
	}
	c.see("batch 3 started") // among the last presses
	c.compare(c.see(" old"))
}

var (
	agoForm   = regexp.MustCompile(`(\d+):(\d\d) old`)
	clockForm = regexp.MustCompile(`\d\d:\d\d:\d\d`)
)

// compare folds the log and holds it against the screen of the same moment.
func (c *console) compare(s picture.Screen) {
	t := c.t
	logs, err := filepath.Glob(filepath.Join(c.dir, "cellar.days", "*", "*.jsonl"))
	if err != nil || len(logs) != 1 {
		t.Fatalf("day logs %v, %v: want one", logs, err)
	}
	contents, err := daylog.Read(daylog.OS(), logs[0])
	if err != nil {
		t.Fatal(err)
	}
	p, ps := planfile.Load(config.Files, config.USPlan)
	if len(ps) > 0 {
		t.Fatal(ps)
	}
	floors, err := pace.Floors(p)
	if err != nil {
		t.Fatal(err)
	}
	st := day.Fold(p, floors, shift.Events(contents.Records))
	if tt := st.Totals(); tt.Poured != 2 || tt.OnTheWay != 1 || tt.Scrapped != 0 {
		t.Errorf("the log holds %+v, want 2 poured and 1 on the way", tt)
	}
	if got := st.Air.SlabC; got < 18.3 || got > 18.4 { // 65 °F
		t.Errorf("slab %.2f °C, want 65 °F", got)
	}
	// The replay of the log ends in the same state as the live session.
	cmd := exec.Command(c.bin, "replay", filepath.Dir(logs[0]))
	cmd.Env = c.env
	out, err := cmd.CombinedOutput()
	if err != nil || !strings.Contains(string(out), "2 poured, 0 scrapped") {
		t.Errorf("replay: %v\n%s", err, out)
	}
	// Ages: the bucket on screen is as old as the log says it is at the time
	// that stands on the same screen. Its reaction starts half a minute after
	// its first stir (the shipped sheet).
	m, at := agoForm.FindStringSubmatch(s.Text()), clockForm.FindString(s.Line(0))
	if m == nil || at == "" {
		t.Fatalf("no age or no clock on the screen:\n%s", s.Text())
	}
	began := st.Batches[2].Started.Add(30 * time.Second)
	now, err := time.ParseInLocation("2006-01-02 15:04:05", began.Format("2006-01-02 ")+at, began.Location())
	if err != nil {
		t.Fatal(err)
	}
	shown := time.Duration(atoi(m[1]))*time.Minute + time.Duration(atoi(m[2]))*time.Second
	// Two seconds of the fast clock are a tenth of a second: clock and age of one
	// frame are read from it one after the other.
	if d := shown - now.Sub(began); d.Abs() > 2*time.Second {
		t.Errorf("at %s the bucket is shown %s old, the log says %s", at, shown, now.Sub(began))
	}
}

func atoi(s string) (n int) {
	for _, r := range s {
		n = 10*n + int(r-'0')
	}
	return n
}
