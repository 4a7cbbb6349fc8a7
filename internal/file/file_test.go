package file

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"testing"
)

func read(t *testing.T, name string) string {
	t.Helper()
	b, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// left fails if a folder holds anything else.
func left(t *testing.T, folder string, want ...string) {
	t.Helper()
	files, err := os.ReadDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	got := []string{}
	for _, f := range files {
		got = append(got, f.Name())
	}
	if fmt.Sprint(got) != fmt.Sprint(want) {
		t.Errorf("the folder holds %q, want %q", got, want)
	}
}

// A file is put in the place of the older one and keeps its mode; a new one is not.
func TestWrite(t *testing.T) {
	folder := t.TempDir()
	name := filepath.Join(folder, "a.pdf")
	for i, text := range []string{"first", "second, which is longer", "3"} {
		if err := Write(name, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		if got := read(t, name); got != text {
			t.Errorf("%q, want %q", got, text)
		}
		if i == 1 {
			if err := os.Chmod(name, 0o600); err != nil {
				t.Fatal(err)
			}
		}
	}
	if info, err := os.Stat(name); err != nil || runtime.GOOS != "windows" && info.Mode().Perm() != 0o600 {
		t.Errorf("%v, %v", info.Mode(), err)
	}
	if err := New(name, []byte("new"), 0o600); !errors.Is(err, fs.ErrExist) || read(t, name) != "3" {
		t.Errorf("%v, and it holds %q", err, read(t, name))
	}
	if err := New(filepath.Join(folder, "b.pem"), []byte("new"), 0o600); err != nil {
		t.Error(err)
	}
	left(t, folder, "a.pdf", "b.pem")
}

// What cannot be put in its place leaves what was there, and nothing beside it.
func TestWriteFails(t *testing.T) {
	folder := t.TempDir()
	name := filepath.Join(folder, "missing", "a.pdf")
	if err := Write(name, nil, 0o644); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("into a folder that is not there: %v", err)
	}
	if err := os.Mkdir(filepath.Join(folder, "a.pdf"), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := Write(filepath.Join(folder, "a.pdf"), nil, 0o644); err == nil {
		t.Error("a folder was written to")
	}
	made := filepath.Join(folder, "made")
	if err := os.WriteFile(made, []byte("whole"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := Place(made, filepath.Join(folder, "a.pdf")); err == nil || read(t, made) != "whole" {
		t.Errorf("put in the place of a folder: %v", err)
	}
	left(t, folder, "a.pdf", "made")
}

// What a second name leads to is written, and the second name stays one.
func TestWriteThroughLink(t *testing.T) {
	folder := t.TempDir()
	real, link := filepath.Join(folder, "real"), filepath.Join(folder, "link")
	if err := os.WriteFile(real, []byte("old"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(real, link); err != nil {
		t.Skip("no symbolic links here")
	}
	if err := Write(link, []byte("new"), 0o600); err != nil || read(t, real) != "new" {
		t.Errorf("%v, %q", err, read(t, real))
	}
	if info, err := os.Lstat(link); err != nil || info.Mode()&fs.ModeSymlink == 0 {
		t.Errorf("the link is %v now, %v", info.Mode(), err)
	}
}

func TestFolder(t *testing.T) {
	deep := filepath.Join(t.TempDir(), "a", "b", "c")
	for range 2 {
		if err := Folder(deep, 0o700); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.WriteFile(filepath.Join(deep, "file"), nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if err := Folder(filepath.Join(deep, "file", "d"), 0o700); err == nil {
		t.Error("a folder was made in a file")
	}
}
