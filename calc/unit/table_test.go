package unit

import (
	"strings"
	"testing"
)

// No spelling may serve two units of a kind, or the order of the table would
// decide what a person meant.
func TestSpellingsAreDistinct(t *testing.T) {
	for k := range defs {
		owner := map[string]string{}
		for _, d := range defs[k] {
			for _, spelling := range append(strings.Fields(d[2]), d[0]) {
				for _, s := range []string{key(spelling), strings.ReplaceAll(key(spelling), "·", "")} {
					if other, taken := owner[s]; taken && other != d[0] {
						t.Errorf("%s: %q stands for %s and for %s", Kind(k), s, other, d[0])
					}
					owner[s] = d[0]
				}
			}
		}
	}
}

// An example that its own parser refuses would mislead whoever reads the error.
func TestExamplesParse(t *testing.T) {
	for k := range kinds {
		if _, err := Parse(kinds[k].example, Kind(k), Unit{}); err != nil {
			t.Error(err)
		}
	}
}
