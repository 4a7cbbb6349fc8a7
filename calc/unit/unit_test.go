package unit_test

import (
	"fmt"
	"math"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"testing"

	"endfloat/calc/unit"
)

// find is Find for symbols a test knows to exist.
func find(t testing.TB, symbol string, k unit.Kind) unit.Unit {
	t.Helper()
	u, ok := unit.Find(symbol, k)
	if !ok {
		t.Fatalf("no unit %q of %s", symbol, k)
	}
	return u
}

// sp811 holds factors as [SP811] prints them in app. B.8: NIST Special
// Publication 811, 2008 edition, seven significant digits unless exact.
var sp811 = []struct {
	symbol  string
	kind    unit.Kind
	printed string
}{
	{"in", unit.KindLength, "2.54e-2"},
	{"ft", unit.KindLength, "3.048e-1"},
	{"mi", unit.KindLength, "1.609344e3"},
	{"thou", unit.KindLength, "2.54e-5"},
	{"°", unit.KindAngle, "1.745329e-2"},
	{"′", unit.KindAngle, "2.908882e-4"},
	{"″", unit.KindAngle, "4.848137e-6"},
	{"lbf", unit.KindForce, "4.448222"},
	{"kgf", unit.KindForce, "9.80665"},
	{"ozf", unit.KindForce, "2.780139e-1"},
	{"lbf·ft", unit.KindTorque, "1.355818"},
	{"lbf·in", unit.KindTorque, "1.129848e-1"},
	{"ozf·in", unit.KindTorque, "7.061552e-3"},
	{"kgf·m", unit.KindTorque, "9.80665"},
	{"lb", unit.KindMass, "4.535924e-1"},
	{"oz", unit.KindMass, "2.834952e-2"},
	{"slug", unit.KindMass, "1.459390e1"},
	{"°F", unit.KindTempRise, "5.555556e-1"},
	{"psi", unit.KindPressure, "6.894757e3"},
	{"ksi", unit.KindPressure, "6.894757e6"},
	{"bar", unit.KindPressure, "1e5"},
	{"kgf/cm²", unit.KindPressure, "9.80665e4"},
	{"atm", unit.KindPressure, "1.01325e5"},
	{"km/h", unit.KindSpeed, "2.777778e-1"},
	{"mph", unit.KindSpeed, "4.4704e-1"},
	{"ft/min", unit.KindSpeed, "5.08e-3"},
	{"rpm", unit.KindRotation, "1.047198e-1"},
	{"hp", unit.KindPower, "7.456999e2"},
	{"PS", unit.KindPower, "7.354988e2"},
	{"US gal", unit.KindVolume, "3.785412e-3"},
	{"US qt", unit.KindVolume, "9.463529e-4"},
	{"US pt", unit.KindVolume, "4.731765e-4"},
	{"US fl oz", unit.KindVolume, "2.957353e-5"},
	{"UK gal", unit.KindVolume, "4.54609e-3"},
	{"in³", unit.KindVolume, "1.638706e-5"},
	{"kW·h", unit.KindEnergy, "3.6e6"},
	{"in²", unit.KindArea, "6.4516e-4"},
	{"ft²", unit.KindArea, "9.290304e-2"},
	{"lb·ft²", unit.KindInertia, "4.214011e-2"},
	{"lb·in²", unit.KindInertia, "2.926397e-4"},
	{"cSt", unit.KindViscosity, "1e-6"},
	{"St", unit.KindViscosity, "1e-4"},
	{"lb/ft³", unit.KindDensity, "1.601846e1"},
	{"lb/in³", unit.KindDensity, "2.767990e4"},
	{"g", unit.KindAcceleration, "9.80665"},
	{"ft/s²", unit.KindAcceleration, "3.048e-1"},
}

