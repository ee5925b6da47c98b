//go:build unix

package cli

import (
	"os"
	"path/filepath"
	"syscall"
)

// sameDisk reports whether two folders, or what is there of their paths, lie on one
// file system; false when that cannot be told.
func sameDisk(a, b string) bool {
	x, okX := deviceOf(a)
	y, okY := deviceOf(b)
	return okX && okY && x == y
}

func deviceOf(name string) (uint64, bool) {
	for {
		if st, err := os.Stat(name); err == nil {
			s, ok := st.Sys().(*syscall.Stat_t)
			if !ok {
				return 0, false
			}
			return uint64(s.Dev), true
		}
		up := filepath.Dir(name)
		if up == name {
			return 0, false
		}
		name = up
	}
}
