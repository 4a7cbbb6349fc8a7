package unit

import (
	"math/big"
	"strings"
	"unicode"
)

// entry is a Unit with its exact factor.
type entry struct {
	Unit
	exact *big.Rat
	n, d  int64   // exact as integers that a float64 holds, else 0
	below float64 // exact less Factor
}

// Definitions the other units are made of, all exact. [SP811], app. B.8 and
// footnotes; π, which no rational is, to 50 digits.
const (
	inch  = "0.0254"
	foot  = "0.3048"
	pound = "0.45359237"
	gn    = "9.80665"
	mile  = "1609.344"
	pi    = "3.14159265358979323846264338327950288419716939937511"
)

// defs lists the units of each kind, the preferred one first: symbol, exact
// factor, and the other ways people write it. A factor is a product of decimal
// numbers, those after "/" dividing. A "·" in a spelling may be typed as any
// separator or left out.
var defs = [len(kinds)][][3]string{
	Number: {{"", "1", ""}, {"%", "0.01", ""}},
	KindLength: {
		{"mm", "0.001", "millimetre millimeter"},
		{"µm", "1e-6", "um micron micrometre micrometer"},
		{"m", "1", "metre meter"},
		{"in", inch, `" inch inches`},
		{"thou", inch + " 0.001", ""},
		{"ft", foot, "' foot feet"},
		{"cm", "0.01", ""},
		{"km", "1000", ""},
		{"mi", mile, "mile miles"},
	},
	KindAngle: {
		{"°", pi + " / 180", "deg degree degrees"},
		{"rad", "1", ""},
		{"′", pi + " / 10800", "' arcmin"},
		{"″", pi + " / 648000", `" arcsec`},
		{"mrad", "0.001", ""},
		{"rev", "2 " + pi, "turn turns"},
	},
	KindForce: {
		{"N", "1", "newton"},
		{"kN", "1000", ""},
		{"lbf", pound + " " + gn, "lb lbs pound pounds"},
		{"kgf", gn, "kg kp"},
		{"daN", "10", ""},
		{"ozf", pound + " " + gn + " / 16", "oz"},
		{"gf", gn + " 0.001", "g"},
	},
	KindTorque: {
		{"N·m", "1", "m·N"},
		{"lbf·ft", pound + " " + gn + " " + foot, "ft·lbf lb·ft ft·lb lbs·ft ft·lbs"},
		{"lbf·in", pound + " " + gn + " " + inch, "in·lbf lb·in in·lb lbs·in in·lbs"},
		{"kgf·m", gn, "m·kgf kg·m m·kg kp·m m·kp"},
		{"kgf·cm", gn + " 0.01", "cm·kgf kg·cm cm·kg kp·cm cm·kp"},
		{"N·cm", "0.01", ""},
		{"N·mm", "0.001", ""},
		{"daN·m", "10", ""},
		{"ozf·in", pound + " " + gn + " " + inch + " / 16", "in·ozf oz·in in·oz"},
	},
	KindMass: {
		{"kg", "1", "kilogram"},
		{"g", "0.001", "gram grams"},
		{"lb", pound, "lbs pound pounds lbm"},
		{"oz", pound + " / 16", ""},
		{"mg", "1e-6", ""},
		{"t", "1000", "tonne"},
		{"slug", pound + " " + gn + " / " + foot, ""},
	},
	KindTemperature: {
		{"°C", "1", "C deg·C"},
		{"°F", "5 / 9", "F deg·F"},
	},
	KindTempRise: {
		{"K", "1", "°C C deg·C"},
		{"°F", "5 / 9", "F deg·F"},
	},
	KindPressure: {
		{"MPa", "1e6", "N/mm²"},
		{"bar", "1e5", ""},
		{"psi", pound + " " + gn + " / " + inch + " " + inch, "lbf/in² lb/in²"},
		{"kPa", "1000", ""},
		{"Pa", "1", "N/m²"},
		{"GPa", "1e9", ""},
		{"kgf/cm²", gn + " 1e4", "kg/cm² kp/cm²"},
		{"ksi", "1000 " + pound + " " + gn + " / " + inch + " " + inch, ""},
		{"mbar", "100", ""},
		{"atm", "101325", ""},
	},
	KindSpeed: {
		{"m/s", "1", ""},
		{"km/h", "1 / 3.6", "kmh kph"},
		{"mph", mile + " / 3600", "mi/h"},
		{"mm/s", "0.001", ""},
		{"m/min", "1 / 60", ""},
		{"ft/s", foot, "fps"},
		{"ft/min", foot + " / 60", "fpm"},
	},
	KindRotation: {
		{"rpm", "2 " + pi + " / 60", "1/min /min min⁻¹ r/min rev/min"},
		{"rad/s", "1", ""},
		{"rev/s", "2 " + pi, "r/s"},
	},
	KindPower: {
		{"kW", "1000", ""},
		{"W", "1", "watt"},
		{"hp", "550 " + pound + " " + gn + " " + foot, "bhp"},
		{"PS", "75 " + gn, ""},
	},
	KindVolume: {
		{"L", "0.001", "l litre litres liter liters dm³"},
		{"mL", "1e-6", "ml"},
		{"cm³", "1e-6", "cc ccm"},
		{"m³", "1", ""},
		{"US qt", "231 " + inch + " " + inch + " " + inch + " / 4", "qt·US"},
		{"US pt", "231 " + inch + " " + inch + " " + inch + " / 8", "pt·US"},
		{"US gal", "231 " + inch + " " + inch + " " + inch, "gal·US"},
		{"US fl oz", "231 " + inch + " " + inch + " " + inch + " / 128", "fl·oz·US"},
		{"UK pt", "4.54609e-3 / 8", "pt·UK imp·pt"},
		{"UK qt", "4.54609e-3 / 4", "qt·UK imp·qt"},
		{"UK gal", "4.54609e-3", "gal·UK imp·gal"},
		{"mm³", "1e-9", ""},
		{"in³", inch + " " + inch + " " + inch, "cu·in"},
	},
	KindEnergy: {
		{"J", "1", "joule"},
		{"kJ", "1000", ""},
		{"kW·h", "3.6e6", ""},
	},
	KindTime: {
		{"s", "1", "sec second seconds"},
		{"min", "60", "minute minutes"},
		{"h", "3600", "hr hour hours"},
		{"d", "86400", "day days"},
		{"ms", "0.001", ""},
	},
	KindExpansion: {
		{"1/K", "1", "/K K⁻¹ 1/°C /°C"},
		{"µm/(m·K)", "1e-6", "um/(m·K) um/m/K um/m·K ppm/K"},
		{"1/°F", "9 / 5", "/°F"},
	},
	KindArea: {
		{"mm²", "1e-6", ""},
		{"cm²", "1e-4", ""},
		{"m²", "1", ""},
		{"in²", inch + " " + inch, "sq·in"},
		{"ft²", foot + " " + foot, "sq·ft"},
	},
	KindInertia: {
		{"kg·m²", "1", ""},
		{"kg·cm²", "1e-4", ""},
		{"kg·mm²", "1e-6", ""},
		{"lb·in²", pound + " " + inch + " " + inch, "lbm·in²"},
		{"lb·ft²", pound + " " + foot + " " + foot, "lbm·ft²"},
		{"slug·ft²", pound + " " + gn + " " + foot, ""},
	},
	KindViscosity: {
		{"cSt", "1e-6", "mm²/s"},
		{"m²/s", "1", ""},
		{"St", "1e-4", "cm²/s"},
	},
	KindDensity: {
		{"kg/m³", "1", ""},
		{"g/cm³", "1000", "kg/L kg/dm³ g/mL g/cc"},
		{"lb/ft³", pound + " / " + foot + " " + foot + " " + foot, ""},
		{"lb/in³", pound + " / " + inch + " " + inch + " " + inch, ""},
	},
	KindAcceleration: {
		{"m/s²", "1", ""},
		{"g", gn, ""},
		{"ft/s²", foot, ""},
	},
}

