package shop

import (
	"bytes"
	"cmp"
	"encoding/csv"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"endfloat/internal/report"
)

// nobody stands where no supplier offers a part.
const nobody = "nobody offers these"

// Stands says in a few words how a line that was ordered stands.
func (c Coming) Stands() string {
	switch {
	case c.Wrong() && c.Arrived.Is.Until != "":
		return "WRONG: send it back by " + c.Arrived.Is.Until
	case c.Wrong():
		return "WRONG: send it back"
	case c.Here():
		return "here"
	case c.Expected == "":
		return c.Is
	case c.Late:
		return "late, expected " + c.Expected
	}
	return c.Is + ", expected " + c.Expected
}

// Suppliers are those of what is to be ordered and of what has not come right,
// in the order of the alphabet; parts that nobody offers come last, under "".
func (os Orders) Suppliers() []string {
	var out []string
	add := func(s string) {
		if !slices.Contains(out, s) {
			out = append(out, s)
		}
	}
	for _, t := range os.To {
		add(t.Supplier)
	}
	for _, c := range os.Coming {
		if !c.Here() {
			add(c.Supplier)
		}
	}
	slices.SortFunc(out, func(a, b string) int {
		return cmp.Or(cmp.Compare(last(a), last(b)), strings.Compare(a, b))
	})
	return out
}

func last(supplier string) int {
	if supplier == "" {
		return 1
	}
	return 0
}

// Sheets are the order lists: for each supplier what is to be ordered and what
// has not come right yet. A supplier that is named stands alone.
func (os Orders) Sheets(supplier string) []report.OrderSheet {
	var out []report.OrderSheet
	for _, s := range os.Suppliers() {
		if supplier != "" && s != supplier {
			continue
		}
		sheet := report.OrderSheet{Supplier: cmp.Or(s, nobody)}
		for _, t := range os.To {
			if t.Supplier == s {
				stands := "to order"
				if t.Days > 0 {
					stands += fmt.Sprintf(", %d days", t.Days)
				}
				sheet.Rows = append(sheet.Rows, []string{t.Letter + " " + t.Unit, t.Label, t.Variant, strconv.Itoa(t.Count), t.Price, stands})
			}
		}
		for _, c := range os.Coming {
			if c.Supplier == s && !c.Here() {
				sheet.Rows = append(sheet.Rows, []string{c.Letter + " " + c.Unit, c.Label, c.Variant, strconv.Itoa(max(1, c.Count)), c.Price, c.Stands()})
			}
		}
		out = append(out, sheet)
	}
	return out
}

// CSV is the order lists as a table (RFC 4180). A cell that a spreadsheet would
// take for a formula is kept as text.
func (os Orders) CSV(supplier string) ([]byte, error) {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	w.UseCRLF = true
	rows := [][]string{{"supplier", "unit", "part", "variant", "count", "price", "stands"}}
	for _, s := range os.Sheets(supplier) {
		for _, r := range s.Rows {
			rows = append(rows, append([]string{s.Supplier}, r...))
		}
	}
	for _, r := range rows {
		for i, c := range r {
			if c != "" && strings.ContainsRune("=+-@\t\r", rune(c[0])) {
				r[i] = "'" + c
			}
		}
	}
	if err := w.WriteAll(rows); err != nil {
		return nil, fmt.Errorf("order list: %w", err)
	}
	return b.Bytes(), nil
}
