package catalog

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"
)

// Whatever is typed, a sum gives numbers or an error that begins with an input.
func FuzzSums(f *testing.F) {
	for i, s := range All() {
		for j, in := range s.Inputs {
			f.Add(uint8(i), uint8(j), s.Example[in.Key], uint8(j+1), "1e12 ± 1e12")
			f.Add(uint8(i), uint8(j), "-0,0", uint8(j+2), "0")
			f.Add(uint8(i), uint8(j), s.Example[in.Key]+" ± 1e-9", uint8(0), "0 ± 1")
			f.Add(uint8(i), uint8(j), "1=13/46, 1=13/46", uint8(j+1), "0.5 ± 0.4")
		}
	}
	f.Add(uint8(0), uint8(0), "a=1;b=1;c=50;=", uint8(2), "2")
	f.Fuzz(func(t *testing.T, sum, key uint8, text string, key2 uint8, text2 string) {
		s := All()[int(sum)%len(All())]
		in := map[string]string{}
		for k, v := range s.Example {
			in[k] = v
		}
		in[s.Inputs[int(key)%len(s.Inputs)].Key] = text
		in[s.Inputs[int(key2)%len(s.Inputs)].Key] = text2
		a, err := s.Run(in)
		if err != nil {
			key, _, ok := strings.Cut(err.Error(), ": ")
			if _, known := s.Input(key); !ok || !known {
				t.Fatalf("%s: %q does not begin with an input", s.Name, err)
			}
			return
		}
		if err := sound(a); err != nil {
			t.Fatalf("%s %q: %v", s.Name, in, err)
		}
		if key2%8 == 0 && strings.Contains(text+text2, "±") {
			drawn(t, s, in)
		}
	})
}

// drawn does the same sum by Monte Carlo, which may refuse but not go wrong.
func drawn(t *testing.T, s *Sum, in map[string]string) {
	a, err := s.RunMC(in, LeastDraws, 1)
	if err != nil {
		if key, _, ok := strings.Cut(err.Error(), ": "); !ok || s.index(key) < 0 {
			t.Fatalf("%s, drawn: %q does not begin with an input", s.Name, err)
		}
		return
	}
	if err := sound(a); err != nil {
		t.Fatalf("%s %q, drawn: %v", s.Name, in, err)
	}
}

// sound checks what must hold of every answer.
func sound(a *Answer) error {
	seen := map[string]bool{}
	for _, r := range a.Results {
		if r.Words {
			continue
		}
		if math.IsNaN(r.SI) || math.IsInf(r.SI, 0) || !(r.U >= 0) || math.IsInf(r.U, 0) || r.Text == "" {
			return fmt.Errorf("%s is %g ± %g, printed %q", r.Key, r.SI, r.U, r.Text)
		}
		parts := 0.0
		for _, sh := range r.Shares {
			parts += sh.Part
		}
		if (r.U > 0) != (len(r.Shares) > 0) || r.U > 0 && math.Abs(parts-1) > 1e-9 {
			return fmt.Errorf("%s: u %g with shares %v", r.Key, r.U, r.Shares)
		}
		if seen[r.Key] {
			return fmt.Errorf("%s is given twice", r.Key)
		}
		seen[r.Key] = true
		if m := r.MC; m != nil && (math.IsNaN(m.SD) || math.IsInf(m.SD, 0) || !(m.Lo <= m.Hi) || m.Text == "") {
			return fmt.Errorf("%s is drawn as %+v", r.Key, *m)
		}
	}
	for _, l := range a.Lines {
		if strings.Contains(l.Numbers+l.Value, "NaN") || strings.Contains(l.Value, "Inf") {
			return fmt.Errorf("working %v", l)
		}
	}
	_, err := json.Marshal(a)
	return err
}

// Whatever is typed as shared, the sum is sound or the error is one of shared.
func FuzzShared(f *testing.F) {
	for _, text := range []string{"recess, stand-up: 0.8", "recess: 1; stand-up, gasket: 50 %", "recess,recess:1", ":;,", "recess, stand-up: 1e-30", "recess: 0.5 ± 0"} {
		f.Add(text)
	}
	s, err := Find("end-float")
	if err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, text string) {
		in := with(t, s.Name, "recess", "21.41, 21.42 ± 0.002", "stand-up", "20.64 ± 0.003", "gasket", "0.26 ± 0.01", Shared.Key, text)
		a, err := s.RunMC(in, LeastDraws, 1)
		if err == nil {
			err = sound(a)
		} else if strings.HasPrefix(err.Error(), Shared.Key+": ") {
			return
		}
		if err != nil {
			t.Fatalf("%q: %v", text, err)
		}
	})
}
