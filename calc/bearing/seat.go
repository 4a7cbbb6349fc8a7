package bearing

import "fmt"

// Seat is the fit that a load asks for.
type Seat struct {
	Class  string // tolerance class, such as "k5"
	Or     string // another the table allows, "" if none
	Load   string // "light", "normal" or "heavy"
	Source string
}

// Bounds between light, normal and heavy load, as P/C. [HCH].
const (
	LightLoad  = 0.06
	NormalLoad = 0.13
)

// seats of an inner ring that turns against the load: up to a bore in mm, for
// balls and for rollers. Up to 18 mm the table has a row for normal load alone.
type seatRow struct {
	to        float64
	class, or string
}

var (
	lightBalls    = []seatRow{{18, "js5", ""}, {100, "js6", "j6"}, {200, "k6", ""}}
	lightRollers  = []seatRow{{40, "js6", "j6"}, {140, "k6", ""}}
	normalBalls   = []seatRow{{18, "js5", ""}, {100, "k5", "k6"}, {140, "m5", "m6"}, {200, "m6", ""}}
	normalRollers = []seatRow{{40, "k5", "k6"}, {100, "m5", "m6"}, {140, "m6", ""}}
)

// ShaftSeat returns the usual tolerance class of a shaft under a bearing of a bore
// in metres, for the load over the rating C and whether the load turns against the
// inner ring, as it does where the shaft turns under a load that stays. [HCH]. The
// rows here end at P/C of 0.13: for heavy loads they give the seat of normal load,
// which is the least; the maker rules.
func ShaftSeat(f Form, bore, loadOverC float64, turns bool) (Seat, error) {
	mm := bore * 1e3
	if !(mm >= 3 && loadOverC >= 0 && loadOverC < 10) {
		return Seat{}, fmt.Errorf("bearing: a seat needs a bore of 3 mm or more and a load, got %g mm and P/C %g", mm, loadOverC)
	}
	s := Seat{Load: weight(loadOverC), Source: "HCH"}
	if !turns {
		s.Class, s.Or = "g6", "h6"
		return s, nil
	}
	rows := normalBalls
	switch {
	case f.Rolls() && s.Load == "light":
		rows = lightRollers
	case f.Rolls():
		rows = normalRollers
	case s.Load == "light":
		rows = lightBalls
	}
	for _, r := range rows {
		if mm <= r.to+1e-6 {
			s.Class, s.Or = r.class, r.or
			return s, nil
		}
	}
	return Seat{}, fmt.Errorf("bearing: seats of %s bearings are tabled to %g mm, got %g mm", f, rows[len(rows)-1].to, mm)
}

// HousingSeat returns the usual tolerance class of a bore in a case. The load turns
// against the outer ring where the case turns, or the wheel on its shaft. A light
// case wants one step tighter than iron, and a look at its grip when hot. [HCH] and
// [SKF] for H7, J7 and N7; M7 and P7 from memory. moves says that the outer ring is
// the one that must be free to slide as the shaft grows.
func HousingSeat(loadOverC float64, turns, light, moves bool) (Seat, error) {
	if !(loadOverC >= 0 && loadOverC < 10) {
		return Seat{}, fmt.Errorf("bearing: a seat needs a load, got P/C %g", loadOverC)
	}
	if turns && moves {
		return Seat{}, fmt.Errorf("bearing: an outer ring that the load turns against must not slide; let the other ring or the other bearing move")
	}
	s := Seat{Load: weight(loadOverC), Source: "SKF"}
	ladder := []string{"H7", "J7", "K7", "M7", "N7", "P7"}
	step := 1
	switch {
	case turns && s.Load == "heavy":
		step = 4
	case turns:
		step = 3
	case moves:
		step = 0
	}
	if light && !moves {
		step++
	}
	s.Class = ladder[step]
	return s, nil
}

func weight(loadOverC float64) string {
	switch {
	case loadOverC < LightLoad:
		return "light"
	case loadOverC <= NormalLoad:
		return "normal"
	}
	return "heavy"
}

// Running is how a bearing is used, for the static safety it should have.
type Running struct {
	Name         string
	Ball, Roller [3]float64 // s0 for little, normal and high demands on quiet running
}

// Runnings returns guide values of the static safety, a fresh copy each time.
// Table of [SKF] through bearing-centre.com, s330; for bearings that stand still it
// gives a range, whose upper end is taken for normal demands.
func Runnings() []Running {
	return []Running{
		{"smooth", [3]float64{0.5, 1, 2}, [3]float64{1, 1.5, 3}},
		{"normal", [3]float64{0.5, 1, 2}, [3]float64{1, 1.5, 3.5}},
		{"shocks", [3]float64{1.5, 1.5, 2}, [3]float64{2.5, 3, 4}},
		{"standing still", [3]float64{0.4, 1, 1}, [3]float64{0.8, 2, 2}},
	}
}
