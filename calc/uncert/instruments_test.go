package uncert_test

import (
	"math"
	"os"
	"strings"
	"testing"

	"endfloat/calc/uncert"
	"endfloat/calc/unit"
)

// The standard uncertainty that follows from limits of error alone is that of a
// rectangular distribution, half-width/√3 (JCGM 100:2008, 4.3.7, equation (7)):
// 0.03 mm gives 0.017 32 mm.
func TestDoubt(t *testing.T) {
	mm, _ := unit.Find("mm", unit.KindLength)
	c, _ := unit.Find("°C", unit.KindTemperature)
	nm, _ := unit.Find("N·m", unit.KindTorque)
	for _, x := range []struct {
		u, mpe string
		k      unit.Kind
		def    unit.Unit
		want   float64
	}{
		{"0.005", "", unit.KindLength, mm, 5e-6},
		{"5 µm", "", unit.KindLength, mm, 5e-6},
		{"", "0.03", unit.KindLength, mm, 17.3205e-6},
		{"", "±0.03 mm", unit.KindLength, mm, 17.3205e-6},
		{"0.5", "", unit.KindTemperature, c, 0.5}, // a difference: half a kelvin
		{"", "1 °C", unit.KindTemperature, c, 0.57735},
		{"", "1 K", unit.KindTemperature, c, 0.57735},
		{"", "4 % of 200 N·m", unit.KindTorque, nm, 8 / math.Sqrt(3)},
		{"", "± 4 % of 200", unit.KindTorque, nm, 8 / math.Sqrt(3)},
	} {
		u, err := uncert.Doubt(x.u, x.mpe, x.k, x.def)
		if err != nil || math.Abs(u-x.want) > 1e-5*x.want {
			t.Errorf("u %q, MPE %q: %g, %v; want %g", x.u, x.mpe, u, err, x.want)
		}
	}
	for _, x := range [][2]string{{"", ""}, {"0.01", "0.02"}, {"some", ""}, {"", "wide"}, {"", "4 of 2"}, {"", "4 % of"}, {"", "400 % of 2"}} {
		if u, err := uncert.Doubt(x[0], x[1], unit.KindLength, mm); err == nil {
			t.Errorf("u %q, MPE %q gives %g", x[0], x[1], u)
		}
	}
}

// Figures of the published tables: DIN 863 (outside micrometers), DIN 862
// (callipers), JIS B 7503:2011 (dial indicators) and DIN 861 (gauge blocks), each
// in µm, all through notes.
func TestInstruments(t *testing.T) {
	text, err := os.ReadFile("instruments.csv")
	if err != nil {
		t.Fatal(err)
	}
	list, err := uncert.ReadInstruments(string(text))
	if err != nil || len(list) < 40 || len(uncert.Instruments()) != len(list) {
		t.Fatalf("%d instruments, %v", len(list), err)
	}
	for name, mpe := range map[string]float64{
		"outside micrometer 0 to 25 mm": 4, "outside micrometer 75 to 100 mm": 5, "outside micrometer 175 to 200 mm": 7,
		"calliper, digital or dial, to 100 mm": 20, "dial indicator 0.01 mm, range 10 mm": 15, "dial indicator 0.001 mm, range 1 mm": 5,
		"gauge block to 10 mm, grade 2": 0.45, "Gauge block 75 to 100 mm, grade 1": 0.6,
	} {
		in, ok := uncert.FindInstrument(name)
		if want := mpe * 1e-6 / math.Sqrt(3); !ok || math.Abs(in.U-want) > 1e-9*want {
			t.Errorf("%s: u = %g, want %g", name, in.U, want)
		}
	}
	if in, ok := uncert.FindInstrument("torque wrench, click or dial, above 10 N·m"); !ok || math.Abs(in.U-8/math.Sqrt(3)) > 1e-9 || !strings.Contains(in.Source, "from memory") {
		t.Errorf("torque wrench: %+v", in)
	}
	for _, in := range list {
		if !strings.HasPrefix(in.Source, "[") && !strings.HasPrefix(in.Source, "common practice, no source") && !strings.HasPrefix(in.Source, "from memory") {
			t.Errorf("%s: %q is no source", in.Name, in.Source)
		}
	}
	const head = "name,class,quantity,unit,mpe,common,metal,source\n"
	for _, bad := range []string{"", "x\n", head + "a,b,length,mm,4 µm,0.5,steel,\n", head + "a,b,size,mm,4 µm,0.5,,s\n", head + "a,b,length,kg,4 µm,0.5,,s\n",
		head + "a,b,length,mm,wide,0.5,,s\n", head + "a,b,length,mm,1,5,,s\n", head + "a,b,length,mm,1,0,,s\na,b,length,mm,1,0,,s\n"} {
		if _, err := uncert.ReadInstruments(bad); err == nil {
			t.Errorf("%q is read as a table", bad)
		}
	}
}
