package catalog

import (
	"math"

	"endfloat/calc/gear"
	"endfloat/calc/unit"
)

func init() {
	register(gearGeometry, gearMesh, gearBacklash)
	checked[gearGeometry.Name] = "Published: base circle, helix and the shift a span shows of [TR6336-30] example 1. Identity: the span of a gear gives its shift back."
	checked[gearMesh.Name] = "Published: pairs of [GEARGUIDE], [GEARSHEET] and [TR6336-30]; textbook contact ratios. Identity: centres and sum of shifts give each other back."
	checked[gearBacklash.Name] = "Published: both senses of [GEARSHEET]. Identities: teeth of the right sum have none; thinning opens the base pitch by its own amount."
}

// rackInputs describe the teeth that both gears of a pair have.
func rackInputs() []Input {
	return []Input{
		ask("module", "m", unit.KindLength, "mm", 0.3, 30, "normal module, 25.4 mm over the diametral pitch"),
		angle("pressure-angle", "α", 12, 30, "normal pressure angle").or("20°"),
		angle("helix", "β", -50, 50, "helix angle, 0° for straight teeth").or("0°"),
		ask("addendum", "h_a", unit.Number, "", 0.5, 1.5, "addendum of the rack over the module; left out, 1").optional(),
		ask("dedendum", "h_f", unit.Number, "", 0.8, 2, "dedendum of the rack over the module, 1.4 where teeth are ground after hardening; left out, 1.25").optional(),
		ask("root-radius", "ρ_f", unit.Number, "", 0, 0.6, "root radius of the rack over the module; left out, 0.38").optional(),
	}
}

// pairInputs describe two gears in mesh; first is the smaller.
func pairInputs() []Input {
	return append([]Input{
		whole("teeth-1", "z1", 5, 300, "teeth of the smaller gear"),
		whole("teeth-2", "z2", 5, 999, "teeth of the larger gear"),
	}, append(rackInputs(),
		ask("shift-1", "x1", unit.Number, "", -1, 2, "profile shift of the smaller gear over the module; left out, none").optional(),
		ask("shift-2", "x2", unit.Number, "", -1.5, 2, "profile shift of the larger gear; left out, none").optional(),
		mm("centres", "a", 2, 3000, "distance between the shafts; left out, that at which the shifts leave no backlash").optional(),
		mm("tip-1", "d_a1", 2, 4000, "tip diameter of the smaller gear as measured; left out, that of the rack").optional(),
		mm("tip-2", "d_a2", 2, 4000, "tip diameter of the larger gear as measured").optional())...)
}

// rackOf reads the rack; what is left out is that of rack A.
func rackOf(c *Call) gear.Rack {
	r := gear.RackA
	r.Pressure = unit.Angle(c.F("pressure-angle"))
	left := false
	for _, k := range []struct {
		key, symbol string
		x           *float64
	}{{"addendum", "h_a", &r.Addendum}, {"dedendum", "h_f", &r.Dedendum}, {"root-radius", "ρ_f", &r.Fillet}} {
		if c.Has(k.key) {
			*k.x = c.F(k.key)
		} else {
			c.Let(k.symbol, *k.x, "")
			left = true
		}
	}
	if left {
		c.Assume("Of the teeth's rack, what was not given is that of ISO 53, rack A: addendum 1, dedendum 1.25 and root radius 0.38 modules.")
	}
	return r
}

func pairOf(c *Call) gear.Pair {
	for i, key := range [2]string{"shift-1", "shift-2"} {
		if !c.Has(key) {
			c.Let([2]string{"x1", "x2"}[i], 0, "")
		}
	}
	return gear.Pair{
		Gears: [2]gear.Gear{{Teeth: c.Int("teeth-1"), Shift: c.F("shift-1"), Tip: c.Length("tip-1")},
			{Teeth: c.Int("teeth-2"), Shift: c.F("shift-2"), Tip: c.Length("tip-2")}},
		Module: c.Length("module"), Helix: unit.Angle(c.F("helix")), Rack: rackOf(c), Centres: c.Length("centres"),
	}
}

