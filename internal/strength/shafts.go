package strength

import (
	"fmt"
	"math"

	"endfloat/calc/bearing"
	"endfloat/calc/shaft"
	"endfloat/internal/gearbox"
)

// axle is a shaft being loaded.
type axle struct {
	data     *gearbox.Shafting
	bearings []roller
	sections []cut
	a, b     float64 // where its two supports act
	pair     bool    // support B is a pair of tapers
	both     bool    // the two supports are the pair
}

type roller struct {
	data *gearbox.Bearing
	is   bearing.Bearing
	at   float64
	side int // of support 0 A or 1 B
	wear float64
	size float64 // greatest equivalent load
	stat float64 // greatest static one
	gear string
	mean float64 // Σ share of turns · P^p
	turn float64
}

type cut struct {
	data *gearbox.Section
	at   float64
	sec  shaft.Section
	n    shaft.Notch
	safe float64
	load float64
	gear string
}

// place returns where something on a shaft stands: as the file has it, else from
// the widths of what is clamped along it.
func (m *model) place(s *gearbox.Shafting, id string, own gearbox.Value) (float64, bool, bool) {
	if v, ok := own.SI(m.as); ok {
		return v, false, true
	}
	want := map[string]bool{}
	for n := 0; id != "" && n < 20; n++ {
		want[id] = true
		q, ok := m.box.Position(id)
		if !ok {
			break
		}
		id = q.Around
	}
	x := 0.0
	for _, it := range s.Stack {
		w := it.Length
		if it.Position != "" {
			q, _ := m.box.Position(it.Position)
			w, _ = q.Dimension("width", m.as)
		}
		if want[it.Position] && it.Position != "" {
			return x + w/2, true, true
		}
		x += w
	}
	return 0, false, false
}

// shafts loads every shaft in every step of the duty.
func (m *model) shafts() error {
	for i := range m.st.Shafts {
		s := &m.st.Shafts[i]
		ax, err := m.axle(s)
		if err != nil {
			return fmt.Errorf("shaft %s: %w", s.Carrier, err)
		}
		for _, st := range m.steps {
			loads, ok := m.loadsOn(s, st)
			if !ok {
				m.lacks("shaft %s: where the pair of speed %s stands along it is not known; write meshes: under the shaft, or a stack", s.Carrier, m.paths[st.path].mesh.Speed)
				ax = nil
				break
			}
			if err := m.bear(ax, loads, st); err != nil {
				return fmt.Errorf("shaft %s in speed %s: %w", s.Carrier, m.paths[st.path].mesh.Speed, err)
			}
		}
		if ax != nil {
			m.shaftLinks(ax)
			m.drawn(ax)
		}
	}
	return nil
}

// axle sets up a shaft: bearings with their places, and its two supports. Two
// tapers in O or X that stand beside another bearing act as one support, half way
// between them, and share its radial load alike.
func (m *model) axle(s *gearbox.Shafting) (*axle, error) {
	ax := &axle{data: s}
	var others, pair []int
	for i := range s.Bearings {
		b := &s.Bearings[i]
		at, _, ok := m.place(s, b.Position, b.At)
		if !ok {
			return nil, fmt.Errorf("where bearing %s stands is not known; write its \"at\", or put it in the stack", b.Position)
		}
		num := func(v gearbox.Value) float64 { x, _ := v.SI(m.as); return x }
		ax.bearings = append(ax.bearings, roller{data: b, at: at, is: bearing.Bearing{Form: forms[b.Form], C: num(b.C), C0: num(b.C0), F0: num(b.F0), E: num(b.E), Y: num(b.Y), Y0: num(b.Y0), X0: 0.5, X: 0.4}})
		if b.Form == "deep groove" {
			r := &ax.bearings[len(ax.bearings)-1].is
			r.X0, r.X = 0, 0
			if r.F0 == 0 {
				r.F0 = 14
			}
		}
		if b.Form == "taper" {
			pair = append(pair, i)
		} else {
			others = append(others, i)
		}
	}
	switch {
	case len(pair) == 2 && len(others) == 0:
		ax.a, ax.b, ax.both = ax.bearings[0].at, ax.bearings[1].at, true
		ax.bearings[1].side = 1
	case len(pair) == 2 && len(others) == 1:
		ax.a, ax.pair = ax.bearings[others[0]].at, true
		ax.b = (ax.bearings[pair[0]].at + ax.bearings[pair[1]].at) / 2
		ax.bearings[pair[0]].side, ax.bearings[pair[1]].side = 1, 1
	case len(pair) == 0 && len(others) == 2:
		ax.a, ax.b = ax.bearings[0].at, ax.bearings[1].at
		ax.bearings[1].side = 1
	default:
		return nil, fmt.Errorf("a shaft runs on two bearings, on a pair of tapers, or on one bearing and a pair of tapers; here are %d and %d", len(others), len(pair))
	}
	if ax.a == ax.b {
		return nil, fmt.Errorf("both its bearings stand at %.1f mm", ax.a*1e3)
	}
	for i := range s.Sections {
		c := &s.Sections[i]
		at, _ := c.At.SI(m.as)
		od, _ := c.OD.SI(m.as)
		bore, _ := c.Bore.SI(m.as)
		kb, _ := m.or(c.Bending, 1)
		kt, _ := m.or(c.Torsion, 1)
		ax.sections = append(ax.sections, cut{data: c, at: at, sec: shaft.Section{Outside: od, Bore: bore}, n: shaft.Notch{Bending: kb, Torsion: kt}, safe: math.Inf(1)})
	}
	return ax, nil
}

