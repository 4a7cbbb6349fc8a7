package plan_test

import (
	"math"
	"strings"
	"testing"
	"time"

	"endfloat/internal/gearbox"
	"endfloat/internal/job"
	"endfloat/internal/plan"
)

// Direction through the whole build. A gearbox with its crown wheel on the other
// side has as many reverse speeds as it had forward ones, and one forward; the
// same holds for an input that turns the other way and for a pinion whose head
// points the other way, so that two of these changes cancel. Common practice,
// from mechanics: no source.
func TestDirection(t *testing.T) {
	for _, input := range []string{"clockwise", "anticlockwise"} {
		for _, side := range []string{"left", "right"} {
			for _, head := range []string{"front", "rear"} {
				box := with(t, "rotation: {input: "+input+", crown wheel: "+side+", pinion head: "+head+", goes: front}")
				v := plan.Of(job.Replay("x", box, nil))
				flips := 0
				for _, other := range []bool{input != "clockwise", side != "left", head != "front"} {
					if other {
						flips++
					}
				}
				senses, missing := v.Senses(side)
				if missing != "" || len(senses) != 2 {
					t.Fatalf("%v, %q", senses, missing)
				}
				for _, s := range senses {
					// clockwise, left, front goes to the front: worked out by hand in the
					// doc of Senses.
					front := (flips%2 == 0) == (s.Speed == "1")
					if (s.Toward == "front") != front || s.Wrong != (flips%2 != 0) {
						t.Errorf("%s, %s, %s: %s goes to the %s, wrong %v", input, side, head, s.Speed, s.Toward, s.Wrong)
					}
				}
			}
		}
	}
	v := plan.Of(job.Replay("x", with(t, "about: nothing of rotation"), nil))
	if _, missing := v.Senses("left"); !strings.Contains(missing, "rotation") {
		t.Errorf("without the keys: %q", missing)
	}
}