// lineTransverse writes the transverse module and angles.
func lineTransverse(c *Call, module unit.Length, α, β unit.Angle) (αt unit.Angle) {
	αt, βb := gear.Transverse(α, β)
	c.Line("m_t", "transverse module", "m / cos β", float64(module)/math.Cos(float64(β)), "mm")
	c.Line("α_t", "transverse pressure angle", "atan(tan α / cos β)", float64(αt), "°")
	c.Line("β_b", "base helix angle", "atan(tan abs(β) · cos α_t)", float64(βb), "°")
	c.Line("inv_t", "its involute", "tan α_t − α_t", gear.Inv(αt), "")
	return αt
}

var gearGeometry = &Sum{
	Name: "gear-geometry", Title: "Diameters and teeth of one gear", Group: Ratio,
	Purpose: "From teeth, module and helix angle: the diameters of a cylindrical gear, its tooth at the reference circle, and the span over a few teeth. From a span that was measured, the profile shift to which an unknown gear was cut.",
	Inputs: append(append([]Input{whole("teeth", "z", 5, 999, "teeth of the gear")}, rackInputs()...),
		ask("shift", "x", unit.Number, "", -1.5, 2, "profile shift over the module").or("0"),
		mm("span", "W", 1, 2000, "base tangent length, read with a plate micrometer over the teeth of span-teeth").optional(),
		whole("span-teeth", "k", 1, 200, "teeth that the span goes over; left out, the number that suits").optional()),
	Outputs: []Output{
		gives("reference", "d", unit.KindLength, "mm", 3, "reference diameter"),
		gives("base", "d_b", unit.KindLength, "mm", 3, "base diameter"),
		gives("tip", "d_a", unit.KindLength, "mm", 3, "tip diameter"),
		gives("root", "d_f", unit.KindLength, "mm", 3, "root diameter"),
		gives("thickness", "s_t", unit.KindLength, "mm", 3, "tooth at the reference circle, in the plane of rotation"),
		gives("tip-width", "s_a", unit.KindLength, "mm", 2, "tooth at its tip"),
		gives("undercut", "x_min", unit.Number, "", 3, "profile shift below which the tooth is undercut"),
		counts("span-over", "k", "teeth to measure over"),
		gives("span", "W_k", unit.KindLength, "mm", 3, "span over them without backlash"),
		gives("shift-read", "x_E", unit.Number, "", 3, "profile shift that the span shows"),
	},
	Assumptions: []string{"Involute teeth cut by a rack, without chamfer, protuberance or allowance; tips are not shortened.",
		"Teeth thinned for backlash show a smaller shift than the drawing has."},
	Sources: []string{"ISO21771", "ISO53", "TR6336-30"},
	Example: map[string]string{"teeth": "38", "module": "2.25 mm", "helix": "22.80°", "shift": "0.10", "span": "31.50 mm", "span-teeth": "5"},
	Do:      doGearGeometry,
}

func doGearGeometry(c *Call) error {
	z := c.Int("teeth")
	p := gear.Pair{Module: c.Length("module"), Helix: unit.Angle(c.F("helix")), Rack: rackOf(c)}
	p.Gears = [2]gear.Gear{{Teeth: z, Shift: c.F("shift")}, {Teeth: z, Shift: c.F("shift")}}
	d, err := p.Alone(0)
	if err != nil {
		return c.Bad("module", err)
	}
	αt := lineTransverse(c, p.Module, p.Rack.Pressure, p.Helix)
	c.Show("reference", "m_t · z", float64(d.Reference))
	c.Show("base", "d · cos α_t", float64(d.Base))
	c.Show("tip", "d + 2 · m · (h_a + x)", float64(d.Tip))
	c.Show("root", "d − 2 · m · (h_f − x)", float64(d.Root))
	s := p.Thickness(0, 0)
	c.Show("thickness", "m · (π / 2 + 2 · x · tan α) / cos β", float64(s))
	at, err := gear.ThicknessAt(d.Tip, d, s)
	if err != nil {
		return c.Bad("shift", err)
	}
	c.Line("α_a", "pressure angle at the tip", "acos(d_b / d_a)", math.Acos(float64(d.Base/d.Tip)), "°")
	c.Show("tip-width", "d_a · (s_t / d + inv_t − (tan α_a − α_a))", float64(at))
	limit := p.UndercutShift(0)
	c.Show("undercut", "h_f − ρ_f · (1 − sin α) − z · (sin α_t)² / (2 · cos β)", limit)
	switch x := p.Gears[0].Shift; {
	case x < limit:
		c.Warn("shift: the rack cuts into the flank above the root, by a shift of %s too little", c.Print(limit-x, ""))
	case at < 0.2*p.Module:
		c.Warn("shift: the tooth is nearly pointed, %s wide at its tip; hardened through there it chips", c.Print(float64(at), "mm"))
	}
	return showSpan(c, p, αt)
}

