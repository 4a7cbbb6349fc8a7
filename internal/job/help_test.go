package job_test

import (
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
	"sync"
	"testing"
	"time"

	"endfloat/internal/demo"
	"endfloat/internal/gearbox"
	"endfloat/internal/job"
)

var boxOnce = sync.OnceValues(func() (*gearbox.Box, error) { return gearbox.Read("bw-4t.gearbox.yaml", demo.BW4T()) })

func bw4t(t testing.TB) *gearbox.Box {
	t.Helper()
	b, err := boxOnce()
	if err != nil {
		t.Fatal(err)
	}
	return b
}

var began = time.Date(2026, 1, 12, 9, 0, 0, 0, time.UTC)

// bodies makes stored lines of bodies, in order, with ids e1, e2, …
func bodies(t testing.TB, bs ...job.Body) []job.Line {
	t.Helper()
	var ls []job.Line
	for i, b := range bs {
		id := fmt.Sprintf("e%d", i+1)
		by, err := job.Encode(job.Entry{ID: id, At: began.Add(time.Duration(i) * time.Minute), On: "bench tablet", N: i + 1}, b)
		if err != nil {
			t.Fatal(err)
		}
		ls = append(ls, job.Line{Seq: i + 1, ID: id, Bytes: by})
	}
	return ls
}

func replay(t testing.TB, box *gearbox.Box, bs ...job.Body) *job.State {
	t.Helper()
	return job.Replay("linnet", box, job.DecodeAll(bodies(t, bs...)))
}

func opened() job.Opened {
	return job.Opened{Unit: "Linnet", Letter: "L", Colour: "blue", Type: "BW-4T", Series: "A"}
}

// onePlace is the one relation that pieces obey: each is at one place, and the
// two ways of asking, by piece and by position, agree.
func onePlace(s *job.State) error {
	seen := map[string]string{}
	for _, pos := range slices.Sorted(maps.Keys(s.At)) {
		for _, tag := range s.At[pos] {
			if first, twice := seen[tag]; twice {
				return fmt.Errorf("%s is at %s and at %s", tag, first, pos)
			}
			seen[tag] = pos
			if at, in := s.In(tag); !in || at != pos {
				return fmt.Errorf("%s is listed at %s, but its place is %q", tag, pos, s.Where[tag])
			}
		}
	}
	for _, tag := range slices.Sorted(maps.Keys(s.Where)) {
		if s.Pieces[tag] == nil {
			return fmt.Errorf("%s has the place %q but is no piece", tag, s.Where[tag])
		}
		if pos, in := s.In(tag); in && seen[tag] != pos {
			return fmt.Errorf("the place of %s is %q, but it is not listed there", tag, s.Where[tag])
		}
	}
	for _, tag := range slices.Sorted(maps.Keys(s.Pieces)) {
		if _, ok := s.Where[tag]; !ok {
			return fmt.Errorf("%s is a piece without a place", tag)
		}
	}
	return nil
}

// some picks one of a list.
func some[T any](r *rand.Rand, of ...T) T { return of[r.IntN(len(of))] }

// random is an entry with a valid body, about a handful of positions and tags,
// so that entries often meet.
func random(r *rand.Rand) job.Body {
	pos := func() string { return some(r, "P08", "P36", "D20", "D21", "P39", "Z99") }
	tag := func() string { return some(r, "L-P08", "L-P36", "L-D20", "s1", "s2", "d1", "N-P39", "X-P08") }
	where := func() string { return some(r, "tray L", "bag L D20", "bench", "shelf", "in", "P08") }
	piece := func() job.Piece {
		return job.Piece{Tag: tag(), Name: "side shim", Stock: "side shim", Thick: "0.50 mm", SI: 0.5e-3, U: 3e-6, Variant: some(r, "", "ASY")}
	}
	var tags []string
	for _, t := range []string{"L-P08", "L-D20", "s1", "s2", "d1", "N-P39"} {
		if r.IntN(4) == 0 {
			tags = append(tags, t)
		}
	}
	return some[job.Body](r,
		job.TakenOff{Position: pos(), Faced: "cone toward nut", Place: where(), Thick: []string{"0.50"}, Count: r.IntN(3)},
		job.Read{What: some(r, "backlash", "gauge gap", "P08 width", "free words"), Values: []string{"0.31"}, SI: []float64{0.31e-3}, Unit: "mm", U: 5e-6, Common: 0.5},
		job.Decided{Position: pos(), Choice: "donor", Variant: some(r, "", "ASY"), Piece: tag()},
		job.Added{Piece: piece(), Place: where()},
		job.Came{Piece: piece(), From: "stores", Place: where()},
		job.Left{Tag: tag(), To: "stores"},
		job.Put{Tag: tag(), Place: where()},
		job.Marked{Tag: tag(), Marks: map[string]string{"set number": "417"}},
		job.Fitted{Position: pos(), Tags: tags, Aside: some(r, "", "tray L"), Trial: r.IntN(2) == 0},
		job.Torqued{Position: pos(), Method: "wrench", Reading: "150", Torque: 150},
		job.Locked{Position: pos(), How: "tab"},
		job.Noted{Text: "look again", Position: some(r, "", pos()), Until: some(r, "", pos())},
		job.Answered{Question: "etched plus means", Answer: some(r, "further", "nearer")},
		job.Allowed{Hold: "rule/1/P18", Why: "the owner wants it so"},
		job.Struck{Entry: fmt.Sprintf("e%d", 1+r.IntN(60)), Why: "wrong part"},
		job.Closed{Oil: "dry"}, job.Cost{What: "seals"}, job.Signed{What: "all"},
		job.Instrument{Name: "feelers"}, job.Tool{Name: "bar"}, job.KeptBox{Name: "BW-4T", Box: "00"}, job.Repinned{Box: "11"}, job.Person{Person: "22"}, opened(),
	)
}
