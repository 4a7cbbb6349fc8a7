package strength

import (
	"fmt"
	"math"

	"endfloat/calc/gear"
	"endfloat/calc/gear/rating"
	"endfloat/calc/unit"
	"endfloat/internal/gearbox"
)

// cylindrical rates the pairs of all speeds, flank and root of each gear.
func (m *model) cylindrical() error {
	for i := range m.paths {
		p := &m.paths[i]
		t := m.teethOf(p.mesh.Speed)
		if t == nil {
			m.lacks("teeth of speed %s: write strength: teeth: %s: with face and steel", p.mesh.Speed, p.mesh.Speed)
			continue
		}
		ids := [3]string{p.mesh.Driver, p.mesh.Idler, p.mesh.Driven}
		pairs := [][2]int{{0, 2}}
		if p.z[1] > 0 {
			pairs = [][2]int{{0, 1}, {1, 2}}
		}
		for _, ab := range pairs {
			if err := m.pairOf(i, t, ids, ab[0], ab[1]); err != nil {
				return fmt.Errorf("speed %s: %w", p.mesh.Speed, err)
			}
		}
	}
	return nil
}

// usualFaceLoad is K_Hβ where the file gives none: common practice, no source.
const usualFaceLoad = 1.3

// pairOf rates one pair of a speed, gears a and b of driver, idler, driven.
func (m *model) pairOf(i int, t *gearbox.Teeth, ids [3]string, a, b int) error {
	p := &m.paths[i]
	if p.module <= 0 {
		m.lacks("teeth of speed %s: the speed has no module; write it under speeds", p.mesh.Speed)
		return nil
	}
	face, _ := t.Face.SI(m.as)
	steel := t.Steel.Text(m.as)
	mat, err := rating.MaterialNamed(steel)
	if err != nil {
		return err
	}
	kh, given := m.or(t.FaceLoad, usualFaceLoad)
	oil, oiled := m.or(m.st.Oil, 150e-6)
	shift, shifted := m.or(t.ShiftDriver, 0)
	pair := gear.Pair{Module: unit.Length(p.module), Helix: unit.Angle(p.helix), Rack: gear.RackA}
	if p.z[1] == 0 {
		pair.Centres = unit.Length(p.centre)
	}
	swap := p.z[a] > p.z[b]
	za, zb := p.z[a], p.z[b]
	pair.Gears = [2]gear.Gear{{Teeth: za, Face: unit.Length(face)}, {Teeth: zb, Face: unit.Length(face)}}
	if p.z[1] == 0 {
		sum := 0.0
		if pair.Centres > 0 {
			if sum, err = pair.ShiftSum(pair.Centres); err != nil {
				return err
			}
		}
		pair.Gears[0].Shift, pair.Gears[1].Shift = shift, sum-shift
	}
	if swap {
		pair.Gears[0], pair.Gears[1] = pair.Gears[1], pair.Gears[0]
	}
	set := rating.Set{Pair: pair, Materials: [2]rating.Material{mat, mat}, Edition: rating.Edition2006, Method: rating.MethodC, Application: 1, FaceLoad: kh,
		Grade: t.Grade, Viscosity: oil, RzFlank: 4 * unit.Micrometre, RzRoot: 10 * unit.Micrometre, Alternates: [2]bool{a == 1 != swap && a == 1, false}}
	set.Alternates = [2]bool{}
	for k, g := range [2]int{a, b} {
		set.Alternates[k^flip(swap)] = g == 1
	}
	ready, err := set.Ready()
	if err != nil {
		return err
	}
	grounds := []Ground{
		counted(fmt.Sprintf("%d and %d teeth, module %.4g mm, helix %.4g°, centre distance %.4g mm", za, zb, p.module*1e3, p.helix*180/math.Pi, float64(ready.Mesh.Centres)*1e3)),
		m.ground(fmt.Sprintf("face width %.4g mm", face*1e3), t.From),
		m.ground("steel taken as "+steel, t.From),
		assumed("its limits", mat.Provenance),
		m.ground(fmt.Sprintf("tooth quality, grade %d", t.Grade), t.From),
		either(m, given, t.From, fmt.Sprintf("load factor along the face %.3g", kh)),
		either(m, shifted, t.From, fmt.Sprintf("profile shift of the driver %.2g", shift)),
		either(m, oiled, "", fmt.Sprintf("oil of %.0f mm²/s at 40 °C", oil*1e6)),
		assumed("torque held back by the engine counted on the same flank; 99 of 100 gears survive", "method"),
		assumed("method", rating.Basis),
	}
	// Torque and speed of the first gear for those of the input.
	up := float64(p.z[a]) / float64(p.z[0])
	if swap {
		up = float64(p.z[b]) / float64(p.z[0])
	}
	return m.toothLinks(i, &ready, up, [2]string{ids[pick(swap, b, a)], ids[pick(swap, a, b)]}, grounds)
}