// with is a bevel gearbox of two speeds with some more of a file.
func with(t *testing.T, more string) *gearbox.Box {
	t.Helper()
	b, err := gearbox.Read("small", []byte(`endfloat: 1
gearbox: Small
carriers:
  all:
    order:
      A: {name: driver, teeth: 12}
      B: {name: driven, teeth: 36}
      I: {name: idler, teeth: 18}
      P: {name: pinion, teeth: 8}
      W: {name: crown wheel, teeth: 37}
      E: {name: eye, kind: eye}
      N: {name: nut, torque: 30 N·m, lock: tab}
      L: {name: lid, covers: [A, B, I, P, W, N]}
measure:
  drag: {of: P, quantity: torque, unit: N·m, limit: [0.6, 1.2], from: sheet 1}
speeds:
  1: {driver: A, driven: B}
  R: {driver: A, driven: B, idler: I}
crown wheel and pinion: {pinion: P, crown: W}
`+more+"\n"))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

const closing = `closing:
  leak: {pressure: 0.20 bar, time: 10 min, from: sheet 3}
  oil: {volume: 2.1 L, rule: to the plug, from: sheet 4}
  spin: from the drill
  shift: yes`

// open begins a job on the small gearbox; all of it is on but the lid, which was
// off and is on again.
func small(t *testing.T, more string) *book {
	b := &book{t: t, box: with(t, more)}
	b.add(job.Opened{Unit: "Heron", Letter: "L", Colour: "green", Type: "Small"}, off("L")[0], fit("L", "L-L"))
	return b
}

// A closed volume of air follows p/T = const (Gay-Lussac): 0.20 bar over an
// atmosphere of 1.01325 bar warmed from 9 to 19 °C stands at 0.2430 bar.
func TestLeak(t *testing.T) {
	for _, c := range []struct {
		p1, p2, min, t1, t2 string
		good                bool
		says                string
	}{
		{"0.20", "0.20", "10", "9", "9", true, "no drop"},
		{"0.20", "0.20", "10", "", "", true, "no drop"},
		{"0.200", "0.243", "10", "9", "19", true, "no drop"},
		{"0.20", "0.20", "10", "9", "19", false, "0.042 bar lost"},
		{"0.200", "0.158", "10", "19", "9", true, "no drop"},
		{"0.20", "0.17", "10", "9", "9", false, "0.030 bar lost"},
		{"0.20", "0.20", "8", "9", "9", false, "less than 10 min"},
		{"0.15", "0.15", "10", "9", "9", false, "less than 0.20 bar"},
		{"0.30", "0.30", "10", "9", "9", false, "more than 0.20 bar"},
		{"3 psi", "3 psi", "10", "9", "9", true, "no drop"},
	} {
		v := small(t, closing).view()
		values := map[string]string{"start": c.p1, "end": c.p2, "minutes": c.min, "start temperature": c.t1, "end temperature": c.t2}
		got, err := v.Judge(plan.LeakTest, values)
		if err != nil || got.Good != c.good || !strings.Contains(got.Says, c.says) {
			t.Errorf("%v: %v %q %v, want %v %q", values, got.Good, got.Says, err, c.good, c.says)
		}
	}
	v := small(t, closing).view()
	for _, bad := range []map[string]string{{"start": "0.2", "end": "0.2"}, {"start": "0.2", "end": "0.2", "minutes": "10", "start temperature": "9"}, {"start": "x", "end": "0.2", "minutes": "10"}, {"colour": "blue"}} {
		if _, err := v.Judge(plan.LeakTest, bad); err == nil {
			t.Errorf("%v is taken", bad)
		}
	}
}

// Ten turns of the outputs take 10 · 36/12 · 37/8 = 138.75 of the input, by the
// teeth; a count of half a turn off is a miscount, a whole one another wheel.
func TestSpin(t *testing.T) {
	v := small(t, closing).view()
	if n, ok := v.TurnsForTen("1"); !ok || math.Abs(n-138.75) > 1e-9 {
		t.Fatalf("turns %v", n)
	}
	for turns, good := range map[string]bool{"138.75": true, "139.1": true, "138.3": true, "137.7": false, "140": false, "": true} {
		got, err := v.Judge(plan.SpinTest, map[string]string{"1": "forward", "R": "backward", "1 turns": turns, "noise": "none"})
		if err != nil || got.Good != good {
			t.Errorf("%s turns: %v %q %v", turns, got.Good, got.Says, err)
		}
	}
	got, _ := v.Judge(plan.SpinTest, map[string]string{"1": "forward", "R": "forward", "noise": "none"})
	if got.Good || !strings.Contains(got.Says, "R runs forward") {
		t.Errorf("a reverse that goes forward: %q", got.Says)
	}
}

// A test of the whole unit waits for it to be whole, keeps the unit here until it
// is good, and is asked for again when something is changed after it.
func TestTestsHold(t *testing.T) {
	b := small(t, closing)
	done := func(name string, values map[string]string) {
		t.Helper()
		got, err := b.view().Judge(name, values)
		if err != nil {
			t.Fatal(err)
		}
		b.add(got)
	}
	if holds := find(b.view(), plan.Hold, "Leak test is not tested"); len(holds) != 1 || holds[0].Before[0] != plan.HandOver {
		t.Fatalf("holds %+v", holds)
	}
	done(plan.LeakTest, map[string]string{"start": "0.20", "end": "0.10", "minutes": "10"})
	if len(find(b.view(), plan.Hold, "Leak test failed")) != 1 {
		t.Error("a failed test does not hold")
	}
	done(plan.LeakTest, map[string]string{"start": "0.20", "end": "0.20", "minutes": "10"})
	if len(find(b.view(), plan.Hold, "Leak test")) != 0 {
		t.Error("a good test holds")
	}
	b.add(off("L")...)
	if len(find(b.view(), plan.Hold, "Leak test")) != 0 {
		t.Error("a leak test is asked for with the lid off")
	}
	b.add(fit("L", "L-L"))
	if len(find(b.view(), plan.Hold, "tested again")) == 0 {
		t.Error("after a new lid the old test counts")
	}
}

// What is in only for now, what is borrowed, a torque read as it starts, and a
// lifting point that came cracked: each is told until it is put right.
func TestMoreLooseEnds(t *testing.T) {
	b := small(t, closing)
	b.add(off("L")[0], job.Noted{Text: "cable tie round the shafts", Position: "A", Topic: plan.Temporary})
	id := b.es[len(b.es)-1].ID
	if len(find(b.view(), plan.Loose, "cable tie")) != 1 || !strings.Contains(waits(step(b.view(), "fit", "L")), "cable tie") {
		t.Errorf("a tie left in: the lid waits for %q", waits(step(b.view(), "fit", "L")))
	}
	b.add(job.Answered{Question: id, Answer: "cut off"})
	if len(find(b.view(), plan.Loose, "cable tie")) != 0 || strings.Contains(waits(step(b.view(), "fit", "L")), "cable tie") {
		t.Error("answered, it is still told")
	}
	b.add(job.Read{What: "drag", Values: []string{"1.08"}, SI: []float64{1.08}, Unit: "N·m", State: job.Starting})
	if len(find(b.view(), plan.Loose, "started to turn")) != 1 || len(find(b.view(), plan.Verdict, "drag")) != 0 {
		t.Error("a starting torque counts, or is not told")
	}
	b.add(job.Read{What: "drag", Values: []string{"0.81"}, SI: []float64{0.81}, Unit: "N·m", State: "steady"})
	if len(find(b.view(), plan.Loose, "started to turn")) != 0 {
		t.Error("the steady reading does not settle it")
	}
	b.add(off("A")[0], job.Added{Piece: job.Piece{Tag: "D-A", Marks: map[string]string{"borrowed": "Dunnock"}}, Place: "bench"}, fit("A", "D-A"))
	if len(find(b.view(), plan.Loose, "borrowed from Dunnock")) != 1 {
		t.Error("a borrowed piece is not told")
	}
	b.add(job.TakenOff{Position: "E", Place: "tray L", Damage: "crack beside it"}, fit("E", "L-E"))
	if len(find(b.view(), plan.Hold, "lifting point is not tested")) != 1 {
		t.Error("a cracked eye holds nothing")
	}
}

// A day never leaves a hot part in the oven or half on: each that is begun ends
// within the time, none comes out before its soak, and all under it is on by then.
func TestToday(t *testing.T) {
	b := begin(t, "A")
	for _, p := range b.box.All() {
		b.add(off(p.ID)...)
	}
	b.add(fit("P01", "L-P01"))
	v := b.view()
	for minutes := 5.0; minutes < 900; minutes += 35 {
		for _, oven := range []bool{false, true} {
			d := v.Today(plan.Ask{Minutes: minutes, People: 2, Oven: oven})
			on := map[string]bool{"P01": true}
			last := 0.0
			for _, s := range d.Steps {
				if s.From < last || s.From > minutes {
					t.Fatalf("%g min: %s begins at %g, after one at %g", minutes, s.Title, s.From, last)
				}
				last = s.From
				if s.Do != "fit" {
					continue
				}
				for _, q := range b.box.Under(s.Position.ID) {
					if !on[q.ID] {
						t.Fatalf("%g min: %s before %s", minutes, s.Title, q.Label())
					}
				}
				on[s.Position.ID] = true
				if s.Position.HeatTo.Known() {
					if !oven || s.Heat == nil || s.From < s.Heat.Soak/60 || s.From+s.Minutes > minutes {
						t.Errorf("%g min, oven %v: %s at %g", minutes, oven, s.Title, s.From)
					}
				}
			}
			if d.Ends > minutes {
				t.Errorf("%g min: it ends at %g", minutes, d.Ends)
			}
		}
	}
	alone := v.Today(plan.Ask{Minutes: 900, People: 1, Oven: true})
	for _, s := range alone.Steps {
		if s.People > 1 {
			t.Errorf("alone: %s", s.Title)
		}
	}
}

// The text says where the unit is, what is next and when it is wanted.
func TestStatus(t *testing.T) {
	b := begin(t, "A", off("C11", "F16")...)
	b.add(fit("F16", "L-F16"))
	got := strings.Join(b.view().Status(time.Date(2026, 2, 13, 12, 0, 0, 0, time.UTC)), " ")
	for _, want := range []string{"Linnet (L, blue tape)", "1 of the 2 parts that came off are on again", "1 loose end", "Next: ", "31 days ago"} {
		if !strings.Contains(got, want) {
			t.Errorf("%q does not say %q", got, want)
		}
	}
}
