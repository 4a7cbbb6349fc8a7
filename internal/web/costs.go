package web

import (
	"net/url"
	"strings"
	"time"

	"endfloat/internal/job"
	"endfloat/internal/report"
	"endfloat/internal/shop"
)

// stages of a job, as hours are written down. Any other word may be typed.
var stages = []string{"receive", "strip", "clean", "inspect", "decide", "press and heat", "stacks", "settings", "close and test", "paper", "parts", "consumables"}

type costsPage struct {
	frame
	Account  report.Account
	Levels   []report.Level
	Lacks    string // why there are no levels
	Terms    job.Terms
	Estimate *job.Estimate
	Stages   []string
	Acts     []act // what was spent and agreed, newest first
}

// costs shows what a job has cost so far against its estimate, and what three
// ways to do it come to.
func (s *server) costs(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	return s.showCosts(v, d)
}

func (s *server) showCosts(v *visit, d *shop.Desk) error {
	p := costsPage{frame: v.jobFrame(d, "What it costs"), Stages: stages}
	var err error
	if p.Account, err = s.sh.Account(v.r.Context(), d); err != nil {
		return err
	}
	if p.Levels, err = s.sh.Levels(v.r.Context(), d); err != nil {
		p.Lacks = err.Error()
	}
	if p.Terms, err = s.sh.TermsOf(v.r.Context(), d); err != nil {
		return err
	}
	if d.Estimate != nil {
		p.Estimate = &d.Estimate.Is
	}
	for i := len(d.Entries) - 1; i >= 0; i-- {
		switch d.Entries[i].Kind {
		case "cost", "estimate", "approved", "terms":
			p.Acts = append(p.Acts, s.actOf(v, d, d.Entries[i]))
		}
	}
	return v.show("costs", p)
}

// spend writes down hours, money, or what work is reckoned at.
func (s *server) spend(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	form := "spent"
	if err = v.form(); err == nil {
		f := func(k string) string { return strings.TrimSpace(v.r.FormValue(k)) }
		var b job.Body
		switch form = f("what is it"); form {
		case "terms":
			b = v.terms()
		default:
			form = "spent"
			b = job.Cost{What: f("what"), Stage: f("stage"), Hours: f("hours"), Money: f("money")}
		}
		_, err = s.sh.Record(v.r.Context(), v.by(), d.Book, b)
	}
	if err == nil {
		return v.go303("/job/" + d.Book + "/costs")
	}
	if err := v.refused(form, err); err != nil {
		return err
	}
	return s.showCosts(v, d)
}

// levelsPDF is the offer of three levels, for the customer.
func (s *server) levelsPDF(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	a, err := s.sh.Account(v.r.Context(), d)
	if err != nil {
		return err
	}
	levels, err := s.sh.Levels(v.r.Context(), d)
	if err != nil {
		return err
	}
	b, err := report.PriceLevels(d.View, a, levels, report.Options{Made: time.Now(), Version: s.opt.Version, Paper: v.r.FormValue("paper")})
	if err != nil {
		return invalid("%v", err)
	}
	v.file("application/pdf", url.PathEscape(d.Book)+"-levels.pdf", b)
	return nil
}
