package web

import (
	"cmp"
	"maps"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"endfloat/calc/catalog"
	"endfloat/calc/uncert"
	"endfloat/calc/unit"
	"endfloat/internal/job"
	"endfloat/internal/shop"
)

// instrumentRow is an instrument as the stores list it.
type instrumentRow struct {
	job.Instrument
	Is     string // its doubt
	Common string // percent
	Href   string
}

func instrumentRowOf(in job.Instrument) instrumentRow {
	return instrumentRow{in, doubt(in), strconv.FormatFloat(100*in.Common, 'f', 0, 64) + " %", "/stores?instrument=" + url.QueryEscape(in.Name) + "#instrument"}
}

// instrumentForm is what stands in the form of an instrument.
type instrumentForm struct {
	Name, Quantity, Unit, U, MPE, Common, Metal, Checked string
	Like, Source                                         string // the usual instrument it was filled in from, and whence its MPE is
	Open, Change                                         bool
}

func (v *visit) instrumentForm(d *shop.Desk) instrumentForm {
	in, known := d.Instruments[v.r.FormValue("instrument")]
	switch {
	case v.refuse != nil && v.refuse.At == "instrument":
		f := v.r.FormValue
		return instrumentForm{Name: f("name"), Quantity: f("quantity"), Unit: f("unit"), U: f("u"), MPE: f("mpe"), Common: f("common"), Metal: f("metal"), Checked: f("checked"), Open: true}
	case !known:
		return usualForm(v.r.FormValue("like"))
	}
	out := instrumentForm{Name: in.Name, Quantity: in.Quantity, Unit: in.Unit, Common: plainNumber(in.Common), Metal: in.Metal, Checked: in.Checked, Open: true, Change: true}
	k, _ := unit.KindOf(in.Quantity)
	if u, ok := unit.Find(in.Unit, k); ok && u.Factor != 0 {
		out.U = plainNumber(in.U / u.Factor)
	}
	return out
}

// usualForm is a form for a new instrument, filled in from a usual one if it is named.
func usualForm(like string) instrumentForm {
	in, ok := uncert.FindInstrument(like)
	if !ok {
		return instrumentForm{Unit: "mm", Common: "0.5"}
	}
	return instrumentForm{Name: in.Name, Quantity: in.Quantity.String(), Unit: in.Unit, MPE: in.MPE, Common: plainNumber(in.Common), Metal: in.Metal,
		Like: in.Name, Source: in.Source, Open: true}
}

// usualGroup is one class of the usual instruments.
type usualGroup struct {
	Class string
	List  []uncert.Instrument
}

func usualGroups() []usualGroup {
	var out []usualGroup
	for _, in := range uncert.Instruments() {
		if n := len(out); n == 0 || out[n-1].Class != in.Class {
			out = append(out, usualGroup{Class: in.Class})
		}
		g := &out[len(out)-1]
		g.List = append(g.List, in)
	}
	return out
}

func plainNumber(x float64) string { return strconv.FormatFloat(x, 'g', 6, 64) }

func (s *server) addInstrument(v *visit) error {
	err := v.form()
	f := v.r.FormValue
	b := job.Instrument{Name: strings.TrimSpace(f("name")), Quantity: f("quantity"), Unit: strings.TrimSpace(f("unit")), Metal: strings.TrimSpace(f("metal")), Checked: strings.TrimSpace(f("checked"))}
	if err == nil {
		b.Common, err = share(f("common"))
	}
	// A quantity or unit that is not known is for the shop to refuse.
	if k, ok := unit.KindOf(b.Quantity); ok && err == nil {
		if u, ok := unit.Find(b.Unit, k); ok {
			if b.U, err = uncert.Doubt(f("u"), f("mpe"), k, u); err != nil {
				err = invalid("%v", err)
			}
		}
	}
	return s.keepInStores(v, "instrument", b, err)
}

// share reads a part of 1; left out it is a half.
func share(text string) (float64, error) {
	q, err := unit.Parse(cmp.Or(strings.TrimSpace(text), "0.5"), unit.Number, unit.Unit{})
	if err != nil || q.SI < 0 || q.SI > 1 {
		return 0, invalid("share common to repeats: %q was read, a number from 0 to 1 is expected", text)
	}
	return q.SI, nil
}

