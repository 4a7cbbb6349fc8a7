package catalog

import (
	"endfloat/calc/bevel"
	"endfloat/calc/stack"
	"endfloat/calc/unit"
)

func init() { register(sideShims) }

var sideShims = &Sum{
	Name: "side-shims", Title: "Side-bearing shims: total and split", Group: Bevel, Picture: "side-shims",
	Purpose: "The shims at the two side bearings in all, from the distance between their seats and the length over their cups, and the other side once one is known. A case read in a cold workshop with steel instruments is corrected to 20 °C.",
	Inputs: []Input{
		mm("seats", "X", 1, 2000, "distance between the two seats in the case").many(),
		mm("cups", "Y", 1, 2000, "length over the two cups, bearings turned and squeezed").many(),
		mm("preload", "p", -1, 1, "preload wanted, as interference; negative for a play"),
		ask("temperature", "T", unit.KindTemperature, "°C", -30, 150, "temperature of case and instruments; without it nothing is corrected").optional(),
		optionalChoice("case", "what the case is made of", metals...),
		steelInstrument(),
		mm("crown-side", "t_1", 0, 50, "shims on the crown wheel's side, if chosen already").optional(),
		ask("warm", "ΔT", unit.KindTempRise, "K", -100, 200, "how much warmer the gearbox runs than 20 °C, to see what the preload loses").optional(),
	},
	Outputs: []Output{
		givesMM("total", "Z", "shims in all"),
		givesMM("half", "t_half", "half of it, to begin with"),
		givesMM("other-side", "t_2", "shims on the other side"),
		givesMM("growth", "ΔL", "the case grows more than the differential by"),
	},
	Assumptions: []string{"Cups and differential are of steel and were read with steel instruments: their reading needs no correction.",
		"Cups are seated and the covers at their torque."},
	Sources: []string{Practice, "ISO1"},
	Example: map[string]string{"seats": "170.59, 170.60, 170.61 mm", "cups": "166.33, 166.34, 166.35 mm", "preload": "0.12 mm",
		"temperature": "9 °C", "case": "aluminium", "crown-side": "2.40 mm", "warm": "60 K"},
	Do: func(c *Call) error {
		x, xSpread := c.Mean("seats")
		warnSpread(c, "seats", xSpread)
		seats := "X"
		if c.Has("temperature") {
			t := unit.Temperature(c.F("temperature"))
			if err := needs(c, "to correct the case for its temperature", "case"); err != nil {
				return err
			}
			c.Let("L", x, "mm")
			x, seats = at20(c, x, t, c.Choice("case")), "L20"
		} else {
			c.Assume("Read at 20 °C: no temperature was given, so the case is not corrected.")
		}
		y, ySpread := c.Mean("cups")
		warnSpread(c, "cups", ySpread)
		z := float64(bevel.SideTotal(unit.Length(x), unit.Length(y), c.Length("preload")))
		c.Show("total", seats+" − Y + p", z)
		c.Show("half", "Z / 2", z/2)
		if z < 0 {
			c.Warn("the total comes out below nothing: a reading is invalid or a part is too wide")
		}
		if c.Has("crown-side") {
			other := z - c.F("crown-side")
			c.Show("other-side", "Z − t_1", other)
			if other < 0 {
				c.Warn("the crown wheel's side takes more than there is in all")
			}
		}
		return warmGrowth(c, x, seats)
	},
}

func warmGrowth(c *Call, x float64, seats string) error {
	if !c.Has("warm") {
		return nil
	}
	if err := needs(c, "to see what the case grows", "case"); err != nil {
		return err
	}
	α, rise := expansions()[c.Choice("case")], c.F("warm")
	diffSteel := expansions()["steel"] // of the differential and its bearings
	c.Let("α_c", α, "")
	c.Let("α_d", diffSteel, "")
	c.Let("ΔT", rise, "")
	g := float64(stack.Growth(unit.Length(x), α, diffSteel, unit.TempRise(rise)))
	c.Show("growth", seats+" · (α_c − α_d) · ΔT", g, Practice)
	if p := c.F("preload"); g > p {
		c.Warn("warm, the preload is gone and a play of about %s is left by the growth of the case alone; the book's figure may count on it", c.Print(g-p, "mm"))
	}
	return nil
}

// optionalChoice is a question that only some runs need answered.
func optionalChoice(key, help string, answers ...string) Input {
	return choice(key, help, answers...).optional()
}
