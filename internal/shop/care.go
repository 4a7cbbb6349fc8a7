package shop

import "context"

// LastProven is the last backup or restore that was read back whole and found as
// it was written; ok is false where there never was one, or the store keeps no
// count of them.
func (sh *Shop) LastProven(ctx context.Context) (last Care, ok bool, err error) {
	s, keeps := sh.store.(Cared)
	if !keeps {
		return Care{}, false, nil
	}
	all, err := s.Cares(ctx)
	for _, c := range all {
		if (c.What == "backup" || c.What == "restore") && c.At.After(last.At) {
			last, ok = c, true
		}
	}
	return last, ok, err
}

// Ready reports whether the store can be read.
func (sh *Shop) Ready(ctx context.Context) error {
	_, err := sh.store.FindTag(ctx, "ready?")
	return err
}
