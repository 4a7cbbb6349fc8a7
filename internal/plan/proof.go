package plan

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"endfloat/calc/unit"
	"endfloat/internal/job"
)

// Sense is which way the outputs roll in one speed: toward the front or the
// rear of the gearbox.
type Sense struct {
	Speed   string
	Toward  string
	Forward bool // the way the file says that the forward speeds go
	Wrong   bool // a forward speed that goes back, or a reverse that goes forward
}

// Senses follows the turning from the input through the teeth to the outputs,
// with the crown wheel on that side ("left" or "right"). It tells what is missing
// in the file where it cannot.
//
// An outside mesh turns the sense round, an idler turns it once more. At the
// bevels: with x to the front, y to the left and z up, the pinion turns with ω
// about x, and its tooth at the crown wheel's side moves up or down; the crown
// wheel turns with it about y.
func (v *View) Senses(side string) ([]Sense, string) {
	r := v.Box.Rotation
	if r == nil || r.Input == "" || r.Head == "" || r.Goes == "" {
		return nil, "the gearbox file does not say how the input turns, where the pinion's head points and which way forward is; write them under \"rotation\""
	}
	var out []Sense
	for _, m := range v.Box.Meshes {
		w := 1.0
		if r.Input == "clockwise" {
			w = -1 // seen from the front one looks along −x
		}
		w = -w
		back := m.Idler != ""
		if back {
			w = -w
		}
		s, p := 1.0, 1.0 // crown wheel to the left; pinion ahead of its axis
		if side == "right" {
			s = -1
		}
		if r.Head == "front" {
			p = -1
		}
		toward := "rear"
		if -w*s*p > 0 { // the wheels' upper side moves to the front
			toward = "front"
		}
		e := Sense{Speed: m.Speed, Toward: toward, Forward: toward == r.Goes}
		e.Wrong = e.Forward == reverses(m.Speed)
		out = append(out, e)
	}
	return out, ""
}

// reverses reports whether a speed of that name is a reverse.
func reverses(speed string) bool { return strings.HasPrefix(strings.ToUpper(speed), "R") }

// Side is where the crown wheel lies: as last looked at, else as the file has it.
func (v *View) Side() string {
	if t := v.State.Tests[Direction]; t != nil && t.Is.Values["crown wheel"] != "" {
		return t.Is.Values["crown wheel"]
	}
	if v.Box.Rotation == nil {
		return ""
	}
	return v.Box.Rotation.Side.Text(v.Built)
}

// Ratio is the ratio of a speed from its teeth, of the shafts alone.
func (v *View) Ratio(speed string) (float64, bool) {
	for _, m := range v.Box.Meshes {
		if m.Speed != speed {
			continue
		}
		a, ok := v.teeth(m.Driver)
		b, both := v.teeth(m.Driven)
		return b / a, ok && both
	}
	return 0, false
}

func (v *View) teeth(id string) (float64, bool) {
	p, ok := v.Box.Position(id)
	if !ok {
		return 0, false
	}
	z, ok := p.Dimension("teeth", v.Built)
	return z, ok && z > 0
}

// TurnsForTen is the turns of the input for ten of the outputs, both turning
// alike.
func (v *View) TurnsForTen(speed string) (float64, bool) {
	i, ok := v.Ratio(speed)
	if !ok {
		return 0, false
	}
	if f := v.Box.Final; f != nil {
		a, ok := v.teeth(f.Pinion)
		b, both := v.teeth(f.Crown)
		if !ok || !both {
			return 0, false
		}
		i *= b / a
	}
	return 10 * i, true
}

// miscount is how far a count of turns may be from the teeth: half a turn, by eye.
const miscount = 0.5

// Judge fills in a test: it says what is wrong with what was typed, else what
// came of it.
func (v *View) Judge(name string, values map[string]string) (job.Tested, error) {
	t, ok := v.TestOf(name)
	if !ok {
		return job.Tested{}, fmt.Errorf("there is no test %q for this unit now; there are %s", name, strings.Join(v.testNames(), ", "))
	}
	out := job.Tested{Test: name, Values: map[string]string{}, Wanted: t.Wanted + " (" + t.From + ")"}
	for k := range values {
		if !slices.ContainsFunc(t.Fields, func(f Field) bool { return f.Key == k }) {
			return out, fmt.Errorf("%s asks for no %q", t.Title, k)
		}
	}
	for _, f := range t.Fields {
		x := strings.TrimSpace(values[f.Key])
		switch {
		case x == "" && !f.Optional:
			return out, fmt.Errorf("%s: %s is not filled in%s", t.Title, f.Ask, offered(f))
		case x == "":
			continue
		case len(f.Choices) > 0 && !slices.Contains(f.Choices, x):
			return out, fmt.Errorf("%s: %s is %q%s", t.Title, f.Ask, x, offered(f))
		}
		out.Values[f.Key] = x
	}
	judge := map[string]func(*job.Tested) error{LeakTest: v.judgeLeak, OilFill: v.judgeOil, SpinTest: v.judgeSpin, Direction: v.judgeDirection, Lifting: v.judgeLifting}[name]
	if judge == nil {
		judge = t.judgeChoices
	}
	return out, judge(&out)
}

