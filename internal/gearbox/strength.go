package gearbox

import (
	"slices"
	"strings"

	"endfloat/calc/unit"

	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/token"
)

// Strength is what the sums of strength ask of a type beside the rest of its file.
// All of it may be left out, part by part: what is missing is not rated.
type Strength struct {
	From     string // where it stands, unless a part says otherwise
	Engines  []Engine
	Vehicle  *Vehicle
	Duty     *Duty
	Factor   Value // true torque over that of the duty, with its doubt
	Steel    Value // true strength of the steels over that of the list, with its doubt
	Oil      Value // viscosity at 40 °C, m²/s
	Teeth    []Teeth
	Bevel    *BevelTeeth
	Shafts   []Shafting
	Joints   []Joint
	Synchros []Synchro
}

// Engine is the full torque of the engine of a series.
type Engine struct {
	Series  string
	Curve   []TorqueAt // by rising speed
	Inertia Value      // kg·m²
	From    string
}

// TorqueAt is a torque in N·m at a speed in rad/s.
type TorqueAt struct{ Torque, Speed float64 }

// Vehicle is what the gearbox drives.
type Vehicle struct {
	Mass, Wheel, Rolling, Rising, DragArea, Efficiency, Grade, Limit, Shift Value
	From                                                                    string
}

// Duty is how it is used: parts of the time that add up to 1, and how long it
// should last so.
type Duty struct {
	Life  Value // s
	Steps []DutyStep
	From  string
}

// DutyStep is a part of the time in a speed, with a share of the engine's full
// torque at an engine speed; below 0 the engine holds back.
type DutyStep struct {
	Gear          string
	Share, Torque float64
	Speed         float64 // rad/s
}

// Teeth are those of the pair of a speed.
type Teeth struct {
	Speed       string
	Face        Value
	Hand        string // of the driver's helix: left, right, "" straight
	Steel       Value
	Grade       int
	FaceLoad    Value
	ShiftDriver Value
	From        string
}

// BevelTeeth are those of crown wheel and pinion.
type BevelTeeth struct {
	Module, Face, Pressure, Spiral Value
	Pushes                         string // away or toward: where drive pushes the pinion
	At                             Value  // middle of the pinion's teeth along its shaft
	Angle                          Value  // from the line to the other shaft round to the crown wheel
	I, J1, J2, Flank, Root         Value  // geometry factors and allowable stress numbers
	From                           string
}

// Shafting is where bearings, meshes and sections stand along a carrier.
type Shafting struct {
	Carrier  string
	Stack    []StackItem
	Bearings []Bearing
	Meshes   []Named // by speed
	Crown    Value   // middle of the crown wheel's teeth
	Sections []Section
	Tensile  Value
	Yield    Value
	From     string
}

// StackItem is a part clamped along a shaft, or a length where the file has no part.
type StackItem struct {
	Position string
	Length   float64
}

// Bearing is a bearing at a position, as its maker's sheet has it.
type Bearing struct {
	Position            string
	Form                string
	At                  Value
	C, C0, F0, E, Y, Y0 Value
	Pair, Arrangement   string // the other one of a pair of tapers, and how they face
	Locates             bool
	From                string
}

// Section is a place of a shaft where its stress is looked at.
type Section struct {
	Name             string
	At, OD, Bore     Value
	Bending, Torsion Value // notch factors on life
	From             string
}

// Joint passes torque from one part to another: a spline or dogs.
type Joint struct {
	Position                       string
	Kind                           string // spline or dogs
	Carries                        []string
	Teeth                          int
	Inner, Outer, Length           Value
	Radius, Contact, Share, Allows Value
	From                           string
}

// Synchro is a synchroniser's cone and what it has to bring to speed.
type Synchro struct {
	Position                            string
	Speed                               string
	Mean, Width, Angle, Friction, Faces Value
	Force, Inertia                      Value
	Pair                                string // brass or molybdenum
	From                                string
}

// Lasting returns where a part of the data stands: its own word, else that of the whole.
func (s *Strength) Lasting(own string) string {
	if own != "" {
		return own
	}
	return s.From
}

func mustFind(symbol string, k unit.Kind) unit.Unit {
	u, _ := unit.Find(symbol, k)
	return u
}

