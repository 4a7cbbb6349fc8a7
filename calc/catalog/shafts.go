package catalog

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"sync"

	"endfloat/calc/shaft"
	"endfloat/calc/unit"
)

func init() {
	register(shaftReactions, shaftDeflection, shaftStress, splineSum, dogTeeth, keySum, circlipGroove, nutClamp)
}

// meshInputs are the gears that press on one shaft.
func meshInputs(more ...Input) []Input {
	return append([]Input{
		mm("at", "x", -2000, 5000, "where each gear meets its mate, from bearing A toward B, each with its name, such as first = 45, input = 90").named(),
		ask("torques", "T", unit.KindTorque, "N·m", -1e5, 1e5, "torque that each mesh puts on the shaft, clockwise seen from A positive; a gear that drives has the sign against the turning").many(),
		mm("diameters", "d", 1, 3000, "pitch diameter that each gear runs on, in order").many(),
		ask("places", "φ", unit.KindAngle, "°", -360, 360, "direction in which each mate lies, clockwise seen from A, from a line you choose").many(),
		ask("pressure-angle", "α", unit.KindAngle, "°", 5, 40, "pressure angle in the normal section; one value serves all").many().or("20°"),
		ask("helix", "β", unit.KindAngle, "°", -60, 60, "helix angle of each gear of this shaft, right-hand positive, left-hand negative; one value serves all").many().or("0°"),
		mm("span", "L", 2, 5000, "from the load centre of bearing A to that of B"),
	}, more...)
}

// gearing is what meshInputs read.
type gearing struct {
	names  []string
	meshes []shaft.Mesh
	loads  []shaft.Load
	span   float64
}

// mostMeshes is more than a shaft of a gearbox carries.
const mostMeshes = 12

// gearsOf reads the meshes of a shaft.
func gearsOf(c *Call) (g gearing, err error) {
	at, names := c.List("at"), c.Names("at")
	if len(at) > mostMeshes {
		return g, c.Badf("at", "%d meshes are more than a shaft has; expected at most %d", len(at), mostMeshes)
	}
	lists := [5][]float64{}
	for i, key := range [5]string{"torques", "diameters", "places", "pressure-angle", "helix"} {
		lists[i] = c.List(key)
		if n := len(lists[i]); n != len(at) && (n != 1 || i < 3) {
			return g, c.Badf(key, "there are %d for %d meshes; expected one for each", n, len(at))
		}
	}
	pick := func(i, k int) float64 { return lists[i][min(k, len(lists[i])-1)] }
	g.names, g.span = names, c.F("span")
	g.meshes, g.loads = make([]shaft.Mesh, len(at)), make([]shaft.Load, len(at))
	for k, x := range at {
		β := pick(4, k)
		m := shaft.Mesh{At: x, Torque: pick(0, k), Radius: pick(1, k) / 2, Angle: pick(2, k), Normal: pick(3, k), Helix: math.Abs(β)}
		switch {
		case β > 0:
			m.Hand = shaft.Right
		case β < 0:
			m.Hand = shaft.Left
		}
		g.meshes[k] = m
		if g.loads[k], err = m.Load(); err != nil {
			return g, c.Bad("torques", err)
		}
	}
	return g, nil
}

// meshWords are the symbols and formulas of the meshes by number, made once.
var meshWords = sync.OnceValue(func() (words [mostMeshes]map[string]string) {
	for k := range words {
		words[k] = map[string]string{}
		for _, w := range []string{"x_#", "T_#", "d_#", "φ_#", "α_#", "β_#", "F_t#", "F_r#", "F_x#", "F_y#", "F_z#",
			tangential, separating, pushing, alongLine, acrossLine, sumByLine, sumAcross} {
			words[k][w] = strings.ReplaceAll(w, "#", strconv.Itoa(k+1))
		}
	}
	return words
})

// Formulas of one mesh; # stands for its number.
const (
	tangential = "2 · T_# / d_#"
	separating = "abs(F_t#) · tan α_# / cos β_#"
	pushing    = "−F_t# · tan β_#"
	alongLine  = "−F_r# · cos φ_# − F_t# · sin φ_#"
	acrossLine = "F_t# · cos φ_# − F_r# · sin φ_#"
	sumByLine  = "x_# · F_y# − d_# / 2 · cos φ_# · F_x#"
	sumAcross  = "x_# · F_z# − d_# / 2 · sin φ_# · F_x#"
)

