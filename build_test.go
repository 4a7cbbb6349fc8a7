package main

import (
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"endfloat/internal/store/storetest"
)

// The same source gives the same bytes in another folder, for every system, and the
// bill of what it was built of names every module of its packages. It compiles
// everything many times, so it belongs to the longer run.
func TestBuildsTheSameAgain(t *testing.T) {
	if !storetest.Long(false, true) {
		t.Skip("part of the longer run: ENDFLOAT_LONG=1")
	}
	here, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	other := filepath.Join(t.TempDir(), "elsewhere")
	if out, err := exec.Command("git", "-C", here, "ls-files", "-z", "--cached", "--others", "--exclude-standard").Output(); err != nil {
		t.Skip("no copy of the source can be made without git")
	} else {
		for name := range strings.SplitSeq(strings.TrimRight(string(out), "\x00"), "\x00") {
			copySource(t, filepath.Join(here, name), filepath.Join(other, name))
		}
	}
	var sums []string
	for _, src := range []string{here, other} {
		into := t.TempDir()
		cmd := exec.Command(filepath.Join(src, "packaging", "build"), into, "1.2.3")
		if out, err := cmd.CombinedOutput(); err != nil {
			t.Fatalf("%v\n%s", err, out)
		}
		b, err := os.ReadFile(filepath.Join(into, "SHA256SUMS"))
		if err != nil {
			t.Fatal(err)
		}
		sums = append(sums, string(b))
		if b, err = os.ReadFile(filepath.Join(into, "endfloat.cdx.json")); err != nil {
			t.Fatal(err)
		}
		checkParts(t, b)
	}
	if sums[0] != sums[1] {
		t.Errorf("two builds differ:\n%s\n%s", sums[0], sums[1])
	}
	if n := strings.Count(sums[0], "endfloat-"); n < 7 {
		t.Errorf("built for %d systems:\n%s", n, sums[0])
	}
}

func copySource(t *testing.T, from, to string) {
	t.Helper()
	b, err := os.ReadFile(from)
	if os.IsNotExist(err) {
		return // deleted and not yet committed
	}
	if err != nil {
		t.Fatal(err)
	}
	info, err := os.Stat(from)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.MkdirAll(filepath.Dir(to), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(to, b, info.Mode()); err != nil {
		t.Fatal(err)
	}
}

// checkParts holds a bill against the modules that the program's packages are of.
func checkParts(t *testing.T, bill []byte) {
	t.Helper()
	var b struct {
		Format string                                 `json:"bomFormat"`
		Spec   string                                 `json:"specVersion"`
		Parts  []struct{ Name, Version, PURL string } `json:"components"`
	}
	if err := json.Unmarshal(bill, &b); err != nil || b.Format != "CycloneDX" || b.Spec != "1.6" {
		t.Fatalf("the bill: %v, %.200s", err, bill)
	}
	has := map[string]bool{}
	for _, p := range b.Parts {
		has[p.PURL] = true
	}
	out, err := exec.Command("go", "list", "-deps", "-f", "{{with .Module}}{{.Path}}@{{.Version}}{{end}}", ".").Output()
	if err != nil {
		t.Fatal(err)
	}
	seen := 0
	for m := range strings.FieldsSeq(string(out)) {
		if m == "endfloat@" {
			continue
		}
		seen++
		if !has["pkg:golang/"+m] {
			t.Errorf("the bill lacks %s", m)
		}
	}
	if seen < 10 {
		t.Errorf("only %d packages of modules were looked for", seen)
	}
}

// TestParts: the program names every module whose code is in it, with its version.
func TestParts(t *testing.T) { checkParts(t, []byte(run(t, "version", "--parts"))) }
