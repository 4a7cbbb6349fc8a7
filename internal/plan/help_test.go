package plan_test

import (
	"fmt"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"endfloat/internal/demo"
	"endfloat/internal/gearbox"
	"endfloat/internal/job"
	"endfloat/internal/plan"
)

var boxes = sync.OnceValues(func() ([2]*gearbox.Box, error) {
	large, err := gearbox.Read("bw-4t.gearbox.yaml", demo.BW4T())
	if err != nil {
		return [2]*gearbox.Box{}, err
	}
	small, err := gearbox.Read("three-speed.gearbox.yaml", demo.ThreeSpeed())
	return [2]*gearbox.Box{large, small}, err
})

// book is a job being told entry by entry.
type book struct {
	t   testing.TB
	box *gearbox.Box
	es  []job.Entry
}

// begin opens the book of a unit of a series; of the three-speed with series "".
func begin(t testing.TB, series string, bs ...job.Body) *book {
	t.Helper()
	two, err := boxes()
	if err != nil {
		t.Fatal(err)
	}
	b := &book{t: t, box: two[0]}
	if series == "" {
		b.box = two[1]
	}
	b.add(job.Opened{Unit: "Linnet", Letter: "L", Colour: "blue", Type: b.box.Name, Series: series})
	b.add(bs...)
	return b
}

func (b *book) add(bs ...job.Body) *book {
	b.t.Helper()
	for _, body := range bs {
		n := len(b.es) + 1
		by, err := job.Encode(job.Entry{ID: fmt.Sprintf("e%d", n), At: time.Date(2026, 1, 13, 10, n, 0, 0, time.UTC)}, body)
		if err != nil {
			b.t.Fatal(err)
		}
		b.es = append(b.es, job.Decode(job.Line{Seq: n, ID: fmt.Sprintf("e%d", n), Bytes: by}))
	}
	return b
}

func (b *book) view() *plan.View { return plan.Of(job.Replay("linnet", b.box, b.es)) }

func off(ids ...string) []job.Body {
	var bs []job.Body
	for _, id := range ids {
		bs = append(bs, job.TakenOff{Position: id, Place: "tray L"})
	}
	return bs
}

func fit(position, tag string) job.Fitted { return job.Fitted{Position: position, Tags: []string{tag}} }

// piece brings a piece of a variant.
func piece(tag, position, variant string) job.Came {
	return job.Came{Piece: job.Piece{Tag: tag, Position: position, Variant: variant}, From: "plover", Place: "shelf"}
}

// find returns the findings of a kind that speak of all the words.
func find(v *plan.View, k plan.Kind, words ...string) []plan.Finding {
	var out []plan.Finding
	for _, f := range v.Findings {
		if f.Kind == k && !slices.ContainsFunc(words, func(w string) bool { return !strings.Contains(f.Says, w) }) {
			out = append(out, f)
		}
	}
	return out
}

func step(v *plan.View, do, position string) *plan.Step {
	for i, s := range v.Build {
		if s.Do == do && s.Position != nil && s.Position.ID == position {
			return &v.Build[i]
		}
	}
	return nil
}

func waits(s *plan.Step) string {
	if s == nil {
		return ""
	}
	return strings.Join(s.Waits, "; ")
}
