package daylog_test

import (
	"bufio"
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"floorpace/internal/daylog"
	"floorpace/internal/daylog/logtest"
)

// role makes a copy of this test program play another program.
const role = "FLOORPACE_TEST_ROLE"

func TestMain(m *testing.M) {
	switch os.Getenv(role) {
	case "writer":
		playWriter(os.Args[len(os.Args)-1])
	case "opener":
		playOpener(os.Args[len(os.Args)-1])
	default:
		os.Exit(m.Run())
	}
}

// playWriter taps as fast as the disk allows and prints each confirmed number.
func playWriter(dir string) {
	c := logtest.NewClock(dawn)
	opt := daylog.Options{Install: "install-1", App: "floorpace test", Ballast: -1}
	l, _, err := daylog.OpenDay(daylog.OS(), dir, "A", c, opt)
	if errors.Is(err, fs.ErrNotExist) {
		l, err = daylog.Create(daylog.OS(), dir, header(), c, opt)
	}
	if err != nil {
		fmt.Println("error", err)
		os.Exit(1)
	}
	for i := 0; ; i++ {
		c.Run(time.Millisecond)
		r, _, err := l.Append("batch.started", tap{Batch: i, Note: strings.Repeat("x", i%900)})
		if err != nil {
			fmt.Println("error", err)
			os.Exit(1)
		}
		fmt.Printf("%d %08x\n", r.N, r.Sum)
	}
}

// playOpener tries to open a log that another program has open.
func playOpener(path string) {
	_, _, err := daylog.Open(daylog.OS(), path, logtest.NewClock(dawn), daylog.Options{Ballast: -1})
	fmt.Println(errors.Is(err, daylog.ErrLocked), err)
	os.Exit(0)
}

func play(t testing.TB, as, arg string) *exec.Cmd {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(self, arg)
	cmd.Env = append(os.Environ(), role+"="+as)
	return cmd
}

// TestKill kills a writing program at random moments, again and again on one
// day: no confirmed event is lost, and the next start always goes on.
func TestKill(t *testing.T) {
	rounds := 10
	if long() {
		rounds = 1000
	}
	rng := rand.New(rand.NewPCG(1, 2))
	dir := filepath.Join(t.TempDir(), "day")
	confirmed := 0
	torn := make(map[string]bool)
	var last string
	for round := range rounds {
		if round%100 == 99 { // a fresh day now and then keeps the rounds short
			dir = filepath.Join(t.TempDir(), "day")
			last = ""
		}
		got := killOnce(t, dir, time.Duration(5+rng.IntN(40))*time.Millisecond)
		confirmed += len(got)
		if len(got) > 0 {
			last = got[len(got)-1]
		}
		checkConfirmed(t, dir, round, got, last)
		noteTorn(t, dir, torn)
	}
	t.Logf("%d kills, %d confirmed events, %d torn ends: 0 lost", rounds, confirmed, len(torn))
	if confirmed < rounds {
		t.Errorf("only %d events in %d rounds: the test shows nothing", confirmed, rounds)
	}
}

// killOnce returns what the writer confirmed before it was killed.
func killOnce(t testing.TB, dir string, after time.Duration) []string {
	t.Helper()
	cmd := play(t, "writer", dir)
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	var got []string
	lines := bufio.NewScanner(out)
	if lines.Scan() { // the clock runs from the first event on
		got = append(got, lines.Text())
		time.AfterFunc(after, func() { _ = cmd.Process.Kill() })
	}
	for lines.Scan() {
		got = append(got, lines.Text())
	}
	_ = cmd.Wait() // killed: that is an error by design
	for _, line := range got {
		if strings.HasPrefix(line, "error") {
			t.Fatal(line)
		}
	}
	return got
}

func checkConfirmed(t testing.TB, dir string, round int, got []string, last string) {
	t.Helper()
	set, _, err := daylog.ReadDay(daylog.OS(), dir)
	if err != nil {
		if errors.Is(err, fs.ErrNotExist) && len(got) == 0 {
			return
		}
		t.Fatal(err)
	}
	have := make(map[string]bool)
	for _, r := range set.Records(nil) {
		have[fmt.Sprintf("%d %08x", r.N, r.Sum)] = true
	}
	for _, line := range append(got, last) {
		// The last line printed may itself be cut short by the kill.
		if n, sum, ok := strings.Cut(line, " "); ok && len(sum) == 8 && !have[line] {
			t.Fatalf("round %d: confirmed event %s is lost", round, n)
		}
	}
}

// noteTorn collects the side files that starts have left.
func noteTorn(t testing.TB, dir string, torn map[string]bool) {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		t.Fatal(err)
	}
	for _, e := range entries {
		if strings.Contains(e.Name(), ".torn-") {
			torn[filepath.Join(dir, e.Name())] = true
		}
	}
}

