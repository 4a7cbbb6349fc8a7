package strength

import (
	"fmt"
	"math"
	"slices"

	"endfloat/calc/spline"
	"endfloat/calc/synchro"
	"endfloat/calc/unit"
	"endfloat/internal/gearbox"
)

// joints rates splines and dogs by the pressure on their flanks in the heaviest step.
func (m *model) joints() error {
	for i := range m.st.Joints {
		j := &m.st.Joints[i]
		pos, _ := m.box.Position(j.Position)
		torque, gear := 0.0, ""
		for _, s := range m.steps {
			p := &m.paths[s.path]
			if len(j.Carries) > 0 && !slices.Contains(j.Carries, p.mesh.Speed) {
				continue
			}
			t := math.Abs(s.torque)
			if d, _ := m.box.Position(p.mesh.Driver); d.Carrier != pos.Carrier {
				t *= p.ratio
			}
			if t > torque {
				torque, gear = t, p.mesh.Speed
			}
		}
		if torque == 0 {
			m.lacks("%s: the duty uses none of the speeds that it carries", m.label(j.Position))
			continue
		}
		share, given := m.or(j.Share, spline.Usual)
		allows, ok := j.Allows.SI(m.as)
		var pressure float64
		var err error
		var size string
		kind := Joint
		if j.Kind == "dogs" {
			kind = Dogs
			r, _ := j.Radius.SI(m.as)
			a, ok2 := j.Contact.SI(m.as)
			ok = ok && ok2
			pressure, err = spline.Dogs{Count: j.Teeth, Radius: r, Contact: a, Root: a, Share: share}.Pressure(torque)
			size = fmt.Sprintf("%d dogs at a radius of %.4g mm, %.3g mm² each", j.Teeth, r*1e3, a*1e6)
		} else {
			in, ok2 := j.Inner.SI(m.as)
			out, ok3 := j.Outer.SI(m.as)
			length, ok4 := j.Length.SI(m.as)
			ok = ok && ok2 && ok3 && ok4
			pressure, err = spline.Spline{Teeth: j.Teeth, Inner: in, Outer: out, Length: length, Share: share}.Pressure(torque)
			size = fmt.Sprintf("%d teeth, %.4g to %.4g mm, %.4g mm long", j.Teeth, in*1e3, out*1e3, length*1e3)
		}
		if !ok {
			m.lacks("%s: its sizes are not known as it is built; say which variant it is", m.label(j.Position))
			continue
		}
		if err != nil {
			return fmt.Errorf("joint %s: %w", j.Position, err)
		}
		m.done.Links = append(m.done.Links, Link{Part: j.Position, Name: m.label(j.Position), Kind: kind, Gear: gear, Load: fmt.Sprintf("%.0f MPa at %.0f N·m", pressure/1e6, torque), Size: pressure,
			Reserve: allows / pressure, Life: math.NaN(), Torqued: true, grows: 3,
			Grounds: []Ground{m.ground(size, j.From), m.ground(fmt.Sprintf("%.0f MPa allowed on the flanks", allows/1e6), j.From), either(m, given, j.From, fmt.Sprintf("%.0f %% of the teeth carry", share*100)),
				assumed("mean pressure; wear and a shaft that leans raise the peak", "textbook")}})
	}
	return nil
}

// synchronisers rates each cone by one shift at the highest speed of the duty: up from
// the speed before, or down into the first.
func (m *model) synchronisers() error {
	top := m.engine.Curve[len(m.engine.Curve)-1].Speed
	for i := range m.st.Synchros {
		s := &m.st.Synchros[i]
		at := slices.IndexFunc(m.paths, func(p path) bool { return p.mesh.Speed == s.Speed })
		from := m.neighbour(at)
		if from < 0 {
			m.lacks("%s: there is no speed to shift from", m.label(s.Position))
			continue
		}
		num := [6]float64{}
		ok := true
		for k, v := range []gearbox.Value{s.Mean, s.Width, s.Angle, s.Friction, s.Force, s.Inertia} {

			x, have := v.SI(m.as)
			num[k], ok = x, ok && have
		}
		if !ok {
			m.lacks("%s: its sizes are not known as it is built; say which variant it is", m.label(s.Position))
			continue
		}
		faces, _ := m.or(s.Faces, 1)
		c := synchro.Cone{Mean: unit.Length(num[0]), Width: unit.Length(num[1]), Angle: unit.Angle(num[2]), Friction: num[3], Faces: int(faces)}
		torque, err := c.Torque(unit.Force(num[4]))
		if err != nil {
			return fmt.Errorf("synchroniser %s: %w", s.Position, err)
		}
		// Up: the engine stood at its limit in the speed before. Down: it will stand there after.
		shaftAt := top / max(m.paths[from].ratio, m.paths[at].ratio)
		sh := synchro.Shift{Inertia: num[5] * m.paths[at].ratio * m.paths[at].ratio, From: shaftAt * m.paths[from].ratio / m.paths[at].ratio, To: shaftAt, Torque: torque}
		slip, err := sh.Slip()
		if err != nil {
			return fmt.Errorf("synchroniser %s: %w", s.Position, err)
		}
		load, err := c.Load(unit.Force(num[4]), sh)
		if err != nil {
			return fmt.Errorf("synchroniser %s: %w", s.Position, err)
		}
		limits := synchro.Brass
		if s.Pair == "molybdenum" {
			limits = synchro.Molybdenum
		}
		sharesOf := limits.Shares(load)
		worst := max(sharesOf.Slide, sharesOf.Heat, sharesOf.Power, float64(sharesOf.Pressure))
		m.done.Links = append(m.done.Links, Link{Part: s.Position, Name: m.label(s.Position), Kind: Synchro, Gear: s.Speed, Load: fmt.Sprintf("%.2f s, %.0f J a shift", slip.Time, slip.Heat), Size: slip.Heat, Reserve: 1 / worst, Life: math.NaN(),
			Grounds: []Ground{m.ground(fmt.Sprintf("cone of %.4g mm at %.3g°, friction %.2g, %.0f N on the sleeve, inertia %.3g kg·m² at the input", num[0]*1e3, num[2]*180/math.Pi, num[3], num[4], num[5]), s.From),
				assumed("limits of "+limits.Name+", starting values", "[NL11], from memory")}})
	}
	return nil
}

// neighbour is the forward speed from which one shifts into another: the next lower,
// for the lowest the next higher; -1 none.
func (m *model) neighbour(at int) int {
	lower, higher := -1, -1
	for i := range m.paths {
		r := m.paths[i].ratio
		if i == at || m.paths[i].z[1] > 0 {
			continue
		}
		if r > m.paths[at].ratio && (lower < 0 || r < m.paths[lower].ratio) {
			lower = i
		}
		if r < m.paths[at].ratio && (higher < 0 || r > m.paths[higher].ratio) {
			higher = i
		}
	}
	if lower >= 0 {
		return lower
	}
	return higher
}
