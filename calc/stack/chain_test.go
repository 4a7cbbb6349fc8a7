package stack_test

import (
	"math"
	"testing"

	"endfloat/calc/stack"
	"endfloat/calc/unit"
)

func links(scale unit.Length, pairs ...float64) []stack.Link {
	var list []stack.Link
	for i := 0; i < len(pairs); i += 2 {
		list = append(list, stack.Link{L: unit.Length(pairs[i]) * scale, Tol: unit.Length(pairs[i+1]) * scale})
	}
	return list
}

// [GODFREY]: shaft 100 ± 0.10, two bushes 5 ± 0.05, housing 88 ± 0.08, nominal
// 2.00. The worst case and the root sum of squares are worked out by hand.
func TestChainOfBushes(t *testing.T) {
	c := stack.Close(links(mm, 100, .10, -5, .05, -5, .05, -88, .08))
	near(t, "nominal", float64(c.Nominal/mm), 2.00, 1e-12)
	near(t, "worst", float64(c.Worst/mm), 0.28, 1e-12)
	near(t, "rss", float64(c.Statistical/mm), math.Sqrt(.0214), 1e-12)
}

// [CHASE], shaft, bearings and housing, in inches, from memory: nominal .0199 (the
// book rounds to .020), worst case .0245, root sum of squares .0111. Against
// limits of ± .010, 0.68 % are refused.
func TestChainOfShaftAndHousing(t *testing.T) {
	in := links(unit.Inch, -.0505, .0015, 8, .008, -.5093, .0025, .4, .002, -7.711, .006, .4, .002, -.5093, .0025)
	c := stack.Close(in)
	near(t, "nominal", float64(c.Nominal/unit.Inch), .0199, 1e-9)
	near(t, "worst", float64(c.Worst/unit.Inch), .0245, 1e-9)
	near(t, "rss", float64(c.Statistical/unit.Inch), .011079, 1e-6)
	sd := c.SD(stack.Bell)
	near(t, "rejects", c.Reject(sd, c.Nominal-.010*unit.Inch, c.Nominal+.010*unit.Inch), .00677, 1e-5)
	near(t, "evenly spread", float64(c.SD(stack.Even)/unit.Inch), .006397, 1e-6)
	for _, s := range []stack.Shape{stack.Bell, stack.Even} {
		o := stack.Draw(in, s, 200_000, 7)
		near(t, "drawn "+string(s), o.SD/float64(c.SD(s)), 1, .01)
		near(t, "centred "+string(s), o.Mean/float64(c.SD(s)), 0, .01)
	}
}

// Between the root sum of squares and the worst case lies every other answer; one
// link alone has both the same.
func TestChainLimits(t *testing.T) {
	one := stack.Close(links(mm, 3, .2))
	near(t, "one link", float64(one.Statistical), float64(one.Worst), 1e-15)
	four := stack.Close(links(mm, 1, .1, 2, .1, 3, .1, 4, .1))
	near(t, "n equal links", float64(four.Statistical/four.Worst), .5, 1e-12)
	if none := stack.Close(nil); none != (stack.Chain{}) {
		t.Errorf("no links give %+v", none)
	}
}

func TestAlign(t *testing.T) {
	same := stack.Align(20*mm, 12*mm, 20*mm, 12*mm)
	if same != (stack.Mesh{Shared: 12 * mm}) {
		t.Errorf("gears in line: %+v", same)
	}
	// Our own: gear 1 from 20 to 32, gear 2 from 20.5 to 34.5.
	m := stack.Align(20*mm, 12*mm, 20.5*mm, 14*mm)
	near(t, "offset", float64(m.Offset/mm), -1.5, 1e-12)
	near(t, "shared", float64(m.Shared/mm), 11.5, 1e-12)
	near(t, "near", float64(m.Over1/mm), .5, 1e-12)
	near(t, "far", float64(m.Over2/mm), -2.5, 1e-12)
	// What is shared and what stands over make up the gear; swapping turns signs.
	near(t, "width", float64((m.Shared+m.Over1)/mm), 12, 1e-12)
	back := stack.Align(20.5*mm, 14*mm, 20*mm, 12*mm)
	near(t, "swapped", float64(back.Offset), -float64(m.Offset), 1e-15)
	if miss := stack.Align(0, 10*mm, 12*mm, 10*mm); miss.Shared >= 0 {
		t.Errorf("gears that miss each other share %v", miss.Shared)
	}
}

func TestSlackAndConeWear(t *testing.T) {
	// Our own: 49.52 deep, 49.15 of plates.
	near(t, "slack", float64(stack.Slack(49.52*mm, []unit.Length{20 * mm, 29.15 * mm})/mm), 0.37, 1e-9)
	near(t, "wear", float64(stack.ConeWear(mm, 45*unit.Degree)/mm), 1, 1e-12)
	near(t, "no cone", float64(stack.ConeWear(mm, 0)), 0, 0)
}
