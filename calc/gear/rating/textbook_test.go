package rating_test

import (
	"fmt"
	"math"
	"testing"

	"endfloat/calc/gear/rating"
	"endfloat/calc/unit"
)

const (
	psi  = 6894.757293168361
	hp   = 745.6998715822702
	fpm  = 0.3048 / 60
	lbf  = 4.4482216152605
	inch = unit.Inch
)

// spur is [BN14] example 14-4: 17/52 teeth, pitch 10, 4 hp at 1800 rpm.
func spur(t testing.TB) rating.Textbook {
	b := rating.Textbook{Teeth: [2]int{17, 52}, Module: inch / 10, Face: 1.5 * inch, Torque: unit.Torque(4 * hp / (1800 * rpm)), Speed: 1800 * rpm,
		Overload: 1, Quality: 6, J: [2]float64{.30, .40}, Y: [2]float64{.303, .412}, Hardness: [2]float64{240, 200}, Cycles: 1e8, Reliability: .9}
	for i, h := range b.Hardness {
		s, c, err := rating.ThroughHardened1(h)
		if err != nil {
			t.Fatal(err)
		}
		b.Bending[i], b.Contact[i] = s, c
	}
	return b
}

// [BN14] example 14-4, which prints 5.62, 6.82, 1.69 and 1.52 from rounded factors.
func ExampleTextbook_Rating() {
	s1, c1, _ := rating.ThroughHardened1(240)
	s2, c2, _ := rating.ThroughHardened1(200)
	r, err := rating.Textbook{Teeth: [2]int{17, 52}, Module: unit.Inch / 10, Face: 1.5 * unit.Inch, Torque: 15.824, Speed: 188.496,
		Overload: 1, Quality: 6, J: [2]float64{.30, .40}, Y: [2]float64{.303, .412}, Bending: [2]unit.Pressure{s1, s2},
		Contact: [2]unit.Pressure{c1, c2}, Hardness: [2]float64{240, 200}, Cycles: 1e8, Reliability: .9}.Rating()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("bending %.2f and %.2f, contact %.2f and %.2f\n", r.SafetyBending[0], r.SafetyBending[1], r.SafetyContact[0], r.SafetyContact[1])
	// Output: bending 5.61 and 6.83, contact 1.69 and 1.52
}

func TestTextbookSpur(t *testing.T) {
	r := must[rating.TextbookResult](t)(spur(t).Rating())
	for _, c := range []struct {
		what      string
		got, want float64
	}{
		{"V", r.Velocity / fpm, 801.1}, {"W_t", float64(r.Tangential) / lbf, 164.8}, {"K_v", r.Kv, 1.377}, {"K_s P", r.Ks[0], 1.043}, {"K_s G", r.Ks[1], 1.052},
		{"K_m", r.Km, 1.22}, {"I", r.I, .121}, {"K_R", r.Kr, .85}, {"Y_N P", r.Yn[0], .977}, {"Y_N G", r.Yn[1], .996}, {"Z_N P", r.Zn[0], .948}, {"Z_N G", r.Zn[1], .973},
		{"σ P", float64(r.Bending[0]) / psi, 6417}, {"σ G", float64(r.Bending[1]) / psi, 4854}, {"σ_c P", float64(r.Contact[0]) / psi, 70360}, {"σ_c G", float64(r.Contact[1]) / psi, 70660},
		{"S_F P", r.SafetyBending[0], 5.62}, {"S_F G", r.SafetyBending[1], 6.82}, {"S_H P", r.SafetyContact[0], 1.69}, {"S_H G", r.SafetyContact[1], 1.52},
	} {
		near(t, c.what, c.got, c.want, 3e-3*c.want)
	}
}

