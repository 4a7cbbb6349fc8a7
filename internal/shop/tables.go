package shop

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"endfloat/calc/unit"
	"endfloat/internal/job"
)

// ReadingsCSV is every reading of a job as a table (RFC 4180), a line for each
// value, struck ones too. Numbers are in SI; the text stands beside as it was
// typed.
func (d *Desk) ReadingsCSV() ([]byte, error) {
	rows := [][]string{{"entry", "at", "what", "place", "typed", "si", "unit", "u si", "instrument", "temperature °C", "state", "piece", "note", "struck"}}
	for _, e := range d.Entries {
		var r job.Read
		if e.Kind != r.Kind() || json.Unmarshal(e.Body, &r) != nil {
			continue
		}
		_, struck := d.Struck[e.ID]
		temp := ""
		if r.Temp != nil {
			temp = figure(*r.Temp)
		}
		for i, typed := range r.Values {
			si := ""
			if i < len(r.SI) {
				si = figure(r.SI[i])
			}
			rows = append(rows, []string{strconv.Itoa(e.Seq), e.At.Format(time.RFC3339), r.What, strconv.Itoa(i + 1), typed, si, baseOf(r.Unit), figure(r.U), r.With, temp, r.State, r.Piece, r.Note, yesNo(struck)})
		}
	}
	return table(rows)
}

// PartsCSV is every position of a job with the pieces that are there now.
func (d *Desk) PartsCSV() ([]byte, error) {
	rows := [][]string{{"position", "name", "carrier", "variant", "piece", "thickness m", "from", "marks", "decision", "why", "faces", "torque N·m", "lock", "old part lies in"}}
	if d.Box == nil {
		return table(rows)
	}
	for _, p := range d.Box.All() {
		sp := d.Spots[p.ID]
		if sp == nil {
			sp = &job.Spot{}
		}
		var decision, why, faces, torque, lock string
		if sp.Decided != nil {
			decision, why = sp.Decided.Is.Choice, sp.Decided.Is.Why
		}
		if sp.Fitted != nil {
			faces = sp.Fitted.Is.Faces
		}
		if sp.Torqued != nil {
			torque = figure(sp.Torqued.Is.Torque)
		}
		if sp.Locked != nil {
			lock = sp.Locked.Is.How
		}
		old := ""
		if tag := job.Tag(d.Opened.Letter, p.ID); !slices.Contains(d.At[p.ID], tag) {
			old = d.Where[tag]
		}
		tags := d.At[p.ID]
		if len(tags) == 0 {
			tags = []string{""}
		}
		for _, t := range tags {
			thick, from, marks := "", "", ""
			if pc := d.Pieces[t]; pc != nil {
				from, marks = pc.Origin, marksOf(pc.Marks)
				if pc.SI > 0 {
					thick = figure(pc.SI)
				}
			}
			rows = append(rows, []string{p.ID, p.Name, p.Carrier.Name, d.Built.Variants[p.ID], t, thick, from, marks, decision, why, faces, torque, lock, old})
		}
	}
	return table(rows)
}

func marksOf(m map[string]string) string {
	var out []string
	for k, v := range m {
		out = append(out, k+" "+v)
	}
	slices.Sort(out)
	return strings.Join(out, "; ")
}

// figure is a number with the digits that it has: beyond twelve there is only
// what the arithmetic left.
func figure(v float64) string {
	r, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 12, 64), 64)
	if err != nil {
		return ""
	}
	return strconv.FormatFloat(r, 'g', -1, 64)
}

// baseOf is the SI unit of the quantity that a unit is of.
func baseOf(symbol string) string {
	for _, k := range []struct {
		kind unit.Kind
		base string
	}{{unit.KindLength, "m"}, {unit.KindTorque, "N·m"}, {unit.KindForce, "N"}, {unit.KindTemperature, "°C"}, {unit.KindPressure, "Pa"}, {unit.KindMass, "kg"}} {
		if _, ok := unit.Find(symbol, k.kind); ok && symbol != "" {
			return k.base
		}
	}
	return ""
}

func yesNo(b bool) string {
	if b {
		return "yes"
	}
	return ""
}

// table writes rows as CSV. A cell that a spreadsheet would take for a formula is
// kept as text; a number is a number.
func table(rows [][]string) ([]byte, error) {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	w.UseCRLF = true
	for _, r := range rows {
		for i, c := range r {
			if _, err := strconv.ParseFloat(c, 64); c != "" && err != nil && strings.ContainsRune("=+-@\t\r", rune(c[0])) {
				r[i] = "'" + c
			}
		}
	}
	if err := w.WriteAll(rows); err != nil {
		return nil, fmt.Errorf("table: %w", err)
	}
	return b.Bytes(), nil
}
