package report

// col is a column of a table: its head and its share of the width.
type col struct {
	head  string
	share float64
}

// row is the cells of one row, each a few paragraphs in their faces.
type row [][]line

const gutter = 2.5 // between columns, mm

// table sets rows under a head that is repeated on every page. Cells wrap; a
// row goes over to the next page whole unless it is longer than half a page.
func (s *sheet) table(cols []col, rows []row) {
	if len(rows) == 0 {
		return
	}
	xs, ws := s.columns(cols)
	s.gap(1)
	s.need(22)
	s.air = 0.8
	if len(rows[0]) > 0 && len(rows[0][0]) > 0 && rows[0][0][0].size <= tiny.size {
		s.air = 0.35
	}
	s.tableHead(cols, xs, ws)
	for _, r := range rows {
		cells := make([][]line, len(cols))
		tall := 0.0
		for i := range cols {
			if i < len(r) {
				for _, l := range r[i] {
					cells[i] = append(cells[i], s.wrap(l.face, ws[i], l.text)...)
				}
			}
			tall = max(tall, height(cells[i]))
		}
		if s.y+tall+2 > s.floor() && tall < 0.5*(s.floor()-s.top) {
			s.page(s.w > s.h)
			s.tableHead(cols, xs, ws)
		}
		s.tableRow(cols, xs, ws, cells)
	}
	s.y += 3
}

func (s *sheet) columns(cols []col) (xs, ws []float64) {
	var all float64
	for _, c := range cols {
		all += c.share
	}
	x := s.left
	for _, c := range cols {
		w := (s.wide() + gutter) * c.share / all
		xs, ws = append(xs, x), append(ws, w-gutter)
		x += w
	}
	return xs, ws
}

func height(ls []line) float64 {
	var h float64
	for _, l := range ls {
		h += l.lead
	}
	return h
}

func (s *sheet) tableHead(cols []col, xs, ws []float64) {
	tall := 0.0
	var cells [][]line
	for i, c := range cols {
		cells = append(cells, s.wrap(head, ws[i], c.head))
		tall = max(tall, height(cells[i]))
	}
	top := s.y
	for i, ls := range cells {
		y := top + tall - height(ls)
		for _, l := range ls {
			y += l.lead
			s.text(l.face, xs[i], y-0.26*l.lead, l.text)
		}
	}
	s.y = top + tall + 0.8
	s.rule(s.left, s.y, s.wide(), 0.25, 0)
	s.y += 0.9
}

// tableRow writes the cells of a row side by side, over as many pages as it needs.
func (s *sheet) tableRow(cols []col, xs, ws []float64, cells [][]line) {
	for {
		top, end, more := s.y, s.y, false
		for i := range cells {
			y := top
			for len(cells[i]) > 0 && y+cells[i][0].lead <= s.floor() {
				l := cells[i][0]
				y += l.lead
				s.text(l.face, xs[i], y-0.26*l.lead, l.text)
				cells[i] = cells[i][1:]
			}
			end = max(end, y)
			more = more || len(cells[i]) > 0
		}
		s.y = end + s.air
		s.rule(s.left, s.y, s.wide(), 0.1, 190)
		s.y += s.air
		if !more {
			return
		}
		s.page(s.w > s.h)
		s.tableHead(cols, xs, ws)
	}
}

// in makes the paragraphs of a cell: the first in the face, the rest small.
func in(a face, first string, rest ...string) []line {
	var ls []line
	if first != "" {
		ls = append(ls, line{a, first})
	}
	for _, t := range rest {
		if t != "" {
			ls = append(ls, line{small, t})
		}
	}
	return ls
}
