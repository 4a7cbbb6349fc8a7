// Package oil names a gear oil by its viscosity and says whether splash can bring
// it where it is needed.
package oil

import (
	"fmt"
	"math"

	"endfloat/calc/unit"
)

// Edition is an edition of SAE J306. The grades were cut anew: oil that was a 90
// before 2005 may be a 110 since.
type Edition string

// The editions known here.
const (
	Edition2019   Edition = "2019"
	Edition2005   Edition = "2005"
	EditionBefore Edition = "before 2005"
)

// Editions lists them, the newest first.
var Editions = []Edition{Edition2019, Edition2005, EditionBefore}

// Grade is a row of the table. Viscosities are at 100 °C, in m²/s.
type Grade struct {
	Name  string
	Least float64 // included
	Below float64 // not included; +Inf for the last, and for W grades
	Cold  unit.Temperature
}

const cSt = 1e-6

// bands are a name and the viscosity in mm²/s where it begins; each ends where the
// next begins.
type bands []struct {
	name string
	from float64
}

// plain grades: [J306] 2019; 2005 has no 65, 70 and 75, and 80 begins at 7.0. For
// the years before only that 90 ran from 13.5 to 24 and 140 from 24 to 41 is known
// here; thinner oils are not named.
var plain = map[Edition]bands{
	Edition2019: {{"65", 3.8}, {"70", 5}, {"75", 6.5}, {"80", 8.5}, {"85", 11}, {"90", 13.5}, {"110", 18.5},
		{"140", 24}, {"190", 32.5}, {"250", 41}},
	Edition2005:   {{"80", 7}, {"85", 11}, {"90", 13.5}, {"110", 18.5}, {"140", 24}, {"190", 32.5}, {"250", 41}},
	EditionBefore: {{"90", 13.5}, {"140", 24}, {"250", 41}},
}

// cold are the W grades, coldest first: the warmest temperature at which 150 Pa·s
// may be reached, and the least viscosity at 100 °C by edition.
var cold = []struct {
	name            string
	at              unit.Temperature
	min2019, before float64
}{{"70W", -55, 3.8, 4.1}, {"75W", -40, 3.8, 4.1}, {"80W", -26, 8.5, 7}, {"85W", -12, 11, 11}}

// Plain returns the grade without W of an oil by its kinematic viscosity at
// 100 °C; the lower limit belongs to it, the upper to the next. [J306]. It returns
// an error if the oil is thinner than any grade of that edition that is known
// here.
func Plain(viscosity float64, e Edition) (Grade, error) {
	table, ok := plain[e]
	if !ok {
		return Grade{}, fmt.Errorf("oil: the editions are %q, got %q", Editions, e)
	}
	found := Grade{}
	for i, b := range table {
		// A millionth of grace, so that 18.5 typed is 18.5 in the table.
		if viscosity >= b.from*cSt*(1-1e-9) {
			found = Grade{Name: b.name, Least: b.from * cSt, Below: math.Inf(1)}
			if i+1 < len(table) {
				found.Below = table[i+1].from * cSt
			}
		}
	}
	if found.Name == "" {
		return Grade{}, fmt.Errorf("oil: %.4g cSt is thinner than the thinnest grade of the edition %s known here, %s from %.3g cSt",
			viscosity/cSt, e, table[0].name, table[0].from)
	}
	return found, nil
}

// Winter returns the coldest W grade of an oil that reaches 150 Pa·s at the
// temperature given and has this viscosity at 100 °C, or false if it meets none.
// [J306]; the limits before 2005 are those of 2005.
func Winter(reached unit.Temperature, viscosity float64, e Edition) (Grade, bool) {
	for _, w := range cold {
		least := w.before
		if e == Edition2019 {
			least = w.min2019
		}
		if reached <= w.at+1e-9 && viscosity >= least*cSt*(1-1e-9) {
			return Grade{Name: w.name, Least: least * cSt, Below: math.Inf(1), Cold: w.at}, true
		}
	}
	return Grade{}, false
}

// Churn is how a speed at the rim suits lubrication by splash.
type Churn string

// From slow to fast.
const (
	Slow    Churn = "too slow: splash carries little oil to where it is needed"
	Dip     Churn = "a plain dip serves"
	Guarded Churn = "oil is thrown off: it needs guards or baffles"
	Special Churn = "only with special care"
	TooFast Churn = "beyond splash: spray the oil on"
)

// Rim speeds in m/s where each ends: [TRIBHB] for the upper ones, through notes;
// the lower one is common practice, no source.
const (
	slowTo    = 3
	dipTo     = 12.5
	guardedTo = 25
	specialTo = 100
)

// Splash judges a rim speed in m/s.
func Splash(rim float64) Churn {
	switch {
	case rim < slowTo:
		return Slow
	case rim <= dipTo:
		return Dip
	case rim <= guardedTo:
		return Guarded
	case rim <= specialTo:
		return Special
	}
	return TooFast
}

// Immersion returns how deep a wheel should dip: about twice its tooth depth,
// [TRIBHB].
func Immersion(tooth unit.Length) unit.Length { return 2 * tooth }

// Fill returns the oil to have at hand for a dry gearbox, in cubic metres: what
// was drained and the share that stays on walls and in pockets. Common practice,
// no source.
func Fill(drained, stays float64) float64 { return drained * (1 + stays) }
