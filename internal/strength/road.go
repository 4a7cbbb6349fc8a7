package strength

import (
	"math"

	"endfloat/calc/ratio"
	"endfloat/calc/unit"
)

// Road is what the ratios do with the vehicle.
type Road struct {
	Gears   []RoadGear
	Level   []ratio.At // resistance on the level
	Uphill  []ratio.At // and up the grade of the file, none if it has none
	Grade   float64
	Top     ratio.Top
	TopOK   bool
	Limit   float64 // of the line or road, m/s, 0 none
	Full    float64 // engine's limit, rad/s
	Grounds []Ground
}

// RoadGear is one speed on the road; Steepest is the grade it climbs, rise over run.
type RoadGear struct {
	Name     string
	Effort   []ratio.At
	Lo, Hi   float64 // m/s
	From     float64 // where it is taken after a shift up at the engine's limit, m/s
	Taken    float64 // engine speed then, rad/s
	Steepest float64
}

// road works out effort, resistance and shifts; nil where the file has no vehicle.
func (m *model) road() *Road {
	v := m.st.Vehicle
	if v == nil {
		m.lacks("road: write strength: vehicle: with mass and wheel")
		return nil
	}
	wheel, ok := v.Wheel.SI(m.as)
	mass, ok2 := v.Mass.SI(m.as)
	if !ok || !ok2 {
		m.lacks("road: mass and wheel are not known in this series")
		return nil
	}
	eff, effGiven := m.or(v.Efficiency, 0.9)
	rolling, rollGiven := m.or(v.Rolling, 0.012)
	rising, _ := m.or(v.Rising, 0)
	drag, _ := m.or(v.DragArea, 0)
	shift, _ := m.or(v.Shift, 1)
	veh := ratio.Vehicle{Efficiency: eff, Wheel: unit.Length(wheel), Road: ratio.Road{Mass: unit.Mass(mass), Rolling: rolling, Rising: rising, DragArea: drag, Air: 1.2}, Shift: shift}
	veh.Engine.Inertia, _ = m.or(m.engine.Inertia, 0)
	for _, c := range m.engine.Curve {
		veh.Engine.Curve = append(veh.Engine.Curve, ratio.Point{Speed: c.Speed, Torque: unit.Torque(c.Torque)})
	}
	r := &Road{Full: m.engine.Curve[len(m.engine.Curve)-1].Speed}
	for i := range m.paths {
		if m.paths[i].z[1] == 0 {
			veh.Ratios = append(veh.Ratios, m.paths[i].ratio*m.final)
			r.Gears = append(r.Gears, RoadGear{Name: m.paths[i].mesh.Speed})
		}
	}
	if err := veh.Check(); err != nil {
		m.lacks("road: %v", err)
		return nil
	}
	r.Grade, _ = m.or(v.Grade, 0)
	r.Limit, _ = m.or(v.Limit, 0)
	far := 0.0
	for k := range r.Gears {
		g := &r.Gears[k]
		g.Effort = veh.Effort(k)
		g.Lo, g.Hi = veh.Range(k)
		if k > 0 {
			g.From = r.Gears[k-1].Hi
			g.Taken = ratio.UpShift(r.Full, veh.Ratios[k-1], veh.Ratios[k])
		}
		g.Steepest, _ = veh.Steepest(k, (g.Lo+g.Hi)/2)
		far = max(far, g.Hi)
	}
	hill := veh.Road
	hill.Grade = r.Grade
	for k := range 21 {
		at := far * float64(k) / 20
		if l, err := veh.Road.At(at); err == nil {
			r.Level = append(r.Level, ratio.At{Speed: at, Force: float64(l.Total())})
		}
		if l, err := hill.At(at); err == nil && r.Grade > 0 {
			r.Uphill = append(r.Uphill, ratio.At{Speed: at, Force: float64(l.Total())})
		}
	}
	if top, err := veh.TopSpeed(); err == nil {
		r.Top, r.TopOK = top, true
	}
	r.Grounds = []Ground{m.ground("mass "+v.Mass.Text(m.as)+", wheel "+v.Wheel.Text(m.as)+" mm", v.From), either(m, rollGiven, v.From, "rolling resistance "+short(rolling*1000)+" N per kN"), either(m, effGiven, v.From, "efficiency "+short(eff)),
		m.ground("full torque of the engine of series "+m.engine.Series, m.engine.From)}
	if math.IsNaN(r.Grade) {
		r.Grade = 0
	}
	return r
}
