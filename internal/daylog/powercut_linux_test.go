package daylog_test

import (
	"bufio"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"floorpace/internal/daylog"
	"floorpace/internal/daylog/logtest"

	"golang.org/x/sys/unix"
)

// shutdownFS is FS_IOC_SHUTDOWN, _IOR('X', 125, __u32), and noLogFlush its
// argument: stop the file system at once, the journal unwritten (fs/ext4/ext4.h
// and include/uapi/linux/fs.h of Linux, from memory).
const (
	shutdownFS = 0x8004587d
	noLogFlush = 2
)

// disk is an ext4 file system in a file, mounted through a loop device.
type disk struct {
	t     testing.TB
	image string
	mount string
}

// newDisk makes and mounts a disk or skips, with the reason.
func newDisk(t testing.TB, megabytes int, kind string, options ...string) *disk {
	t.Helper()
	if os.Geteuid() != 0 {
		t.Skip("skipped: mounting a disk needs root")
	}
	dir := t.TempDir()
	d := &disk{t: t, image: filepath.Join(dir, "image"), mount: filepath.Join(dir, "mount")}
	if err := os.Mkdir(d.mount, 0o755); err != nil {
		t.Fatal(err)
	}
	if kind == "ext4" {
		writeFile(t, d.image, nil)
		if err := os.Truncate(d.image, int64(megabytes)<<20); err != nil {
			t.Fatal(err)
		}
		if out, err := exec.Command("mkfs.ext4", "-q", "-F", d.image).CombinedOutput(); err != nil {
			t.Skipf("skipped: no ext4 disk can be made here: %v %s", err, out)
		}
	}
	if err := d.up(kind, options...); err != nil {
		t.Skipf("skipped: no disk can be mounted here: %v", err)
	}
	t.Cleanup(func() { d.down() })
	return d
}

func (d *disk) up(kind string, options ...string) error {
	args := []string{"-o", "loop", d.image, d.mount}
	if kind == "tmpfs" {
		args = append([]string{"-t", "tmpfs"}, append(options, "tmpfs", d.mount)...)
	}
	if out, err := exec.Command("mount", args...).CombinedOutput(); err != nil {
		return fmt.Errorf("%w: %s", err, out)
	}
	return nil
}

func (d *disk) down() { _ = exec.Command("umount", "-d", d.mount).Run() }

// pull cuts the power and mounts what is left.
func (d *disk) pull() {
	d.t.Helper()
	dir, err := os.Open(d.mount)
	if err != nil {
		d.t.Fatal(err)
	}
	err = unix.IoctlSetPointerInt(int(dir.Fd()), shutdownFS, noLogFlush)
	if cerr := dir.Close(); err == nil {
		err = cerr
	}
	if err != nil {
		d.t.Skipf("skipped: this kernel cannot stop a file system: %v", err)
	}
}

func (d *disk) remount() {
	d.t.Helper()
	for range 200 { // the killed writer may still hold the mount for a moment
		if err := exec.Command("umount", "-d", d.mount).Run(); err == nil {
			break
		}
		time.Sleep(10 * time.Millisecond)
	}
	if err := d.up("ext4"); err != nil {
		d.t.Fatal(err)
	}
}

// unflushed is a file system whose flushes do nothing: the control.
type unflushed struct{ daylog.FS }

type unflushedFile struct{ daylog.File }

func (f unflushed) OpenFile(name string, flag int) (daylog.File, error) {
	file, err := f.FS.OpenFile(name, flag)
	if err != nil {
		return nil, err
	}
	return unflushedFile{file}, nil
}
func (unflushed) SyncDir(string) error { return nil }
func (unflushedFile) Sync() error      { return nil }

// TestPowerCutOnDisk stops a real ext4 file system under a log that is being
// written, mounts it again and looks for every confirmed event. The control
// writes without flushes and must lose.
func TestPowerCutOnDisk(t *testing.T) {
	rounds := 3
	if long() {
		rounds = 60
	}
	confirmed, lost := 0, 0
	for round := range rounds {
		d := newDisk(t, 32, "ext4")
		n, l := cutOnce(t, d, daylog.OS(), 5+round%40)
		confirmed, lost = confirmed+n, lost+l
		d.down()
	}
	t.Logf("%d power cuts on ext4, %d confirmed events: %d lost", rounds, confirmed, lost)
	if lost > 0 {
		t.Errorf("%d of %d confirmed events lost", lost, confirmed)
	}
	d := newDisk(t, 32, "ext4")
	n, l := cutOnce(t, d, unflushed{daylog.OS()}, 40)
	t.Logf("control without flushes: %d of %d events lost", l, n)
	if l == 0 {
		t.Error("the control lost nothing: the test sees nothing")
	}
}

