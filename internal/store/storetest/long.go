package storetest

import "os"

// Long picks how much a test does: the first number, or the second where the
// longer run is asked for (see docs/operations.md, "What was tried").
func Long[N any](short, long N) N {
	if os.Getenv("ENDFLOAT_LONG") != "" {
		return long
	}
	return short
}