// showForces writes the tooth forces of each mesh.
func (g gearing) showForces(c *Call) {
	if c.quiet {
		return
	}
	for k, m := range g.meshes {
		w, l := meshWords()[k], g.loads[k]
		β := m.Helix * float64(m.Hand)
		c.Let(w["x_#"], m.At, "mm")
		c.Let(w["T_#"], m.Torque, "N·m")
		c.Let(w["d_#"], 2*m.Radius, "mm")
		c.Let(w["φ_#"], m.Angle, "°")
		c.Let(w["α_#"], m.Normal, "°")
		c.Let(w["β_#"], β, "°")
		ft := m.Torque / m.Radius
		c.Line(w["F_t#"], "tangential force of "+g.names[k], w[tangential], ft, "N", "WENTZELL")
		c.Line(w["F_r#"], "separating force", w[separating], math.Abs(ft)*math.Tan(m.Normal)/math.Cos(β), "N", "WENTZELL")
		c.Line(w["F_x#"], "force along the shaft, toward B", w[pushing], l.Force[0], "N", "WENTZELL")
		c.Line(w["F_y#"], "force along the line chosen", w[alongLine], l.Force[1], "N", "BN9")
		c.Line(w["F_z#"], "force a quarter turn on", w[acrossLine], l.Force[2], "N", "BN9")
	}
}

// over joins a formula of one mesh over all, unless no text is made.
func (g gearing) over(c *Call, form, before, after string) string {
	if c.quiet {
		return ""
	}
	var b strings.Builder
	b.Grow(len(before) + len(g.meshes)*(len(form)+3) + len(after))
	b.WriteString(before)
	for k := range g.meshes {
		if k > 0 {
			b.WriteString(" + ")
		}
		b.WriteString(meshWords()[k][form])
	}
	b.WriteString(after)
	return b.String()
}

// warnTorque tells of torque that the meshes do not cancel.
func (g gearing) warnTorque(c *Call, left float64) {
	most := 0.0
	for _, m := range g.meshes {
		most = max(most, math.Abs(m.Torque))
	}
	if math.Abs(left) > 0.02*most {
		c.Warn("the torques leave %s: something else, such as a coupling, has to carry that", c.Print(left, "N·m"))
	}
}

var shaftReactions = &Sum{
	Name: "shaft-reactions", Title: "What the gears of a shaft put on its bearings", Group: Strength,
	Purpose: "Several gears press on one shaft, each from its own side, and helical ones push it along. The radial load on either bearing and the thrust, driving and coasting.",
	Inputs:  meshInputs(),
	Outputs: []Output{
		gives("a-line", "A_y", unit.KindForce, "N", 0, "bearing A pushes along the line"),
		gives("a-across", "A_z", unit.KindForce, "N", 0, "bearing A pushes across it"),
		gives("b-line", "B_y", unit.KindForce, "N", 0, "bearing B pushes along the line"),
		gives("b-across", "B_z", unit.KindForce, "N", 0, "bearing B pushes across it"),
		gives("radial-a", "F_A", unit.KindForce, "N", 0, "radial load on bearing A"),
		gives("radial-b", "F_B", unit.KindForce, "N", 0, "radial load on bearing B"),
		gives("thrust", "K_a", unit.KindForce, "N", 0, "thrust, positive toward B"),
		gives("moment", "M", unit.KindTorque, "N·m", 1, "greatest bending moment"),
		gives("coast-a", "F_Ac", unit.KindForce, "N", 0, "radial load on bearing A with all torques turned round"),
		gives("coast-b", "F_Bc", unit.KindForce, "N", 0, "radial load on bearing B with all torques turned round"),
		gives("coast-thrust", "K_ac", unit.KindForce, "N", 0, "thrust with all torques turned round"),
	},
	Assumptions: []string{"Two bearings carry the shaft at their load centres; those of taper bearings lie outside or inside their width by the distance in the sheet.",
		"Taper bearings add thrust of their own: put these loads into taper-pair. Weights and friction are left out."},
	Sources: []string{"BN9", "GRIEVE", "WENTZELL"},
	Example: map[string]string{"at": "input = 25, second = 90", "torques": "150, -150 N·m", "diameters": "92, 60 mm", "places": "0, 120°", "helix": "25, 25°", "span": "140 mm"},
	Do:      doShaftReactions,
}

