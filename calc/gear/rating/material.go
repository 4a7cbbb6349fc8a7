package rating

import (
	_ "embed"
	"encoding/csv"
	"fmt"
	"math"
	"strconv"
	"strings"
	"sync"

	"endfloat/calc/unit"
)

// Heat is what was done to the teeth; it rules how they age.
type Heat string

// The heat treatments.
const (
	CaseHardened      Heat = "case"
	InductionHardened Heat = "induction"
	Nitrided          Heat = "nitrided"
	ThroughHardened   Heat = "through"
)

// Material is a gear steel in the condition it is used.
type Material struct {
	Name       string
	Heat       Heat
	SigmaHLim  unit.Pressure // allowable stress number of the flank
	SigmaFLim  unit.Pressure // nominal stress number of the root, pulsating
	E          unit.Pressure
	Nu         float64
	SlipLayer  unit.Length // ρ', for the notch sensitivity
	Provenance string
}

//go:embed materials.csv
var materials string

var known = sync.OnceValues(func() ([]Material, error) { return ReadMaterials(materials) })

// Materials returns the gear steels that are known here, with where each comes from.
func Materials() []Material {
	ms, _ := known() // a test reads the file
	return append([]Material(nil), ms...)
}

// MaterialNamed returns the material of that name; the error lists those there are.
func MaterialNamed(name string) (Material, error) {
	ms, _ := known()
	for _, m := range ms {
		if m.Name == name {
			return m, nil
		}
	}
	names := make([]string, len(ms))
	for i, m := range ms {
		names[i] = m.Name
	}
	return Material{}, fmt.Errorf("rating: no gear steel is called %.40q; there are %s", name, strings.Join(names, ", "))
}

// ReadMaterials reads a table of gear steels, comma-separated, in the units of its
// heading: name, heat, σ_Hlim and σ_Flim in MPa, E in GPa, Poisson's ratio, slip
// layer in mm and the source, which may not be empty. Lines that begin with # are
// comments. An error names the steel and the column.
func ReadMaterials(text string) ([]Material, error) {
	r := csv.NewReader(strings.NewReader(text))
	r.Comment, r.FieldsPerRecord = '#', 8
	rows, err := r.ReadAll()
	if err != nil {
		return nil, fmt.Errorf("rating: the table of gear steels: %w", err)
	}
	if len(rows) == 0 || rows[0][0] != "name" {
		return nil, fmt.Errorf("rating: the table of gear steels must begin with its heading: name, heat and so on to source")
	}
	var ms []Material
	seen := map[string]bool{}
	for _, row := range rows[1:] {
		m := Material{Name: strings.TrimSpace(row[0]), Heat: Heat(strings.TrimSpace(row[1])), Provenance: strings.TrimSpace(row[7])}
		if m.Name == "" || seen[m.Name] || m.Provenance == "" {
			return nil, fmt.Errorf("rating: gear steel %q needs a name of its own and a source", m.Name)
		}
		seen[m.Name] = true
		var x [5]float64
		for i := range x {
			if x[i], err = strconv.ParseFloat(strings.TrimSpace(row[i+2]), 64); err != nil {
				return nil, fmt.Errorf("rating: gear steel %q, column %q: expected a number, read %q", m.Name, rows[0][i+2], row[i+2])
			}
		}
		m.SigmaHLim, m.SigmaFLim = unit.Pressure(x[0])*unit.Megapascal, unit.Pressure(x[1])*unit.Megapascal
		m.E, m.Nu, m.SlipLayer = unit.Pressure(x[2])*unit.Gigapascal, x[3], unit.Length(x[4])*unit.Millimetre
		if err := m.check(); err != nil {
			return nil, err
		}
		ms = append(ms, m)
	}
	return ms, nil
}

func (m Material) check() error {
	h, f := float64(m.SigmaHLim/unit.Megapascal), float64(m.SigmaFLim/unit.Megapascal)
	switch m.Heat {
	case CaseHardened, InductionHardened, Nitrided, ThroughHardened:
	default:
		return fmt.Errorf("rating: gear steel %q: heat is %s, %s, %s or %s, not %q", m.Name, CaseHardened, InductionHardened, Nitrided, ThroughHardened, m.Heat)
	}
	if !(h >= 100 && h <= 3000 && f >= 20 && f <= 1500) {
		return fmt.Errorf("rating: gear steel %q: σ_Hlim is 100 to 3000 MPa and σ_Flim 20 to 1500, got %g and %g", m.Name, h, f)
	}
	if !(m.E > unit.Gigapascal && m.E < 1000*unit.Gigapascal && m.Nu >= 0 && m.Nu < 0.5 && m.SlipLayer >= 0 && m.SlipLayer < unit.Millimetre) {
		return fmt.Errorf("rating: gear steel %q: E %g GPa, Poisson's ratio %g or slip layer %g mm cannot be", m.Name, float64(m.E/unit.Gigapascal), m.Nu, float64(m.SlipLayer/unit.Millimetre))
	}
	return nil
}

