package strength

import (
	"fmt"
	"math"

	"endfloat/calc/bevel"
	"endfloat/calc/shaft"
	"endfloat/calc/unit"
)

// cone is what of crown wheel and pinion the forces ask for.
type cone struct {
	r1, r2           float64 // mean radii of pinion and crown wheel
	δ1               float64 // pitch angle of the pinion
	pressure, spiral float64
	away             bool // drive pushes the pinion away from the crown wheel's axis
}

func (m *model) cone() cone {
	b := m.st.Bevel
	z1, z2 := m.bevelTeeth()
	module, _ := b.Module.SI(m.as)
	face, _ := b.Face.SI(m.as)
	c := cone{δ1: math.Atan2(z1, z2), away: b.Pushes == "away"}
	c.pressure, _ = m.or(b.Pressure, 20*math.Pi/180)
	c.spiral, _ = m.or(b.Spiral, 0)
	c.r1 = module*z1/2 - face/2*math.Sin(c.δ1)
	c.r2 = module*z2/2 - face/2*math.Cos(c.δ1)
	return c
}

func (m *model) bevelTeeth() (z1, z2 float64) {
	p, _ := m.box.Position(m.box.Final.Pinion)
	w, _ := m.box.Position(m.box.Final.Crown)
	z1, _ = p.Dimension("teeth", m.as)
	z2, _ = w.Dimension("teeth", m.as)
	return z1, z2
}

// forces are those on the pinion for a torque on it, in the driving or the holding
// sense: tangential, radial away from the crown wheel, and along its axis away from
// the crown wheel's axis.
//
//	W_r = W_t/cos ψ (tan φ cos γ ∓ sin ψ sin γ)     W_x = W_t/cos ψ (tan φ sin γ ± sin ψ cos γ)
//
// with the upper signs where the spiral pushes the pinion away. Textbook, the normal
// force taken apart. What acts along the pinion acts across the crown wheel, and the
// other way round.
func (c cone) forces(torque float64, drives bool) (t, radial, along float64) {
	t = torque / c.r1
	s := 1.0
	if c.away != drives {
		s = -1
	}
	k := t / math.Cos(c.spiral)
	radial = k * (math.Tan(c.pressure)*math.Cos(c.δ1) - s*math.Sin(c.spiral)*math.Sin(c.δ1))
	along = k * (math.Tan(c.pressure)*math.Sin(c.δ1) + s*math.Sin(c.spiral)*math.Cos(c.δ1))
	return t, radial, along
}

// pinionLoad is the load of the crown wheel on the pinion's shaft, which balances
// the torque out that its gear puts on it.
func (m *model) pinionLoad(out float64) shaft.Load {
	b, c := m.st.Bevel, m.cone()
	at, _ := b.At.SI(m.as)
	angle, _ := m.or(b.Angle, math.Pi/2)
	t, radial, along := c.forces(math.Abs(out), m.driving(out))
	// Away from the crown wheel's axis is along x where the head points to the front.
	head := 1.0
	if r := m.box.Rotation; r != nil && r.Head == "rear" {
		head = -1
	}
	return shaft.Teeth{Tangential: t, Radial: radial, Axial: along}.Load(at, c.r1, math.Pi-angle, -math.Copysign(1, out), head)
}

// driving reports whether a torque on the pinion's shaft is that of driving in the
// forward speeds: reverse runs on the other flanks, as holding back does.
func (m *model) driving(out float64) bool { return out*m.sense < 0 }

// crownLoads are the load of the pinion on the crown wheel and what the half-axles
// take off.
func (m *model) crownLoads(at, out float64) []shaft.Load {
	c := m.cone()
	t, radial, along := c.forces(math.Abs(out), m.driving(out))
	side := -1.0 // a crown wheel at the left is pushed to the left
	if r := m.box.Rotation; r != nil && r.Side.Text(m.as) == "right" {
		side = 1
	}
	l := shaft.Teeth{Tangential: t, Radial: along, Axial: radial}.Load(at, c.r2, 0, 1, side)
	return []shaft.Load{l, {At: at, Moment: shaft.Vec{-l.Moment[0]}}}
}