// Units in which plain numbers are read.
var (
	newtonMetre = mustFind("N·m", unit.KindTorque)
	kilonewton  = mustFind("kN", unit.KindForce)
	newton      = mustFind("N", unit.KindForce)
	megapascal  = mustFind("MPa", unit.KindPressure)
	rpm         = mustFind("rpm", unit.KindRotation)
	degree      = mustFind("°", unit.KindAngle)
	inertia     = mustFind("kg·m²", unit.KindInertia)
	tonne       = mustFind("t", unit.KindMass)
	hour        = mustFind("h", unit.KindTime)
	viscous     = mustFind("cSt", unit.KindViscosity)
)

func (d *draft) strength(f *fields) {
	p := f.take("strength")
	if p == nil {
		return
	}
	g := d.fields(p.val, "strength")
	s := &Strength{From: g.text("from")}
	s.Factor, s.Steel = d.plain(g, "torque factor"), d.plain(g, "steel factor")
	s.Oil = d.value(g, "oil", unit.KindViscosity, viscous, nil)
	d.each(g, "engine", func(q pair) { s.Engines = append(s.Engines, d.engine(q)) })
	if q := g.take("vehicle"); q != nil {
		s.Vehicle = d.vehicle(*q)
	}
	if q := g.take("duty"); q != nil {
		s.Duty = d.duty(*q)
	}
	d.each(g, "teeth", func(q pair) { s.Teeth = append(s.Teeth, d.teeth(q)) })
	if q := g.take("bevel"); q != nil {
		s.Bevel = d.bevel(*q)
	}
	d.each(g, "shafts", func(q pair) { s.Shafts = append(s.Shafts, d.shafting(q)) })
	d.each(g, "joints", func(q pair) { s.Joints = append(s.Joints, d.joint(q)) })
	d.each(g, "synchronisers", func(q pair) { s.Synchros = append(s.Synchros, d.synchro(q)) })
	g.rest()
	d.box.Strength = s
}

func (d *draft) plain(f *fields, key string) Value {
	return d.value(f, key, unit.Number, unit.Unit{}, nil)
}

func (d *draft) length(f *fields, key string, pos *Position) Value {
	return d.value(f, key, unit.KindLength, millimetre(), pos)
}

// above faults on a value that is not above 0.
func (d *draft) above(at *token.Token, what string, vs map[string]Value) {
	for key, v := range vs {
		for _, n := range scalars(v) {
			if !(n.si > 0) {
				d.fault(at, "%s: %s is %s; it must be above 0", what, key, n.text)
			}
		}
	}
}

func scalars(v Value) []scalar {
	var out []scalar
	if v.all != nil {
		out = append(out, *v.all)
	}
	for _, k := range v.Keys() {
		out = append(out, v.when[k])
	}
	return out
}

// needs faults on what is not there.
func (d *draft) needs(at *token.Token, what string, key string, v Value) {
	if !v.Known() {
		d.fault(at, "%s has no %q, which its sum cannot do without; write it, or leave the part out", what, key)
	}
}

// isSpeed faults on a name that is no speed of the file.
func (d *draft) isSpeed(at *token.Token, what, name string) {
	d.later = append(d.later, func() {
		var names []string
		for _, m := range d.box.Meshes {
			names = append(names, m.Speed)
		}
		if !slices.Contains(names, name) {
			d.fault(at, "%s: there is no speed %q; %s", what, name, offer(name, names))
		}
	})
}

func (d *draft) engine(p pair) Engine {
	what := "engine of series " + p.key
	f := d.fields(p.val, what)
	e := Engine{Series: p.key, Inertia: d.value(f, "inertia", unit.KindInertia, inertia, nil), From: f.text("from")}
	d.checkKey(p.tok, "engine", "", p.key)
	for _, t := range f.texts("full torque") {
		torque, at, ok := strings.Cut(t, " at ")
		m, err := number(torque, unit.KindTorque, newtonMetre)
		n, err2 := number(at, unit.KindRotation, rpm)
		switch {
		case !ok || err != nil || err2 != nil:
			d.fault(p.tok, "%s: full torque %q; write a torque at a speed, such as 117 N·m at 1800 rpm", what, clip(t))
		case !(m.si > 0 && n.si > 0) || len(e.Curve) > 0 && n.si <= e.Curve[len(e.Curve)-1].Speed:
			d.fault(p.tok, "%s: full torque %q; torque and speed are above 0 and speeds rise from one point to the next", what, clip(t))
		default:
			e.Curve = append(e.Curve, TorqueAt{m.si, n.si})
		}
	}
	f.rest()
	if len(e.Curve) < 2 {
		d.fault(p.tok, "%s: its full torque needs two points or more, such as [98 N·m at 700 rpm, 117 N·m at 1800 rpm]", what)
	}
	return e
}