func (v *View) testNames() []string {
	var out []string
	for _, t := range v.Tests() {
		out = append(out, t.Name)
	}
	if len(out) == 0 {
		return []string{"none before something is fitted"}
	}
	return out
}

func offered(f Field) string {
	if len(f.Choices) == 0 {
		return ""
	}
	return "; choose " + strings.Join(f.Choices, " or ")
}

// judgeChoices wants the first choice at every field.
func (t Test) judgeChoices(out *job.Tested) error {
	var bad []string
	for _, f := range t.Fields {
		if x := out.Values[f.Key]; x != f.Choices[0] {
			bad = append(bad, f.Ask+" "+x)
		}
	}
	out.Good = len(bad) == 0
	if out.Says = fmt.Sprintf("%s, all %d tries", t.Fields[0].Choices[0], len(t.Fields)); !out.Good {
		out.Says = strings.Join(bad, "; ")
	}
	return nil
}

func (v *View) judgeDirection(out *job.Tested) error {
	senses, missing := v.Senses(out.Values["crown wheel"])
	if missing != "" {
		return fmt.Errorf("direction of rotation: %s", missing)
	}
	var good, bad, work []string
	for _, s := range senses {
		work = append(work, fmt.Sprintf("%s rolls toward the %s", s.Speed, s.Toward))
		if s.Wrong {
			bad = append(bad, s.Speed)
		} else {
			good = append(good, s.Speed)
		}
	}
	out.Good, out.Working = len(bad) == 0, strings.Join(work, "\n")
	switch {
	case out.Good:
		out.Says = "every speed goes its way: " + strings.Join(work, ", ")
	case len(good) == 0:
		out.Says = "every speed would run backward: the crown wheel is on the wrong side (" + out.Values["crown wheel"] + ")"
	default:
		out.Says = strings.Join(bad, ", ") + " would run the wrong way: look at the idler and at its speed in the file"
	}
	return nil
}

func (v *View) judgeSpin(out *job.Tested) error {
	var bad []string
	for _, m := range v.Box.Meshes {
		want := "forward"
		if reverses(m.Speed) {
			want = "backward"
		}
		if got := out.Values[m.Speed]; got != want {
			bad = append(bad, m.Speed+" runs "+got)
		}
		text := out.Values[m.Speed+" turns"]
		if text == "" {
			continue
		}
		q, err := unit.Parse(text, unit.Number, unit.Unit{})
		if err != nil {
			return fmt.Errorf("turns in %s: %w", m.Speed, err)
		}
		if n, _ := v.TurnsForTen(m.Speed); math.Abs(q.SI-n) > miscount {
			bad = append(bad, fmt.Sprintf("%s takes %s turns, its teeth make %.1f", m.Speed, text, n))
		}
	}
	if n := out.Values["noise"]; n == "knocks" {
		bad = append(bad, "it knocks")
	}
	out.Good = len(bad) == 0
	if out.Says = "each speed turns its own way"; !out.Good {
		out.Says = strings.Join(bad, "; ")
	}
	return nil
}

// figure reads a value of a form.
func figure(out *job.Tested, key string, k unit.Kind, symbol string) (unit.Quantity, error) {
	def, _ := unit.Find(symbol, k)
	q, err := unit.Parse(out.Values[key], k, def)
	if err != nil {
		return q, fmt.Errorf("%s: %w", key, err)
	}
	return q, nil
}

// atmosphere is the standard one, ISO 2533; the day's own pressure moves the
// result by a few hundredths of a change of 1 K.
const atmosphere = 101325.0