// showSpan gives the span over some teeth, and the shift that a measured one shows.
func showSpan(c *Call, p gear.Pair, αt unit.Angle) error {
	k := c.Int("span-teeth")
	if !c.Has("span-teeth") {
		if c.Has("span") {
			return needs(c, "to read the shift from the span", "span-teeth")
		}
		// The measuring faces touch half-way up the flank.
		k = Decide(c, func() int {
			β := math.Cos(float64(p.Helix))
			n := float64(p.Gears[0].Teeth) / (β * β * β) * float64(p.Rack.Pressure) / math.Pi
			return min(p.Gears[0].Teeth-1, max(1, int(math.Round(n+0.5+p.Gears[0].Shift))))
		})
		c.Let("k", float64(k), "")
	}
	w, err := p.Span(0, k, 0)
	if err != nil {
		return c.Bad("span-teeth", err)
	}
	c.Out("span-over", float64(k))
	c.Show("span", "m · cos α · ((k − 1 / 2) · π + z · inv_t + 2 · x · tan α)", float64(w))
	if !c.Has("span") {
		return nil
	}
	read := c.Length("span")
	x, err := p.ShiftFromSpan(0, k, read)
	if err != nil {
		return c.Bad("span", err)
	}
	c.Line("W_0", "span without shift", "m · cos α · ((k − 1 / 2) · π + z · inv_t)", float64(read)-2*x*math.Sin(float64(p.Rack.Pressure))*float64(p.Module), "mm")
	c.Show("shift-read", "(W − W_0) / (2 · m · sin α)", x)
	return nil
}

var gearMesh = &Sum{
	Name: "gear-mesh", Title: "Centre distance, profile shift and contact ratio of a pair", Group: Ratio,
	Purpose: "Whether two cylindrical gears mesh at a centre distance: the sum of profile shifts it asks for, how far theirs is off, and how many teeth carry at once.",
	Inputs:  append(pairInputs(), mm("face", "b", 0.5, 500, "width of face in mesh, for the overlap of helical teeth").optional()),
	Outputs: []Output{
		gives("centres", "a", unit.KindLength, "mm", 3, "centre distance"),
		gives("unshifted", "a_0", unit.KindLength, "mm", 3, "centre distance without profile shift"),
		gives("working", "α_w", unit.KindAngle, "°", 3, "working pressure angle, in the plane of rotation"),
		gives("sum", "Σx", unit.Number, "", 4, "sum of profile shifts that these centres ask for"),
		gives("off", "off", unit.Number, "", 4, "sum of both shifts, less that"),
		gives("tip-1", "d_a1", unit.KindLength, "mm", 3, "tip diameter of the smaller gear"),
		gives("tip-2", "d_a2", unit.KindLength, "mm", 3, "tip diameter of the larger gear"),
		gives("contact", "ε_α", unit.Number, "", 3, "transverse contact ratio"),
		gives("overlap", "ε_β", unit.Number, "", 3, "overlap"),
		gives("total", "ε", unit.Number, "", 3, "total contact ratio"),
		says("meshes", "the pair"),
	},
	Assumptions: []string{"Flanks are usable to the tip; undercut and chamfers shorten the contact.", "Tips are shortened where the shifts would else eat the clearance."},
	Sources:     []string{"ISO21771", "GEARGUIDE", "GEARSHEET"},
	Example: map[string]string{"teeth-1": "20", "teeth-2": "39", "module": "2.25 mm", "helix": "22.80°", "shift-1": "0.05", "shift-2": "-0.05",
		"centres": "72.05 mm", "face": "18 mm"},
	Do: doGearMesh,
}

