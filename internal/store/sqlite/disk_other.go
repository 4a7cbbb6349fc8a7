//go:build !linux

package sqlite

import (
	"path/filepath"
	"strings"
)

// drive knows a drive of another machine only where its name says so.
func drive(folder string) (name string, fit fitness) {
	if strings.HasPrefix(filepath.VolumeName(folder), `\\`) {
		return "SMB", shared
	}
	return "", unknown
}