// toolFields are what is asked of a tool of each class: inputs of the sums that
// it serves, so that their names and choices are those of the catalogue.
var toolFields = []struct {
	class, sum string
	keys       []string
}{
	{"bar", "lever", []string{"arm", "bar-mass", "bar-centre", "bar-slope", "bar-weight"}},
	{"torque wrench", "extension", []string{"wrench", "extension", "angle"}},
	{"tube", "", []string{"bore", "outside"}},
	{"scale", "", nil},
}

// toolClass is one class of tool as the form shows it.
type toolClass struct {
	Name, Mark string
	Fields     []inputRow
}

// toolForm is what stands in the form of a tool.
type toolForm struct {
	Name, Class  string
	Classes      []toolClass
	Open, Change bool
}

// toolRow is a tool as the stores list it.
type toolRow struct {
	job.Tool
	Href string
}

func (v *visit) toolForm(d *shop.Desk) toolForm {
	t, known := d.Tools[v.r.FormValue("tool")]
	typed := func(key string) string { return t.Values[key] }
	out := toolForm{Name: t.Name, Class: t.Class, Open: known, Change: known}
	if v.refuse != nil && v.refuse.At == "tool" {
		typed = v.r.FormValue
		out = toolForm{Name: v.r.FormValue("name"), Class: v.r.FormValue("class"), Open: true}
	}
	for _, c := range toolFields {
		tc := toolClass{Name: c.class, Mark: strings.ReplaceAll(c.class, " ", "-")}
		for _, k := range c.keys {
			in := toolInput(c.sum, k)
			in.Default, in.Optional = "", c.class != "tube"
			tc.Fields = append(tc.Fields, inputRow{Input: in, Typed: typed(k)})
		}
		out.Classes = append(out.Classes, tc)
	}
	return out
}

// toolInput is what is asked under that key: by its sum, or of a tube.
func toolInput(sum, key string) catalog.Input {
	if s, err := catalog.Find(sum); sum != "" && err == nil {
		if in, ok := s.Input(key); ok {
			return in
		}
	}
	help := map[string]string{"bore": "bore of the tube; 0 mm for a solid drift", "outside": "outside diameter of the tube"}
	return catalog.Input{Key: key, Help: help[key], Kind: unit.KindLength, Unit: "mm"}
}

func (s *server) addTool(v *visit) error {
	err := v.form()
	b := job.Tool{Name: strings.TrimSpace(v.r.FormValue("name")), Class: v.r.FormValue("class"), Values: map[string]string{}}
	if err == nil {
		err = s.toolValues(v, &b)
	}
	return s.keepInStores(v, "tool", b, err)
}

// toolValues reads what was typed for the class of a tool. What a tool that is
// changed has beside the fields of the form stays as it was.
func (s *server) toolValues(v *visit, b *job.Tool) error {
	i := slices.IndexFunc(toolFields, func(c struct {
		class, sum string
		keys       []string
	}) bool {
		return c.class == b.Class
	})
	if i < 0 {
		return invalid("class: %q was read; choose what the tool is", b.Class)
	}
	d, err := s.sh.Open(v.r.Context(), shop.StoresBook)
	if err != nil {
		return err
	}
	if old, ok := d.Tools[b.Name]; ok && old.Class == b.Class {
		maps.Copy(b.Values, old.Values)
	}
	sizes := map[string]float64{}
	for _, k := range toolFields[i].keys {
		delete(b.Values, k)
		t := strings.TrimSpace(v.r.FormValue(k))
		if t == "" {
			continue
		}
		in := toolInput(toolFields[i].sum, k)
		b.Values[k] = t
		if len(in.Choices) > 0 {
			continue
		}
		u, _ := unit.Find(in.Unit, in.Kind)
		q, err := unit.Parse(t, in.Kind, u)
		if err != nil {
			return invalid("%s: %v", in.Help, err)
		}
		if !strings.ContainsFunc(t, isLetter) && in.Unit != "" {
			b.Values[k] = t + " " + in.Unit // the list then says in what
		}
		sizes[k] = q.SI
	}
	if b.Class == "tube" && !(sizes["outside"] > sizes["bore"]) {
		return invalid("a tube has a bore and an outside diameter that is larger; %s and %s were read",
			cmp.Or(b.Values["bore"], "no bore"), cmp.Or(b.Values["outside"], "no outside diameter"))
	}
	return nil
}