func cutOnce(t *testing.T, d *disk, fsys daylog.FS, taps int) (confirmed, lost int) {
	t.Helper()
	dir, c := filepath.Join(d.mount, "2026", "day"), logtest.NewClock(dawn)
	l, err := daylog.Create(fsys, dir, header(), c, options(1))
	if err != nil {
		t.Fatal(err)
	}
	var sums []string
	for i := range taps {
		r := press(t, l, c, i)
		sums = append(sums, string(r.Bytes))
	}
	d.pull()
	_ = l.Close()
	d.remount()
	set, _, err := daylog.ReadDay(daylog.OS(), dir)
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		t.Fatal(err)
	}
	have := make(map[string]bool)
	if set != nil {
		for _, r := range set.Records(nil) {
			have[string(r.Bytes)] = true
		}
	}
	for _, s := range sums {
		if !have[s] {
			lost++
		}
	}
	return len(sums), lost
}

// namesUnflushed is a file system that flushes files but not the names of folders.
type namesUnflushed struct{ daylog.FS }

func (namesUnflushed) SyncDir(string) error { return nil }

// TestPowerCutAtTheBeginning stops the disk as soon as a log is begun, before any
// event commits its name along: the log must be there. The control flushes the file
// but not its folder and must lose it.
func TestPowerCutAtTheBeginning(t *testing.T) {
	there := func(fsys daylog.FS) bool {
		d := newDisk(t, 32, "ext4")
		dir := filepath.Join(d.mount, "2026", "day")
		l, err := daylog.Create(fsys, dir, header(), logtest.NewClock(dawn), options(1))
		if err != nil {
			t.Fatal(err)
		}
		d.pull()
		_ = l.Close()
		d.remount()
		set, _, err := daylog.ReadDay(daylog.OS(), dir)
		return err == nil && set.Len() > 0
	}
	if !there(daylog.OS()) {
		t.Error("a log that was begun is gone")
	}
	if there(namesUnflushed{daylog.OS()}) {
		t.Error("the control lost nothing: the test sees nothing")
	}
}

// TestFullDisk fills a small tmpfs: the ballast gives the log the room for the
// taps until somebody makes more, and nothing confirmed is lost.
func TestFullDisk(t *testing.T) {
	d := newDisk(t, 0, "tmpfs", "-o", "size=8m")
	dir, c := filepath.Join(d.mount, "day"), logtest.NewClock(dawn)
	opt := options(1)
	opt.Ballast = 0 // the ordinary size
	// A tmpfs of 8 MB is under the alarm threshold, where no ballast is laid:
	// lay it as if there were room.
	l, err := daylog.Create(roomy{daylog.OS()}, dir, header(), c, opt)
	if err != nil {
		t.Fatal(err)
	}
	if info, err := os.Stat(filepath.Join(dir, "A.ballast")); err != nil || info.Size() != daylog.BallastSize {
		t.Fatalf("ballast: %v, %v", info, err)
	}
	s := &session{}
	s.taps(l, c, 1, 20)
	fill(t, filepath.Join(d.mount, "photos"))
	s.taps(l, c, 21, 2000)
	if len(s.errs) > 0 || len(s.confirmed) != 2000 {
		t.Fatalf("%d taps confirmed, errors %v", len(s.confirmed), s.errs)
	}
	if len(s.troubles) == 0 || !strings.Contains(strings.Join(s.troubles[0].Words, " "), "its disk is full") {
		t.Errorf("the crew was told %v", s.troubles)
	}
	t.Logf("disk full after %d taps; %d confirmed through the ballast", 20, len(s.confirmed)-20)
	set, _, err := daylog.ReadDay(daylog.OS(), dir)
	if err != nil {
		t.Fatal(err)
	}
	have := make(map[string]bool)
	for _, r := range set.Records(nil) {
		have[string(r.Bytes)] = true
	}
	for _, r := range s.confirmed {
		if !have[string(r.Bytes)] {
			t.Errorf("tap %d is lost", r.N)
		}
	}
	_ = l.Close()
}

// roomy says that there is plenty of room.
type roomy struct{ daylog.FS }

func (roomy) Free(string) (uint64, error) { return 1 << 40, nil }

// fill writes until the disk takes nothing more.
func fill(t testing.TB, path string) {
	t.Helper()
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	w := bufio.NewWriterSize(f, 4096)
	block := make([]byte, 4096)
	for err == nil {
		if _, err = w.Write(block); err == nil {
			err = w.Flush()
		}
	}
	if !errors.Is(err, unix.ENOSPC) {
		t.Fatal(err)
	}
	_ = f.Close()
}
