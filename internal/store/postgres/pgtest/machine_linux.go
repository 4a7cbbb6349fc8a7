package pgtest

import (
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"
)

// Down ends the server as a crash does; Up starts it again.
func (s *Server) Down() { s.kill() }

// Up starts a server that is down.
func (s *Server) Up(t testing.TB) {
	t.Helper()
	must(t, s.run())
}

// Gone ends the server as a crash does, and its disk is lost.
func (s *Server) Gone(t testing.TB) {
	t.Helper()
	s.kill()
	must(t, os.RemoveAll(filepath.Join(s.folder, "data")))
}

// Tool is a program of the same PostgreSQL, run by whom the server is run by, in a
// folder that is his.
func (s *Server) Tool(t testing.TB, folder, name string, args ...string) *exec.Cmd {
	t.Helper()
	cred, err := owner()
	must(t, err)
	if program := filepath.Join(s.bin, name); exists(program) {
		name = program
	}
	cmd := exec.Command(name, args...)
	cmd.Dir, cmd.SysProcAttr = folder, &syscall.SysProcAttr{Credential: cred}
	return cmd
}

// Owned is a new folder that whom the server is run by may write to.
func (s *Server) Owned(t testing.TB) string {
	t.Helper()
	folder := Folder(t)
	cred, err := owner()
	must(t, err)
	if cred != nil {
		must(t, os.Chown(folder, int(cred.Uid), int(cred.Gid)))
	}
	return folder
}

// Recover puts what is in the folder in the place of the data that is gone, and starts
// the server on it.
func (s *Server) Recover(t testing.TB, folder string) {
	t.Helper()
	must(t, os.Rename(folder, filepath.Join(s.folder, "data")))
	must(t, s.run())
}

// Address is where the server is, with further settings of the connection.
func (s *Server) Address(settings ...string) string {
	q := url.Values{}
	for i := 0; i < len(settings); i += 2 {
		q.Set(settings[i], settings[i+1])
	}
	return s.url + "?" + q.Encode()
}

func exists(path string) bool {
	_, err := os.Stat(path)
	return err == nil
}
