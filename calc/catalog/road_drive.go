package catalog

import (
	"fmt"

	"endfloat/calc/ratio"
	"endfloat/calc/unit"
)

func init() { register(tractiveEffort, shiftPoints, acceleration) }

const noSlip = "The wheels do not slip, no wind; full torque all the time, straight between the points of the curve."

// exampleCar is an invented vehicle.
func exampleCar(more ...string) map[string]string {
	in := map[string]string{"engine-torque": "1000 = 90, 2000 = 108, 3000 = 114, 4500 = 105, 5500 = 80, 6200 = 52 N·m",
		"gears": "1 = 3.80, 2 = 2.20, 3 = 1.44, 4 = 1.00", "final": "10/39", "wheel": "613.6 mm",
		"mass": "1200 kg", "rolling": "0.013", "drag-area": "0.665 m²"}
	for i := 0; i < len(more); i += 2 {
		in[more[i]] = more[i+1]
	}
	return in
}

var tractiveEffort = &Sum{
	Name: "tractive-effort", Title: "Tractive effort, hills and top speed in each gear", Group: Ratio,
	Purpose: "From the engine's torque and the gears: the greatest effort at the wheels in each gear, the steepest hill it climbs with that, and the top speed on this road.",
	Inputs:  drivingInputs(),
	Outputs: []Output{
		gives("effort", "F", unit.KindForce, "N", 0, "greatest effort at the wheels"),
		gives("at", "v_F", unit.KindSpeed, "km/h", 1, "speed at which it stands"),
		gives("hill", "G", unit.Number, "%", 1, "steepest grade it climbs there"),
		gives("fastest", "v_max", unit.KindSpeed, "km/h", 1, "speed at the engine's limit"),
		gives("top", "v_top", unit.KindSpeed, "km/h", 1, "top speed on this road"),
		gives("top-engine", "n_top", unit.KindRotation, "rpm", 0, "engine speed there"),
		says("top-gear", "gear of the top speed"),
	},
	Assumptions: []string{noSlip, "A hill steeper than 100 % is given as 100 %."},
	Sources:     []string{"MW", "EARTH"},
	Example:     exampleCar(),
	Caution:     driving,
	Do: func(c *Call) error {
		v, gears, err := vehicleOf(c)
		if err != nil {
			return err
		}
		for k, g := range gears {
			id := fmt.Sprint(k + 1)
			best := greatest(v, k)
			_, hi := v.Range(k)
			showEffort(c, v, best, id, g.name)
			hill, err := v.Steepest(k, best.Speed)
			if err != nil {
				return c.Bad("engine-torque", err)
			}
			c.OutFor("effort", g.name, best.Force)
			c.OutFor("at", g.name, best.Speed)
			c.OutFor("hill", g.name, hill)
			c.OutFor("fastest", g.name, hi)
		}
		return showTop(c, v, gears)
	},
}

// showEffort writes the greatest effort of a gear.
func showEffort(c *Call, v ratio.Vehicle, best ratio.At, id, name string) {
	if grip := float64(v.Grip); grip > 0 && best.Force >= grip*(1-1e-12) {
		c.Line("F"+id, "greatest effort, gear "+name+": the wheels slip before", "F_max", grip, "N")
		return
	}
	t := 0.0
	for _, p := range v.Engine.Curve {
		t = max(t, float64(p.Torque))
	}
	c.Let("T_max", t, "N·m")
	c.Line("F"+id, "greatest effort, gear "+name, "2 · T_max · i"+id+" · η / D", best.Force, "N", "EARTH")
}

