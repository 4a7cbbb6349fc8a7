package catalog

import (
	"fmt"
	"strings"

	"endfloat/calc/tooling"
	"endfloat/calc/unit"
)

func init() { register(pushRing) }

// pressing is the caution of every sum about presses and heat.
const pressing = "A press stores force: guard against flying splinters, wear eye protection, keep hands out, and stop if the force climbs without movement. " +
	"The maker's manual and local rules stand above this sum."

const mostTubes = 60

var pushRing = &Sum{
	Name: "push-ring", Title: "Which tube presses this bearing", Group: Fits, Picture: "push-ring",
	Purpose: "From the diameters of a bearing, its shaft and thread: what bore and outside diameter a tube must have to push the right ring and touch nothing else, and which of your tubes will do.",
	Inputs: []Input{
		choice("push", "which ring is tight, and so must be pushed", string(tooling.Inner), string(tooling.Outer), string(tooling.Both)),
		mm("bore", "d", 2, 500, "bore of the bearing"),
		mm("inner-shoulder", "d_1", 2, 500, "outside diameter of the inner ring's face"),
		mm("outer-shoulder", "D_1", 2, 700, "inside diameter of the outer ring's face"),
		mm("outside", "D", 2, 800, "outside diameter of the bearing"),
		mm("corner", "r", 0, 10, "chamfer or radius at the rings' corners").or("1 mm"),
		mm("through", "S", 0, 500, "thickest part of shaft or thread that goes inside the tube; 0 mm if none does"),
		mm("clear", "c", 0, 10, "room to keep round it, and round the tube in its case, on diameter").or("0.5 mm"),
		mm("contact", "b", 0.2, 50, "least width of face to push on").or("1.5 mm"),
		optionalText("tubes", "tubes at hand, bore/outside in mm with a name: a = 33/39, b = 25/35; bore 0 for a solid drift"),
		ask("force", "F", unit.KindForce, "kN", 0.01, 2000, "force of the press, to see the pressure under the tube").optional(),
	},
	Outputs: []Output{
		givesMM("bore-least", "d_t1", "bore of the tube, at least"),
		givesMM("bore-most", "d_t2", "bore of the tube, at most"),
		givesMM("outside-least", "D_t1", "outside of the tube, at least"),
		givesMM("outside-most", "D_t2", "outside of the tube, at most"),
		says("tubes", "tubes that serve, the widest face first"),
		gives("pressure", "p", unit.KindPressure, "MPa", 0, "pressure under the first of them"),
	},
	Assumptions: []string{"The tube is square and its end is faced; its bore and outside are concentric.",
		"Never push through balls or rollers. Support the case or shaft close to the seat."},
	Sources: []string{Practice},
	Example: map[string]string{"push": string(tooling.Inner), "bore": "30 mm", "inner-shoulder": "40 mm", "outer-shoulder": "53 mm", "outside": "62 mm",
		"through": "30 mm", "tubes": "a = 33/39, b = 31/36, c = 35/45, d = 25/35", "force": "15 kN"},
	Caution: pressing,
	Do:      doPushRing,
}

func doPushRing(c *Call) error {
	j := tooling.Job{
		Push: tooling.Ring(c.Choice("push")),
		Bearing: tooling.Bearing{Bore: c.Length("bore"), Inside: c.Length("inner-shoulder"), Outside: c.Length("outer-shoulder"),
			OD: c.Length("outside"), Corner: c.Length("corner")},
		Through: c.Length("through"), Clear: c.Length("clear"), Contact: c.Length("contact"),
	}
	w, err := j.Window()
	switch {
	case err != nil && w == (tooling.Window{}):
		return c.Bad("inner-shoulder", err)
	case err != nil:
		return c.Bad("through", err)
	}
	f := windowFormulas(j, w)
	for i, o := range []struct {
		key string
		at  unit.Length
	}{{"bore-least", w.BoreLeast}, {"bore-most", w.BoreMost}, {"outside-least", w.ODLeast}, {"outside-most", w.ODMost}} {
		c.Show(o.key, f[i], float64(o.at))
	}
	tubes, err := readTubes(c)
	if err != nil || len(tubes) == 0 {
		return err
	}
	best := Decide(c, func() []tooling.Tube { return serving(c, w, tubes) })
	if len(best) == 0 {
		c.Say("tubes", "none of them")
		return nil
	}
	var names []string
	for _, t := range best {
		names = append(names, t.Name)
	}
	c.Say("tubes", strings.Join(names, ", "))
	if c.Has("force") {
		c.Let("D_p", float64(min(best[0].OD, w.FaceOuter)), "mm")
		c.Let("d_p", float64(max(best[0].Bore, w.FaceInner)), "mm")
		p := w.Pressure(best[0], unit.Force(c.F("force")))
		c.Show("pressure", "F / (π / 4 · (D_p² − d_p²))", float64(p))
		if j.Push == tooling.Both {
			c.Warn("the pressure counts the gap between the rings as face; it is higher")
		}
	}
	return nil
}

