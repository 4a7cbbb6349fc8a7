package main

import (
	"bytes"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"endfloat/internal/store/storetest"
)

// The same source gives the same bytes in another folder, and the bill of what it
// was built of names every module that go.mod has it need. All systems by the
// longer run.
func TestBuildsTheSameAgain(t *testing.T) {
	if testing.Short() {
		t.Skip("builds the program twice")
	}
	targets := storetest.Long([]string{"linux/amd64"}, []string{})
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
		cmd := exec.Command(filepath.Join(src, "packaging", "build"), append([]string{into, "1.2.3"}, targets...)...)
		if out, err := cmd.CombinedOutput(); err != nil {
			t.Fatalf("%v\n%s", err, out)
		}
		b, err := os.ReadFile(filepath.Join(into, "SHA256SUMS"))
		if err != nil {
			t.Fatal(err)
		}
		sums = append(sums, string(b))
		checkParts(t, filepath.Join(into, "endfloat.cdx.json"))
	}
	if sums[0] != sums[1] {
		t.Errorf("two builds differ:\n%s\n%s", sums[0], sums[1])
	}
	if strings.Count(sums[0], "endfloat-") != max(len(targets), 1) && len(targets) > 0 {
		t.Errorf("built %s", sums[0])
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

// checkParts holds the bill against the modules that the program's packages are of.
func checkParts(t *testing.T, file string) {
	t.Helper()
	b, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	var bill struct {
		Format string                           `json:"bomFormat"`
		Parts  []struct{ Name, Version string } `json:"components"`
	}
	if err := json.Unmarshal(b, &bill); err != nil || bill.Format != "CycloneDX" {
		t.Fatalf("the bill: %v, %.200s", err, b)
	}
	out, err := exec.Command("go", "list", "-deps", "-f", "{{with .Module}}{{.Path}}{{end}}", ".").Output()
	if err != nil {
		t.Fatal(err)
	}
	for name := range strings.FieldsSeq(string(out)) {
		if name != "endfloat" && !bytes.Contains(b, []byte(`"name": "`+name+`"`)) {
			t.Errorf("the bill lacks %s", name)
		}
	}
}