func pick(yes bool, a, b int) int {
	if yes {
		return a
	}
	return b
}

func flip(swap bool) int { return pick(swap, 1, 0) }

func either(m *model, given bool, from, says string) Ground {
	if given {
		return m.ground(says, from)
	}
	return assumed(says, "common practice, no source")
}

// scaleStep is the step of the scales.
const scaleStep = 1.14

// scales are the factors on all torques at which the wear of teeth is worked out;
// between them it is taken straight in the logarithms.
var scales = func() (s [17]float64) {
	for i := range s {
		s[i] = 0.5 * math.Pow(scaleStep, float64(i))
	}
	return s
}()

// wearTable is the life used up by the duty over the scale of its torques.
type wearTable [len(scales)]float64

// leastWear stands for none where the line of the wear begins.
const leastWear = 1e-9

// at is the wear at a scale.
func (w *wearTable) at(s float64) float64 {
	x := math.Log(s/scales[0]) / math.Log(scaleStep)
	i := min(max(int(x), 0), len(scales)-2)
	a, b := w[i], w[i+1]
	switch {
	case x <= 0 && a <= 0:
		return 0
	case math.IsInf(b, 1) && x > float64(i):
		return math.Inf(1)
	case b <= 0:
		return 0
	case a <= 0: // below the endurance limit: it begins somewhere between
		return leastWear * math.Pow(b/leastWear, max(0, x-float64(i)))
	case math.IsInf(a, 1):
		return a
	}
	return a * math.Pow(b/a, x-float64(i))
}

// reserve is the scale at which the life is just used up, within the table.
func (w *wearTable) reserve() float64 {
	lo, hi := scales[0], scales[len(scales)-1]
	if w.at(lo) >= 1 {
		return lo
	}
	if w.at(hi) < 1 {
		return hi
	}
	for range 24 {
		if mid := math.Sqrt(lo * hi); w.at(mid) >= 1 {
			hi = mid
		} else {
			lo = mid
		}
	}
	return lo
}

// toothLinks adds flank and root of both gears. Load factors are held while the
// torques are scaled.
func (m *model) toothLinks(i int, r *rating.Ready, up float64, ids [2]string, grounds []Ground) error {
	var duty []rating.Step
	top := 0.0
	for _, s := range m.steps {
		if s.path == i {
			t := math.Abs(s.torque) * up
			duty = append(duty, rating.Step{Load: rating.Load{Torque: unit.Torque(t), Speed: s.speed / up}, Time: s.share * m.wanted})
			top = max(top, t)
		}
	}
	if len(duty) == 0 {
		m.lacks("teeth of speed %s: the duty does not use it", m.paths[i].mesh.Speed)
		return nil
	}
	var wear [2][2]wearTable // flank, root of each gear
	for k, s := range scales {
		d, err := r.Damage(duty, max(0.5, math.Sqrt(s)), max(0.5, s))
		if err != nil {
			return err
		}
		for g := range 2 {
			wear[0][g][k], wear[1][g][k] = d.Flank[g], d.Root[g]
		}
	}
	st, err := r.At(rating.Load{Torque: unit.Torque(top), Speed: duty[0].Speed})
	if err != nil {
		return err
	}
	for g := range 2 {
		for mode, kind := range [2]Kind{Flank, Root} {
			w := &wear[mode][g]
			stress := float64(st.Flank[g])
			slope := 6.6
			if kind == Root {
				stress, slope = float64(st.Root[g]), 8.7
			}
			wanted := m.wanted
			power := 2.0 // of strength in the load a flank bears
			if kind == Root {
				power = 1
			}
			l := Link{Part: ids[g], Name: fmt.Sprintf("%s, speed %s, on %s", m.label(ids[g]), m.paths[i].mesh.Speed, ids[1-g]), Kind: kind, Gear: m.paths[i].mesh.Speed,
				Load: fmt.Sprintf("%.0f MPa at %.0f N·m", stress/1e6, top/up), Size: top / up, Slope: slope, Torqued: true, Grounds: grounds, grows: int(3 - power),
				wear: func(load, strength float64) float64 { return wanted / w.at(load/math.Pow(strength, power)) }}
			if kind == Flank {
				l.grows = 2
			}
			l.Reserve, l.Life = w.reserve(), wanted/w.at(1)
			m.done.Links = append(m.done.Links, l)
		}
	}
	return nil
}
