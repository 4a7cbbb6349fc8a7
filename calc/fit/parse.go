package fit

import (
	"fmt"
	"strconv"
	"strings"

	"endfloat/calc/unit"
)

// Parse reads a size with one class or two, as a drawing has it: "25 H7/p6",
// "25 H7", "ø25p6", "1-3/8 in H8/f7". A size without a unit is in millimetres.
// The case of the letter tells hole from shaft.
func Parse(text string) (unit.Length, Pair, error) {
	s := strings.TrimSpace(text)
	first, rest := classesOf(s)
	if first == "" {
		return 0, Pair{}, fmt.Errorf("fit: cannot read %q: expected a size and a class, as in 25 H7/p6", clip(text))
	}
	p, err := ParsePair(first)
	if err != nil {
		return 0, Pair{}, err
	}
	number := strings.TrimSpace(rest)
	for _, sign := range []string{"ø", "Ø", "⌀", "∅"} {
		number = strings.TrimPrefix(number, sign)
	}
	q, err := unit.Parse(number, unit.KindLength, millimetre)
	if err != nil {
		return 0, Pair{}, fmt.Errorf("fit: the size in %q: %w", clip(text), err)
	}
	size := unit.Length(q.SI)
	if _, _, err := place(size); err != nil {
		return 0, Pair{}, err
	}
	return size, p, nil
}

var millimetre = func() unit.Unit { u, _ := unit.Find("mm", unit.KindLength); return u }()

// classesOf splits the classes off the end of a text, where the last word, or
// the last two joined by "/", "-" or a space, end in digits after letters.
func classesOf(s string) (classes, rest string) {
	last := lastClass(s)
	if last == len(s) {
		return "", s
	}
	before := strings.TrimRight(s[:last], " /-")
	if first := lastClass(before); first < len(before) && len(before) < last {
		return s[first:], s[:first]
	}
	return s[last:], s[:last]
}

// lastClass returns where a class at the very end of s begins, len(s) if there is
// none.
func lastClass(s string) int {
	i := len(s)
	for i > 0 && '0' <= s[i-1] && s[i-1] <= '9' {
		i--
	}
	j := i
	for j > 0 && isLetter(s[j-1]) {
		j--
	}
	if i == len(s) || j == i {
		return len(s)
	}
	return j
}

func isLetter(b byte) bool { return 'a' <= b|0x20 && b|0x20 <= 'z' }

// ParsePair reads "H7/p6", "H7" or "p6". The hole may stand on either side.
func ParsePair(text string) (Pair, error) {
	s := strings.TrimSpace(text)
	cut := strings.IndexAny(s, " /-")
	if cut < 0 {
		c, err := ParseClass(s)
		switch {
		case err != nil:
			return Pair{}, err
		case c.Hole():
			return Pair{Hole: c}, nil
		}
		return Pair{Shaft: c}, nil
	}
	a, err := ParseClass(s[:cut])
	if err != nil {
		return Pair{}, err
	}
	b, err := ParseClass(strings.TrimLeft(s[cut:], " /-"))
	switch {
	case err != nil:
		return Pair{}, err
	case a.Hole() == b.Hole():
		return Pair{}, fmt.Errorf("fit: %q has no hole and shaft; a capital letter is a hole, a small one a shaft, as in H7/p6", clip(text))
	case b.Hole():
		a, b = b, a
	}
	return Pair{a, b}, nil
}

// ParseClass reads one class, such as "H7", "js6" or "Js7". The first letter
// tells hole from shaft. It knows the names; that a class exists at some size,
// Limits tells.
func ParseClass(text string) (Class, error) {
	s := strings.TrimSpace(text)
	i := strings.IndexAny(s, "0123456789")
	if i < 1 || i > 2 {
		return Class{}, fmt.Errorf("fit: cannot read %q as a class; expected letter and grade, as in H7 or p6", clip(text))
	}
	c := Class{Letter: s[:i]}
	if c.Hole() {
		c.Letter = strings.ToUpper(c.Letter)
	}
	name, column := c.column()
	if column < 0 && name != "j" && name != "js" {
		return Class{}, fmt.Errorf("fit: %q: letter %q is not in the tables, which have a to h, j, js, k, m, n, p to v, x, y, z, za, zb, zc", clip(text), c.Letter)
	}
	g, err := strconv.ParseUint(s[i:], 10, 8)
	switch {
	case s[i:] == "01":
		c.Grade = IT01
	case err != nil || g > uint64(IT18) || s[i] == '0' && len(s) > i+1:
		return Class{}, fmt.Errorf("fit: %q: grade %q is not one of 01, 0, 1 to 18", clip(text), s[i:])
	default:
		c.Grade = Grade(g)
	}
	return c, nil
}

// clip keeps a pasted page out of an error.
func clip(s string) string {
	if len(s) > 40 {
		return s[:40] + "…"
	}
	return s
}