// meshOf works the pair out and writes what all sums of a pair begin with.
func meshOf(c *Call, p gear.Pair) (gear.Mesh, error) {
	m, err := p.Mesh()
	if err != nil {
		key := "module"
		if c.Has("centres") {
			key = "centres"
		}
		return m, c.Bad(key, err)
	}
	lineTransverse(c, p.Module, p.Rack.Pressure, p.Helix)
	c.Line("a_0", "centre distance without profile shift", "m_t · (z1 + z2) / 2", float64(m.Reference), "mm")
	if p.Centres > 0 {
		c.Line("α_w", "working pressure angle", "acos(a_0 · cos α_t / a)", float64(m.Working), "°")
		c.Line("inv_w", "its involute", "tan α_w − α_w", gear.Inv(m.Working), "")
		c.Line("Σx", "sum of shifts that the centres ask for", "(z1 + z2) · (inv_w − inv_t) / (2 · tan α)", m.ShiftSum, "")
		return m, nil
	}
	c.Line("Σx", "sum of shifts", "x1 + x2", m.ShiftSum, "")
	c.Line("inv_w", "involute of the working pressure angle", "inv_t + 2 · tan α · Σx / (z1 + z2)", gear.Inv(m.Working), "")
	c.Let("α_w", float64(m.Working), "°")
	c.Note("α_w", "working pressure angle, whose involute that is", "", c.Print(float64(m.Working), "°"))
	c.Line("a", "centre distance", "a_0 · cos α_t / cos α_w", float64(m.Centres), "mm")
	return m, nil
}

// lineTips writes the tip diameters, measured or of the rack.
func lineTips(c *Call, p gear.Pair, m gear.Mesh) {
	short := ""
	if m.Shortening < 0 && (p.Gears[0].Tip == 0 || p.Gears[1].Tip == 0) {
		c.Line("κ", "tips are shortened by", "x1 + x2 − (a − a_0) / m", -m.Shortening, "")
		short = " − κ"
	}
	for i, s := range []string{"1", "2"} {
		d := m.Gears[i]
		if p.Gears[i].Tip == 0 {
			c.Line("d_a"+s, "tip diameter of gear "+s, "m_t · z"+s+" + 2 · m · (h_a + x"+s+short+")", float64(d.Tip), "mm")
		}
		c.Line("d_b"+s, "base diameter of gear "+s, "m_t · z"+s+" · cos α_t", float64(d.Base), "mm")
	}
}

func doGearMesh(c *Call) error {
	p := pairOf(c)
	b := c.Length("face")
	p.Gears[0].Face, p.Gears[1].Face = b, b
	m, err := meshOf(c, p)
	if err != nil {
		return err
	}
	c.Out("centres", float64(m.Centres))
	c.Out("unshifted", float64(m.Reference))
	c.Out("working", float64(m.Working))
	c.Out("sum", m.ShiftSum)
	off := p.Gears[0].Shift + p.Gears[1].Shift - m.ShiftSum
	c.Show("off", "x1 + x2 − Σx", off)
	lineTips(c, p, m)
	c.Out("tip-1", float64(m.Gears[0].Tip))
	c.Out("tip-2", float64(m.Gears[1].Tip))
	c.Show("contact", "(√(d_a1² − d_b1²) + √(d_a2² − d_b2²) − 2 · a · sin α_w) / (2 · π · m_t · cos α_t)", m.Contact)
	if b > 0 {
		c.Show("overlap", "b · abs(sin β) / (π · m)", m.Overlap)
	} else {
		c.Out("overlap", 0)
		c.Let("ε_β", 0, "")
	}
	c.Show("total", "ε_α + ε_β", m.Total())
	sayMeshes(c, p, m, off)
	return nil
}

func sayMeshes(c *Call, p gear.Pair, m gear.Mesh, off float64) {
	play := -off * 2 * math.Sin(float64(p.Rack.Pressure)) * float64(p.Module)
	switch {
	case off > 1e-6:
		c.Say("meshes", "jams: the teeth are too thick for these centres")
		c.Warn("centres: the shafts would have to stand further apart, or the shifts be smaller by %s in all", c.Print(off, ""))
	case play > 0.3*float64(p.Module):
		c.Say("meshes", "stands far apart: more than three tenths of a module of backlash")
	case off < -1e-6:
		c.Say("meshes", "meshes with backlash")
	default:
		c.Say("meshes", "meshes without backlash; thinned teeth give it")
	}
	switch {
	case m.Contact < 1:
		c.Warn("the contact breaks before the next tooth takes over, but for what the helix overlaps")
	case m.Total() < 1.2:
		c.Warn("a total contact ratio of %s is little; 1.2 and more is usual", c.Print(m.Total(), ""))
	}
	for i, s := range []string{"1", "2"} {
		if p.Gears[i].Shift < p.UndercutShift(i)-1e-9 {
			c.Warn("shift-%s: the gear is undercut; the contact is shorter than said", s)
		}
	}
}