// [BN14] example 14-5, the same at a helix of 30°. It carries over the size factors of
// 14-4, worked with a pitch of 10; with the transverse pitch they come out larger.
func TestTextbookHelical(t *testing.T) {
	b := spur(t)
	b.Helix, b.J = 30*unit.Degree, [2]float64{.423, .529}
	b.Size = [2]float64{1.043, 1.052}
	r := must[rating.TextbookResult](t)(b.Rating())
	for _, c := range []struct {
		what           string
		got, want, tol float64
	}{
		{"V", r.Velocity / fpm, 925, .5}, {"W_t", float64(r.Tangential) / lbf, 142.7, .1}, {"K_v", r.Kv, 1.404, 1e-3}, {"K_m", r.Km, 1.208, 1e-3}, {"I", r.I, .195, 5e-4},
		{"σ P", float64(r.Bending[0]) / psi, 3445, 4}, {"σ G", float64(r.Bending[1]) / psi, 2779, 4}, {"σ_c P", float64(r.Contact[0]) / psi, 48230, 30}, {"σ_c G", float64(r.Contact[1]) / psi, 48440, 30},
		{"S_F P", r.SafetyBending[0], 10.5, .06}, {"S_F G", r.SafetyBending[1], 11.9, .06}, {"S_H P", r.SafetyContact[0], 2.47, .015}, {"S_H G", r.SafetyContact[1], 2.2, .03},
	} {
		near(t, c.what, c.got, c.want, c.tol)
	}
	b.Size = [2]float64{}
	r = must[rating.TextbookResult](t)(b.Rating())
	near(t, "σ P with its own size factor", float64(r.Bending[0])/psi, 3473.5, .5)
	near(t, "σ G with its own size factor", float64(r.Bending[1])/psi, 2800.4, .5)
}

// [BN14] example 14-8, 18/72 teeth, pitch 4, 100 hp at 1120 rpm, as the book begins it.
func TestTextbookLarge(t *testing.T) {
	b := spur(t)
	b.Teeth, b.Module, b.Face, b.Speed = [2]int{18, 72}, inch/4, 3*inch, 1120*rpm
	b.Torque, b.J, b.Y, b.Cycles = unit.Torque(100*hp/(1120*rpm)), [2]float64{.32, .415}, [2]float64{.309, .4324}, 1e9
	r := must[rating.TextbookResult](t)(b.Rating())
	for _, c := range []struct {
		what      string
		got, want float64
	}{{"V", r.Velocity / fpm, 1319}, {"W_t", float64(r.Tangential) / lbf, 2502}, {"K_v", r.Kv, 1.480}, {"K_s P", r.Ks[0], 1.137},
		{"K_m", r.Km, 1.242}, {"I", r.I, .1286}, {"Y_N P", r.Yn[0], .938}, {"Y_N G", r.Yn[1], .961}, {"Z_N P", r.Zn[0], .900}, {"Z_N G", r.Zn[1], .929}} {
		near(t, c.what, c.got, c.want, 2.5e-3*c.want)
	}
}

func TestTextbookReliability(t *testing.T) {
	for r, want := range map[float64]float64{.5: .7, .9: .85, .99: 1, .999: 1.25, .9999: 1.5} {
		near(t, "K_R", must[float64](t)(rating.ReliabilityFactor(r)), want, 1e-9)
	}
	for _, bad := range []float64{.4, 1, math.NaN()} {
		if _, err := rating.ReliabilityFactor(bad); err == nil {
			t.Errorf("a reliability of %g was accepted", bad)
		}
	}
}

func TestTextbookRefusals(t *testing.T) {
	for name, change := range map[string]func(b *rating.Textbook){
		"teeth": func(b *rating.Textbook) { b.Teeth[0] = 60 }, "J": func(b *rating.Textbook) { b.J[1] = 0 }, "Y": func(b *rating.Textbook) { b.Y[0] = 0 },
		"torque": func(b *rating.Textbook) { b.Torque = 0 }, "NaN": func(b *rating.Textbook) { b.Face = unit.Length(math.NaN()) }, "steel": func(b *rating.Textbook) { b.Contact[0] = 0 },
		"quality": func(b *rating.Textbook) { b.Quality = 12 }, "life": func(b *rating.Textbook) { b.Cycles = 0 }, "sure": func(b *rating.Textbook) { b.Reliability = 1 },
	} {
		b := spur(t)
		change(&b)
		if r, err := b.Rating(); err == nil {
			t.Errorf("%s was accepted: %+v", name, r)
		}
	}
	if _, _, err := rating.ThroughHardened1(600); err == nil {
		t.Error("600 HB through-hardened was accepted")
	}
}