func doShaftReactions(c *Call) error {
	reserve(c, 40)
	g, err := gearsOf(c)
	if err != nil {
		return err
	}
	r, err := shaft.React(0, g.span, g.loads)
	if err != nil {
		return c.Bad("span", err)
	}
	g.showForces(c)
	c.Show("b-line", g.over(c, sumByLine, "−(", ") / L"), r.B[1])
	c.Show("b-across", g.over(c, sumAcross, "−(", ") / L"), r.B[2])
	c.Show("a-line", g.over(c, "F_y#", "−(", ") − B_y"), r.A[1])
	c.Show("a-across", g.over(c, "F_z#", "−(", ") − B_z"), r.A[2])
	c.Show("radial-a", "√(A_y² + A_z²)", r.A.Radial())
	c.Show("radial-b", "√(B_y² + B_z²)", r.B.Radial())
	c.Show("thrust", g.over(c, "F_x#", "", ""), r.Axial)
	told(c, "moment", "the greatest on either side of each gear and bearing", mostMoment(g, r))
	for k := range g.meshes {
		if g.loads[k], err = g.meshes[k].Reversed().Load(); err != nil {
			return c.Bad("torques", err)
		}
	}
	q, err := shaft.React(0, g.span, g.loads)
	if err != nil {
		return c.Bad("span", err)
	}
	told(c, "coast-a", "the same with tangential forces and thrust turned round", q.A.Radial())
	told(c, "coast-b", "", q.B.Radial())
	told(c, "coast-thrust", "", q.Axial)
	g.warnTorque(c, r.Torque)
	return nil
}

// mostMoment is the greatest bending moment of a shaft, which stands at a load or a
// bearing.
func mostMoment(g gearing, r shaft.Reactions) float64 {
	most := 0.0
	look := func(x float64) {
		before, beyond := shaft.Inside(0, g.span, false, g.loads, r, x)
		most = max(most, before.Bending(), beyond.Bending())
	}
	for _, l := range g.loads {
		look(l.At)
	}
	look(0)
	look(g.span)
	return most
}

var shaftDeflection = &Sum{
	Name: "shaft-deflection", Title: "How far a shaft bends and leans at its gears", Group: Strength,
	Purpose: "A slim shaft lets its gears lean, so that they bear at one end of the tooth, and moves them away from their mates. How far, for a stepped shaft on two bearings.",
	Inputs: meshInputs(
		mm("start", "x_0", -2000, 5000, "where the shaft begins, from bearing A; negative is before it").or("0 mm"),
		mm("ends", "x_e", -2000, 5000, "where each step of the shaft ends, in order").many(),
		mm("outside", "D", 1, 1000, "outside diameter of each step, at the bottom of splines and threads").many(),
		mm("bores", "b", 0, 999, "bore of each step; one value serves all").many().or("0 mm"),
		ask("modulus", "E", unit.KindPressure, "GPa", 10, 1000, "modulus of elasticity; 207 for steel").or("207 GPa"),
		ask("give-a", "g_A", unit.KindLength, "µm", 0, 1000, "bearing A and its seat give by so much under 1 kN").or("0 µm"),
		ask("give-b", "g_B", unit.KindLength, "µm", 0, 1000, "bearing B and its seat give by so much under 1 kN").or("0 µm"),
	),
	Outputs: []Output{
		gives("bend", "f", unit.KindLength, "mm", 4, "moves by"),
		gives("away", "w", unit.KindLength, "mm", 4, "moves away from its mate by"),
		gives("lean", "θ", unit.KindAngle, "mrad", 3, "leans along its tooth force by"),
		gives("slope-a", "θ_A", unit.KindAngle, "mrad", 3, "slope in bearing A"),
		gives("slope-b", "θ_B", unit.KindAngle, "mrad", 3, "slope in bearing B"),
	},
	Assumptions: []string{"Gears, hubs and rings do not stiffen the shaft, bearings do not hold it straight, the case is rigid. The mate leans too: add both.",
		"Bending alone: a span of less than four diameters gives more, from shear."},
	Sources: []string{"BN8", Practice},
	Example: map[string]string{"at": "input = 25, second = 90", "torques": "150, -150 N·m", "diameters": "92, 60 mm", "places": "0, 120°", "helix": "25, 25°", "span": "140 mm",
		"start": "-10 mm", "ends": "15, 70, 110, 150 mm", "outside": "25, 34, 42, 25 mm"},
	Do: doShaftDeflection,
}

