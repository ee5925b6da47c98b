package daylog_test

import (
	"os"
	"path/filepath"
	"testing"

	"floorpace/internal/daylog"
	"floorpace/internal/daylog/logtest"
)

// TestStillAtOnDisk: on the machine's own file system too the log notices before
// each append that the file at its path is no longer the one it holds open, or that
// somebody wrote into it or cut it, and goes on in a new one with nothing lost.
func TestStillAtOnDisk(t *testing.T) {
	for name, harm := range map[string]func(path string) error{
		"moved":   func(path string) error { return os.Rename(path, path+".old") },
		"deleted": os.Remove,
		"replaced by a copy": func(path string) error {
			b, err := os.ReadFile(path)
			if err == nil {
				err = os.WriteFile(path+".new", b, 0o644) // another file of the same size
			}
			if err == nil {
				err = os.Rename(path+".new", path)
			}
			return err
		},
		"written into": func(path string) error {
			f, err := os.OpenFile(path, os.O_WRONLY|os.O_APPEND, 0)
			if err == nil {
				_, err = f.WriteString("x")
				_ = f.Close()
			}
			return err
		},
		"cut": func(path string) error { return os.Truncate(path, 700) },
	} {
		t.Run(name, func(t *testing.T) {
			dir, c := filepath.Join(t.TempDir(), "day"), logtest.NewClock(dawn)
			l, err := daylog.Create(daylog.OS(), dir, header(), c, options(1))
			if err != nil {
				t.Fatal(err)
			}
			for i := range 5 {
				press(t, l, c, i)
			}
			old := l.Path()
			if err := harm(old); err != nil {
				t.Skipf("the system does not let an open file be harmed so: %v", err)
			}
			r, trouble, err := l.Append("batch.started", tap{Batch: 5})
			if err != nil || trouble.File == "" || trouble.File == old || len(trouble.Words) == 0 {
				t.Fatalf("tap %d: %v, %+v", r.N, err, trouble)
			}
			press(t, l, c, 6)
			if err := l.Close(); err != nil {
				t.Fatal(err)
			}
			set, _, err := daylog.ReadDay(daylog.OS(), dir)
			if err != nil || len(set.Forks()) > 0 {
				t.Fatalf("%v, %d in two versions", err, len(set.Forks()))
			}
			batches := map[int]bool{}
			for _, r := range set.Records(nil) {
				var b int
				if r.Field("batch", &b) {
					batches[b] = true
				}
			}
			if len(batches) != 7 {
				t.Errorf("%d taps of 7 are there", len(batches))
			}
		})
	}
}

// TestSyncDirReachesTheFolder: a folder that is not there cannot be flushed.
func TestSyncDirReachesTheFolder(t *testing.T) {
	dir := t.TempDir()
	if err := daylog.OS().SyncDir(dir); err != nil {
		t.Error(err)
	}
	if err := daylog.OS().SyncDir(filepath.Join(dir, "nowhere")); err == nil && os.PathSeparator == '/' {
		t.Error("a folder that is not there was flushed")
	}
}
