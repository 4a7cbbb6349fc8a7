package sqlite

import (
	"fmt"
	"path/filepath"
)

// fitness is what is known of the drive that a data file is on.
type fitness int

const (
	fine    fitness = iota
	unknown         // this system does not say
	shared          // of another machine: locks are not kept as SQLite needs them
	passing         // gone with the container or with the power
)

// localDisk refuses a data file on a network drive.
func localDisk(path string) error {
	if name, fit := drive(filepath.Dir(path)); fit == shared {
		return fmt.Errorf("%s is on a network drive (%s), where two programs can damage it without noticing; put the data file on a disk of this machine and reach it with a browser, or use --db postgres://…", path, name)
	}
	return nil
}

// Caution says what a person should know of the drive that a data file is on, or
// nothing.
func Caution(path string) string {
	path, err := filepath.Abs(path)
	if err != nil {
		return ""
	}
	switch name, fit := drive(filepath.Dir(path)); fit {
	case passing:
		return fmt.Sprintf("%s is on an %s file system: it is gone with the container or with the power; mount a disk for it", path, name)
	case unknown:
		return fmt.Sprintf("whether %s is on a disk of this machine cannot be told here; a network drive would damage it", path)
	}
	return ""
}