var forms = map[string]bearing.Form{"deep groove": bearing.DeepGroove, "cylindrical": bearing.Cylindrical, "taper": bearing.Taper, "needle": bearing.Needle}

// loadsOn are the loads on a shaft in a step, its input or output torque among them;
// false where the place of a pair is not known.
func (m *model) loadsOn(s *gearbox.Shafting, st step) ([]shaft.Load, bool) {
	p := &m.paths[st.path]
	driver, _ := m.box.Position(p.mesh.Driver)
	driven, _ := m.box.Position(p.mesh.Driven)
	switch {
	case driver.Carrier.ID == s.Carrier:
		at, ok := m.meshAt(s, p, p.mesh.Driver)
		if !ok {
			return nil, false
		}
		l := m.meshLoad(p, 0, at, -m.sense*st.torque)
		return []shaft.Load{l, {At: at, Moment: shaft.Vec{m.sense * st.torque}}}, true
	case driven.Carrier.ID == s.Carrier:
		at, ok := m.meshAt(s, p, p.mesh.Driven)
		if !ok {
			return nil, false
		}
		out := m.sense * p.turns() * st.torque * p.ratio
		l := m.meshLoad(p, 2, at, out)
		if b := m.st.Bevel; b != nil && m.box.Final != nil {
			return []shaft.Load{l, m.pinionLoad(out)}, true
		}
		return []shaft.Load{l, {At: at, Moment: shaft.Vec{-out}}}, true
	}
	if m.box.Final != nil && m.st.Bevel != nil {
		if c, _ := m.box.Position(m.box.Final.Crown); c.Carrier.ID == s.Carrier {
			at, ok := s.Crown.SI(m.as)
			return m.crownLoads(at, m.sense*p.turns()*st.torque*p.ratio), ok
		}
	}
	return nil, true // nothing presses on it
}

// meshAt is where a pair stands along a shaft; a shaft that does not say takes the
// place along its neighbour, both being counted from one plane.
func (m *model) meshAt(s *gearbox.Shafting, p *path, id string) (float64, bool) {
	own := func(s *gearbox.Shafting, id string) (float64, bool) {
		for _, n := range s.Meshes {
			if n.Name == p.mesh.Speed {
				return n.SI(m.as)
			}
		}
		at, _, ok := m.place(s, id, gearbox.Value{})
		return at, ok
	}
	if at, ok := own(s, id); ok {
		return at, true
	}
	for i := range m.st.Shafts {
		for _, other := range []string{p.mesh.Driver, p.mesh.Driven} {
			if q, _ := m.box.Position(other); q.Carrier.ID == m.st.Shafts[i].Carrier && other != id {
				if at, ok := own(&m.st.Shafts[i], other); ok {
					return at, true
				}
			}
		}
	}
	return 0, false
}

