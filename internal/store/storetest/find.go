package storetest

import (
	"context"
	"fmt"
	"testing"

	"endfloat/internal/job"
	"endfloat/internal/shop"
)

// find: what a person searches for, in either case, all words or none.
func find(t *testing.T, s shop.Store) {
	ctx := context.Background()
	line := func(id, text string) job.Line { return job.Line{ID: id, Bytes: []byte(text)} }
	must(t, s.Append(ctx,
		shop.Add{Book: "b", Lines: []job.Line{line("1", `{"text":"Pinion bearing worn, 35 µm"}`), line("2", `{"text":"pinion nut 100% tight \\ locked"}`)}},
		shop.Add{Book: "a", Lines: []job.Line{line("1", "{\"text\":\"PINION \xff broken bytes\"}")}},
	))
	for _, c := range []struct {
		words []string
		n     int
		want  string
	}{
		{[]string{"pinion"}, 9, "a/1 b/2 b/1"},
		{[]string{"pinion"}, 2, "a/1 b/2"},
		{[]string{"PINION", "worn"}, 9, "b/1"},
		{[]string{"35 µm"}, 9, "b/1"},
		{[]string{"100%"}, 9, "b/2"},
		{[]string{"% t"}, 9, "b/2"},
		{[]string{"_inion"}, 9, ""},
		{[]string{`\`}, 9, "b/2"},
		{[]string{"265"}, 9, ""},
		{[]string{"broken", "worn"}, 9, ""},
		{[]string{"nowhere"}, 9, ""},
		{nil, 9, "a/1 b/2 b/1"},
	} {
		hits, err := s.Find(ctx, c.words, c.n)
		must(t, err)
		got := ""
		for i, h := range hits {
			if i > 0 {
				got += " "
			}
			got += fmt.Sprintf("%s/%s", h.Book, h.ID)
		}
		if got != c.want {
			t.Errorf("%q, up to %d: found %q, want %q", c.words, c.n, got, c.want)
		}
	}
}