// bevel rates crown wheel and pinion where geometry factors are given, else compares.
func (m *model) bevel() error {
	b := m.st.Bevel
	if m.box.Final == nil {
		return nil
	}
	if b == nil {
		m.lacks("crown wheel and pinion: write strength: bevel: with module, face and place")
		return nil
	}
	var duty []bevel.Step
	sum, time, top, gear := 0.0, 0.0, 0.0, ""
	for _, s := range m.steps {
		p := &m.paths[s.path]
		t, w := math.Abs(s.torque)*p.ratio, s.speed/p.ratio
		n := w * s.share * m.wanted / (2 * math.Pi)
		duty = append(duty, bevel.Step{Torque: unit.Torque(t), Turns: n})
		sum, time = sum+n, time+s.share*m.wanted
		if t > top {
			top, gear = t, p.mesh.Speed
		}
	}
	z1, z2 := m.bevelTeeth()
	module, _ := b.Module.SI(m.as)
	face, _ := b.Face.SI(m.as)
	tb := bevel.Textbook{Teeth: [2]int{int(z1), int(z2)}, Module: unit.Length(module), Face: unit.Length(face), Speed: 2 * math.Pi * sum / time, Overload: 1, Quality: 8,
		Mounting: bevel.OneStraddled, Crowned: true, Cycles: sum, Hot: 80, Unfailing: 0.99}
	i, ok1 := b.I.SI(m.as)
	j1, ok2 := b.J1.SI(m.as)
	j2, ok3 := b.J2.SI(m.as)
	flank, ok4 := b.Flank.SI(m.as)
	root, ok5 := b.Root.SI(m.as)
	rated := ok1 && ok2 && ok3 && ok4 && ok5
	grounds := []Ground{
		counted(fmt.Sprintf("%.0f and %.0f teeth", z1, z2)),
		m.ground(fmt.Sprintf("module %.4g mm, face %.4g mm", module*1e3, face*1e3), b.From),
	}
	if rated {
		tb.I, tb.J = i, [2]float64{j1, j2}
		tb.Bending, tb.Contact = [2]unit.Pressure{unit.Pressure(root), unit.Pressure(root)}, [2]unit.Pressure{unit.Pressure(flank), unit.Pressure(flank)}
		grounds = append(grounds, m.ground(fmt.Sprintf("geometry factors I %.3g, J %.3g and %.3g; allowable stress %.0f and %.0f MPa", i, j1, j2, flank/1e6, root/1e6), b.From),
			assumed("crowned teeth of AGMA quality 8, pinion overhung; 99 of 100 pairs survive", "common practice, no source"),
			assumed("method for straight teeth with geometry factors of the spiral; each duty drawn together into one torque", "AGMA form as textbooks print it, [BN15]"))
	} else {
		m.lacks("crown wheel and pinion: only compared; write I, J of pinion, J of crown wheel, flank and root under bevel to have them rated")
	}
	m.bevelLinks(duty, tb, rated, top, gear, grounds)
	return nil
}

func (m *model) bevelLinks(duty []bevel.Step, tb bevel.Textbook, rated bool, top float64, gear string, grounds []Ground) {
	for k, mode := range []struct {
		kind  Kind
		slope float64
		grows int
	}{{BevelFlank, bevel.FlankSlope, 2}, {BevelRoot, bevel.RootSlope, 1}} {
		sum, all := 0.0, 0.0
		for _, s := range duty {
			sum += s.Turns * math.Pow(float64(s.Torque), mode.slope)
			all += s.Turns
		}
		mean := math.Pow(sum/all, 1/mode.slope)
		l := Link{Part: m.box.Final.Pinion, Name: "crown wheel and pinion", Kind: mode.kind, Gear: gear, Load: fmt.Sprintf("mean %.0f N·m, most %.0f N·m at the pinion", mean, top), Size: mean,
			Slope: mode.slope, Torqued: true, Reserve: math.NaN(), Life: math.NaN(), Grounds: grounds}
		if rated {
			tb.Torque = unit.Torque(mean)
			res, err := tb.Rating()
			if err == nil {
				l.grows = mode.grows
				if k == 0 {
					s := min(res.SafetyContact[0], res.SafetyContact[1])
					l.Reserve = s * s
				} else {
					l.Reserve = min(res.SafetyBending[0], res.SafetyBending[1])
				}
				reserve, slope, wanted, power := l.Reserve, mode.slope, m.wanted, 1.0
				if k == 0 {
					power = 2
				}
				l.wear = func(load, strength float64) float64 {
					return wanted * math.Pow(reserve*math.Pow(strength, power)/load, slope)
				}
				l.Life = l.wear(1, 1)
			} else {
				m.lacks("crown wheel and pinion: not rated (%v)", err)
			}
		}
		m.done.Links = append(m.done.Links, l)
	}
}