// Life is a line of strength over load cycles, straight between its knots when both
// are drawn as logarithms. Beyond its ends it is level.
type Life struct {
	n      int
	cycles [4]float64
	factor [4]float64
	end    int // knot where the long life begins, at which influence factors hold in full
}

func life(end int, knots ...[2]float64) Life {
	l := Life{n: len(knots), end: end}
	for i, k := range knots {
		l.cycles[i], l.factor[i] = k[0], k[1]
	}
	return l
}

// The life factors of [ISO6336] parts 2 and 3: knots from memory, those of the flank
// also in a public transcription of part 2; [TR6336-30] prints two values between
// 5e7 and 1e10 that agree. Beyond the long life they fall to 0.85 at 1e10.
var (
	flankHard    = life(1, [2]float64{1e5, 1.6}, [2]float64{5e7, 1}, [2]float64{1e10, 0.85})
	flankPitting = life(2, [2]float64{6e5, 1.6}, [2]float64{1e7, 1.3}, [2]float64{1e9, 1}, [2]float64{1e10, 0.85})
	flankNitride = life(1, [2]float64{1e5, 1.3}, [2]float64{2e6, 1}, [2]float64{1e10, 0.85})
	rootHard     = life(1, [2]float64{1e3, 2.5}, [2]float64{3e6, 1}, [2]float64{1e10, 0.85})
	rootThrough  = life(1, [2]float64{1e4, 2.5}, [2]float64{3e6, 1}, [2]float64{1e10, 0.85})
	rootNitride  = life(1, [2]float64{1e3, 1.6}, [2]float64{3e6, 1}, [2]float64{1e10, 0.85})
)

// FlankLife returns the life factor Z_NT of a heat treatment; pitting says whether
// some pitting may show. It plays no part for nitrided teeth.
func FlankLife(h Heat, pitting bool) Life {
	switch {
	case h == Nitrided:
		return flankNitride
	case pitting:
		return flankPitting
	}
	return flankHard
}

// RootLife returns the life factor Y_NT of a heat treatment.
func RootLife(h Heat) Life {
	switch h {
	case Nitrided:
		return rootNitride
	case ThroughHardened:
		return rootThrough
	}
	return rootHard
}

// Factor returns the life factor at a number of load cycles.
func (l Life) Factor(cycles float64) float64 {
	if !(cycles > l.cycles[0]) {
		return l.factor[0]
	}
	for i := 1; i < l.n; i++ {
		if cycles < l.cycles[i] {
			share := math.Log(cycles/l.cycles[i-1]) / math.Log(l.cycles[i]/l.cycles[i-1])
			return l.factor[i-1] * math.Pow(l.factor[i]/l.factor[i-1], share)
		}
	}
	return l.factor[l.n-1]
}

// Cycles returns the load cycles at a life factor, the inverse of Factor: +Inf below
// the line, 0 above it, where not even a few cycles are borne.
func (l Life) Cycles(factor float64) float64 {
	if !(factor <= l.factor[0]) {
		return 0
	}
	for i := 1; i < l.n; i++ {
		if factor >= l.factor[i] {
			share := math.Log(factor/l.factor[i-1]) / math.Log(l.factor[i]/l.factor[i-1])
			return l.cycles[i-1] * math.Pow(l.cycles[i]/l.cycles[i-1], share)
		}
	}
	return math.Inf(1)
}

// Slope returns p of the finite life, where cycles fall with stress to the p: log of
// the cycles over log of the factor between the first knot and the long life.
func (l Life) Slope() float64 {
	return math.Log(l.cycles[l.end]/l.cycles[0]) / math.Log(l.factor[0]/l.factor[l.end])
}

// scaled multiplies the line by an influence that holds in full from the long life
// on and not at all for static load, and in between by its logarithm: [ISO6336]
// draws a straight line between the two strengths.
func (l Life) scaled(influence float64) Life {
	for i := 1; i < l.n; i++ {
		if i >= l.end {
			l.factor[i] *= influence
			continue
		}
		l.factor[i] *= math.Pow(influence, math.Log(l.cycles[i]/l.cycles[0])/math.Log(l.cycles[l.end]/l.cycles[0]))
	}
	return l
}