// ambiguous units are refused with the reason and the mend.
var ambiguous = map[string]string{
	"gal":   "gal is read two ways; write US gal or UK gal",
	"qt":    "qt is read two ways; write US qt or UK qt",
	"pt":    "pt is read two ways; write US pt or UK pt",
	"fl·oz": "fl oz is read two ways; write US fl oz, or use mL",
	"mil":   "mil is read two ways; write thou or mm",
	"ton":   "ton is read three ways; write kg or lb",
}

var (
	table   [len(kinds)][]entry          // the units in order
	byKey   [len(kinds)]map[string]int   // key → place in table
	byLower [len(kinds)]map[string][]int // lower-case key → places
)

func init() {
	for k := range defs {
		byKey[k], byLower[k] = map[string]int{}, map[string][]int{}
		for i, d := range defs[k] {
			e := entry{Unit: Unit{Symbol: d[0], Kind: Kind(k)}, exact: product(d[1])}
			e.n, e.d = small(e.exact)
			e.Factor, _ = e.exact.Float64()
			e.below, _ = new(big.Rat).Sub(e.exact, new(big.Rat).SetFloat64(e.Factor)).Float64()
			if Kind(k) == KindTemperature && e.Symbol == "°F" {
				e.Offset = 32
			}
			table[k] = append(table[k], e)
			for _, spelling := range append(strings.Fields(d[2]), d[0]) {
				s := key(spelling)
				register(k, i, s)
				register(k, i, strings.ReplaceAll(s, "·", ""))
			}
		}
	}
}