func (d *draft) vehicle(p pair) *Vehicle {
	f := d.fields(p.val, "vehicle")
	m2, kmh := mustFind("m²", unit.KindArea), mustFind("km/h", unit.KindSpeed)
	v := &Vehicle{
		Mass: d.value(f, "mass", unit.KindMass, tonne, nil), Wheel: d.length(f, "wheel", nil),
		Rolling: d.plain(f, "rolling"), Rising: d.plain(f, "rising"), DragArea: d.value(f, "drag area", unit.KindArea, m2, nil),
		Efficiency: d.plain(f, "efficiency"), Grade: d.plain(f, "grade"), Limit: d.value(f, "limit", unit.KindSpeed, kmh, nil),
		Shift: d.value(f, "shift", unit.KindTime, second(), nil), From: f.text("from"),
	}
	f.rest()
	d.needs(p.tok, "vehicle", "mass", v.Mass)
	d.needs(p.tok, "vehicle", "wheel", v.Wheel)
	d.above(p.tok, "vehicle", map[string]Value{"mass": v.Mass, "wheel": v.Wheel, "efficiency": v.Efficiency})
	return v
}

// mostSteps are the most steps of a duty.
const mostSteps = 20

func (d *draft) duty(p pair) *Duty {
	f := d.fields(p.val, "duty")
	u := &Duty{Life: d.value(f, "life", unit.KindTime, hour, nil), From: f.text("from")}
	d.needs(p.tok, "duty", "life", u.Life)
	d.above(p.tok, "duty", map[string]Value{"life": u.Life})
	all := 0.0
	if q := f.take("steps"); q != nil {
		s, ok := q.val.(*ast.SequenceNode)
		if !ok || len(s.Values) == 0 || len(s.Values) > mostSteps {
			d.fault(q.tok, "duty: steps is a list of 1 to %d, each on a line with \"- \"", mostSteps)
			s = &ast.SequenceNode{}
		}
		for _, n := range s.Values {
			g := d.fields(n, "duty step")
			one := func(key string, k unit.Kind, def unit.Unit) float64 {
				v := d.value(g, key, k, def, nil)
				d.needs(n.GetToken(), "duty step", key, v)
				si, _ := v.SI(Built{})
				return si
			}
			st := DutyStep{Gear: g.text("gear"), Share: one("share", unit.Number, unit.Unit{}), Torque: one("torque", unit.Number, unit.Unit{}), Speed: one("speed", unit.KindRotation, rpm)}
			g.rest()
			if !(st.Share > 0 && st.Share <= 1 && st.Torque >= -1 && st.Torque <= 1.5 && st.Speed > 0) {
				d.fault(n.GetToken(), "duty step: share is above 0 and up to 1, torque a share of full torque from -1 to 1.5, speed above 0")
			}
			d.isSpeed(n.GetToken(), "duty step", st.Gear)
			all += st.Share
			u.Steps = append(u.Steps, st)
		}
	}
	f.rest()
	if len(u.Steps) == 0 || all < 0.99 || all > 1.01 {
		d.fault(p.tok, "duty: the shares of its steps add up to %.3g; they are shares of all the time and add up to 1", all)
	}
	return u
}

func (d *draft) teeth(p pair) Teeth {
	what := "teeth of speed " + p.key
	f := d.fields(p.val, what)
	t := Teeth{Speed: p.key, Face: d.length(f, "face", nil), Hand: f.text("hand"), Steel: d.word(f, "steel", nil), Grade: f.whole("grade", 8, 3, 8),
		FaceLoad: d.plain(f, "face load"), ShiftDriver: d.plain(f, "shift of driver"), From: f.text("from")}
	f.rest()
	d.isSpeed(p.tok, "teeth", p.key)
	d.oneOf(p.tok, what+": hand", t.Hand, "left", "right")
	d.needs(p.tok, what, "face", t.Face)
	d.needs(p.tok, what, "steel", t.Steel)
	d.above(p.tok, what, map[string]Value{"face": t.Face, "face load": t.FaceLoad})
	return t
}