// meshLoad is the load of a pair on the shaft of its driver, 0, or driven gear, 2,
// for the torque that it puts on that shaft.
func (m *model) meshLoad(p *path, gear int, at, torque float64) shaft.Load {
	angle := 0.0 // y runs from the driver's shaft to the driven one's
	if gear == 2 {
		angle = math.Pi
	}
	if p.z[1] > 0 { // toward the idler: the third corner of the triangle of axes
		a, b, c := p.module*float64(p.z[0]+p.z[1])/2, p.module*float64(p.z[1]+p.z[2])/2, p.centre
		if c <= 0 {
			c = max(a, b)
		}
		if gear == 0 {
			angle = math.Acos(min(max((a*a+c*c-b*b)/(2*a*c), -1), 1))
		} else {
			angle = math.Pi - math.Acos(min(max((b*b+c*c-a*a)/(2*b*c), -1), 1))
		}
	}
	hand := shaft.Hand(p.hand)
	if gear == 2 && p.z[1] == 0 {
		hand = -hand
	}
	helix := p.helix
	if hand == 0 {
		helix = 0
	}
	r := p.module * float64(p.z[gear]) / (2 * math.Cos(p.helix))
	if p.centre > 0 && p.z[1] == 0 {
		r = p.centre * float64(p.z[gear]) / float64(p.z[0]+p.z[2])
	}
	l, err := shaft.Mesh{At: at, Radius: r, Angle: angle, Torque: torque, Normal: 20 * math.Pi / 180, Helix: helix, Hand: hand}.Load()
	if err != nil { // only where a speed has no module: nothing to press with
		return shaft.Load{At: at, Moment: shaft.Vec{torque}}
	}
	return l
}

// bear adds what a step wears of the bearings and how near it comes to the limits
// of the sections.
func (m *model) bear(ax *axle, loads []shaft.Load, st step) error {
	re, err := shaft.React(ax.a, ax.b, loads)
	if err != nil {
		return err
	}
	p := &m.paths[st.path]
	turns := st.share * m.wanted * m.speedOf(ax.data, st) / (2 * math.Pi)
	radial := [2]float64{re.A.Radial(), re.B.Radial()}
	axial, err := ax.thrusts(re, radial)
	if err != nil {
		return err
	}
	for i := range ax.bearings {
		b := &ax.bearings[i]
		fr := radial[b.side]
		if ax.pair && b.data.Form == "taper" {
			fr /= 2
		}
		if fr < 1e-9 && axial[i] < 1e-9 {
			continue
		}
		eq, err := b.is.Equivalent(fr, axial[i])
		if err != nil {
			return fmt.Errorf("bearing %s: %w", b.data.Position, err)
		}
		if b.is.C0 > 0 {
			if p0, err := b.is.Static(fr, axial[i]); err == nil {
				b.stat = max(b.stat, p0)
			}
		}
		if eq > b.size {
			b.size, b.gear = eq, p.mesh.Speed
		}
		e := b.is.Form.Exponent()
		b.mean += turns * math.Pow(eq, e)
		b.turn += turns
	}
	return m.stress(ax, loads, re, p.mesh.Speed)
}

// speedOf is how fast a shaft turns in a step.
func (m *model) speedOf(s *gearbox.Shafting, st step) float64 {
	p := &m.paths[st.path]
	if q, _ := m.box.Position(p.mesh.Driver); q.Carrier.ID == s.Carrier {
		return st.speed
	}
	if q, _ := m.box.Position(p.mesh.Driven); q.Carrier.ID == s.Carrier {
		return st.speed / p.ratio
	}
	return st.speed / p.ratio / m.final
}

// thrusts are what the bearings carry along the shaft, in their order.
func (ax *axle) thrusts(re shaft.Reactions, radial [2]float64) ([]float64, error) {
	out := make([]float64, len(ax.bearings))
	var tapers []int
	for i := range ax.bearings {
		if ax.bearings[i].data.Form == "taper" {
			tapers = append(tapers, i)
		}
	}
	if len(tapers) == 2 {
		a, b := &ax.bearings[tapers[0]], &ax.bearings[tapers[1]]
		arr := bearing.O
		if a.data.Arrangement == "X" {
			arr = bearing.X
		}
		fa, fb := radial[a.side], radial[b.side]
		if ax.pair {
			fa, fb = fa/2, fb/2
		}
		pr, err := bearing.HalfY.Thrusts(bearing.Side{Radial: fa, Y: a.is.Y}, bearing.Side{Radial: fb, Y: b.is.Y}, arr.Pressed(re.Axial))
		if err != nil {
			return nil, err
		}
		out[tapers[0]], out[tapers[1]] = pr.AxialA, pr.AxialB
		return out, nil
	}
	at := -1
	for i := range ax.bearings {
		if ax.bearings[i].data.Locates || at < 0 && ax.bearings[i].data.Form == "deep groove" {
			at = i
		}
	}
	if at >= 0 {
		out[at] = math.Abs(re.Axial)
	} else if math.Abs(re.Axial) > 1 {
		return nil, fmt.Errorf("no bearing takes its thrust of %.0f N; mark one with \"locates: yes\"", math.Abs(re.Axial))
	}
	return out, nil
}