func TestFactorsPrinted(t *testing.T) {
	for _, c := range sp811 {
		want, err := strconv.ParseFloat(c.printed, 64)
		if err != nil {
			t.Fatal(err)
		}
		// Half a unit in the seventh digit, as the booklet rounds ties either way.
		half := 0.5001e-6 * math.Pow(10, math.Floor(math.Log10(want)))
		if got := find(t, c.symbol, c.kind).Factor; !(math.Abs(got-want) <= half) {
			t.Errorf("%s (%s): factor %v, SP 811 prints %s", c.symbol, c.kind, got, c.printed)
		}
	}
}

// The full factors follow from in = 0.0254 m, lb = 0.45359237 kg and
// g = 9.80665 m/s² alone, [SP811] app. B.8; here multiplied out by hand.
func TestFactorsExact(t *testing.T) {
	for _, c := range []struct {
		symbol string
		kind   unit.Kind
		want   float64
	}{
		{"lbf", unit.KindForce, 4.4482216152605},
		{"lbf·ft", unit.KindTorque, 1.3558179483314004},
		{"lbf·in", unit.KindTorque, 0.1129848290276167},
		{"kgf·cm", unit.KindTorque, 0.0980665},
		{"hp", unit.KindPower, 745.69987158227022},
		{"PS", unit.KindPower, 735.49875},
		{"US gal", unit.KindVolume, 0.003785411784},
		{"UK pt", unit.KindVolume, 0.00056826125},
	} {
		if got := find(t, c.symbol, c.kind).Factor; got != c.want {
			t.Errorf("%s: factor %.17g, want %.17g", c.symbol, got, c.want)
		}
	}
}

// reference asks the Debian program units(1), GNU Units, for many conversions
// at once: pairs of from and to.
func reference(t *testing.T, pairs [][2]string) []float64 {
	t.Helper()
	if _, err := exec.LookPath("units"); err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal("the program units is missing; install the package units")
		}
		t.Skip("the program units is missing, so the factors are not compared with it")
	}
	var in strings.Builder
	for _, p := range pairs {
		fmt.Fprintf(&in, "%s\n%s\n", p[0], p[1])
	}
	cmd := exec.CommandContext(t.Context(), "units", "-q", "-t", "-d", "15")
	cmd.Stdin = strings.NewReader(in.String())
	out, err := cmd.Output()
	lines := strings.Split(strings.TrimSpace(string(out)), "\n")
	if err != nil || len(lines) != len(pairs) {
		t.Fatalf("units answers %d of %d conversions: %v\n%s", len(lines), len(pairs), err, out)
	}
	got := make([]float64, len(pairs))
	for i, line := range lines {
		if got[i], err = strconv.ParseFloat(line, 64); err != nil {
			t.Fatalf("units %q: %v", pairs[i], err)
		}
	}
	return got
}

// GNU Units must agree with every factor of the table that it has a name for.
func TestFactorsAgainstUnits(t *testing.T) {
	si := map[unit.Kind]string{
		unit.KindLength: "m", unit.KindAngle: "radian", unit.KindForce: "N", unit.KindTorque: "N m", unit.KindMass: "kg",
		unit.KindTempRise: "K", unit.KindPressure: "Pa", unit.KindSpeed: "m/s", unit.KindRotation: "radian/s",
		unit.KindPower: "W", unit.KindVolume: "m^3", unit.KindEnergy: "J", unit.KindTime: "s", unit.KindExpansion: "1/K",
		unit.KindArea: "m^2", unit.KindInertia: "kg m^2", unit.KindViscosity: "m^2/s", unit.KindDensity: "kg/m^3",
		unit.KindAcceleration: "m/s^2",
	}
	// Where the names differ.
	name := map[string]string{
		"rad": "radian", "mrad": "milliradian", "rad/s": "radian/s", "km/h": "km/hour", "°": "degree", "′": "arcmin", "″": "arcsec", "rev": "turn", "daN": "10 N", "daN·m": "10 N m", "ozf": "oz force", "ozf·in": "oz force inch", "g": "gram", "t": "tonne",
		"°F": "degF", "1/°F": "1/degF", "rpm": "rev/min", "L": "liter", "PS": "metrichorsepower", "mL": "milliliter", "US qt": "usquart",
		"US pt": "uspint", "US gal": "usgallon", "US fl oz": "usfloz", "UK pt": "brpint", "UK qt": "brquart",
		"UK gal": "brgallon", "d": "day", "h": "hour", "thou": "mil", "ft/s²": "ft/s^2", "St": "stokes",
		"cSt": "centistokes", "kW·h": "kilowatt hour", "gf": "gram force",
	}
	caret := strings.NewReplacer("²", "^2", "³", "^3", "·", " ", "µ", "u")
	var pairs [][2]string
	var of []unit.Unit
	for k, base := range si {
		for _, u := range unit.Units(k) {
			from, ok := name[u.Symbol]
			if !ok {
				from = caret.Replace(u.Symbol)
			}
			if k == unit.KindAcceleration && u.Symbol == "g" {
				from = "gravity"
			}
			pairs, of = append(pairs, [2]string{from, base}), append(of, u)
		}
	}
	for i, want := range reference(t, pairs) {
		if u := of[i]; !(math.Abs(u.Factor/want-1) < 2e-14) {
			t.Errorf("%s (%s): factor %.16g, units says %.16g for %s", u.Symbol, u.Kind, u.Factor, want, pairs[i])
		}
	}
}