func (d *draft) bevel(p pair) *BevelTeeth {
	f := d.fields(p.val, "bevel")
	b := &BevelTeeth{Module: d.length(f, "module", nil), Face: d.length(f, "face", nil), Pressure: d.value(f, "pressure angle", unit.KindAngle, degree, nil),
		Spiral: d.value(f, "spiral", unit.KindAngle, degree, nil), Pushes: f.text("drive pushes pinion"), At: d.length(f, "at", nil), Angle: d.value(f, "round", unit.KindAngle, degree, nil),
		I: d.plain(f, "I"), J1: d.plain(f, "J of pinion"), J2: d.plain(f, "J of crown wheel"),
		Flank: d.value(f, "flank", unit.KindPressure, megapascal, nil), Root: d.value(f, "root", unit.KindPressure, megapascal, nil), From: f.text("from")}
	f.rest()
	for key, v := range map[string]Value{"module": b.Module, "face": b.Face, "at": b.At} {
		d.needs(p.tok, "bevel", key, v)
	}
	d.above(p.tok, "bevel", map[string]Value{"module": b.Module, "face": b.Face})
	if b.Pushes != "away" && b.Pushes != "toward" {
		d.fault(p.tok, "bevel: say \"drive pushes pinion: away\" or \"toward\" the crown wheel's axis; which way it goes is never assumed")
	}
	return b
}

func (d *draft) shafting(p pair) Shafting {
	what := "shaft " + p.key
	f := d.fields(p.val, what)
	s := Shafting{Carrier: p.key, From: f.text("from"), Tensile: d.value(f, "tensile", unit.KindPressure, megapascal, nil), Yield: d.value(f, "yield", unit.KindPressure, megapascal, nil)}
	s.Crown = d.length(f, "crown wheel", nil)
	if _, ok := d.box.Carrier(p.key); !ok {
		d.fault(p.tok, "strength: there is no carrier %q; a shaft is named as under carriers", p.key)
	}
	for _, t := range f.texts("stack") {
		if q, ok := d.box.byID[t]; ok {
			if !q.has("width") {
				d.fault(p.tok, "%s: %s stands in its stack and has no width; add it to the position, or write a length in its place", what, t)
			}
			s.Stack = append(s.Stack, StackItem{Position: t})
			continue
		}
		v, err := number(t, unit.KindLength, millimetre())
		if err != nil {
			d.fault(p.tok, "%s: %q in its stack is neither a position nor a length", what, clip(t))
		}
		s.Stack = append(s.Stack, StackItem{Length: v.si})
	}
	d.each(f, "bearings", func(q pair) { s.Bearings = append(s.Bearings, d.rolling(q, len(s.Stack) > 0)) })
	d.each(f, "meshes", func(q pair) {
		d.isSpeed(q.tok, what, q.key)
		s.Meshes = append(s.Meshes, Named{q.key, d.read(q.val, what+": mesh "+q.key, unit.KindLength, millimetre(), nil)})
	})
	d.each(f, "sections", func(q pair) { s.Sections = append(s.Sections, d.section(q)) })
	f.rest()
	if len(s.Bearings) < 2 {
		d.fault(p.tok, "%s: a shaft runs in two bearings or more; %d given", what, len(s.Bearings))
	}
	return s
}

