package storetest

import (
	"bytes"
	"fmt"
	"slices"
	"testing"
	"time"

	"endfloat/internal/shop"
)

// sweep: the keys of all blobs come in order, a page at a time, and what is dropped
// is in none. A workshop over the store finds the photos that no book refers to,
// and takes those alone.
func sweep(t *testing.T, s shop.Store) {
	w, ok := s.(shop.Whole)
	if !ok {
		t.Fatal("the store cannot be read out whole")
	}
	ctx := t.Context()
	jpeg := []byte("\xff\xd8\xff\xe0\x00\x10JFIF\x00")
	put := func(b []byte) string {
		t.Helper()
		k, err := s.PutBlob(ctx, nil, b)
		must(t, err)
		return k
	}
	var photos []string
	for i := range 7 {
		photos = append(photos, put(append(bytes.Clone(jpeg), byte(i))))
	}
	file := put([]byte("endfloat: 1"))
	all := slices.Sorted(slices.Values(append(slices.Clone(photos), file)))
	var got []string
	for after := ""; ; {
		keys, err := w.BlobKeys(ctx, after, 3)
		must(t, err)
		if len(keys) > 3 {
			t.Fatalf("%d keys on a page of 3", len(keys))
		}
		if len(keys) == 0 {
			break
		}
		got, after = append(got, keys...), keys[len(keys)-1]
	}
	if !slices.Equal(got, all) {
		t.Errorf("keys %v, wanted %v", got, all)
	}

	cite := add("job", 0, "a")
	cite.Lines[0].Bytes = fmt.Appendf(nil, `{"id":"a","kind":"noted","body":{"text":"x","photos":[%q,%q]}}`, photos[1], photos[4])
	must(t, s.Append(ctx, cite))
	sh := shop.New(s, time.Now)
	unused, err := sh.UnusedPhotos(ctx)
	must(t, err)
	if len(unused) != 5 || slices.ContainsFunc(unused, func(u shop.Unused) bool {
		return u.Key == file || u.Key == photos[1] || u.Key == photos[4] || u.Bytes != len(jpeg)+1
	}) {
		t.Errorf("unused: %+v", unused)
	}
	gone, err := sh.DropUnusedPhotos(ctx)
	must(t, err)
	if !slices.Equal(gone, unused) {
		t.Errorf("gone: %+v", gone)
	}
	keys, err := w.BlobKeys(ctx, "", 100)
	must(t, err)
	if want := slices.Sorted(slices.Values([]string{photos[1], photos[4], file})); !slices.Equal(keys, want) {
		t.Errorf("left: %v, wanted %v", keys, want)
	}
	if again, err := sh.DropUnusedPhotos(ctx); err != nil || len(again) != 0 {
		t.Errorf("a second time: %+v, %v", again, err)
	}
}