// thrustAtB reports whether support B takes the thrust of the shaft.
func (ax *axle) thrustAtB() bool {
	for i := range ax.bearings {
		if b := &ax.bearings[i]; b.data.Locates {
			return b.side == 1
		}
	}
	return ax.pair
}

// stress looks at the sections of a shaft in a step.
func (m *model) stress(ax *axle, loads []shaft.Load, re shaft.Reactions, gear string) error {
	rm, ok := ax.data.Tensile.SI(m.as)
	ry, ok2 := ax.data.Yield.SI(m.as)
	if !ok || !ok2 {
		return nil
	}
	for i := range ax.sections {
		c := &ax.sections[i]
		before, beyond := shaft.Inside(ax.a, ax.b, ax.thrustAtB(), loads, re, c.at)
		in := before
		if beyond.Bending()+math.Abs(beyond.Torque) > before.Bending()+math.Abs(before.Torque) {
			in = beyond
		}
		s, err := c.sec.Stress(in.Bending(), math.Abs(in.Torque), in.Normal)
		if err != nil {
			return fmt.Errorf("section %s: %w", c.data.Name, err)
		}
		if s.Mises() < 1 {
			continue
		}
		se, err := machined.Endurance(rm, c.sec.Outside)
		if err != nil {
			return fmt.Errorf("section %s: %w", c.data.Name, err)
		}
		cy := shaft.Cycle{BendingAmp: math.Abs(s.Bending), TorsionAmp: s.Torsion / 2, TorsionMean: s.Torsion / 2, BendingMean: math.Abs(s.Axial)}
		str := shaft.Strength{Endurance: se, Yield: ry, Tensile: rm}
		n, err := str.Safety(cy, c.n, shaft.Goodman)
		if err != nil {
			return fmt.Errorf("section %s: %w", c.data.Name, err)
		}
		y, err := str.YieldSafety(cy)
		if err != nil {
			return fmt.Errorf("section %s: %w", c.data.Name, err)
		}
		if n = min(n, y); n < c.safe {
			c.safe, c.load, c.gear = n, s.Mises(), gear
		}
	}
	return nil
}

var machined = func() shaft.Finish {
	for _, f := range shaft.Finishes() {
		if f.Name == "machined" {
			return f
		}
	}
	return shaft.Finishes()[0]
}()

// shaftLinks adds the bearings and sections of a shaft.
func (m *model) shaftLinks(ax *axle) {
	s := ax.data
	for i := range ax.bearings {
		b := &ax.bearings[i]
		if b.turn == 0 {
			continue
		}
		e := b.is.Form.Exponent()
		mean := math.Pow(b.mean/b.turn, 1/e)
		_, derived, _ := m.place(s, b.data.Position, b.data.At)
		l := Link{Part: b.data.Position, Name: m.label(b.data.Position), Kind: Rolling, Gear: b.gear, Load: fmt.Sprintf("mean %s, most %s", kN(mean), kN(b.size)), Size: mean,
			Slope: e, Torqued: true, Reserve: math.NaN(), Life: math.NaN(), Grounds: m.bearingGrounds(ax, b, derived)}
		if b.is.C > 0 {
			wanted, c, sum := m.wanted, b.is.C, b.mean
			l.wear = func(load, _ float64) float64 {
				return wanted * bearing.Million * math.Pow(c, e) / (sum * math.Pow(load, e))
			}
			l.Life = l.wear(1, 1)
			l.Reserve = math.Pow(l.Life/wanted, 1/e)
			if b.stat > 0 && b.is.C0 > 0 {
				l.Reserve = min(l.Reserve, b.is.C0/b.stat)
			}
		} else {
			m.lacks("%s: only compared, for its rating is not known; write C and C0 from its maker's sheet", m.label(b.data.Position))
		}
		m.done.Links = append(m.done.Links, l)
	}
	for i := range ax.sections {
		c := &ax.sections[i]
		if math.IsInf(c.safe, 1) {
			continue
		}
		m.done.Links = append(m.done.Links, Link{Part: s.Carrier, Name: c.data.Name, Kind: Section, Gear: c.gear, Load: fmt.Sprintf("%.0f MPa", c.load/1e6), Size: c.load, Reserve: c.safe, Life: math.NaN(), Torqued: true, grows: 3,
			Grounds: []Ground{m.ground(fmt.Sprintf("diameter %.4g mm, notch factors %.3g and %.3g", c.sec.Outside*1e3, c.n.Bending, c.n.Torsion), nonEmpty(c.data.From, s.From)), m.steelGround(s),
				assumed("the heaviest step is borne for ever; torque comes and goes; Goodman, machined surface", "textbook, [BN10]")}})
	}
}

