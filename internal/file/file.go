// Package file puts files on the disk whole or not at all: whoever looks, also
// after the power has failed, finds what was there before or what was to be there.
package file

import (
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
)

// Write puts bytes under a name, in the place of what is there, which keeps its
// mode. What is no plain file, such as a pipe, is written to as it is.
func Write(name string, b []byte, mode fs.FileMode) error {
	if to, err := filepath.EvalSymlinks(name); err == nil {
		name = to
	}
	switch info, err := os.Stat(name); {
	case err == nil && !info.Mode().IsRegular():
		return os.WriteFile(name, b, mode)
	case err == nil:
		mode = info.Mode().Perm()
	}
	return write(name, b, mode, Place)
}

// New puts bytes under a name that is free; one that is not is fs.ErrExist.
func New(name string, b []byte, mode fs.FileMode) error {
	return write(name, b, mode, PlaceNew)
}

// write makes a file beside its place and has it put there.
func write(name string, b []byte, mode fs.FileMode, place func(made, name string) error) (err error) {
	made := fmt.Sprintf("%s.part%d", name, rand.Uint64()) // no name that one cut short may have left
	f, err := os.OpenFile(made, os.O_WRONLY|os.O_CREATE|os.O_EXCL, mode)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, Remove(made)) }() // once in its place it is gone from here
	_, err = f.Write(b)
	if err = errors.Join(err, f.Close()); err != nil {
		return err
	}
	return place(made, name)
}

// Place makes a file durable and gives it the name it is to have, in the place of
// what has it now.
func Place(made, name string) error {
	if err := sync(made); err != nil {
		return err
	}
	if err := os.Rename(made, name); err != nil {
		return err
	}
	return SyncFolder(filepath.Dir(name))
}

// PlaceNew does so if the name is free; if not, it is fs.ErrExist. Where the drive
// knows second names the file keeps its first one too.
func PlaceNew(made, name string) error {
	if err := sync(made); err != nil {
		return err
	}
	if err := os.Link(made, name); errors.Is(err, fs.ErrExist) {
		return err
	} else if err != nil { // the drive knows no links
		if err := os.Rename(made, name); err != nil {
			return err
		}
	}
	if err := SyncFolder(filepath.Dir(name)); err != nil { // nobody is to rely on a name that may be gone
		return errors.Join(err, Remove(name))
	}
	return nil
}

func sync(name string) error {
	f, err := os.OpenFile(name, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

// SyncFolder makes the names in a folder durable.
func SyncFolder(folder string) error {
	if runtime.GOOS == "windows" { // which keeps names by itself
		return nil
	}
	f, err := os.Open(folder)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

// Folder makes a folder and those above it, where they are missing, to stay.
func Folder(folder string, mode fs.FileMode) error {
	if info, err := os.Stat(folder); err == nil && info.IsDir() {
		return nil
	}
	above := filepath.Dir(folder)
	if above != folder {
		if err := Folder(above, mode); err != nil {
			return err
		}
	}
	if err := os.Mkdir(folder, mode); err != nil && !errors.Is(err, fs.ErrExist) {
		return err
	}
	return SyncFolder(above)
}

// Remove removes a file that may be gone already.
func Remove(name string) error {
	if err := os.Remove(name); !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return nil
}