func register(k, i int, s string) {
	if _, taken := byKey[k][s]; taken {
		return
	}
	byKey[k][s] = i
	low := strings.ToLower(s)
	for _, j := range byLower[k][low] {
		if i == j {
			return
		}
	}
	byLower[k][low] = append(byLower[k][low], i)
}

// product returns the exact value of "a b / c d", that is ab/(cd).
func product(s string) *big.Rat {
	p, divide := big.NewRat(1, 1), false
	for _, f := range strings.Fields(s) {
		if f == "/" {
			divide = true
			continue
		}
		r, _ := new(big.Rat).SetString(f)
		if divide {
			r.Inv(r)
		}
		p.Mul(p, r)
	}
	return p
}

// like maps the characters keyboards and books offer to the ones keys use.
var like = strings.NewReplacer(
	"μ", "µ", "º", "°", "˚", "°",
	"″", `"`, "”", `"`, "“", `"`, "''", `"`, "′", "'", "’", "'", "‘", "'",
	"²", "2", "³", "3", "¹", "1", "^", "", "⁻", "·", "−", "·", "-", "·",
	"⋅", "·", "∙", "·", "•", "·", "*", "·", "×", "·", ".", "·",
)

// key folds the spellings of a unit that differ only in how a keyboard writes
// them: separators become one "·", none beside "/" or after "°".
func key(s string) string {
	s = like.Replace(s)
	s = strings.Join(strings.FieldsFunc(s, func(r rune) bool { return r == '·' || unicode.IsSpace(r) }), "·")
	s = strings.ReplaceAll(strings.ReplaceAll(s, "·/", "/"), "/·", "/")
	return strings.ReplaceAll(s, "°·", "°")
}

// lookup finds a unit by exact spelling or, where only one unit can be meant,
// whatever the case. "Mm" is never read as mm: case tells mega from milli,
// unless the whole text shouts.
func lookup(symbol string, k Kind) *entry {
	if int(k) >= len(table) {
		return nil
	}
	if i, ok := byKey[k][symbol]; ok {
		return &table[k][i]
	}
	s := key(symbol)
	if i, ok := byKey[k][s]; ok {
		return &table[k][i]
	}
	is := byLower[k][strings.ToLower(s)]
	if len(is) != 1 {
		return nil
	}
	e := &table[k][is[0]]
	if strings.HasPrefix(s, "M") && strings.HasPrefix(e.Symbol, "m") && s != strings.ToUpper(s) {
		return nil
	}
	return e
}
