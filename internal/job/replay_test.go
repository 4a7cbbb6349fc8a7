package job_test

import (
	"fmt"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"endfloat/internal/gearbox"
	"endfloat/internal/job"
)

// After any entries in any order each piece is at one place, with a gearbox
// file and without one.
func TestOnePlaceAlways(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	for run := range 100 {
		bs := []job.Body{opened()}
		for range 50 {
			bs = append(bs, random(r))
		}
		es := job.DecodeAll(bodies(t, bs...))
		if run%4 == 0 {
			r.Shuffle(len(es), func(i, j int) { es[i], es[j] = es[j], es[i] })
		}
		for n := range es {
			if err := onePlace(job.Replay("linnet", bw4t(t), es[:n+1])); err != nil {
				t.Fatalf("run %d, after entry %d (%s %s): %v", run, n+1, es[n].Kind, es[n].Body, err)
			}
			if err := onePlace(job.Replay("linnet", nil, es[:n+1])); err != nil {
				t.Fatalf("run %d, without a file, after entry %d (%s %s): %v", run, n+1, es[n].Kind, es[n].Body, err)
			}
		}
	}
}

// A piece is one piece however often it is named.
func TestNamedTwice(t *testing.T) {
	s := replay(t, bw4t(t), opened(),
		job.Came{Piece: job.Piece{Tag: "s1", SI: 0.998e-3}, Place: "bench"},
		job.Fitted{Position: "D20", Tags: []string{"s1", "s1"}})
	if err := onePlace(s); err != nil {
		t.Error(err)
	}
	if p := s.Pack("D20"); p.SI != 0.998e-3 {
		t.Errorf("one shim of 0.998 mm makes a pack of %.3f mm", p.SI*1e3)
	}
}

// People write "in the drawer". Only fitting puts a piece into the unit.
func TestPlaceInWords(t *testing.T) {
	for _, place := range []string{"in the drawer", "in tray L", "in P08"} {
		for _, b := range []job.Body{
			job.Put{Tag: "L-P36", Place: place},
			job.TakenOff{Position: "P36", Place: place},
			job.Added{Piece: job.Piece{Tag: "n1"}, Place: place},
			job.Fitted{Position: "P36", Tags: []string{"L-P35"}, Aside: place},
		} {
			s := replay(t, bw4t(t), opened(), b)
			if err := onePlace(s); err != nil {
				t.Errorf("%s: %v", b.Kind(), err)
			}
		}
	}
}

// Replay reads a book that begins twice, or late, as a merge of two copies might.
func TestBeginsTwice(t *testing.T) {
	came := job.Came{Piece: job.Piece{Tag: "s1", SI: 0.998e-3}, Place: "bench"}
	fitted := job.Fitted{Position: "D20", Tags: []string{"s1"}}
	for what, bs := range map[string][]job.Body{
		"twice":                        {opened(), came, fitted, opened()},
		"late":                         {came, fitted, opened()},
		"twice, with one at no place":  {opened(), job.Fitted{Position: "Z99", Tags: []string{"L-P08"}}, opened()},
		"twice, and that one has left": {opened(), job.Fitted{Position: "Z99", Tags: []string{"L-P08"}}, opened(), job.Left{Tag: "L-P08", To: "plover"}},
	} {
		t.Run(what, func(t *testing.T) {
			defer func() {
				if p := recover(); p != nil {
					t.Errorf("Replay panics: %v", p)
				}
			}()
			if err := onePlace(replay(t, bw4t(t), bs...)); err != nil {
				t.Error(err)
			}
		})
	}
}