// TestTwoPrograms: a second program, and a second opening in this one, are
// refused with a reason; after Close the log is free.
func TestTwoPrograms(t *testing.T) {
	dir, c := t.TempDir(), logtest.NewClock(dawn)
	l, err := daylog.Create(daylog.OS(), dir, header(), c, options(1))
	if err != nil {
		t.Fatal(err)
	}
	press(t, l, c, 1)
	ask := func(want bool) {
		t.Helper()
		out, err := play(t, "opener", l.Path()).CombinedOutput()
		if err != nil {
			t.Fatal(err, string(out))
		}
		if got := strings.HasPrefix(string(out), "true"); got != want {
			t.Errorf("the other program reads %q", out)
		}
	}
	ask(true)
	if _, _, err := daylog.OpenDay(daylog.OS(), dir, "A", c, options(2)); !errors.Is(err, daylog.ErrLocked) {
		t.Errorf("opened twice in one program: %v", err)
	}
	h := header()
	h.Station = "B"
	b, err := daylog.Create(daylog.OS(), dir, h, c, options(3))
	if err != nil {
		t.Errorf("another station in the same folder: %v", err)
	} else if err := b.Close(); err != nil {
		t.Error(err)
	}
	if err := l.Close(); err != nil {
		t.Fatal(err)
	}
	ask(false)
}

// TestUnlockable: where locking does not work the log stays closed and says why.
func TestUnlockable(t *testing.T) {
	d, c, path := newDay(t, 2)
	d.Fault = logtest.Nth(logtest.OpLock, 1, false, logtest.ErrIO)
	before := d.Get(path)
	l, _, err := daylog.Open(d, path, c, options(2))
	if l != nil || !errors.Is(err, logtest.ErrIO) || !strings.Contains(err.Error(), "cannot be locked") {
		t.Errorf("%v", err)
	}
	if string(d.Get(path)) != string(before) {
		t.Error("written without a lock")
	}
}

// TestFollowWhileWriting reads a log while another goroutine writes it: every
// event comes once, in order, whatever moment the poll meets.
func TestFollowWhileWriting(t *testing.T) {
	dir, c := t.TempDir(), logtest.NewClock(dawn)
	l, err := daylog.Create(daylog.OS(), dir, header(), c, options(1))
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = l.Close() }()
	const n = 120
	var wg sync.WaitGroup
	wg.Go(func() {
		for i := range n {
			if _, _, err := l.Append("batch.started", tap{Batch: i, Note: strings.Repeat("y", i)}); err != nil {
				t.Error(err)
				return
			}
		}
	})
	f := daylog.Follow(daylog.OS(), l.Path())
	day := daylog.FollowDay(daylog.OS(), dir)
	var got []daylog.Record
	for deadline := time.Now().Add(20 * time.Second); len(got) < n+1 && time.Now().Before(deadline); {
		r, err := f.Poll()
		if err != nil {
			t.Fatal(err)
		}
		got = append(got, r...)
		if _, err := day.Poll(); err != nil {
			t.Fatal(err)
		}
	}
	wg.Wait()
	for i, r := range got {
		if r.N != int64(i+1) || r.Writer != l.Header().Writer {
			t.Fatalf("record %d is event %d of %q", i, r.N, r.Writer)
		}
	}
	if _, err := day.Poll(); err != nil || day.Set().Len() != n+1 || len(got) != n+1 {
		t.Errorf("%v, %d and %d events, want %d", err, day.Set().Len(), len(got), n+1)
	}
}

// TestOtherFiles: links and folders in place of a log are refused.
func TestOtherFiles(t *testing.T) {
	dir := t.TempDir()
	real := filepath.Join(dir, "real")
	writeFile(t, real, bigLog(t, 3))
	link := filepath.Join(dir, "A-6ae6783f.jsonl")
	if err := os.Symlink(real, link); err != nil {
		t.Skip("no links here:", err)
	}
	c := logtest.NewClock(dawn)
	if _, o, err := daylog.Open(daylog.OS(), link, c, options(2)); !errors.Is(err, daylog.ErrForeign) || o.Verdict != daylog.Foreign {
		t.Errorf("a link: %v", err)
	}
	if _, err := daylog.Verify(daylog.OS(), link); !errors.Is(err, daylog.ErrForeign) {
		t.Errorf("verify a link: %v", err)
	}
	if _, err := daylog.Salvage(daylog.OS(), c, options(3), filepath.Join(dir, "out"), link); !errors.Is(err, daylog.ErrForeign) {
		t.Errorf("salvage a link: %v", err)
	}
	if _, err := daylog.Read(daylog.OS(), dir); !errors.Is(err, daylog.ErrForeign) {
		t.Errorf("a folder: %v", err)
	}
	if _, err := daylog.Follow(daylog.OS(), link).Poll(); !errors.Is(err, daylog.ErrForeign) {
		t.Errorf("follow a link: %v", err)
	}
	if _, err := daylog.Verify(daylog.OS(), make([]string, daylog.MaxFiles+1)...); !errors.Is(err, daylog.ErrLimit) {
		t.Errorf("too many files: %v", err)
	}
	big := filepath.Join(dir, "big")
	writeFile(t, big, nil)
	if err := os.Truncate(big, daylog.MaxFile+1); err != nil {
		t.Fatal(err)
	}
	if _, err := daylog.Read(daylog.OS(), big); !errors.Is(err, daylog.ErrLimit) {
		t.Errorf("a file of %d MB: %v", daylog.MaxFile>>20, err)
	}
}
