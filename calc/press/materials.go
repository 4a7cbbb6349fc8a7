package press

import (
	_ "embed"
	"encoding/csv"
	"fmt"
	"math"
	"strconv"
	"strings"

	"endfloat/calc/unit"
)

// Material is what the sums here need to know of a metal. 0 stands for a value
// that is not known; a sum that needs it says so.
type Material struct {
	Name             string
	E                unit.Pressure // Young's modulus
	Nu               float64       // Poisson's ratio
	Heating, Cooling float64       // linear expansion per kelvin, above and below room temperature
	Yield            unit.Pressure
	Density          float64 // kg/m³
	SpecificHeat     float64 // J/(kg·K)
	Conductivity     float64 // W/(m·K)
	Source           string
}

// String returns the name, or "a metal without a name".
func (m Material) String() string {
	if m.Name == "" {
		return "a metal without a name"
	}
	return m.Name
}

//go:embed materials.csv
var materials string

// Materials returns the metals that are known here, with typical values and where
// each comes from.
func Materials() []Material {
	ms, _ := ReadMaterials(materials) // a test reads the file
	return ms
}

// Find returns the material of that name, or else the first one in whose name it
// stands: "aluminium" is an aluminium alloy to one who knows no more of it.
func Find(list []Material, name string) (Material, bool) {
	name = strings.ToLower(strings.TrimSpace(name))
	for _, same := range []func(s, t string) bool{func(s, t string) bool { return s == t }, strings.Contains} {
		for _, m := range list {
			if name != "" && same(strings.ToLower(m.Name), name) {
				return m, true
			}
		}
	}
	return Material{}, false
}

// column is one number of a material: its limits in the unit of the table.
type column struct {
	name   string
	lo, hi float64
	must   bool
	set    func(m *Material, x float64)
}

var columns = []column{
	{"E GPa", 0.01, 2000, true, func(m *Material, x float64) { m.E = unit.Pressure(x) * unit.Gigapascal }},
	{"Poisson", 0, 0.5, true, func(m *Material, x float64) { m.Nu = x }},
	{"heating 1e-6/K", 0.01, 500, false, func(m *Material, x float64) { m.Heating = x / 1e6 }},
	{"cooling 1e-6/K", 0.01, 500, false, func(m *Material, x float64) { m.Cooling = x / 1e6 }},
	{"yield MPa", 0.01, 1e5, false, func(m *Material, x float64) { m.Yield = unit.Pressure(x) * unit.Megapascal }},
	{"density kg/m³", 1, 30000, false, func(m *Material, x float64) { m.Density = x }},
	{"specific heat J/(kg·K)", 1, 20000, false, func(m *Material, x float64) { m.SpecificHeat = x }},
	{"conductivity W/(m·K)", 0.01, 5000, false, func(m *Material, x float64) { m.Conductivity = x }},
}

// ReadMaterials reads a table of materials, comma-separated, in the units of its
// heading: name, E in GPa, Poisson's ratio, expansion on heating and on cooling in
// 1e-6/K, yield in MPa, density, specific heat and conductivity in SI, and the
// source, which may not be empty. Lines that begin with # are comments. An error
// names line and column.
func ReadMaterials(text string) ([]Material, error) {
	r := csv.NewReader(strings.NewReader(text))
	r.Comment, r.FieldsPerRecord = '#', len(columns)+2
	rows, err := r.ReadAll()
	if err != nil {
		return nil, fmt.Errorf("press: the table of materials: %w", err)
	}
	if len(rows) == 0 || rows[0][0] != "name" {
		return nil, fmt.Errorf("press: the table of materials must begin with a heading: name, E GPa, Poisson and so on to source")
	}
	var ms []Material
	seen := map[string]bool{}
	for _, row := range rows[1:] {
		m := Material{Name: strings.TrimSpace(row[0]), Source: strings.TrimSpace(row[len(row)-1])}
		switch {
		case m.Name == "" || seen[m.Name]:
			return nil, fmt.Errorf("press: material %q needs a name of its own", m.Name)
		case m.Source == "":
			return nil, fmt.Errorf("press: material %q needs a source", m.Name)
		}
		seen[m.Name] = true
		for i, c := range columns {
			if err := c.read(&m, row[i+1]); err != nil {
				return nil, err
			}
		}
		ms = append(ms, m)
	}
	return ms, nil
}

func (c column) read(m *Material, cell string) error {
	cell = strings.TrimSpace(cell)
	if cell == "" && !c.must {
		return nil
	}
	x, err := strconv.ParseFloat(cell, 64)
	if err != nil || math.IsNaN(x) || x < c.lo || x > c.hi {
		return fmt.Errorf("press: material %q, column %q: expected a number from %g to %g, read %q", m.Name, c.name, c.lo, c.hi, cell)
	}
	c.set(m, x)
	return nil
}
