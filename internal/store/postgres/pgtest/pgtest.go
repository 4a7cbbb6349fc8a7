// Package pgtest gives tests a PostgreSQL of their own: a cluster that it makes
// with initdb on a free loopback port, and that ends with the test program.
package pgtest

import (
	"context"
	"fmt"
	"os"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
)

// Server is a running cluster.
type Server struct {
	url    string // of its database
	folder string
	bin    string
	port   int
	stop   chan os.Signal
	ended  chan error
	mounts []string // in the folder
}

var (
	one     = sync.OnceValues(start)
	started atomic.Pointer[Server]
	count   atomic.Int64
)

// Folder is a new folder, in memory where there is room for it: tests that are not
// about the disk need not wait for one. Benchmarks are about the disk.
func Folder(t testing.TB) string {
	t.Helper()
	folder, err := os.MkdirTemp(place(), "endfloat-test")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.RemoveAll(folder) })
	return folder
}

// URL returns the address of an empty schema. A test is skipped where Debian's
// postgresql is not installed; where CI is true it fails instead.
func URL(t testing.TB) string {
	t.Helper()
	s, err := one()
	there(t, err)
	started.Store(s)
	return s.URL(t)
}

// New starts a cluster for this test alone, which may set it as it likes.
func New(t testing.TB) *Server {
	t.Helper()
	s, err := start()
	there(t, err)
	t.Cleanup(s.end)
	return s
}

func there(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal("no PostgreSQL: ", err)
		}
		t.Skip("no PostgreSQL: ", err)
	}
}

// URL returns the address of an empty schema.
func (s *Server) URL(t testing.TB) string {
	t.Helper()
	name := fmt.Sprintf("t%d_%d", os.Getpid(), count.Add(1))
	s.Do(t, "CREATE SCHEMA "+name)
	return s.url + "?search_path=" + name
}

// Do is Try of each.
func (s *Server) Do(t testing.TB, texts ...string) {
	t.Helper()
	for _, text := range texts {
		if err := s.Try(context.Background(), text); err != nil {
			t.Fatal(err)
		}
	}
}

// Set changes a setting of the running cluster.
func (s *Server) Set(t testing.TB, name, to string) {
	t.Helper()
	s.Do(t, "ALTER SYSTEM SET "+name+" = "+to, "SELECT pg_reload_conf()")
}

// Stop ends the cluster, if one was started. TestMain calls it last.
func Stop() {
	if s := started.Load(); s != nil {
		s.end()
	}
}

// Restart ends every connection at once and starts the cluster again, as after a
// power cut that took no disk.
func Restart(t testing.TB) {
	t.Helper()
	s := started.Load()
	s.kill()
	if err := s.run(); err != nil {
		t.Fatal(err)
	}
}

// Try runs one statement as the superuser.
func (s *Server) Try(ctx context.Context, text string) error {
	ctx, cancel := context.WithTimeout(ctx, 10*time.Second)
	defer cancel()
	conn, err := pgx.Connect(ctx, s.url)
	if err != nil {
		return err
	}
	defer conn.Close(ctx)
	_, err = conn.Exec(ctx, text)
	return err
}