var shiftPoints = &Sum{
	Name: "shift-points", Title: "Where to shift up", Group: Ratio,
	Purpose: "The speed above which the next gear pulls better than this one, or the engine's limit if that comes first, and what the engine falls to.",
	Inputs:  drivingInputs(spinning()...),
	Outputs: []Output{
		gives("speed", "v", unit.KindSpeed, "km/h", 1, "leave at"),
		gives("before", "n", unit.KindRotation, "rpm", 0, "engine speed before the shift"),
		gives("after", "n_after", unit.KindRotation, "rpm", 0, "engine speed after the shift"),
		says("reason", "why there"),
	},
	Assumptions: []string{noSlip, "The shift itself loses nothing; if it takes long, a little later is better."},
	Sources:     []string{Practice},
	Example:     exampleCar("engine-inertia", "0.15 kg·m²", "wheel-inertia", "2.4 kg·m²"),
	Caution:     driving,
	Do: func(c *Call) error {
		v, gears, err := vehicleOf(c)
		if err != nil {
			return err
		}
		if len(gears) < 2 {
			return c.Badf("gears", "there is only one gear, so nothing to shift to")
		}
		points, err := v.ShiftPoints()
		if err != nil {
			return c.Bad("gears", err)
		}
		words := ""
		for _, p := range points {
			g, id := gears[p.Gear], fmt.Sprint(p.Gear+1)
			why := "the next gear pulls better above it"
			if p.Limit {
				why = "the engine's limit comes first"
			}
			c.Note("v"+id, "leave gear "+g.name+": "+why, "", c.Print(p.Speed, "km/h"))
			c.Let("v"+id, p.Speed, "km/h")
			c.Line("n"+id, "engine speed before", "v"+id+" · i"+id+" / (π · D)", p.Before, "rpm")
			c.Line("m"+id, "engine speed after", fmt.Sprintf("v%s · i%d / (π · D)", id, p.Gear+2), p.After, "rpm")
			c.OutFor("speed", g.name, p.Speed)
			c.OutFor("before", g.name, p.Before)
			c.OutFor("after", g.name, p.After)
			if words != "" {
				words += "; "
			}
			words += g.name + ": " + why
		}
		c.Say("reason", words)
		return nil
	},
}

var acceleration = &Sum{
	Name: "acceleration", Title: "Acceleration through the gears", Group: Ratio,
	Purpose: "Time and distance from one speed to another at full torque, gear by gear, with what turns counted as mass and the time that each shift loses.",
	Inputs: drivingInputs(append(spinning(),
		ask("shift", "t_s", unit.KindTime, "s", 0, 30, "time without drive at each shift").or("0.5 s"),
		ask("from", "v_1", unit.KindSpeed, "km/h", 0, 400, "speed at the start").or("0 km/h"),
		ask("to", "v_2", unit.KindSpeed, "km/h", 0.1, 500, "speed at the end"))...),
	Outputs: []Output{
		gives("time", "t", unit.KindTime, "s", 2, "time"),
		gives("distance", "s", unit.KindLength, "m", 0, "distance"),
		gives("in-gear", "t_g", unit.KindTime, "s", 2, "of which in gear"),
		gives("shifts", "t_0", unit.KindTime, "s", 2, "of which in shifts"),
	},
	Assumptions: []string{noSlip, "Each gear is left where the next pulls better, or at the engine's limit. At the start the clutch slips with the torque of the first point of the curve.",
		"Nothing is stepped: between the points of the curve the time is an integral of 1/(a·v² + b·v + c) that has a closed form. The working gives its results, not its logarithms."},
	Sources: []string{"MW", Practice},
	Example: exampleCar("engine-inertia", "0.15 kg·m²", "wheel-inertia", "2.4 kg·m²", "to", "100 km/h"),
	Caution: driving,
	Do:      doAcceleration,
}

func doAcceleration(c *Call) error {
	v, gears, err := vehicleOf(c)
	if err != nil {
		return err
	}
	v.Shift = c.F("shift")
	from, to := c.F("from"), c.F("to")
	if !(to > from) {
		return c.Badf("to", "the end must be faster than the start")
	}
	run, err := v.Accelerate(from, to)
	if err != nil {
		return c.Bad("to", err)
	}
	times := make([]float64, len(gears))
	used := make([]bool, len(gears))
	lost, formula := 0.0, ""
	for _, l := range run.Legs {
		g, id := gears[l.Gear], fmt.Sprint(l.Gear+1)
		times[l.Gear], used[l.Gear] = l.Time, true
		lost += l.Shift
		c.Line("m"+id, "mass with what turns, gear "+g.name, "m + (J_e · i"+id+"² + J_w) / (D / 2)²", v.EffectiveMass(l.Gear), "kg", Practice)
		if c.quiet {
			continue
		}
		c.Note("t"+id, "time in gear "+g.name, fmt.Sprintf("%g to %g km/h", kmh(l.From), kmh(l.To)), c.Print(l.Time, "s"))
		c.Let("t"+id, l.Time, "s")
		if formula != "" {
			formula += " + t_s + "
		}
		formula += "t" + id
	}
	c.Show("time", formula, run.Time, Practice)
	c.Note("s", "distance, shifts counted", "", c.Print(run.Distance, "m"))
	c.Out("distance", run.Distance)
	// The gears that are used stay those of the first run, so that a stepped one
	// gives the same list.
	for k, use := range Decide(c, func() []bool { return used }) {
		if use {
			c.OutFor("in-gear", gears[k].name, times[k])
		}
	}
	c.Out("shifts", lost)
	return nil
}
