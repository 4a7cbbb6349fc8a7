package shop

import (
	"context"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"endfloat/calc/catalog"
	"endfloat/calc/unit"
	"endfloat/internal/job"
)

// The ways a torque is reached.
const (
	ByWrench    = "wrench"
	ByExtension = "wrench with extension"
	ByBar       = "bar and scale"
)

// Methods are the ways a torque is reached, as offered.
var Methods = []string{ByWrench, ByExtension, ByBar}

// Tightening is how a torque was reached, as a person gives it.
type Tightening struct {
	Position string
	Method   string            // "wrench", "bar and scale", "wrench with extension"
	Values   map[string]string // inputs of the sum of that method
	Trial    bool
	Photos   []string
}

// Target is what the tool must read for a fastening to get its torque.
type Target struct {
	Text     string // "238 N = 24.3 kgf on the scale"
	Lines    []catalog.Line
	Warnings []string
	Caution  string
}

// Aim works out what the tool must read. values are the inputs of the sum of
// the method, without the torque wanted: for a bar arm, bar-mass, bar-centre
// and bar-weight; for an extension wrench, extension and angle. The name of a
// tool in the stores under "tool" fills in its values.
func Aim(d *Desk, position, method string, values map[string]string) (Target, error) {
	want, err := wanted(d, position)
	if err != nil {
		return Target{}, err
	}
	in := withTool(d, values)
	in["want"] = want
	var name, key string
	switch method {
	case ByWrench:
		return Target{Text: "set the wrench to " + want}, nil
	case ByExtension:
		name, key = "extension", "set"
	case ByBar:
		name, key = "lever", "pull"
	default:
		return Target{}, wrap(ErrInvalid, "torque by %q; choose one of %s", method, strings.Join(Methods, ", "))
	}
	a, err := run(name, in)
	if err != nil {
		return Target{}, err
	}
	t := Target{Lines: a.Lines, Warnings: a.Warnings, Caution: a.Sum.Caution}
	r, _ := a.Result(key)
	t.Text = "set the wrench to " + r.Text
	if method == ByBar {
		kg, _ := a.Result("pull-kgf")
		lb, _ := a.Result("pull-lbf")
		t.Text = fmt.Sprintf("pull until the scale reads %s = %s = %s", r.Text, kg.Text, lb.Text)
		if in["bar-mass"] == "" {
			t.Warnings = append(t.Warnings, "the bar's own weight is not counted")
		}
	}
	return t, nil
}

func wanted(d *Desk, position string) (string, error) {
	if d.Box == nil {
		return "", wrap(ErrInvalid, "this job has no gearbox file with torques")
	}
	p, ok := d.Box.Position(position)
	if !ok || !p.Fastening() {
		return "", wrap(ErrInvalid, "%s has no torque in the gearbox file", position)
	}
	return p.Torque.Text(d.Built), nil
}

// withTool lays the values of a tool of the stores under those given.
func withTool(d *Desk, values map[string]string) map[string]string {
	in := map[string]string{}
	if t, ok := d.Stores.Tools[values["tool"]]; ok {
		maps.Copy(in, t.Values)
	}
	for k, v := range values {
		if k != "tool" && strings.TrimSpace(v) != "" {
			in[k] = v
		}
	}
	return in
}

// run does a sum of the catalogue with those of the inputs that it knows.
func run(name string, in map[string]string) (*catalog.Answer, error) {
	s, err := catalog.Find(name)
	if err != nil {
		return nil, fmt.Errorf("sum %s: %w", name, err)
	}
	mine := map[string]string{}
	for k, v := range in {
		if _, ok := s.Input(k); ok {
			mine[k] = v
		}
	}
	a, err := s.Run(mine)
	if err != nil {
		return nil, &marked{ErrInvalid, err.Error()}
	}
	return a, nil
}

// Tighten records a torque from what the tool read.
func (sh *Shop) Tighten(ctx context.Context, by By, book string, t Tightening) (*Desk, error) {
	d, err := sh.Open(ctx, book)
	if err != nil {
		return nil, err
	}
	body, err := tightened(d, t)
	if err != nil {
		return nil, err
	}
	return sh.Record(ctx, by, book, body)
}

func tightened(d *Desk, t Tightening) (job.Torqued, error) {
	out := job.Torqued{Position: t.Position, Method: t.Method, Tool: t.Values["tool"], Trial: t.Trial, Photos: t.Photos}
	want, err := wanted(d, t.Position)
	if err != nil {
		return out, err
	}
	in := withTool(d, t.Values)
	in["want"] = want
	nm, _ := unit.Find("N·m", unit.KindTorque)
	switch t.Method {
	case ByWrench, ByExtension:
		key := "reads"
		if t.Method == ByExtension {
			key = "set"
		}
		q, err := unit.Parse(in[key], unit.KindTorque, nm)
		if err != nil {
			return out, wrap(ErrInvalid, "%s: %v", key, err)
		}
		out.Reading, out.Torque, out.U = q.Text, q.SI, q.U
		if t.Method == ByExtension {
			return extended(out, q, in)
		}
	case ByBar:
		a, err := run("lever-reading", in)
		if err != nil {
			return out, err
		}
		r, _ := a.Result("torque")
		out.Reading, out.Torque, out.U, out.Working = in["pull"], r.SI, r.U, working(a)
		if in["bar-mass"] == "" {
			out.Warnings = append(out.Warnings, "the bar's own weight was not subtracted")
		}
	default:
		return out, wrap(ErrInvalid, "torque by %q; choose one of %s", t.Method, strings.Join(Methods, ", "))
	}
	return out, nil
}

// extended finds the torque at the nut from what the wrench was set to: the sum
// is linear in the torque, so its inverse is a proportion.
func extended(out job.Torqued, set unit.Quantity, in map[string]string) (job.Torqued, error) {
	a, err := run("extension", in)
	if err != nil {
		return out, err
	}
	r, _ := a.Result("set")
	want, err := unit.Parse(in["want"], unit.KindTorque, unit.Unit{})
	if err != nil {
		return out, wrap(ErrInvalid, "%v", err)
	}
	if !(r.SI > 0) || math.IsInf(r.SI, 0) {
		return out, wrap(ErrInvalid, "this wrench and extension have no leverage at that angle")
	}
	out.Torque, out.Working = want.SI*set.SI/r.SI, working(a)
	return out, nil
}

func working(a *catalog.Answer) string {
	var ls []string
	for _, l := range a.Lines {
		s := l.Symbol
		if l.Formula != "" {
			s += " = " + l.Formula
		}
		if l.Numbers != "" && l.Numbers != l.Formula {
			s += " = " + l.Numbers
		}
		ls = append(ls, s+" = "+l.Value)
	}
	return strings.Join(slices.Compact(ls), "\n")
}
