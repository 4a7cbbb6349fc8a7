package main

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"
	"time"

	"endfloat/internal/job"
	"endfloat/internal/shop"
	"endfloat/internal/store/carry"
	"endfloat/internal/store/sqlite"
	"endfloat/internal/store/storetest"
)

// A restore that is killed at any moment leaves the old workshop or the new one in
// its place, whole; done once more it goes through.
func TestRestoreKilled(t *testing.T) {
	folder := t.TempDir()
	old, backup := filepath.Join(folder, "old.db"), filepath.Join(folder, "backup.db")
	sums := map[string]string{some(t, old, "old"): "old", some(t, backup, "new"): "new"}
	whole, err := os.ReadFile(old)
	check(t, err)
	program(t) // builds it
	began := time.Now()
	run(t, "restore", backup, "--data", filepath.Join(folder, "first.db"))
	usual := time.Since(began)
	found := map[string]int{}
	for round := range storetest.Long(12, 300) {
		place := t.TempDir()
		data := filepath.Join(place, "bench.db")
		check(t, os.WriteFile(data, whole, 0o600))
		cmd := program(t, "restore", backup, "--data", data)
		check(t, cmd.Start())
		time.Sleep(rand.N(usual * 3 / 2))
		cmd.Process.Kill()
		cmd.Wait()
		which, ok := sums[sumOf(t, data)]
		if !ok {
			t.Fatalf("round %d: neither the old workshop nor the new", round)
		}
		found[which]++
		run(t, "restore", backup, "--data", data)
		if which := sums[sumOf(t, data)]; which != "new" {
			t.Fatalf("round %d: restored once more, it is %q", round, which)
		}
	}
	t.Logf("killed while restoring: %v", found)
}

// some makes a workshop of a few books and returns the sum of its export.
func some(t *testing.T, path, what string) string {
	t.Helper()
	s, err := sqlite.Open(t.Context(), path)
	check(t, err)
	for n := range 20 {
		line := job.Line{ID: what, Bytes: fmt.Appendf(nil, `{"id":%q}`, what)}
		check(t, s.Append(t.Context(), shop.Add{Book: fmt.Sprint("book", n), Lines: []job.Line{line}}))
	}
	_, err = s.PutBlob(t.Context(), []byte(what), make([]byte, 3_000_000))
	check(t, err)
	check(t, s.Close())
	return sumOf(t, path)
}

func sumOf(t *testing.T, path string) string {
	t.Helper()
	s, err := sqlite.Open(t.Context(), path)
	check(t, err)
	defer s.Close()
	sum, err := carry.Sum(t.Context(), s)
	check(t, err)
	return sum
}
