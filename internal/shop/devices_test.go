package shop_test

import (
	"errors"
	"testing"
	"time"

	"endfloat/internal/shop"
	"endfloat/internal/store/memory"
)

// A device is in for a year from its pairing, unless it is struck off before.
func TestDeviceLife(t *testing.T) {
	now := clock()
	sh := shop.New(memory.New(), func() time.Time { return now })
	ctx := t.Context()
	pair := func(called string) string {
		t.Helper()
		token, err := sh.Pair(ctx, tove, shop.Device{Called: called, Name: "Jo", Role: shop.Hand})
		if err != nil {
			t.Fatal(err)
		}
		return token
	}
	old := pair("old phone")
	now = now.Add(200 * 24 * time.Hour)
	newer := pair("new phone")
	for _, c := range []struct {
		after      time.Duration
		old, newer bool
	}{{0, true, true}, {165 * 24 * time.Hour, true, true}, {167 * 24 * time.Hour, false, true}, {367 * 24 * time.Hour, false, false}} {
		at := now
		now = now.Add(c.after)
		for token, in := range map[string]bool{old: c.old, newer: c.newer} {
			if _, err := sh.DeviceOf(ctx, token); (err == nil) != in || err != nil && !errors.Is(err, shop.ErrNotFound) {
				t.Errorf("after %v a device is in: want %v, got %v", c.after, in, err)
			}
		}
		now = at
	}
}
