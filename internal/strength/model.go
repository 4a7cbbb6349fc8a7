package strength

import (
	"fmt"
	"math"
	"strings"

	"endfloat/internal/gearbox"
)

// model is a design being rated.
type model struct {
	box     *gearbox.Box
	st      *gearbox.Strength
	as      gearbox.Built
	engine  gearbox.Engine
	eng     gearbox.Built // the series whose engine drives, for values keyed by series
	steps   []step
	paths   []path
	sense   float64 // of the input about the axis front to rear
	final   float64 // ratio of crown wheel and pinion, 1 without
	wanted  float64
	missing []string
	done    Case
}

// step is a part of the duty with the torque of this engine at the input.
type step struct {
	path                 int
	share, speed, torque float64 // of the time; rad/s and N·m at the input
}

// path is the way through one speed.
type path struct {
	mesh   *gearbox.Mesh
	z      [3]int // driver, idler or 0, driven
	module float64
	helix  float64
	centre float64
	hand   float64
	ratio  float64 // input turns for one of the driven shaft, above 0
}

// turns is the sense of the driven shaft against the driver's.
func (p *path) turns() float64 {
	if p.z[1] > 0 {
		return 1
	}
	return -1
}

func rate(box *gearbox.Box, d Design) (*model, error) {
	st := box.Strength
	if st == nil {
		return nil, fmt.Errorf("the gearbox file of %s says nothing of strength; add a part \"strength\" with an engine, a duty and teeth or bearings", box.Name)
	}
	m := &model{box: box, st: st, as: d.Built, sense: 1, final: 1}
	if err := m.drive(d); err != nil {
		return nil, err
	}
	if r := box.Rotation; r != nil && r.Input == "anticlockwise" {
		m.sense = -1
	}
	if err := m.follow(); err != nil {
		return nil, err
	}
	if err := m.use(); err != nil {
		return nil, err
	}
	m.done = Case{Name: d.Name, Engine: d.Engine, Weakest: -1, Torque: m.peak()}
	m.done.Power, m.done.PowerAt = m.power()
	for _, part := range []func() error{m.cylindrical, m.shafts, m.bevel, m.joints, m.synchronisers} {
		if err := part(); err != nil {
			return nil, err
		}
	}
	m.speeds()
	m.done.Road = m.road()
	for i, l := range m.done.Links {
		if l.Torqued && !math.IsNaN(l.Reserve) && (m.done.Weakest < 0 || l.Reserve < m.done.Links[m.done.Weakest].Reserve) {
			m.done.Weakest = i
		}
	}
	return m, nil
}

// drive finds the engine.
func (m *model) drive(d Design) error {
	var names []string
	for _, e := range m.st.Engines {
		names = append(names, e.Series)
		if e.Series == d.Engine {
			m.engine = e
		}
	}
	if m.engine.Series == "" {
		if len(names) == 0 {
			return fmt.Errorf("the gearbox file of %s has no engine under strength; add engine: with the full torque of each series", m.box.Name)
		}
		return fmt.Errorf("the gearbox file of %s has no engine of series %q; there are %s", m.box.Name, d.Engine, strings.Join(names, ", "))
	}
	m.eng = gearbox.Built{Series: d.Engine, Variants: d.Built.Variants}
	return nil
}

// follow finds the way through every speed from the teeth.
func (m *model) follow() error {
	for i := range m.box.Meshes {
		g := &m.box.Meshes[i]
		p := path{mesh: g, module: float64(g.Module)}
		for k, id := range []string{g.Driver, g.Idler, g.Driven} {
			if id == "" {
				continue
			}
			q, _ := m.box.Position(id)
			z, ok := q.Dimension("teeth", m.as)
			if g.Idler != "" && k != 1 { // a part may carry other teeth for the speed with an idler
				if r, has := q.Dimension("reverse teeth", m.as); has {
					z, ok = r, true
				}
			}
			if !ok || z < 1 {
				return fmt.Errorf("speed %s: the teeth of %s are not known as it is built; say which variant it is", g.Speed, id)
			}
			p.z[k] = int(math.Round(z))
		}
		p.helix, _ = g.Helix.SI(m.as)
		p.centre, _ = g.Centre.SI(m.as)
		p.ratio = float64(p.z[2]) / float64(p.z[0])
		if t := m.teethOf(g.Speed); t != nil {
			p.hand = map[string]float64{"left": -1, "right": 1}[t.Hand]
		}
		m.paths = append(m.paths, p)
	}
	if f := m.box.Final; f != nil {
		z := [2]float64{}
		for k, id := range []string{f.Pinion, f.Crown} {
			q, _ := m.box.Position(id)
			var ok bool
			if z[k], ok = q.Dimension("teeth", m.as); !ok {
				return fmt.Errorf("crown wheel and pinion: the teeth of %s are not known; add them to the position", id)
			}
		}
		m.final = z[1] / z[0]
	}
	return nil
}