func (d *draft) rolling(p pair, stacked bool) Bearing {
	what := "bearing " + p.key
	f := d.fields(p.val, what)
	pos := d.mustBe(p.tok, "strength, bearing", p.key)
	kn := func(key string) Value { return d.value(f, key, unit.KindForce, kilonewton, pos) }
	b := Bearing{Position: p.key, Form: f.text("form"), At: d.length(f, "at", pos), C: kn("C"), C0: kn("C0"), F0: d.plain(f, "f0"), E: d.plain(f, "e"), Y: d.plain(f, "Y"), Y0: d.plain(f, "Y0"),
		Pair: f.text("pair"), Arrangement: f.text("arrangement"), Locates: f.yes("locates"), From: f.text("from")}
	f.rest()
	d.oneOf(p.tok, what+": form", b.Form, "deep groove", "cylindrical", "taper", "needle")
	d.oneOf(p.tok, what+": arrangement", b.Arrangement, "O", "X")
	if b.Form == "" {
		d.fault(p.tok, "%s: say its form: deep groove, cylindrical, taper or needle", what)
	}
	if b.Form == "taper" && (b.Pair == "" || b.Arrangement == "" || !b.Y.Known()) {
		d.fault(p.tok, "%s: a taper bearing has a pair, an arrangement, O or X, and the factor Y of its maker's sheet", what)
	}
	if b.Pair != "" {
		d.mustBe(p.tok, what, b.Pair)
	}
	if !stacked {
		d.needs(p.tok, what, "at", b.At)
	}
	d.above(p.tok, what, map[string]Value{"C": b.C, "C0": b.C0, "Y": b.Y})
	return b
}

func (d *draft) section(p pair) Section {
	what := "section " + p.key
	f := d.fields(p.val, what)
	s := Section{Name: p.key, At: d.length(f, "at", nil), OD: d.length(f, "od", nil), Bore: d.length(f, "bore", nil), Bending: d.plain(f, "bending"), Torsion: d.plain(f, "torsion"), From: f.text("from")}
	f.rest()
	d.needs(p.tok, what, "at", s.At)
	d.needs(p.tok, what, "od", s.OD)
	d.above(p.tok, what, map[string]Value{"od": s.OD, "bending": s.Bending, "torsion": s.Torsion})
	return s
}

func (d *draft) joint(p pair) Joint {
	what := "joint " + p.key
	f := d.fields(p.val, what)
	pos := d.mustBe(p.tok, "strength, joint", p.key)
	j := Joint{Position: p.key, Kind: f.text("kind"), Carries: f.texts("carries"), Teeth: f.whole("teeth", 0, 1, 200), Inner: d.length(f, "inner", pos), Outer: d.length(f, "outer", pos), Length: d.length(f, "length", pos),
		Radius: d.length(f, "radius", pos), Contact: d.value(f, "contact", unit.KindArea, mustFind("mm²", unit.KindArea), pos), Share: d.plain(f, "share"), Allows: d.value(f, "allows", unit.KindPressure, megapascal, pos), From: f.text("from")}
	f.rest()
	d.oneOf(p.tok, what+": kind", j.Kind, "spline", "dogs")
	want := map[string]Value{"inner": j.Inner, "outer": j.Outer, "length": j.Length, "allows": j.Allows}
	if j.Kind == "dogs" {
		want = map[string]Value{"radius": j.Radius, "contact": j.Contact, "allows": j.Allows}
	}
	for key, v := range want {
		d.needs(p.tok, what, key, v)
	}
	d.above(p.tok, what, want)
	if j.Teeth == 0 || j.Kind == "" {
		d.fault(p.tok, "%s: say its kind, spline or dogs, and its teeth", what)
	}
	for _, c := range j.Carries {
		d.isSpeed(p.tok, what, c)
	}
	return j
}

func (d *draft) synchro(p pair) Synchro {
	what := "synchroniser " + p.key
	f := d.fields(p.val, what)
	pos := d.mustBe(p.tok, "strength, synchroniser", p.key)
	s := Synchro{Position: p.key, Speed: f.text("speed"), Mean: d.length(f, "mean", pos), Width: d.length(f, "width", pos), Angle: d.value(f, "angle", unit.KindAngle, degree, pos), Friction: d.plain(f, "friction"), Faces: d.plain(f, "faces"),
		Force: d.value(f, "force", unit.KindForce, newton, pos), Inertia: d.value(f, "inertia", unit.KindInertia, inertia, pos), Pair: f.text("pair"), From: f.text("from")}
	f.rest()
	d.isSpeed(p.tok, what, s.Speed)
	d.oneOf(p.tok, what+": pair", s.Pair, "brass", "molybdenum")
	want := map[string]Value{"mean": s.Mean, "width": s.Width, "angle": s.Angle, "friction": s.Friction, "force": s.Force, "inertia": s.Inertia}
	for key, v := range want {
		d.needs(p.tok, what, key, v)
	}
	d.above(p.tok, what, want)
	return s
}
