package web

import (
	"fmt"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"endfloat/calc/catalog"
	"endfloat/internal/job"
	"endfloat/internal/shop"
)

// sumTopic is the topic of a note that holds a sum.
const sumTopic = "sum"

// Note is a sum as a job's book keeps it: its title, the inputs as typed, the
// results and the working, a line for each.
func Note(a *catalog.Answer, typed map[string]string) job.Noted {
	lines := []string{a.Sum.Title}
	for _, in := range a.Sum.Understands() {
		if t := strings.TrimSpace(typed[in.Key]); t != "" {
			lines = append(lines, "given: "+in.Key+" = "+t)
		}
	}
	for _, r := range a.Results {
		lines = append(lines, "result: "+r.Title+" = "+r.Text)
	}
	for _, l := range a.Lines {
		lines = append(lines, "working: "+working(l))
	}
	for _, w := range a.Warnings {
		lines = append(lines, "look at: "+w)
	}
	return job.Noted{Topic: sumTopic, Text: strings.Join(lines, "\n")}
}

// working is one line of working on one line.
func working(l catalog.Line) string {
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

// keptSum says where a sum was put.
type keptSum struct{ Letter, Unit, Href string }

// keepSum puts a sum into the book of a job and stays on the sum's page.
func (s *server) keepSum(v *visit) error {
	sum, err := catalog.Find(v.r.PathValue("name"))
	if err != nil {
		return missing("%s", capital(err.Error()))
	}
	to := ""
	if err = v.form(); err == nil {
		to, err = s.recordSum(v, sum)
	}
	if err == nil {
		return v.go303(to)
	}
	if err := v.refused("keep", err); err != nil {
		return err
	}
	return s.showSum(v, sum)
}

// recordSum does the sum again, from what was typed, and records it. It returns
// the address of the page with the same sum.
func (s *server) recordSum(v *visit, sum *catalog.Sum) (string, error) {
	typed := typedInputs(v, sum)
	book := v.r.FormValue("into")
	if book == "" || book == shop.StoresBook {
		return "", invalid("choose the job whose book it goes into")
	}
	a, err := sum.Run(typed)
	if err != nil {
		return "", invalid("there is no answer to put into a book yet: %v", err)
	}
	by := v.by()
	d, err := s.sh.Record(v.r.Context(), by, book, Note(a, typed))
	if err != nil {
		return "", err
	}
	at := len(d.Entries) - 1
	if i := slices.IndexFunc(d.Entries, func(e job.Entry) bool { return e.ID == by.ID }); i >= 0 {
		at = i
	}
	q := url.Values{"into": {book}, "entry": {strconv.Itoa(d.Entries[at].Seq)}}
	for k, t := range typed {
		q.Set(k, t)
	}
	return "/sums/" + sum.Name + "?" + q.Encode() + "#kept", nil
}

// keptIn finds the entry that the address of a page speaks of.
func (s *server) keptIn(v *visit) *keptSum {
	n, err := strconv.Atoi(v.r.FormValue("entry"))
	if err != nil {
		return nil
	}
	d, err := s.sh.Open(v.r.Context(), v.r.FormValue("into"))
	if err != nil || n < 1 || n > len(d.Entries) || d.Entries[n-1].Kind != (job.Noted{}).Kind() || field(d.Entries[n-1], "topic") != sumTopic {
		return nil
	}
	return &keptSum{d.Opened.Letter, d.Opened.Unit, fmt.Sprintf("/job/%s/book#e%d", d.Book, n)}
}
