package report

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
)

// Stock is what labels are printed on: a sheet with a grid of them, or a tape or
// roll with one to a page. All lengths in mm.
type Stock struct {
	Name, Says   string
	Page         [2]float64 // width and height
	Cols, Rows   int
	W, H         float64 // of one label
	Left, Top    float64 // to the first label
	StepX, StepY float64 // from one label to the next
}

// Stocks are the sizes that can be bought in most places. The grids are those
// printed on the packets of such sheets (from memory): hold a sheet against the
// first print before using up a packet.
func Stocks() []Stock {
	a4, letter := papers["a4"], papers["letter"]
	return []Stock{
		{"a4-24", "A4 sheet, 24 labels of 70 × 37 mm", a4, 3, 8, 70, 37, 0, 0.5, 70, 37},
		{"a4-21", "A4 sheet, 21 labels of 63.5 × 38.1 mm", a4, 3, 7, 63.5, 38.1, 7.25, 15.15, 66, 38.1},
		{"a4-14", "A4 sheet, 14 labels of 99.1 × 38.1 mm", a4, 2, 7, 99.1, 38.1, 4.65, 15.15, 101.6, 38.1},
		{"a4-65", "A4 sheet, 65 labels of 38.1 × 21.2 mm", a4, 5, 13, 38.1, 21.2, 4.65, 10.7, 40.65, 21.2},
		{"letter-30", "Letter sheet, 30 labels of 2 5/8 × 1 in", letter, 3, 10, 66.675, 25.4, 4.763, 12.7, 69.85, 25.4},
		one("62", "62 mm tape, 40 mm for each", 62, 40),
		one("62x29", "62 × 29 mm, one to a page", 62, 29),
		one("50x30", "50 × 30 mm, one to a page", 50, 30),
		one("54x25", "54 × 25 mm, one to a page", 54, 25),
		one("102x152", "102 × 152 mm (4 × 6 in), one to a page, for a crate", 102, 152),
	}
}

var papers = map[string][2]float64{"a4": {210, 297}, "letter": {215.9, 279.4}}

func one(name, says string, w, h float64) Stock {
	return Stock{name, says, [2]float64{w, h}, 1, 1, w, h, 0, 0, w, h}
}

const length = `(\d+(?:\.\d+)?)`

var (
	single = regexp.MustCompile(`^` + length + ` *[x×] *` + length + `$`)
	grid   = regexp.MustCompile(`^(\d+) *[x×] *(\d+) of ` + length + ` *[x×] *` + length +
		`(?: from ` + length + ` *, *` + length + `)?(?: step ` + length + ` *, *` + length + `)?(?: on (a4|letter))?$`)
)

// StockOf finds a stock by name, or reads one: "50x30" is a single label of that
// width and height in mm; "3x8 of 70x37 from 0,0.5 step 70,37 on a4" is a grid,
// where what is left out is a grid without gaps in the middle of an A4 sheet.
func StockOf(text string) (Stock, error) {
	text = strings.ToLower(strings.TrimSpace(text))
	for _, s := range Stocks() {
		if s.Name == text || text == "" {
			return s, nil
		}
	}
	if m := single.FindStringSubmatch(text); m != nil {
		n := numbers(m[1:])
		return one(text, text+" mm, one to a page", n[0], n[1]).check()
	}
	m := grid.FindStringSubmatch(text)
	if m == nil {
		var names []string
		for _, s := range Stocks() {
			names = append(names, s.Name)
		}
		return Stock{}, fmt.Errorf("labels %q are not known; choose %s, a size such as 50x30, or a grid such as \"3x8 of 70x37 from 0,0.5 step 70,37 on a4\"", text, strings.Join(names, ", "))
	}
	n := numbers(m[1:9])
	s := Stock{Name: text, Says: text, Page: papers["a4"], Cols: int(n[0]), Rows: int(n[1]), W: n[2], H: n[3], StepX: n[2], StepY: n[3]}
	if m[9] != "" {
		s.Page = papers[m[9]]
	}
	if m[7] != "" {
		s.StepX, s.StepY = n[6], n[7]
	}
	s.Left = (s.Page[0] - float64(s.Cols-1)*s.StepX - s.W) / 2
	s.Top = (s.Page[1] - float64(s.Rows-1)*s.StepY - s.H) / 2
	if m[5] != "" {
		s.Left, s.Top = n[4], n[5]
	}
	return s.check()
}

func numbers(texts []string) []float64 {
	out := make([]float64, len(texts))
	for i, t := range texts {
		out[i], _ = strconv.ParseFloat(t, 64) // the pattern lets only numbers through, or nothing
	}
	return out
}

// check refuses what cannot be printed.
func (s Stock) check() (Stock, error) {
	const slack = 0.01
	switch {
	case s.Cols < 1 || s.Rows < 1 || s.Cols*s.Rows > 400:
		return s, fmt.Errorf("labels %q: a sheet has from 1 to 400 labels", s.Name)
	case s.W < 20 || s.H < 15 || s.W > 300 || s.H > 300:
		return s, fmt.Errorf("labels %q: %g × %g mm was read; a label of 20 × 15 to 300 × 300 mm can be printed and read", s.Name, s.W, s.H)
	case s.Left < -slack || s.Top < -slack || s.Left+float64(s.Cols-1)*s.StepX+s.W > s.Page[0]+slack || s.Top+float64(s.Rows-1)*s.StepY+s.H > s.Page[1]+slack:
		return s, fmt.Errorf("labels %q: the grid is larger than the sheet of %g × %g mm", s.Name, s.Page[0], s.Page[1])
	case s.Cols > 1 && s.StepX < s.W-slack || s.Rows > 1 && s.StepY < s.H-slack:
		return s, fmt.Errorf("labels %q: the step is smaller than the label, so they would overlap", s.Name)
	}
	return s, nil
}
