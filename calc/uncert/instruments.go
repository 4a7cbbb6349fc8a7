package uncert

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

// Instrument is a usual instrument with the maximum permissible error (MPE) that
// is published for it, of one reading.
type Instrument struct {
	Name     string
	Class    string    // what it stands under in a list
	Quantity unit.Kind // it reads
	Unit     string    // symbol of the unit of its scale
	MPE      string    // half-width as Doubt reads it: "4 µm", "4 % of 200 N·m"
	Common   float64   // share of the variance that repeats have in common
	Metal    string    // it is made of, "" unknown
	Source   string
	U        float64 // standard uncertainty that follows from MPE, SI
}

//go:embed instruments.csv
var instruments string

// Instruments returns the usual instruments, class by class. The list is shared:
// copy it before changing it.
var Instruments = sync.OnceValue(func() []Instrument {
	list, _ := ReadInstruments(instruments) // a test reads the file
	return list
})

// FindInstrument returns the usual instrument of that name, or false.
func FindInstrument(name string) (Instrument, bool) {
	for _, in := range Instruments() {
		if strings.EqualFold(in.Name, strings.TrimSpace(name)) {
			return in, true
		}
	}
	return Instrument{}, false
}

var instrumentHead = []string{"name", "class", "quantity", "unit", "mpe", "common", "metal", "source"}

// ReadInstruments reads a table of instruments, comma-separated, under the heading
// name, class, quantity, unit, mpe, common, metal, source. Lines that begin with #
// are comments; the source may not be empty. An error names the row.
func ReadInstruments(text string) ([]Instrument, error) {
	r := csv.NewReader(strings.NewReader(text))
	r.Comment, r.FieldsPerRecord = '#', len(instrumentHead)
	rows, err := r.ReadAll()
	if err != nil {
		return nil, fmt.Errorf("uncert: the table of instruments: %w", err)
	}
	if len(rows) == 0 || strings.Join(rows[0], ",") != strings.Join(instrumentHead, ",") {
		return nil, fmt.Errorf("uncert: the table of instruments must begin with the heading %s", strings.Join(instrumentHead, ","))
	}
	var list []Instrument
	seen := map[string]bool{}
	for _, row := range rows[1:] {
		in, err := readInstrument(row)
		if err == nil && seen[in.Name] {
			err = fmt.Errorf("it stands there twice")
		}
		if err != nil {
			return nil, fmt.Errorf("uncert: instrument %q: %w", row[0], err)
		}
		seen[in.Name] = true
		list = append(list, in)
	}
	return list, nil
}

func readInstrument(row []string) (Instrument, error) {
	in := Instrument{Name: row[0], Class: row[1], Unit: row[3], MPE: row[4], Metal: row[6], Source: row[7]}
	if in.Name == "" || in.Class == "" || in.Source == "" {
		return in, fmt.Errorf("a name, a class and a source are expected")
	}
	var ok bool
	if in.Quantity, ok = unit.KindOf(row[2]); !ok {
		return in, fmt.Errorf("quantity %q is not known", row[2])
	}
	u, ok := unit.Find(in.Unit, in.Quantity)
	if !ok {
		return in, fmt.Errorf("%q is no unit of %s", in.Unit, in.Quantity)
	}
	var err error
	if in.Common, err = strconv.ParseFloat(row[5], 64); err != nil || !(in.Common >= 0 && in.Common <= 1) {
		return in, fmt.Errorf("common %q: a number from 0 to 1 is expected", row[5])
	}
	in.U, err = Doubt("", in.MPE, in.Quantity, u)
	return in, err
}

// Doubt is the standard uncertainty of one reading, in SI, of an instrument that
// reads in def. It is typed as u, or it follows from the maximum permissible error:
// taken as a rectangular distribution of that half-width it is mpe/√3 ([GUM]
// 4.3.7). One of the two is given; mpe may be a part of the greatest value that is
// read, "4 % of 200 N·m".
func Doubt(u, mpe string, k unit.Kind, def unit.Unit) (float64, error) {
	u, mpe = strings.TrimSpace(u), strings.TrimSpace(mpe)
	switch {
	case u != "" && mpe != "":
		return 0, fmt.Errorf("give the standard uncertainty or the maximum permissible error, not both: one follows from the other; clear one of them")
	case u == "" && mpe == "":
		return 0, fmt.Errorf("give the standard uncertainty of one reading, or the maker's maximum permissible error")
	case u != "":
		x, err := difference(u, k, def)
		if err != nil {
			return 0, fmt.Errorf("uncertainty: %w", err)
		}
		return x, nil
	}
	x, err := limit(strings.TrimSpace(strings.TrimPrefix(mpe, "±")), k, def)
	if err != nil {
		return 0, fmt.Errorf("maximum permissible error: %w", err)
	}
	return x / math.Sqrt(3), nil
}

// limit reads a half-width, or a part of a value.
func limit(text string, k unit.Kind, def unit.Unit) (float64, error) {
	part, of, ok := strings.Cut(text, " of ")
	if !ok {
		return difference(text, k, def)
	}
	p, err := unit.Parse(part, unit.Number, unit.Unit{})
	if err != nil {
		return 0, err
	}
	if !(p.SI > 0 && p.SI < 1) {
		return 0, fmt.Errorf("%q was read; a part of a value is from 0 %% to 100 %%", part)
	}
	q, err := unit.Parse(of, k, def)
	return p.SI * q.SI, err
}

// difference reads a difference of two values: 0.5 °C of doubt is half a kelvin.
func difference(text string, k unit.Kind, def unit.Unit) (float64, error) {
	if k == unit.KindTemperature {
		if q, err := unit.Parse(text, unit.KindTempRise, unit.Unit{}); err == nil && strings.HasSuffix(text, "K") {
			return q.SI, nil
		}
	}
	q, err := unit.Parse(text, k, def)
	if err != nil {
		return 0, err
	}
	return q.SI + q.Unit.Offset*q.Unit.Factor, nil
}