// beamOf reads the steps of a shaft.
func beamOf(c *Call, span float64) (shaft.Shaft, error) {
	ends, outside, bores := c.List("ends"), c.List("outside"), c.List("bores")
	if len(outside) != len(ends) {
		return shaft.Shaft{}, c.Badf("outside", "there are %d for %d steps; expected one for each", len(outside), len(ends))
	}
	if len(bores) != 1 && len(bores) != len(ends) {
		return shaft.Shaft{}, c.Badf("bores", "there are %d for %d steps; expected one for each, or one for all", len(bores), len(ends))
	}
	s := shaft.Shaft{Start: c.F("start"), Steps: make([]shaft.Step, len(ends)), Modulus: c.F("modulus"),
		A: shaft.Support{Give: c.F("give-a") / 1e3}, B: shaft.Support{At: span, Give: c.F("give-b") / 1e3}}
	for i, x := range ends {
		s.Steps[i] = shaft.Step{To: x, Outside: outside[i], Bore: bores[min(i, len(bores)-1)]}
	}
	return s, nil
}

func doShaftDeflection(c *Call) error {
	reserve(c, 40)
	g, err := gearsOf(c)
	if err != nil {
		return err
	}
	s, err := beamOf(c, g.span)
	if err != nil {
		return err
	}
	at := make([]float64, 0, mostMeshes+2)
	for _, m := range g.meshes {
		at = append(at, m.At)
	}
	bent, err := s.Bend(g.loads, append(at, 0, g.span), make([]shaft.Bent, 0, mostMeshes+2))
	if err != nil {
		return c.Bad("ends", err)
	}
	r, err := shaft.React(0, g.span, g.loads)
	if err != nil {
		return c.Bad("span", err)
	}
	n := len(g.meshes)
	for k, m := range g.meshes {
		b, f := bent[k], g.loads[k].Force
		size, _ := b.Most()
		apart, _ := b.Toward(m.Angle)
		_, lean := b.Toward(math.Atan2(f[2], f[1]))
		c.OutFor("bend", g.names[k], size)
		c.OutFor("away", g.names[k], -apart)
		c.OutFor("lean", g.names[k], lean)
		if c.quiet {
			continue
		}
		c.Note("", g.names[k], "tooth force "+c.Print(f.Radial(), "N")+" across the shaft; E · I · y″ = M, piece by piece",
			fmt.Sprintf("%.1f µm, %.3f mrad", size*1e6, lean*1e3))
		if math.Abs(lean) > gearSlope {
			c.Warn("%s leans by more than 0.5 mrad: it bears at one end of the tooth unless its teeth are crowned", g.names[k])
		}
	}
	_, slope := bent[n].Most()
	told(c, "slope-a", "", slope)
	_, slope2 := bent[n+1].Most()
	told(c, "slope-b", "", slope2)
	if max(slope, slope2) > bearingSlope {
		c.Warn("the shaft leans by more than 0.8 mrad in a bearing: roller bearings bear at their edges, see the maker's limit")
	}
	g.warnTorque(c, r.Torque)
	return nil
}

// Slopes that gears without crowning, and roller bearings, should not exceed. [BN8]
// table 7-2, read through its solution 7-8.
const (
	gearSlope    = 0.0005
	bearingSlope = 0.0008
)
