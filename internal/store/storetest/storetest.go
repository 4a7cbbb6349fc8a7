// Package storetest holds the tests that every shop.Store must pass.
package storetest

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"slices"
	"testing"

	"endfloat/internal/job"
	"endfloat/internal/shop"
)

// Run tests the stores that open returns. Each must be empty; Run closes it.
func Run(t *testing.T, open func(t *testing.T) shop.Store) {
	for _, c := range []struct {
		name string
		test func(*testing.T, shop.Store)
	}{
		{"empty", empty},
		{"bytes", verbatim},
		{"after", after},
		{"moved on", movedOn},
		{"writers at once", atOnce},
		{"conflict spares others", spares},
		{"sent twice", twice},
		{"other bytes", otherBytes},
		{"some repeats", someRepeats},
		{"all or nothing", allOrNothing},
		{"invalid", invalid},
		{"summaries", summaries},
		{"tags", tags},
		{"summary alone", summaryAlone},
		{"find", find},
		{"blobs", blobs},
		{"large blob", largeBlob},
		{"unused photos", sweep},
		{"whole transactions", whole},
		{"cancelled", cancelled},
		{"kept from callers", kept},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := open(t)
			c.test(t, s)
			if err := s.Close(); err != nil {
				t.Error(err)
			}
		})
	}
}

// entry makes a line whose bytes follow from its id.
func entry(id string) job.Line {
	return job.Line{ID: id, Bytes: fmt.Appendf(nil, `{"id":%q,"kind":"noted","body":{"text":"entry %s"}}`, id, id)}
}

func entries(ids ...string) (ls []job.Line) {
	for _, id := range ids {
		ls = append(ls, entry(id))
	}
	return ls
}

// add is an Add of entries with a summary and no tags.
func add(book string, after int, ids ...string) shop.Add {
	return shop.Add{Book: book, After: after, Lines: entries(ids...), Summary: fmt.Appendf(nil, `{"after":%d}`, after)}
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

func wantKind(t *testing.T, err, kind error) {
	t.Helper()
	if !errors.Is(err, kind) {
		t.Fatalf("got error %v, want one of kind %q", err, kind)
	}
}

// wantBook checks that a book holds exactly these entries, whole and in order.
func wantBook(t *testing.T, s shop.Store, book string, ids ...string) {
	t.Helper()
	wantLines(t, s, book, 0, entries(ids...))
}

func wantLines(t *testing.T, s shop.Store, book string, after int, want []job.Line) {
	t.Helper()
	got, err := s.Lines(context.Background(), book, after)
	must(t, err)
	if len(got) != len(want) {
		t.Fatalf("book %s after %d has %d lines, want %d", book, after, len(got), len(want))
	}
	for i, l := range got {
		if l.Seq != after+i+1 || l.ID != want[i].ID || !bytes.Equal(l.Bytes, want[i].Bytes) {
			t.Fatalf("book %s: line %d is %d %s %q, want %s %q", book, after+i+1, l.Seq, l.ID, l.Bytes, want[i].ID, want[i].Bytes)
		}
	}
}

func wantTag(t *testing.T, s shop.Store, tag string, books ...string) {
	t.Helper()
	got, err := s.FindTag(context.Background(), tag)
	must(t, err)
	if !slices.Equal(got, books) {
		t.Fatalf("tag %s is in %q, want %q", tag, got, books)
	}
}

func wantSummaries(t *testing.T, s shop.Store, want ...shop.Summary) {
	t.Helper()
	got, err := s.Summaries(context.Background())
	must(t, err)
	same := func(a, b shop.Summary) bool {
		return a.Book == b.Book && a.Seq == b.Seq && bytes.Equal(a.Body, b.Body)
	}
	if !slices.EqualFunc(got, want, same) {
		t.Fatalf("summaries are %v, want %v", got, want)
	}
}
