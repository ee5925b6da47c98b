package picture

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// Golden compares got with a kept file. With UPDATE_GOLDEN=1 in the
// environment the file is written instead; look at the difference before it is
// committed.
func Golden(t testing.TB, path, got string) {
	t.Helper()
	if os.Getenv("UPDATE_GOLDEN") == "1" {
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatalf("%v; run the test with UPDATE_GOLDEN=1 to write it, then look at it", err)
	}
	if d := cmp.Diff(string(want), got); d != "" {
		t.Errorf("%s differs (-kept +now); if the change is meant, run with UPDATE_GOLDEN=1:\n%s", path, d)
	}
}