// The way of one piece through fitted, put, left, came and off again.
func TestWayOfAPiece(t *testing.T) {
	came := job.Came{Piece: job.Piece{Tag: "s1", SI: 0.998e-3}, From: "stores", Place: "bench"}
	bs := []job.Body{opened()}
	for _, step := range []struct {
		do    job.Body
		where string // "" = not in this book
		d20   string // tags there
	}{
		{came, "bench", "L-D20"},
		{job.Fitted{Position: "D20", Tags: []string{"s1"}}, "in D20", "s1"},
		{job.Fitted{Position: "D21", Tags: []string{"s1"}}, "in D21", ""},
		{job.Fitted{Position: "D20", Tags: []string{"s1", "L-D20"}}, "in D20", "s1 L-D20"},
		{job.Put{Tag: "s1", Place: "bag L D20"}, "bag L D20", "L-D20"},
		{job.Fitted{Position: "D20", Tags: []string{"s1"}, Aside: "tray L"}, "in D20", "s1"},
		{job.TakenOff{Position: "D20", Place: "tray L"}, "tray L", ""},
		{job.Left{Tag: "s1", To: "stores"}, "", ""},
		{job.Fitted{Position: "D20", Tags: []string{"s1"}}, "", ""},
		{came, "bench", ""},
	} {
		bs = append(bs, step.do)
		s := replay(t, bw4t(t), bs...)
		if err := onePlace(s); err != nil {
			t.Fatalf("after %s: %v", step.do.Kind(), err)
		}
		if s.Where["s1"] != step.where || strings.Join(s.At["D20"], " ") != step.d20 {
			t.Fatalf("after %+v: s1 is at %q, D20 has %q; want %q, %q", step.do, s.Where["s1"], s.At["D20"], step.where, step.d20)
		}
	}
}

// What a person did at a position lasts while a piece is there.
func TestFastened(t *testing.T) {
	on := []job.Body{opened(), job.Fitted{Position: "P39", Tags: []string{"L-P39"}}, job.Torqued{Position: "P39", Torque: 150}, job.Locked{Position: "P39", How: "tab"}}
	if sp := replay(t, bw4t(t), on...).Spots["P39"]; sp.Fitted == nil || sp.Torqued == nil || sp.Locked == nil {
		t.Fatalf("%+v", sp)
	}
	for _, undo := range []job.Body{
		job.TakenOff{Position: "P39", Place: "tray L"}, job.Put{Tag: "L-P39", Place: "bench"},
		job.Left{Tag: "L-P39", To: "plover"}, job.Fitted{Position: "D20", Tags: []string{"L-P39"}},
	} {
		if sp := replay(t, bw4t(t), append(slices.Clone(on), undo)...).Spots["P39"]; sp.Fitted != nil || sp.Torqued != nil || sp.Locked != nil {
			t.Errorf("after %s P39 still counts as %+v", undo.Kind(), sp)
		}
	}
	again := append(slices.Clone(on), job.Fitted{Position: "P39", Tags: []string{"L-P39"}})
	if sp := replay(t, bw4t(t), again...).Spots["P39"]; sp.Torqued != nil || sp.Locked != nil {
		t.Error("fitted anew, P39 counts as torqued or locked")
	}
}

// What names a position the gearbox file does not have is kept and told.
func TestUnlisted(t *testing.T) {
	for _, b := range []job.Body{
		job.TakenOff{Position: "Z99", Place: "tray L"}, job.Decided{Position: "Z99", Choice: "reuse"},
		job.Fitted{Position: "Z99", Tags: []string{"L-P08"}}, job.Torqued{Position: "Z99", Torque: 9}, job.Locked{Position: "Z99", How: "wire"},
	} {
		s := replay(t, bw4t(t), opened(), b)
		if len(s.Stray) != 1 || !strings.Contains(s.Stray[0], "Z99") || !strings.Contains(s.Stray[0], b.Kind()) {
			t.Errorf("%s: strays %q", b.Kind(), s.Stray)
		}
		if sp := s.Spots["Z99"]; sp == nil || !sp.Unlisted {
			t.Errorf("%s: Z99 is not marked as unlisted", b.Kind())
		}
	}
	// A part that no file has is no stray when whoever took it off gave it a name.
	named := job.TakenOff{Position: "Z99", Name: "shim", Place: "tray L"}
	for _, box := range []*gearbox.Box{nil, bw4t(t)} {
		if s := replay(t, box, opened(), named); len(s.Stray) > 0 || s.Where["L-Z99"] != "tray L" || !s.Spots["Z99"].Unlisted {
			t.Errorf("strays %q, at %q, %+v", s.Stray, s.Where["L-Z99"], s.Spots["Z99"])
		}
	}
}