func (m *model) teethOf(speed string) *gearbox.Teeth {
	for i := range m.st.Teeth {
		if m.st.Teeth[i].Speed == speed {
			return &m.st.Teeth[i]
		}
	}
	return nil
}

// use lays the engine's torque under the duty.
func (m *model) use() error {
	u := m.st.Duty
	if u == nil {
		return fmt.Errorf("the gearbox file of %s has no duty under strength; add how it is used: life and steps", m.box.Name)
	}
	m.wanted, _ = u.Life.SI(m.eng)
	if !(m.wanted > 0) {
		return fmt.Errorf("the duty does not say what life is wanted in series %s", m.eng.Series)
	}
	for _, s := range u.Steps {
		full := m.full(s.Speed)
		if full == 0 {
			return fmt.Errorf("duty: %.0f rpm in speed %s is outside the engine of series %s, %.0f to %.0f rpm", s.Speed*30/math.Pi, s.Gear, m.eng.Series,
				m.engine.Curve[0].Speed*30/math.Pi, m.engine.Curve[len(m.engine.Curve)-1].Speed*30/math.Pi)
		}
		for i := range m.paths {
			if m.paths[i].mesh.Speed == s.Gear {
				m.steps = append(m.steps, step{i, s.Share, s.Speed, s.Torque * full})
			}
		}
	}
	return nil
}

// full is the engine's full torque at a speed, straight between the points.
func (m *model) full(ω float64) float64 {
	c := m.engine.Curve
	for i := 1; i < len(c); i++ {
		if ω >= c[i-1].Speed*(1-1e-9) && ω <= c[i].Speed*(1+1e-9) {
			return c[i-1].Torque + (ω-c[i-1].Speed)/(c[i].Speed-c[i-1].Speed)*(c[i].Torque-c[i-1].Torque)
		}
	}
	return 0
}

func (m *model) power() (p, at float64) {
	for _, c := range m.engine.Curve {
		if w := c.Torque * c.Speed; w > p {
			p, at = w, c.Speed
		}
	}
	return p, at
}

func (m *model) peak() (t float64) {
	for _, s := range m.steps {
		t = max(t, math.Abs(s.torque))
	}
	return t
}

// peakIn is the greatest torque of the duty in a speed.
func (m *model) peakIn(path int) (t float64) {
	for _, s := range m.steps {
		if s.path == path {
			t = max(t, math.Abs(s.torque))
		}
	}
	return t
}

// speeds says what goes in and out in each speed.
func (m *model) speeds() {
	for i := range m.paths {
		p := &m.paths[i]
		in := m.peakIn(i)
		ft := 0.0
		if p.module > 0 {
			ft = 2 * in * math.Cos(p.helix) / (p.module * float64(p.z[0]))
		}
		m.done.Speeds = append(m.done.Speeds, Speed{Name: p.mesh.Speed, Ratio: p.ratio, Overall: p.ratio * m.final, In: in, Out: in * p.ratio,
			Tangential: ft, Axial: ft * math.Tan(p.helix), Backward: p.z[1] > 0})
	}
}

// lacks notes what was not rated and what would mend it.
func (m *model) lacks(format string, args ...any) {
	m.missing = append(m.missing, fmt.Sprintf(format, args...))
}

// ground says what stands behind a figure. It is a fact if it was measured or stands
// in a source that the file lists.
func (m *model) ground(says, own string) Ground {
	from := m.st.Lasting(own)
	g := Ground{Says: says, From: from, Fact: strings.HasPrefix(from, "measured")}
	word, _, _ := strings.Cut(from, " ")
	for _, s := range m.box.Sources {
		g.Fact = g.Fact || s.Key == word
	}
	if from == "" {
		g.From = "no source given"
	}
	return g
}

// counted is a ground that is a fact of the gearbox file itself.
func counted(says string) Ground { return Ground{says, true, "gearbox file"} }

// assumed is a ground of the sum itself.
func assumed(says, from string) Ground { return Ground{says, false, from} }

// or is a value of the file, else a usual one.
func (m *model) or(v gearbox.Value, usual float64) (x float64, given bool) {
	if x, ok := v.SI(m.as); ok {
		return x, true
	}
	return usual, false
}

func (m *model) label(id string) string {
	if p, ok := m.box.Position(id); ok {
		return p.Label()
	}
	return id
}