// windowFormulas are those of tooling.Job.Window, in the symbols of the sum.
func windowFormulas(j tooling.Job, w tooling.Window) [4]string {
	through, inner, outer := "0 mm", "d_1 − 2 · b", "D − 2 · r − 2 · b"
	if j.Through > 0 {
		through = "S + c"
	}
	switch j.Push {
	case tooling.Inner:
		return [4]string{through, inner, "d + 2 · r + 2 · b", "d_1"}
	case tooling.Outer:
		if w.BoreLeast == j.Bearing.Outside {
			through = "D_1"
		}
		return [4]string{through, outer, "D_1 + 2 · b", "D − c"}
	}
	return [4]string{through, inner, "D_1 + 2 · b", "D − c"}
}

// readTubes takes "a = 33/39, b = 25/35" apart.
func readTubes(c *Call) ([]tooling.Tube, error) {
	if !c.Has("tubes") {
		return nil, nil
	}
	parts := fields(strings.FieldsFunc(c.Words("tubes"), func(r rune) bool { return r == ',' || r == ';' || r == '\n' }))
	if len(parts) > mostTubes {
		return nil, c.Badf("tubes", "%d tubes are too many; expected at most %d", len(parts), mostTubes)
	}
	var tubes []tooling.Tube
	for i, p := range parts {
		name, sizes, ok := strings.Cut(p, "=")
		if !ok {
			name, sizes = fmt.Sprint(i+1), p
		}
		t := tooling.Tube{Name: strings.TrimSpace(name)}
		in, out, ok := strings.Cut(sizes, "/")
		if !ok || t.Name == "" || len(t.Name) > 60 {
			return nil, c.Badf("tubes", "cannot read %.40q; expected a name and bore/outside, such as a = 33/39", p)
		}
		for _, s := range []struct {
			text string
			to   *unit.Length
		}{{in, &t.Bore}, {out, &t.OD}} {
			q, err := unit.Parse(s.text, unit.KindLength, anyUnit("mm"))
			if err != nil {
				return nil, c.Bad("tubes", err)
			}
			*s.to = unit.Length(q.SI)
		}
		if t.Bore < 0 || t.OD <= t.Bore || t.OD > 1 {
			return nil, c.Badf("tubes", "%.40q is no tube: its outside is larger than its bore and at most 1 m", p)
		}
		tubes = append(tubes, t)
	}
	return tubes, nil
}

// serving lists the tubes that serve, the one with the widest face first, and
// notes of each why or why not.
func serving(c *Call, w tooling.Window, tubes []tooling.Tube) []tooling.Tube {
	var good []tooling.Tube
	for _, t := range tubes {
		size := strings.TrimSuffix(c.Print(float64(t.Bore), "mm"), " mm") + "/" + c.Print(float64(t.OD), "mm")
		why := w.Fits(t)
		if why != "" {
			c.Note(t.Name, why, "", size)
			continue
		}
		c.Note(t.Name, "serves, on a face of "+c.Print(float64(w.Width(t)), "mm"), "", size)
		at := len(good)
		for at > 0 && w.Width(good[at-1]) < w.Width(t) {
			at--
		}
		good = append(good[:at], append([]tooling.Tube{t}, good[at:]...)...)
	}
	return good
}
