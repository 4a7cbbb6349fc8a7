package ratio_test

import (
	"fmt"
	"math"
	"testing"

	"endfloat/calc/ratio"
)

// [ASKGEAR]: 30 teeth drive 29, 20 drive 88, wheels of 0.315 m, 4000 rpm. Trap: who
// asks writes 4.2 for the ratio; it is 4.253, which is 4.3 to one place.
func ExampleTrain_Ratio() {
	t, _ := ratio.ParseTrain("30/29 x 20/88")
	fmt.Printf("%.3f, %.1f km/h\n", t.Ratio(), ratio.Speed(4000*math.Pi/30, t.Ratio(), 0.630)*3.6)
	// Output: 4.253, 111.7 km/h
}

// [TUTORBIN] problem 2.7: 130 mph on wheels of 12.6 in radius with 3 % slip and 2.5
// overall. Published are the inputs; 4469.2 rpm is worked by hand.
func TestTopSpeed(t *testing.T) {
	v := ratio.Speed(4469.2*rpm, 2.5, 2*12.6*25.4*mm) * (1 - .03)
	near(t, "mph", v/.44704, 130, 5e-3)
	near(t, "3000 rpm in km/h", ratio.Speed(3000*rpm, .9*3.9, 2*306.8*mm)*3.6, 98.855, 5e-4)
	near(t, "24 in and 3.5 in mph", ratio.Speed(3000*rpm, 3.5, 24*25.4*mm)/.44704, 61.200, 5e-4)
}

// Inputs of example 1 of ISO/TR 6336-30 from memory: 17 and 103 teeth, m_n 8, β
// 15.8°: a0 = 498.8475 of a distance of 500.
func TestCentreDistanceOfReport(t *testing.T) {
	near(t, "a0", float64(ratio.CentreDistance(17, 103, 8*mm, 15.8*deg)/mm), 498.8475, 5e-5)
}

// Identities: pairs multiply in any order, an idler changes the sense alone, teeth
// and turns give one ratio, and a train run backwards has the inverse one.
func TestTrains(t *testing.T) {
	near(t, "in any order", train(t, "21/31 x 17/40").Ratio(), train(t, "17/40 x 21/31").Ratio(), 1e-15)
	near(t, "backwards", train(t, "21/31 x 17/40").Ratio()*train(t, "40/17 x 31/21").Ratio(), 1, 1e-15)
	for _, idlers := range []string{"13/44", "13/(20)/44", "13/(20)/(17)/44"} {
		near(t, idlers, train(t, idlers).Ratio(), 44.0/13, 1e-15)
	}
	if train(t, "13/44").Reversed() == train(t, "13/(20)/44").Reversed() {
		t.Error("an idler does not turn the sense")
	}
	turns, err := ratio.FromTurns(44, 13, false)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "turns", turns, train(t, "13/44").Ratio(), 1e-15)
	near(t, "shift and back", ratio.UpShift(ratio.UpShift(1800, 3.5, 1.9), 1.9, 3.5), 1800, 1e-9)
}

// Limits and growth: straight teeth have the least distance, more teeth and more
// helix a longer one; more engine and more wheel go faster, more ratio slower.
func TestRatiosGrow(t *testing.T) {
	near(t, "straight", float64(ratio.CentreDistance(20, 40, 2*mm, 0)/mm), 60, 1e-12)
	for β := 0 * deg; β < 44*deg; β += 4 * deg {
		if !(ratio.CentreDistance(20, 40, 2*mm, β+4*deg) > ratio.CentreDistance(20, 40, 2*mm, β)) ||
			!(ratio.CentreDistance(20, 41, 2*mm, β) > ratio.CentreDistance(20, 40, 2*mm, β)) {
			t.Errorf("the distance does not grow at %g°", float64(β/deg))
		}
	}
	base := ratio.Speed(2000*rpm, 16, 0.51)
	if !(ratio.Speed(2001*rpm, 16, 0.51) > base && ratio.Speed(2000*rpm, 16, 0.52) > base && ratio.Speed(2000*rpm, 16.1, 0.51) < base) {
		t.Error("speed does not answer engine, wheel and ratio")
	}
}
