package web

import (
	"fmt"
	"net/url"
	"slices"
	"strconv"

	"endfloat/calc/catalog"
	"endfloat/internal/job"
	"endfloat/internal/shop"
)

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
	book := v.r.FormValue("into")
	if book == "" || book == shop.StoresBook {
		return "", invalid("choose the job whose book it goes into")
	}
	q, stores, err := s.asked(v, sum, typedInputs(v, sum), v.r.FormValue)
	if err != nil {
		return "", err
	}
	a, given, err := shop.DoSum(stores, q)
	if err != nil {
		return "", invalid("there is no answer to put into a book yet: %v", err)
	}
	by := v.by()
	d, err := s.sh.Record(v.r.Context(), by, book, shop.SumNote(a, given))
	if err != nil {
		return "", err
	}
	at := len(d.Entries) - 1
	if i := slices.IndexFunc(d.Entries, func(e job.Entry) bool { return e.ID == by.ID }); i >= 0 {
		at = i
	}
	to := url.Values{"into": {book}, "entry": {strconv.Itoa(d.Entries[at].Seq)}}
	for k, t := range q.Typed {
		to.Set(k, t)
	}
	for _, k := range askedBeside {
		if t := v.r.FormValue(k); t != "" {
			to.Set(k, t)
		}
	}
	return "/sums/" + sum.Name + "?" + to.Encode() + "#kept", nil
}

// keptIn finds the entry that the address of a page speaks of.
func (s *server) keptIn(v *visit) *keptSum {
	n, err := strconv.Atoi(v.r.FormValue("entry"))
	if err != nil {
		return nil
	}
	d, err := s.sh.Open(v.r.Context(), v.r.FormValue("into"))
	if err != nil || n < 1 || n > len(d.Entries) || d.Entries[n-1].Kind != (job.Noted{}).Kind() || field(d.Entries[n-1], "topic") != shop.SumTopic {
		return nil
	}
	return &keptSum{d.Opened.Letter, d.Opened.Unit, fmt.Sprintf("/job/%s/book#e%d", d.Book, n)}
}
