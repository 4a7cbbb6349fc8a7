package shop

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"endfloat/calc/catalog"
	"endfloat/internal/job"
)

// SumTopic is the topic of a note that holds a sum.
const SumTopic = "sum"

// Asked is a sum as a person asks for it, on a screen, on the command line or
// through the API.
type Asked struct {
	Sum   *catalog.Sum
	Typed map[string]string // inputs, by key
	Tool  string            // name of a tool of the stores that fills in what was not typed; "" = none
	Draws int               // of Monte Carlo; 0 = none
	Seed  uint64            // of the draws
}

// Beside reads what is asked beside the inputs, from the texts of a form or of an
// address: "tool", "mc" for the draws, and "seed"; the seed is 1 if left out.
func (q *Asked) Beside(text func(key string) string) error {
	q.Tool, q.Seed = strings.TrimSpace(text("tool")), 1
	var err error
	if t := strings.TrimSpace(text("mc")); t != "" {
		if q.Draws, err = strconv.Atoi(strings.Join(strings.Fields(t), "")); err != nil {
			return wrap(ErrInvalid, "mc: %.40q was read; expected a whole number of draws from %d to %d", t, catalog.LeastDraws, catalog.MostDraws)
		}
	}
	if t := strings.TrimSpace(text("seed")); t != "" {
		if q.Seed, err = strconv.ParseUint(t, 10, 64); err != nil {
			return wrap(ErrInvalid, "seed: %.40q was read; expected a whole number from 0 on", t)
		}
	}
	return nil
}

// DoSum does a sum. What was not typed is filled in from the stores; without any,
// stores is nil. It returns the answer and the inputs as they went in. An error
// about an input begins with its key.
func DoSum(stores *job.State, q Asked) (*catalog.Answer, map[string]string, error) {
	in := maps.Clone(q.Typed)
	if q.Tool != "" {
		i := slices.IndexFunc(SumTools(stores, q.Sum), func(t job.Tool) bool { return t.Name == q.Tool })
		if i < 0 {
			return nil, in, wrap(ErrInvalid, "tool %q is not in the stores, or of no use to this sum", q.Tool)
		}
	}
	if in == nil {
		in = map[string]string{}
	}
	for k, v := range Brings(stores, q.Sum, q.Tool) {
		if strings.TrimSpace(in[k]) == "" {
			in[k] = v
		}
	}
	if q.Draws != 0 {
		a, err := q.Sum.RunMC(in, q.Draws, q.Seed)
		return a, in, err
	}
	a, err := q.Sum.Run(in)
	return a, in, err
}

// serves tells by an input which sums a class of tool is of use to: a sum that asks
// for the mass of a bar is worked with a bar.
var serves = map[string]string{"bar": "bar-mass", "torque wrench": "extension"}

// tubesKey is the input that takes all tubes of a workshop at once.
const tubesKey = "tubes"

// TakesFromStores reports whether the stores may fill in inputs of a sum.
func TakesFromStores(sum *catalog.Sum) bool {
	for _, key := range append(slices.Collect(maps.Values(serves)), tubesKey) {
		if _, asks := sum.Input(key); asks {
			return true
		}
	}
	return false
}

// SumTools are the tools of the stores that may fill in inputs of a sum, by name.
// Stores may be nil.
func SumTools(stores *job.State, sum *catalog.Sum) []job.Tool {
	var out []job.Tool
	if stores == nil {
		return nil
	}
	for _, name := range slices.Sorted(maps.Keys(stores.Tools)) {
		t := stores.Tools[name]
		key, ok := serves[t.Class]
		if _, asks := sum.Input(key); ok && asks && len(t.Values) > 0 {
			out = append(out, t)
		}
	}
	return out
}

// Brings are the inputs of a sum that a tool fills in, and those that the stores
// fill in by themselves: the tubes at hand. Stores may be nil and tool "".
func Brings(stores *job.State, sum *catalog.Sum, tool string) map[string]string {
	out := map[string]string{}
	if stores == nil {
		return out
	}
	if t, ok := stores.Tools[tool]; ok {
		for k, v := range t.Values {
			if _, asks := sum.Input(k); asks {
				out[k] = v
			}
		}
	}
	if _, asks := sum.Input(tubesKey); asks {
		if tubes := tubesOf(stores); tubes != "" {
			out[tubesKey] = tubes
		}
	}
	return out
}

// tubesOf writes the tubes of the stores as push-ring reads them.
func tubesOf(stores *job.State) string {
	var list []string
	for _, name := range slices.Sorted(maps.Keys(stores.Tools)) {
		t := stores.Tools[name]
		if bore, outside := t.Values["bore"], t.Values["outside"]; t.Class == "tube" && outside != "" {
			if bore == "" {
				bore = "0"
			}
			list = append(list, fmt.Sprintf("%s = %s/%s", plainName(name), bore, outside))
		}
	}
	return strings.Join(list, ", ")
}

// plainName is a name without the signs that part a list.
func plainName(name string) string {
	return strings.Join(strings.FieldsFunc(name, func(r rune) bool { return strings.ContainsRune(",;=/\n", r) || r == ' ' }), " ")
}

// SumNote is a sum as a job's book keeps it: its title, the inputs as given, the
// results and the working, a line for each.
func SumNote(a *catalog.Answer, given map[string]string) job.Noted {
	lines := []string{a.Sum.Title}
	for _, in := range a.Sum.Understands() {
		if t := strings.TrimSpace(given[in.Key]); t != "" {
			lines = append(lines, "given: "+in.Key+" = "+t)
		}
	}
	for _, r := range a.Results {
		lines = append(lines, "result: "+r.Title+" = "+r.Text)
		if r.MC != nil {
			lines = append(lines, "drawn: "+r.Title+", "+r.MC.Text)
		}
	}
	for _, l := range a.Lines {
		lines = append(lines, "working: "+workingLine(l))
	}
	for _, w := range a.Warnings {
		lines = append(lines, "look at: "+w)
	}
	return job.Noted{Topic: SumTopic, Text: strings.Join(lines, "\n")}
}

// workingLine is one line of working on one line.
func workingLine(l catalog.Line) string {
	var eq []string
	for _, t := range []string{l.Symbol, l.Formula, l.Numbers, l.Value} {
		if t != "" && !slices.Contains(eq, t) {
			eq = append(eq, t)
		}
	}
	s := strings.Join(eq, " = ")
	if l.Meaning != "" {
		s += " (" + l.Meaning + ")"
	}
	if l.Source != "" {
		s += " [" + l.Source + "]"
	}
	return s
}
