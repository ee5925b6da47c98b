package cli

import (
	"path/filepath"
	"strings"
)

// sameDisk reports whether two folders lie on one drive, by its letter or share.
func sameDisk(a, b string) bool {
	return strings.EqualFold(filepath.VolumeName(a), filepath.VolumeName(b))
}