// Nobody's piece, an unknown kind and a body of the wrong shape are told, each
// with its entry.
func TestStrays(t *testing.T) {
	es := job.DecodeAll(bodies(t, opened(), job.Put{Tag: "nobody"}, job.Marked{Tag: "nobody"}, job.Left{Tag: "nobody"}, job.Fitted{Position: "D20", Tags: []string{"nobody"}}))
	es = append(es, job.Entry{ID: "x", Seq: 6, Kind: "weighed", Body: []byte("{}")}, job.Entry{ID: "y", Seq: 7, Kind: "put", Body: []byte("[1]")}, job.Entry{ID: "z", Seq: 8, Kind: "read"})
	s := job.Replay("linnet", bw4t(t), es)
	if len(s.Stray) != 7 {
		t.Fatalf("strays %q", s.Stray)
	}
	for i, says := range []string{"nobody", "nobody", "nobody", "nobody", "newer", "read", "read"} {
		if !strings.Contains(s.Stray[i], fmt.Sprintf("entry %d ", i+2)) || !strings.Contains(s.Stray[i], says) {
			t.Errorf("stray %q, want entry %d and %q", s.Stray[i], i+2, says)
		}
	}
}

// told is a state without the book it was read from.
func told(s *job.State) job.State {
	c := *s
	c.Entries, c.Struck, c.Seq = nil, nil, 0
	c.Last = began
	return c
}

// A struck entry leaves no trace: the state is that of a book without it. And a
// strike that is struck leaves none either.
func TestStruck(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 10))
	for run := range 150 {
		bs := []job.Body{opened()}
		for range 40 {
			b := random(r)
			if _, is := b.(job.Struck); !is {
				bs = append(bs, b)
			}
		}
		n := len(bs)
		k := r.IntN(n)
		bs = append(bs, job.Struck{Entry: fmt.Sprintf("e%d", k+1), Why: "typed twice"}, job.Struck{Entry: fmt.Sprintf("e%d", n+1)})
		es := job.DecodeAll(bodies(t, bs...))
		without := job.Replay("linnet", bw4t(t), slices.Delete(slices.Clone(es[:n]), k, k+1))
		struck := job.Replay("linnet", bw4t(t), es[:n+1])
		if !reflect.DeepEqual(told(struck), told(without)) {
			t.Fatalf("run %d: %s, struck, leaves a trace\n%+v\n%+v", run, es[k].Kind, told(struck), told(without))
		}
		if _, ok := struck.Struck[es[k].ID]; !ok || len(struck.Entries) != n+1 {
			t.Fatalf("run %d: the struck entry is not in the book as struck", run)
		}
		before, revived := job.Replay("linnet", bw4t(t), es[:n]), job.Replay("linnet", bw4t(t), es)
		if !reflect.DeepEqual(told(revived), told(before)) {
			t.Fatalf("run %d: %s does not come back when its strike is struck", run, es[k].Kind)
		}
	}
}

// A strike of nothing, of itself, or of what nobody wrote changes nothing.
func TestStrikeOfNothing(t *testing.T) {
	want := told(replay(t, bw4t(t), opened()))
	for _, e := range []string{"", "e2", "no such entry"} {
		if got := told(replay(t, bw4t(t), opened(), job.Struck{Entry: e})); !reflect.DeepEqual(got, want) {
			t.Errorf("striking %q changed the state", e)
		}
	}
}

// The key of the pinned gearbox file follows mends and strikes, without replay
// of the rest.
func TestBoxKey(t *testing.T) {
	o := opened()
	o.Box = "first"
	for _, c := range []struct {
		bs   []job.Body
		want string
	}{
		{nil, ""},
		{[]job.Body{o}, "first"},
		{[]job.Body{o, job.Repinned{Box: "second"}}, "second"},
		{[]job.Body{o, job.Repinned{Box: "second"}, job.Struck{Entry: "e2"}}, "first"},
		{[]job.Body{o, job.Repinned{Box: "second"}, job.Struck{Entry: "e2"}, job.Struck{Entry: "e3"}}, "second"},
	} {
		es := job.DecodeAll(bodies(t, c.bs...))
		if got := job.BoxKey(es); got != c.want || job.Replay("b", nil, es).Opened.Box != c.want {
			t.Errorf("%d entries pin %q, want %q", len(es), got, c.want)
		}
	}
}