// judgeLeak carries the end to the temperature of the start, at constant volume:
//
//	p2' = (p2 + pa) T1/T2 − pa
//
// The limit is held against the drop with the doubt of what was typed.
func (v *View) judgeLeak(out *job.Tested) error {
	l := v.Box.Closing.Leak
	p1, err := figure(out, "start", unit.KindPressure, "bar")
	if err != nil {
		return err
	}
	p2, err := figure(out, "end", unit.KindPressure, "bar")
	if err != nil {
		return err
	}
	stood, err := figure(out, "minutes", unit.KindTime, "min")
	if err != nil {
		return err
	}
	t1, t2, warmth := 293.15, 293.15, 0.0
	if one, two := out.Values["start temperature"], out.Values["end temperature"]; (one == "") != (two == "") {
		return fmt.Errorf("leak test: give both temperatures or neither; one alone corrects nothing")
	} else if one != "" {
		q1, err := figure(out, "start temperature", unit.KindTemperature, "°C")
		if err != nil {
			return err
		}
		q2, err := figure(out, "end temperature", unit.KindTemperature, "°C")
		if err != nil {
			return err
		}
		if t1, t2 = q1.SI+273.15, q2.SI+273.15; !(t1 > 200 && t2 > 200 && t1 < 400 && t2 < 400) {
			return fmt.Errorf("leak test: the air was between −70 and 120 °C; look at what was typed")
		}
		warmth = (p2.SI + atmosphere) / t2 * math.Hypot(last(q1), last(q2))
	}
	carried := (p2.SI+atmosphere)*t1/t2 - atmosphere
	drop := p1.SI - carried
	allow, _ := l.Drop.SI(v.Built)
	want, _ := l.Pressure.SI(v.Built)
	time, _ := l.Time.SI(v.Built)
	doubt := 0.5 * math.Hypot(math.Hypot(last(p1), last(p2)), warmth) // half of the last digit of each
	bar := 1e5
	out.Working = fmt.Sprintf("drop = p1 − ((p2 + pa) · T1/T2 − pa) = %.3f bar − %.3f bar = %.3f bar, pa = 1.013 bar", p1.SI/bar, carried/bar, drop/bar)
	out.Says = fmt.Sprintf("%.3f bar lost in %.0f min, at one temperature", drop/bar, stood.SI/60)
	if math.Abs(drop) < doubt {
		out.Says = fmt.Sprintf("no drop in %.0f min", stood.SI/60)
	}
	var bad []string
	if drop > allow+doubt {
		bad = append(bad, out.Says)
	}
	if p1.SI < 0.95*want {
		bad = append(bad, "it was tested at less than "+l.Pressure.Text(v.Built))
	}
	if p1.SI > 1.3*want {
		bad = append(bad, "it was tested at more than "+l.Pressure.Text(v.Built)+": look whether a seal was blown out")
	}
	if stood.SI < time {
		bad = append(bad, "it stood for less than "+l.Time.Text(v.Built))
	}
	if out.Good = len(bad) == 0; !out.Good {
		out.Says = strings.Join(bad, "; ")
	}
	return nil
}

// last is one step of the last digit that was typed, SI.
func last(q unit.Quantity) float64 { return math.Pow(10, -float64(q.Places)) * q.Unit.Factor }

// spill is how far the volume may be from the file's before it is questioned.
const spill = 0.15

func (v *View) judgeOil(out *job.Tested) error {
	o := v.Box.Closing.Oil
	q, err := figure(out, "volume", unit.KindVolume, "L")
	if err != nil {
		return err
	}
	want, _ := o.Volume.SI(v.Built)
	var bad []string
	if l := out.Values["level"]; l != "at the rule" {
		bad = append(bad, "the oil stands "+l+" the level")
	}
	if math.Abs(q.SI-want) > spill*want {
		bad = append(bad, fmt.Sprintf("%s went in, %s was expected: is the level plug that of this case, or a chamber empty?", out.Values["volume"], o.Volume.Text(v.Built)))
	}
	out.Good = len(bad) == 0
	if out.Says = joinWords("filled "+withUnit(out.Values["volume"], "L"), o.Rule.Text(v.Built), out.Values["oil"], out.Values["batch"]); !out.Good {
		out.Says = strings.Join(bad, "; ")
	}
	return nil
}

func withUnit(text, u string) string {
	if strings.ContainsAny(text, "LlmMg") {
		return text
	}
	return text + " " + u
}

func (v *View) judgeLifting(out *job.Tested) error {
	if _, err := figure(out, "load", unit.KindForce, "kN"); err != nil {
		return err
	}
	out.Good = out.Values["after"] == "no crack"
	out.Says = fmt.Sprintf("%s after %s, by %s", out.Values["after"], withKN(out.Values["load"]), out.Values["by whom"])
	return nil
}

func withKN(text string) string {
	if strings.ContainsAny(text, "kNlgf") {
		return text
	}
	return text + " kN"
}
