package setup_test

import (
	"bytes"
	_ "embed"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"os/exec"
	"testing"
	"time"

	"endfloat/internal/gearbox"
	"endfloat/internal/job"
)

//go:embed testdata/gls.json
var glsTable []byte

//go:embed testdata/gls.py
var glsScript []byte

// glsBox is the gearbox of the reference cases.
const glsBox = `endfloat: 1
gearbox: Reference
sources: {sheet: {title: testdata/gls.py}}
carriers:
  drive:
    kind: differential
    order:
      P: {name: depth shims, kind: seat, stock: depth shim}
      L: {name: left shims, kind: seat, stock: side shim, check: {thickness: {by: outside micrometer}}}
      R: {name: right shims, kind: seat, stock: side shim, check: {thickness: {by: outside micrometer}}}
measure:
  mandrel: {}
  block: {}
  gap: {}
  width: {metal: aluminium}
  length: {metal: steel}
settings:
  height: {chain: [+mandrel, +block, +gap], raised by: P, wanted: 64.00, within: 0.03, refit: 0.003, from: sheet 1}
  side preload: {chain: [+L, +R, -width, +length], limit: [0.10, 0.14], from: sheet 1}
  backlash: {by: dial, places: 4, raised by: R, lowered by: L, factor: 0.70 ± 0.07, limit: [0.13, 0.18], refit: 0.004, from: sheet 1}
`

type glsCases struct {
	Cases []struct {
		Name string
		Book []struct {
			Came, Fit, Read, With string
			T, U, Common          float64
			Tags                  []string
			Values                []float64
			Temp                  *float64
		}
		Want map[string]struct{ Value, U float64 }
	}
}

// The estimate of all lengths against a batch least-squares solution by SciPy
// (scipy.optimize.least_squares, testdata/gls.py): values and standard
// uncertainties to a millionth, for chains that share an instrument, packs
// measured whole, temperature, and trials with an uncertain factor. Ours has a
// prior of 10 mm on each length, the reference has none, which is less than that.
func TestAgainstBatchLeastSquares(t *testing.T) {
	var table glsCases
	if err := json.Unmarshal(glsTable, &table); err != nil {
		t.Fatal(err)
	}
	if len(table.Cases) < 12 {
		t.Fatalf("%d cases in the table", len(table.Cases))
	}
	box, err := gearbox.Read("reference.yaml", []byte(glsBox))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range table.Cases {
		var es []job.Entry
		write := func(b job.Body) {
			id := fmt.Sprint("e", len(es))
			by, err := job.Encode(job.Entry{ID: id, At: time.Date(2026, 3, 2, 8, len(es), 0, 0, time.UTC)}, b)
			if err != nil {
				t.Fatal(err)
			}
			es = append(es, job.Decode(job.Line{Seq: len(es) + 1, ID: id, Bytes: by}))
		}
		write(job.Opened{Unit: "R", Letter: "R", Type: "Reference"})
		for _, b := range c.Book {
			switch {
			case b.Came != "":
				write(job.Came{Piece: job.Piece{Tag: b.Came, SI: b.T * mm, U: b.U * mm}, From: "stores", Place: "bench"})
			case b.Fit != "":
				write(job.Fitted{Position: b.Fit, Tags: b.Tags})
			default:
				r := read(b.Read, b.With, b.U*1000, b.Values...)
				r.Common, r.Temp = b.Common, b.Temp
				write(r)
			}
		}
		s := job.Replay("reference", box, es)
		if len(s.Stray) > 0 {
			t.Fatalf("%s: %v", c.Name, s.Stray)
		}
		if len(c.Want) == 0 {
			t.Errorf("%s: nothing to compare", c.Name)
		}
		for name, want := range c.Want {
			if name == "factor" {
				r := setting(t, s, "backlash")
				near(t, c.Name+": factor", r.Factor, want.Value, 1e-6*want.Value)
				near(t, c.Name+": doubt of the factor", r.FactorU, want.U, 1e-6*want.U)
				continue
			}
			r := setting(t, s, name)
			if !r.Known {
				t.Errorf("%s: %s is not known: %v", c.Name, name, r.Missing)
				continue
			}
			near(t, c.Name+": "+name, r.Value/mm, want.Value, 1e-6*math.Abs(want.Value))
			near(t, c.Name+": doubt of "+name, r.U/mm, want.U, 1e-6*want.U)
		}
	}
}

// The table is what the script writes.
func TestTableOfBatch(t *testing.T) {
	const python = "/usr/bin/python3"
	missing := t.Skipf
	if os.Getenv("CI") == "true" {
		missing = t.Fatalf
	}
	if err := exec.Command(python, "-c", "import numpy, scipy").Run(); err != nil {
		missing("no reference to check against: %s with numpy and scipy is needed (%v)", python, err)
	}
	cmd := exec.Command(python, "-")
	var errs bytes.Buffer
	cmd.Stdin, cmd.Stderr = bytes.NewReader(glsScript), &errs
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("the reference script failed: %v\n%s", err, errs.Bytes())
	}
	var table, now glsCases
	if err := json.Unmarshal(glsTable, &table); err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(out, &now); err != nil {
		t.Fatal(err)
	}
	if len(now.Cases) != len(table.Cases) {
		t.Fatalf("the script has %d cases, the table %d; write it anew: python3 gls.py > gls.json", len(now.Cases), len(table.Cases))
	}
	for i, c := range table.Cases {
		for name, want := range c.Want {
			got := now.Cases[i].Want[name]
			near(t, c.Name+": "+name, got.Value, want.Value, 1e-7*math.Abs(want.Value))
			near(t, c.Name+": doubt of "+name, got.U, want.U, 1e-7*want.U)
		}
	}
}
