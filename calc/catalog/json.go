package catalog

import (
	"encoding/json"

	"endfloat/calc/unit"
)

// MarshalJSON writes the declaration of a sum: what it asks for and gives.
func (s *Sum) MarshalJSON() ([]byte, error) {
	type input struct {
		Key      string   `json:"key"`
		Symbol   string   `json:"symbol,omitempty"`
		Help     string   `json:"help"`
		Kind     string   `json:"kind"`
		Unit     string   `json:"unit,omitempty"`
		Default  string   `json:"default,omitempty"`
		Required bool     `json:"required"`
		Many     bool     `json:"many,omitempty"`
		Named    bool     `json:"named,omitempty"`
		Whole    bool     `json:"whole,omitempty"`
		Choices  []string `json:"choices,omitempty"`
		Min      *float64 `json:"min_si,omitempty"`
		Max      *float64 `json:"max_si,omitempty"`
	}
	type output struct {
		Key    string `json:"key"`
		Symbol string `json:"symbol,omitempty"`
		Title  string `json:"title"`
		Kind   string `json:"kind"`
		Unit   string `json:"unit,omitempty"`
	}
	v := struct {
		Name        string            `json:"name"`
		Title       string            `json:"title"`
		Group       string            `json:"group"`
		Purpose     string            `json:"purpose"`
		Inputs      []input           `json:"inputs"`
		Outputs     []output          `json:"outputs"`
		Assumptions []string          `json:"assumptions,omitempty"`
		Sources     []string          `json:"sources"`
		Example     map[string]string `json:"example"`
		Caution     string            `json:"caution,omitempty"`
		Checked     string            `json:"checked"`
	}{s.Name, s.Title, s.Group, s.Purpose, nil, nil, s.Assumptions, s.Sources, s.Example, s.Caution, s.Checked()}
	for _, in := range s.Inputs {
		j := input{in.Key, in.Symbol, in.Help, in.kindName(), in.Unit, in.Default, in.Required(), in.Many, in.Named, in.Whole, in.Choices, nil, nil}
		if in.Min != in.Max {
			j.Min, j.Max = &in.Min, &in.Max
		}
		v.Inputs = append(v.Inputs, j)
	}
	for _, out := range s.Outputs {
		v.Outputs = append(v.Outputs, output{out.Key, out.Symbol, out.Title, out.kindName(), out.Unit})
	}
	return json.Marshal(v)
}

func (in Input) kindName() string {
	switch {
	case len(in.Choices) > 0:
		return "choice"
	case in.Words:
		return "text"
	}
	return in.Kind.String()
}

func (o Output) kindName() string {
	if o.Words {
		return "text"
	}
	return o.Kind.String()
}

// MarshalJSON writes an answer: every result with its value in SI, the same
// value and standard uncertainty in the unit of the result, the printed text and
// the share of each input in the variance.
func (a *Answer) MarshalJSON() ([]byte, error) {
	v := struct {
		Sum         string       `json:"sum"`
		Title       string       `json:"title"`
		Results     []resultJSON `json:"results"`
		Working     []lineJSON   `json:"working"`
		Warnings    []string     `json:"warnings,omitempty"`
		Assumptions []string     `json:"assumptions,omitempty"`
		Sources     []string     `json:"sources,omitempty"`
		Caution     string       `json:"caution,omitempty"`
	}{a.Sum.Name, a.Sum.Title, []resultJSON{}, []lineJSON{}, a.Warnings, a.Assumptions, a.Sources, a.Sum.Caution}
	for _, r := range a.Results {
		v.Results = append(v.Results, r.json())
	}
	for _, l := range a.Lines {
		v.Working = append(v.Working, lineJSON(l))
	}
	return json.Marshal(v)
}

type lineJSON struct {
	Symbol  string `json:"symbol,omitempty"`
	Meaning string `json:"meaning"`
	Formula string `json:"formula,omitempty"`
	Numbers string `json:"numbers,omitempty"`
	Value   string `json:"value,omitempty"`
	Source  string `json:"source,omitempty"`
}

type resultJSON struct {
	Key    string      `json:"key"`
	Symbol string      `json:"symbol,omitempty"`
	Title  string      `json:"title"`
	Kind   string      `json:"kind"`
	Text   string      `json:"text"`
	SI     *float64    `json:"si,omitempty"`
	USI    float64     `json:"u_si,omitempty"` // standard uncertainty
	Unit   string      `json:"unit,omitempty"`
	Value  *float64    `json:"value,omitempty"` // in Unit
	U      float64     `json:"u,omitempty"`     // in Unit
	Shares []shareJSON `json:"shares,omitempty"`
	MC     *spreadJSON `json:"mc,omitempty"`
}

// spreadJSON is a Monte Carlo distribution in the unit of its result; the interval
// is the shortest that holds 95 %.
type spreadJSON struct {
	Mean   float64 `json:"mean"`
	SD     float64 `json:"sd"`
	Low    float64 `json:"low"`
	High   float64 `json:"high"`
	Agrees bool    `json:"agrees"`
	Text   string  `json:"text"`
}

type shareJSON struct {
	Input string  `json:"input"`
	Part  float64 `json:"part"`
}

func (r Result) json() resultJSON {
	j := resultJSON{Key: r.Key, Symbol: r.Symbol, Title: r.Title, Kind: r.kindName(), Text: r.Text}
	if r.Words {
		return j
	}
	u := unitOf(r.Unit, r.Kind)
	in := fromSI(r.SI, u)
	j.SI, j.USI, j.Unit, j.Value, j.U = &r.SI, r.U, r.Unit, &in, r.U/u.Factor
	for _, s := range r.Shares {
		j.Shares = append(j.Shares, shareJSON(s))
	}
	if m := r.MC; m != nil {
		j.MC = &spreadJSON{fromSI(m.Mean, u), m.SD / perUnit(u), fromSI(m.Lo, u), fromSI(m.Hi, u), m.Agrees, m.Text}
	}
	return j
}

func fromSI(si float64, u unit.Unit) float64 {
	if u.Factor == 0 {
		return si
	}
	return si/u.Factor + u.Offset
}