var gearBacklash = &Sum{
	Name: "gear-backlash", Title: "Backlash of a pair from its teeth and centres", Group: Ratio,
	Purpose: "How much play two cylindrical gears have at a centre distance, in all the senses in which it is read, and how much it grows as the shafts move apart.",
	Inputs: append(pairInputs(),
		ask("thinning-1", "A_1", unit.KindLength, "µm", 0, 1000, "by how much the smaller gear's teeth were thinned, square to the tooth at the reference circle").or("0 µm"),
		ask("thinning-2", "A_2", unit.KindLength, "µm", 0, 1000, "the same of the larger gear").or("0 µm"),
		ask("apart", "Δa", unit.KindLength, "µm", -500, 500, "the shafts move apart by this, as a case warms or bearings wear").or("0 µm")),
	Outputs: []Output{
		gives("circumferential", "j_t", unit.KindLength, "mm", 3, "backlash along the pitch circle"),
		gives("normal", "j_n", unit.KindLength, "mm", 3, "backlash square to the flank"),
		gives("radial", "j_r", unit.KindLength, "mm", 3, "the shafts could close by"),
		gives("turn", "φ", unit.KindAngle, "′", 1, "the smaller gear turns with the larger held"),
		gives("growth", "k_t", unit.Number, "", 3, "backlash along the circle for a move apart of 1"),
		gives("apart", "j_Δ", unit.KindLength, "mm", 3, "backlash along the circle once the shafts have moved"),
	},
	Assumptions: []string{"True round gears on straight shafts; run-out takes and gives backlash in turn."},
	Sources:     []string{"ISO21771", "GEARSHEET"},
	Example: map[string]string{"teeth-1": "20", "teeth-2": "39", "module": "2.25 mm", "helix": "22.80°", "shift-1": "0.02", "shift-2": "-0.02",
		"centres": "72.05 mm", "thinning-1": "40 µm", "thinning-2": "50 µm", "apart": "30 µm"},
	Do: doGearBacklash,
}

func doGearBacklash(c *Call) error {
	p := pairOf(c)
	m, err := meshOf(c, p)
	if err != nil {
		return err
	}
	thin := [2]unit.Length{c.Length("thinning-1"), c.Length("thinning-2")}
	j, err := p.Backlash(thin)
	if err != nil {
		return c.Bad("thinning-1", err)
	}
	sum := float64(p.Gears[0].Teeth + p.Gears[1].Teeth)
	c.Line("p_w", "pitch on the pitch circle", "2 · π · a / (z1 + z2)", 2*math.Pi*float64(m.Centres)/sum, "mm")
	for i, s := range []string{"1", "2"} {
		t := p.Thickness(i, thin[i])
		c.Line("s_t"+s, "tooth of gear "+s+" at its reference circle", "(m · (π / 2 + 2 · x"+s+" · tan α) − A_"+s+") / cos β", float64(t), "mm")
		w, err := gear.ThicknessAt(m.Gears[i].Pitch, m.Gears[i], t)
		if err != nil {
			return c.Bad("centres", err)
		}
		c.Line("s_w"+s, "and at its pitch circle", "2 · a · z"+s+" / (z1 + z2) · (s_t"+s+" / (m_t · z"+s+") + inv_t − inv_w)", float64(w), "mm")
	}
	c.Show("circumferential", "p_w − s_w1 − s_w2", float64(j.Circumferential))
	c.Show("normal", "j_t · cos α_w · cos β_b", float64(j.Normal))
	c.Show("radial", "j_t / (2 · tan α_w)", float64(j.Radial))
	c.Out("turn", float64(j.Angular))
	kt, _ := m.Growth()
	c.Show("growth", "2 · tan α_w", kt)
	moved := float64(j.Circumferential) + kt*c.F("apart")
	c.Show("apart", "j_t + k_t · Δa", moved)
	switch {
	case j.Circumferential < 0:
		c.Warn("centres: the teeth jam by %s along the circle", c.Print(-float64(j.Circumferential), "mm"))
	case moved < 0:
		c.Warn("apart: the teeth jam once the shafts have moved")
	}
	return nil
}