// The offset of Fahrenheit, against the same program.
func TestFahrenheitAgainstUnits(t *testing.T) {
	f := find(t, "°F", unit.KindTemperature)
	readings := []float64{-40, 32, 68, 212, 451}
	var pairs [][2]string
	for _, x := range readings {
		pairs = append(pairs, [2]string{fmt.Sprintf("tempF(%v)", x), "tempC"})
	}
	for i, want := range reference(t, pairs) {
		if got := (readings[i] - f.Offset) * f.Factor; !(math.Abs(got-want) < 1e-10) {
			t.Errorf("%v °F is %v °C, units says %v", readings[i], got, want)
		}
	}
}

// Every unit must be found by its own symbol, and by no change of
// case may it become another.
func TestFind(t *testing.T) {
	for k := unit.Number; k <= unit.KindAcceleration; k++ {
		us := unit.Units(k)
		if len(us) == 0 {
			t.Errorf("%s has no units", k)
		}
		for _, u := range us {
			if got, ok := unit.Find(u.Symbol, k); !ok || got != u {
				t.Errorf("Find(%q, %s) = %v, %v", u.Symbol, k, got, ok)
			}
			for _, s := range []string{strings.ToLower(u.Symbol), strings.ToUpper(u.Symbol)} {
				if got, ok := unit.Find(s, k); ok && got != u {
					t.Errorf("Find(%q, %s) = %s, want %s or none", s, k, got.Symbol, u.Symbol)
				}
			}
			if !(u.Factor > 0) || u.Kind != k {
				t.Errorf("%+v of %s is not usable", u, k)
			}
		}
		if got, ok := unit.KindOf(k.String()); !ok || got != k {
			t.Errorf("KindOf(%q) = %v, %v", k.String(), got, ok)
		}
	}
	if _, ok := unit.Find("Mm", unit.KindLength); ok {
		t.Error("Mm must not be read as mm")
	}
	if _, ok := unit.KindOf("colour"); ok {
		t.Error("KindOf knows a colour")
	}
}

func ExampleParse() {
	mm, _ := unit.Find("mm", unit.KindLength)
	q, err := unit.Parse("34,0 in ± 0,1", unit.KindLength, mm)
	fmt.Println(q, err)
	fmt.Println(unit.FormatU(q.SI, q.U, mm))
	_, err = unit.Parse("18.87 lbf", unit.KindLength, mm)
	fmt.Println(err)
	// Output:
	// 34.0 ± 0.1 in <nil>
	// 863.6 ± 2.5 mm
	// cannot read "18.87 lbf" as a length: lbf is a unit of force; use mm, µm, m, in, thou, ft
}
