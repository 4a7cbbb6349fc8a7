package web

import (
	"html/template"
	"strings"

	"endfloat/calc/catalog"
	"endfloat/internal/draw"
	"endfloat/internal/job"
	"endfloat/internal/shop"
)

type sumGroup struct {
	Title string
	Sums  []*catalog.Sum
}

type sumsPage struct {
	frame
	Groups []sumGroup
	Asked  string
	Found  int
}

// sums lists the sums, or those that a word is found in.
func (s *server) sums(v *visit) error {
	p := sumsPage{frame: v.frame("The sums"), Asked: strings.TrimSpace(v.r.FormValue("for"))}
	for _, sum := range catalog.All() {
		if !finds(sum, p.Asked) {
			continue
		}
		p.Found++
		if n := len(p.Groups); n == 0 || p.Groups[n-1].Title != sum.Group {
			p.Groups = append(p.Groups, sumGroup{Title: sum.Group})
		}
		g := &p.Groups[len(p.Groups)-1]
		g.Sums = append(g.Sums, sum)
	}
	return v.show("sums", p)
}

func finds(sum *catalog.Sum, words string) bool {
	text := strings.ToLower(strings.Join([]string{sum.Name, sum.Title, sum.Purpose, sum.Group}, " "))
	for _, w := range strings.Fields(strings.ToLower(words)) {
		if !strings.Contains(text, w) {
			return false
		}
	}
	return true
}

type sumPage struct {
	frame
	Sum      *catalog.Sum
	Inputs   []inputRow
	Answer   *catalog.Answer
	Err      string
	More     int  // inputs that may be left out
	MoreOpen bool // one of them is given or wrong
	Jobs     []shop.Row
	Into     *keptSum // the book it was put into, nil if it was not
	Picture  template.HTML
	Tools    []job.Tool // of the stores, that may fill in inputs
	Tool     string     // the one chosen
	Brought  []string   // what it, or the stores, filled in
	Draws    string
	Seed     string
}

// sum asks for the inputs of a sum and answers it. It is a GET, so that an
// answer can be kept as an address and the page works without JavaScript.
func (s *server) sum(v *visit) error {
	sum, err := catalog.Find(v.r.PathValue("name"))
	if err != nil {
		return missing("%s", capital(err.Error()))
	}
	return s.showSum(v, sum)
}

// typedInputs are the inputs of a sum that were given, as typed.
func typedInputs(v *visit, sum *catalog.Sum) map[string]string {
	typed := map[string]string{}
	for _, in := range sum.Understands() {
		t := v.r.FormValue(in.Key)
		if v.r.FormValue("example") != "" {
			t = sum.Example[in.Key]
		}
		if strings.TrimSpace(t) != "" {
			typed[in.Key] = t
		}
	}
	return typed
}

// askedBeside are the fields of the page that are no inputs: a tool that brings
// inputs, and the draws of Monte Carlo with their seed.
var askedBeside = []string{"tool", "mc", "seed"}

// asked is a sum with its inputs and what is asked beside them, and the stores it
// may take from.
func (s *server) asked(v *visit, sum *catalog.Sum, typed map[string]string, beside func(string) string) (shop.Asked, *job.State, error) {
	q := shop.Asked{Sum: sum, Typed: typed}
	d, err := s.sh.Open(v.r.Context(), shop.StoresBook)
	if err != nil {
		return q, nil, err
	}
	return q, d.Stores, q.Beside(beside)
}

func (s *server) showSum(v *visit, sum *catalog.Sum) error {
	p := sumPage{frame: v.frame(sum.Title), Sum: sum, Into: s.keptIn(v), Picture: sketchOf(sum)}
	q, stores, err := s.asked(v, sum, typedInputs(v, sum), v.r.FormValue)
	if stores == nil {
		return err
	}
	p.Tools, p.Tool = shop.SumTools(stores, sum), q.Tool
	p.Draws, p.Seed = v.r.FormValue("mc"), v.r.FormValue("seed")
	brings := shop.Brings(stores, sum, q.Tool)
	for _, in := range sum.Understands() {
		row := inputRow{Input: in, Typed: q.Typed[in.Key], Brings: brings[in.Key]}
		p.Inputs = append(p.Inputs, row)
		if row.Brings != "" && row.Typed == "" {
			p.Brought = append(p.Brought, in.Key+" "+row.Brings)
		}
	}
	if err == nil && len(q.Typed) > 0 {
		p.Answer, _, err = shop.DoSum(stores, q)
	}
	if err != nil {
		p.place(err.Error())
	}
	rows, err := s.sh.Jobs(v.r.Context())
	if err != nil {
		return err
	}
	p.Jobs = rows
	for _, in := range p.Inputs {
		if !in.Required() {
			p.More++
			p.MoreOpen = p.MoreOpen || in.Typed != "" || in.Err != ""
		}
	}
	p.MoreOpen = p.MoreOpen || p.Draws != ""
	if v.r.FormValue("show") == "result" {
		return v.part("sum", "result", p)
	}
	return v.show("sum", p)
}

// place puts an error beside the input that it names.
func (p *sumPage) place(says string) {
	for i, in := range p.Inputs {
		if key, rest, ok := strings.Cut(says, ": "); ok && key == in.Key {
			p.Inputs[i].Err = sentence(capital(rest))
			if in.Typed == "" {
				p.Inputs[i].Err = ""
				p.Err = sentence("Still wanted: " + in.Help)
			}
			return
		}
	}
	p.Err = sentence(capital(says))
}

// sketchOf is the sketch of a sum, "" if it has none.
func sketchOf(sum *catalog.Sum) template.HTML {
	if d := draw.Sketch(sum.Picture); d != nil {
		return svg(d).SVG
	}
	return ""
}
