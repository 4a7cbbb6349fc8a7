package pgtest

import (
	"fmt"
	"os"
	"path/filepath"
	"syscall"
	"testing"
)

// Small makes a tablespace of the name on a disk of so many bytes, which the function
// it returns makes larger or smaller. Only root may; the test is skipped for others.
func (s *Server) Small(t testing.TB, name string, size int) (resize func(int)) {
	t.Helper()
	place := filepath.Join(s.folder, name)
	must(t, os.Mkdir(place, 0o700))
	settings := fmt.Sprintf("mode=0700,size=%d", size)
	cred, err := owner()
	must(t, err)
	if cred != nil {
		settings += fmt.Sprintf(",uid=%d,gid=%d", cred.Uid, cred.Gid)
	}
	if err := syscall.Mount("tmpfs", place, "tmpfs", 0, settings); err != nil {
		t.Skip("only root may make a small disk: ", err)
	}
	s.mounts = append(s.mounts, place)
	s.Do(t, fmt.Sprintf("CREATE TABLESPACE %s LOCATION '%s'", name, place))
	return func(size int) {
		must(t, syscall.Mount("", place, "", syscall.MS_REMOUNT, fmt.Sprintf("size=%d", size)))
	}
}
