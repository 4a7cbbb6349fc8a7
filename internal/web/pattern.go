package web

import (
	"time"

	"endfloat/internal/draw"
	"endfloat/internal/job"
	"endfloat/internal/setup"
	"endfloat/internal/shop"
)

// contactPick is one place where the paste may be rubbed off.
type contactPick struct {
	Value, Words string
	Picture      picture
}

type patternRow struct {
	Seq             int
	At              time.Time
	Depth, Backlash string
	Drive, Coast    picture
	Words           string
	Next, Note      string
	Good, Best      bool
	Photos          []string
}

type patternPage struct {
	frame
	Tries    []patternRow
	Picks    map[string][]contactPick
	Depth    string
	Backlash string
}

// pattern is the notebook of the contact pattern: every try with the depth and
// the backlash it was rolled at, so that one can go back to the best.
func (s *server) pattern(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	if !d.HasCrown() {
		return missing("the gearbox file of %s names no crown wheel and pinion; add \"crown wheel and pinion\" to it", d.Opened.Unit)
	}
	p := patternPage{frame: v.jobFrame(d, "Contact pattern"), Picks: map[string][]contactPick{}}
	p.Bench = true
	for _, flank := range []string{"drive", "coast"} {
		for _, h := range shop.PatternHeights {
			for _, e := range shop.PatternEnds {
				p.Picks[flank] = append(p.Picks[flank], contactPick{h + " " + e, h + ", " + e, svg(draw.Contact(flank, h, e))})
			}
		}
	}
	best := d.BestPattern()
	for i := len(d.Patterns) - 1; i >= 0; i-- {
		t := d.Patterns[i]
		row := patternRow{Seq: t.Seq, At: t.At, Next: t.Is.Next, Note: t.Is.Note, Good: t.Is.Good, Best: i == best && len(d.Patterns) > 1, Photos: t.Is.Photos,
			Drive: svg(draw.Contact("drive", t.Is.Drive.Height, t.Is.Drive.End)), Coast: svg(draw.Contact("coast", t.Is.Coast.Height, t.Is.Coast.End)),
			Words: "drive " + t.Is.Drive.Height + " " + t.Is.Drive.End + ", coast " + t.Is.Coast.Height + " " + t.Is.Coast.End}
		row.Depth, row.Backlash = millimetresOf(t.Is.Depth), millimetresOf(t.Is.Backlash)
		p.Tries = append(p.Tries, row)
	}
	for _, r := range d.Settings {
		switch {
		case !r.Known:
		case r.Etched != "":
			p.Depth = setup.Text(r.Value, r.U, r.Unit)
		case r.Setting.Factor.Known():
			p.Backlash = setup.Text(r.Value, r.U, r.Unit)
		}
	}
	return v.show("pattern", p)
}

func millimetresOf(si *float64) string {
	if si == nil {
		return "not known"
	}
	return setup.Text(*si, 0, mmUnit)
}

// tried keeps a try of the contact pattern.
func (s *server) tried(v *visit) error {
	err := v.form()
	if err == nil {
		var keys []string
		if keys, err = v.photos(); err == nil {
			_, err = s.sh.Record(v.r.Context(), v.by(), v.r.PathValue("book"), job.Pattern{Drive: contactOf(v.r.FormValue("drive")), Coast: contactOf(v.r.FormValue("coast")), Note: v.r.FormValue("note"), Photos: keys})
		}
	}
	if err == nil {
		return v.go303("/job/" + v.r.PathValue("book") + "/pattern")
	}
	if err := v.refused("pattern", err); err != nil {
		return err
	}
	return s.pattern(v)
}

func contactOf(s string) job.Contact {
	var c job.Contact
	for _, h := range shop.PatternHeights {
		for _, e := range shop.PatternEnds {
			if s == h+" "+e {
				c = job.Contact{Height: h, End: e}
			}
		}
	}
	return c
}
