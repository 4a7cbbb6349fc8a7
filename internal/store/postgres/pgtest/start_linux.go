package pgtest

import (
	"bytes"
	"context"
	"errors"
	"flag"
	"fmt"
	"net"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"runtime"
	"strconv"
	"syscall"
	"time"
)

// binaries is the folder of PostgreSQL's programs.
func binaries() (string, error) {
	found, err := filepath.Glob("/usr/lib/postgresql/*/bin/initdb")
	if err != nil || len(found) == 0 {
		return "", errors.New("install Debian's package postgresql to run this test")
	}
	return filepath.Dir(found[len(found)-1]), nil
}

// start makes a cluster and runs it.
func start() (*Server, error) {
	bin, err := binaries()
	if err != nil {
		return nil, err
	}
	s := &Server{bin: bin}
	if s.folder, err = os.MkdirTemp(place(), "endfloat-pg"); err != nil {
		return nil, err
	}
	cred, err := owner()
	if err != nil {
		return nil, err
	}
	if cred != nil {
		if err := os.Chown(s.folder, int(cred.Uid), int(cred.Gid)); err != nil {
			return nil, err
		}
	}
	cmd := exec.Command(filepath.Join(s.bin, "initdb"), "-D", filepath.Join(s.folder, "data"), "-U", "endfloat",
		"--auth=trust", "-E", "UTF8", "--locale=C.UTF-8", "--data-checksums", "--no-instructions", "--no-sync")
	cmd.SysProcAttr, cmd.Dir = &syscall.SysProcAttr{Credential: cred}, s.folder
	if out, err := cmd.CombinedOutput(); err != nil {
		return nil, fmt.Errorf("initdb: %w\n%s", err, out)
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return nil, err
	}
	s.port = l.Addr().(*net.TCPAddr).Port
	if err := l.Close(); err != nil {
		return nil, err
	}
	s.url = fmt.Sprintf("postgres://endfloat@127.0.0.1:%d/postgres", s.port)
	return s, s.run()
}

// place is where folders are made: in memory, unless there is little of it or a
// benchmark runs.
func place() string {
	const memory, enough = "/dev/shm", 2 << 30
	var st syscall.Statfs_t
	if f := flag.Lookup("test.bench"); f != nil && f.Value.String() != "" ||
		syscall.Statfs(memory, &st) != nil || st.Bavail*uint64(st.Bsize) < enough {
		return ""
	}
	return memory
}

// owner is who runs the server: PostgreSQL refuses to be run by root.
func owner() (*syscall.Credential, error) {
	if os.Geteuid() != 0 {
		return nil, nil
	}
	u, err := user.Lookup("postgres")
	if err != nil {
		return nil, err
	}
	uid, err := strconv.ParseUint(u.Uid, 10, 32)
	if err != nil {
		return nil, err
	}
	gid, err := strconv.ParseUint(u.Gid, 10, 32)
	return &syscall.Credential{Uid: uint32(uid), Gid: uint32(gid)}, err
}

// run starts the server and waits until it answers. It ends with this program,
// however that ends.
func (s *Server) run() error {
	cred, err := owner()
	if err != nil {
		return err
	}
	var says bytes.Buffer
	cmd := exec.Command(filepath.Join(s.bin, "postgres"), "-D", filepath.Join(s.folder, "data"), "-p", strconv.Itoa(s.port),
		"-h", "127.0.0.1", "-k", "", "-c", "max_connections=200", "-c", "shared_buffers=64MB")
	cmd.Dir, cmd.Stderr = s.folder, &says
	cmd.SysProcAttr = &syscall.SysProcAttr{Credential: cred, Pdeathsig: syscall.SIGQUIT}
	s.stop, s.ended = make(chan os.Signal, 1), make(chan error, 1)
	up := make(chan error)
	go func() {
		runtime.LockOSThread() // Pdeathsig is about the thread
		err := cmd.Start()
		up <- err
		if err == nil {
			s.ended <- cmd.Wait()
		}
	}()
	if err := <-up; err != nil {
		return err
	}
	stop, ended := s.stop, s.ended
	go func() { cmd.Process.Signal(<-stop) }()
	for range 200 {
		if err = s.Try(context.Background(), "SELECT 1"); err == nil {
			return nil
		}
		select {
		case gone := <-ended:
			return fmt.Errorf("the server ended: %v\n%s", gone, says.String())
		case <-time.After(50 * time.Millisecond):
		}
	}
	return err
}

// kill ends it as a crash does.
func (s *Server) kill() {
	s.stop <- syscall.SIGQUIT
	<-s.ended
}

func (s *Server) end() {
	s.stop <- syscall.SIGINT
	<-s.ended
	for _, m := range s.mounts {
		syscall.Unmount(m, 0)
	}
	os.RemoveAll(s.folder)
}
