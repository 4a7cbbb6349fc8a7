package web

import (
	"io/fs"
	"path"
	"strings"
	"testing"
)

// Every page can be parsed, with the frame around it.
func TestPagesParse(t *testing.T) {
	names, err := fs.Glob(pageFiles, "page/*.html")
	if err != nil || len(names) < 40 {
		t.Fatalf("%d pages, %v", len(names), err)
	}
	for _, n := range names {
		name := strings.TrimSuffix(path.Base(n), ".html")
		if strings.HasPrefix(name, "_") {
			continue
		}
		for _, part := range []string{"sheet", "main"} {
			if page(name).Lookup(part) == nil {
				t.Errorf("%s has no %q", name, part)
			}
		}
	}
}
