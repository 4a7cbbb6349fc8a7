package setup_test

import (
	"fmt"
	"math"
	"strconv"
	"sync"
	"testing"
	"time"

	"endfloat/internal/demo"
	"endfloat/internal/gearbox"
	"endfloat/internal/job"
	"endfloat/internal/setup"
)

const (
	mm = 1e-3
	µm = 1e-6
)

var boxOnce = sync.OnceValues(func() (*gearbox.Box, error) { return gearbox.Read("bw-4t.gearbox.yaml", demo.BW4T()) })

// entries makes the entries of a unit of a series from the bodies that follow
// its opening, with ids e1, e2, …; the opening is e0.
func entries(t testing.TB, series string, bs ...job.Body) []job.Entry {
	t.Helper()
	var es []job.Entry
	all := append([]job.Body{job.Opened{Unit: "Linnet", Letter: "L", Colour: "blue", Type: "BW-4T", Series: series}}, bs...)
	for i, b := range all {
		id := fmt.Sprintf("e%d", i)
		by, err := job.Encode(job.Entry{ID: id, At: time.Date(2026, 3, 2, 8, i, 0, 0, time.UTC)}, b)
		if err != nil {
			t.Fatal(err)
		}
		es = append(es, job.Decode(job.Line{Seq: i + 1, ID: id, Bytes: by}))
	}
	return es
}

func replay(t testing.TB, es []job.Entry) *job.State {
	t.Helper()
	box, err := boxOnce()
	if err != nil {
		t.Fatal(err)
	}
	return job.Replay("linnet", box, es)
}

func state(t testing.TB, series string, bs ...job.Body) *job.State {
	t.Helper()
	return replay(t, entries(t, series, bs...))
}

// read is a set of readings in millimetres with a standard uncertainty of u
// micrometres each, half of it common, as the demonstration's instruments have.
func read(what, with string, u float64, values ...float64) job.Read {
	r := job.Read{What: what, With: with, U: u * µm, Common: 0.5, Unit: "mm"}
	for _, v := range values {
		r.Values = append(r.Values, strconv.FormatFloat(v, 'f', -1, 64))
		r.SI = append(r.SI, v*mm)
	}
	return r
}

func at(r job.Read, celsius float64) job.Read {
	r.Temp = &celsius
	return r
}

// shim brings a piece with its measured thickness in millimetres.
func shim(tag string, thick float64) job.Came {
	return job.Came{Piece: job.Piece{Tag: tag, SI: thick * mm}, From: "stores", Place: "bench"}
}

func fit(position string, tags ...string) job.Fitted {
	return job.Fitted{Position: position, Tags: tags}
}

func setting(t testing.TB, s *job.State, name string) setup.Result {
	t.Helper()
	r, ok := setup.One(s, name)
	if !ok {
		t.Fatalf("no setting %q", name)
	}
	return r
}

func measure(t testing.TB, s *job.State, name string) *gearbox.Measure {
	t.Helper()
	m, ok := s.Box.Measure(name)
	if !ok {
		t.Fatalf("nothing is measured as %q", name)
	}
	return m
}

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.9g, want %.9g within %.2g", what, got, want, tol)
	}
}

// sideShims are pieces of the demonstration's drawer, measured.
func sideShims() []job.Body {
	var bs []job.Body
	for i, t := range []float64{0.998, 1.003, 0.502, 0.498, 0.298, 0.252, 0.203, 0.197, 0.149, 0.152, 0.098, 0.101, 1.497, 2.001, 0.049} {
		bs = append(bs, shim(fmt.Sprintf("s%d", i+1), t))
	}
	return bs
}

// The three trials of the backlash, L21 to L23 of the scenario.
func split(left, right []string) []job.Body {
	return []job.Body{fit("D20", left...), fit("D21", right...)}
}

func l21() []job.Body {
	return append(split([]string{"s14", "s7"}, []string{"s1", "s2", "s8"}), read("backlash", "dial indicator", 5, 0.30, 0.32, 0.31, 0.31))
}

func l22() []job.Body {
	return append(split([]string{"s14", "s6", "s9"}, []string{"s1", "s2"}), read("backlash", "dial indicator", 5, 0.19, 0.20, 0.18, 0.19))
}

func l23packs() []job.Body { return split([]string{"s14", "s5", "s9"}, []string{"s13", "s7", "s6"}) }

func join(lists ...[]job.Body) []job.Body {
	var all []job.Body
	for _, l := range lists {
		all = append(all, l...)
	}
	return all
}