func (m *model) steelGround(s *gearbox.Shafting) Ground {
	return m.ground(fmt.Sprintf("steel of the shaft: tensile %s, yield %s", s.Tensile.Text(m.as), s.Yield.Text(m.as)), s.From)
}

func nonEmpty(a, b string) string {
	if a != "" {
		return a
	}
	return b
}

func (m *model) bearingGrounds(ax *axle, b *roller, derived bool) []Ground {
	var out []Ground
	if b.is.C > 0 {
		out = append(out, m.ground(fmt.Sprintf("C %s, C0 %s", kN(b.is.C), kN(b.is.C0)), b.data.From))
	}
	if b.data.Form == "taper" {
		out = append(out, m.ground(fmt.Sprintf("Y %.3g, pair in %s arrangement; induced thrust %s", b.is.Y, b.data.Arrangement, bearing.HalfY.Name), b.data.From))
	}
	if derived {
		out = append(out, counted("its place from the widths along the shaft"))
	} else {
		out = append(out, m.ground(fmt.Sprintf("stands at %.1f mm", b.at*1e3), nonEmpty(b.data.From, ax.data.From)))
	}
	if ax.pair && b.data.Form == "taper" {
		out = append(out, assumed("the pair acts half way between and shares its radial load alike; preload left out", "common practice, no source"))
	}
	return append(out, assumed("nine of ten bearings reach this life, clean and well oiled", "[ISO281]"))
}

func kN(v float64) string { return fmt.Sprintf("%.3g kN", v/1e3) }

// drawn keeps the loads of a shaft in the step in which its bearings bear most.
func (m *model) drawn(ax *axle) {
	var best *step
	most := 0.0
	for i := range m.steps {
		loads, ok := m.loadsOn(ax.data, m.steps[i])
		re, err := shaft.React(ax.a, ax.b, loads)
		if f := max(re.A.Radial(), re.B.Radial()); ok && err == nil && f > most {
			most, best = f, &m.steps[i]
		}
	}
	if best == nil {
		return
	}
	loads, _ := m.loadsOn(ax.data, *best)
	re, _ := shaft.React(ax.a, ax.b, loads)
	p := &m.paths[best.path]
	sl := ShaftLoad{Carrier: ax.data.Carrier, Name: ax.data.Carrier, Gear: p.mesh.Speed}
	if c, ok := m.box.Carrier(ax.data.Carrier); ok {
		sl.Name = c.Name
	}
	names := []string{p.mesh.Driver}
	if q, _ := m.box.Position(p.mesh.Driven); q.Carrier.ID == ax.data.Carrier {
		names = []string{p.mesh.Driven, "bevel"}
	} else if q, _ := m.box.Position(p.mesh.Driver); q.Carrier.ID != ax.data.Carrier {
		names = []string{"crown wheel"}
	}
	for i, l := range loads {
		if f := l.Force.Radial(); f > 0 {
			name := ""
			if i < len(names) {
				name = names[i]
			}
			sl.Forces = append(sl.Forces, ForceAt{At: l.At, Radial: f, Axial: l.Force[0], Name: name})
		}
	}
	na, nb := "", ""
	for i := range ax.bearings {
		n := &na
		if ax.bearings[i].side == 1 {
			n = &nb
		}
		if *n != "" {
			*n += "/"
		}
		*n += ax.bearings[i].data.Position
	}
	sl.Forces = append(sl.Forces, ForceAt{At: ax.a, Radial: re.A.Radial(), Name: na, Bearing: true}, ForceAt{At: ax.b, Radial: re.B.Radial(), Name: nb, Bearing: true})
	m.done.Shafts = append(m.done.Shafts, sl)
}
