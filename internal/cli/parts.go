package cli

import (
	"errors"
	"runtime/debug"
)

// bom is a bill of materials of software after CycloneDX 1.6, as much of it as the
// program knows of itself: the modules it was built of, as the compiler noted them.
type bom struct {
	Format   string      `json:"bomFormat"`
	Spec     string      `json:"specVersion"`
	Version  int         `json:"version"`
	Metadata bomMetadata `json:"metadata"`
	Parts    []bomPart   `json:"components"`
}

type bomMetadata struct {
	Component bomPart `json:"component"`
}

type bomPart struct {
	Type    string `json:"type"`
	Name    string `json:"name"`
	Version string `json:"version"`
	PURL    string `json:"purl,omitempty"`
	Ref     string `json:"bom-ref,omitempty"`
}

// partsOf makes the bill of a build.
func partsOf(info *debug.BuildInfo) bom {
	b := bom{Format: "CycloneDX", Spec: "1.6", Version: 1, Metadata: bomMetadata{bomPart{Type: "application", Name: "endfloat", Version: Version}}, Parts: []bomPart{}}
	add := func(name, version string) {
		purl := "pkg:golang/" + name + "@" + version
		b.Parts = append(b.Parts, bomPart{"library", name, version, purl, purl})
	}
	add("std", info.GoVersion)
	for _, m := range info.Deps {
		if m.Replace != nil {
			m = m.Replace
		}
		add(m.Path, m.Version)
	}
	return b
}

func (a *app) parts() error {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return errors.New("this program was built without the list of its parts")
	}
	return a.printJSON(partsOf(info))
}
