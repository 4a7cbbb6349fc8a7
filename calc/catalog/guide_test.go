package catalog_test

import (
	"flag"
	"os"
	"testing"

	"endfloat/calc/catalog"
)

var update = flag.Bool("update", false, "write docs/sums.md anew")

// The guide in docs is what the declarations say now.
func TestGuide(t *testing.T) {
	const file = "../../docs/sums.md"
	want := catalog.Guide()
	if *update {
		if err := os.WriteFile(file, []byte(want), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	got, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if string(got) != want {
		t.Error("docs/sums.md is not what the sums say: go test ./calc/catalog -run TestGuide -update")
	}
}
