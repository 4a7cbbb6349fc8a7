package report

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"endfloat/internal/plan"
)

// Account is what a job has cost so far: parts, hours by stage, and what that
// comes to. All money is in Unit.
type Account struct {
	Lines                           []AccountLine
	Stages                          []Stage
	Parts, Hours, Rate, MarginShare float64
	Consumables, Contingency, Sum   float64
	Low, High                       float64 // the estimate, 0 where none was given
	Unit, Hour, Margin, Planned     string
	Unread                          []string // amounts that could not be added up
}

// AccountLine is one sum spent on parts.
type AccountLine struct {
	What  string
	Money float64
}

// Stage is the hours of one stage.
type Stage struct {
	Name  string
	Hours float64
	Money float64
}

// Spend adds hours to a stage, as typed.
func (a *Account) Spend(stage, hours string) {
	end := strings.LastIndexAny(hours, "0123456789") + 1
	h, err := strconv.ParseFloat(strings.ReplaceAll(strings.TrimSpace(hours[:end]), ",", "."), 64)
	if err != nil {
		a.Unread = append(a.Unread, "hours: "+hours)
		return
	}
	if stage == "" {
		stage = "no stage"
	}
	i := slices.IndexFunc(a.Stages, func(s Stage) bool { return s.Name == stage })
	if i < 0 {
		i = len(a.Stages)
		a.Stages = append(a.Stages, Stage{Name: stage})
	}
	a.Stages[i].Hours += h
	a.Hours += h
}

// Reckon works out the price: parts·(1 + margin) + hours·rate + consumables +
// contingency. The margin is in percent.
func (a *Account) Reckon(rate, margin, consumables, contingency float64, unit string) {
	a.Rate, a.MarginShare, a.Unit = rate, margin/100, unit
	a.Consumables += consumables
	a.Contingency = contingency
	for i := range a.Stages {
		a.Stages[i].Money = a.Stages[i].Hours * rate
	}
	a.Sum = a.Parts*(1+a.MarginShare) + a.Hours*rate + a.Consumables + a.Contingency
}

// Money writes an amount.
func (a Account) Money(v float64) string { return strings.TrimSpace(fmt.Sprintf("%.2f %s", v, a.Unit)) }

// Stands says how the sum stands against the estimate.
func (a Account) Stands() string {
	switch {
	case a.High == 0:
		return "no estimate was given"
	case a.Sum > a.High:
		return fmt.Sprintf("%s over the estimate of %s to %s", a.Money(a.Sum-a.High), a.Money(a.Low), a.Money(a.High))
	case a.Sum < a.Low:
		return fmt.Sprintf("below the estimate of %s to %s so far", a.Money(a.Low), a.Money(a.High))
	}
	return fmt.Sprintf("within the estimate of %s to %s", a.Money(a.Low), a.Money(a.High))
}

// Formula is the sum with its numbers put in.
func (a Account) Formula() string {
	return fmt.Sprintf("%.2f · (1 + %s) + %.4g h · %.2f + %.2f consumables + %.2f contingency = %s", a.Parts, a.Margin, a.Hours, a.Rate, a.Consumables, a.Contingency, a.Money(a.Sum))
}

// Level is one way to do a job, with what is renewed and what it comes to.
type Level struct {
	Name, Says string
	Parts      []LevelPart
	Unknown    int // parts whose price nobody has said
	Money      float64
	Hours      float64
	Sum        float64
	Unit       string
}

// LevelPart is a part that a level renews.
type LevelPart struct {
	Label, Why, Price string
	Known             bool
}

// Add puts a part into a level.
func (l *Level) Add(p LevelPart, price float64) {
	l.Parts = append(l.Parts, p)
	l.Money += price
	if !p.Known {
		l.Unknown++
	}
}

// Reckon prices a level on the terms of a job, with the hours planned, else those
// spent so far: what comes apart is much the same for all three.
func (l *Level) Reckon(a Account) {
	l.Unit = a.Unit
	l.Hours = a.Hours
	if h, err := strconv.ParseFloat(strings.ReplaceAll(strings.TrimRight(strings.TrimSpace(a.Planned), " h"), ",", "."), 64); err == nil {
		l.Hours = h
	}
	l.Sum = l.Money*(1+a.MarginShare) + l.Hours*a.Rate + a.Consumables + a.Contingency
}

// Text is the price of a level; what nobody has priced is said.
func (l Level) Text() string {
	s := strings.TrimSpace(fmt.Sprintf("%.2f %s", l.Sum, l.Unit))
	if l.Unknown > 0 {
		s += fmt.Sprintf(", and %s without a price", plural(l.Unknown, "part", "parts"))
	}
	return s
}

// PriceLevels is the offer to the owner: three levels on paper.
func PriceLevels(v *plan.View, a Account, levels []Level, o Options) ([]byte, error) {
	return twice("What it may cost: "+unitOf(v), v, o, func(b *book) {
		b.foot = clean(unitOf(v) + " · three levels of price")
		b.page(false)
		b.levels(a, levels)
	})
}

// twice sets a short paper two times: the first run counts its pages.
func twice(name string, v *plan.View, o Options, set func(*book)) ([]byte, error) {
	paper, err := paperOf(o.Paper)
	if err != nil {
		return nil, err
	}
	total := 0
	for {
		b := &book{v: v, o: o, sheet: newSheet(paper, o, clean(name))}
		b.total = total
		set(b)
		if total > 0 || b.err != nil || b.f.Error() != nil {
			return b.output()
		}
		total = b.f.PageNo()
	}
}

func (b *book) levels(a Account, levels []Level) {
	v, o := b.v, b.o
	b.lines(b.left, b.wrap(title, b.wide(), unitOf(v)))
	b.para(body, joined(" · ", v.Opened.Type, v.Opened.Series, v.Opened.Number, "as seen on "+b.day(o.Made)))
	if v.Opened.Asked != "" {
		b.facts("Asked for", v.Opened.Asked)
	}
	b.gap(3)
	var rows []row
	for i, l := range levels {
		rows = append(rows, row{in(cell, fmt.Sprintf("%d  %s", i+1, l.Name), l.Says), in(cell, plural(len(l.Parts), "part", "parts"), fmt.Sprintf("%.4g h of work", l.Hours)), in(cell, l.Text())})
	}
	b.table([]col{{"Level", 6}, {"Renewed", 3}, {"Price", 4}}, rows)
	b.para(note, fmt.Sprintf("Price = parts · (1 + %s) + hours · %s + consumables + contingency. Parts of a donor that is the owner's cost nothing.", a.Margin, orNot(a.Hour)))
	b.para(note, "A part is priced as offered on that day. What is found later, with the unit further apart, is agreed before it is done.")
	for i, l := range levels {
		b.part(fmt.Sprintf("%d  %s", i+1, l.Name))
		var seen []row
		for _, p := range l.Parts {
			if i > 0 && slices.ContainsFunc(levels[i-1].Parts, func(x LevelPart) bool { return x.Label == p.Label }) {
				continue
			}
			price := p.Price
			if price == "" {
				price = "not priced"
				if p.Known {
					price = "nothing"
				}
			}
			seen = append(seen, row{in(cell, p.Label), in(small, p.Why), in(cell, price)})
		}
		if i > 0 {
			b.para(body, "All of level "+fmt.Sprint(i)+", and:")
		}
		b.table([]col{{"Part", 5}, {"Why", 6}, {"Price", 2.5}}, seen)
	}
	b.gap(6)
	b.para(body, "Agreed: level ______   date ______________   signature ______________________________")
}

func orNot(s string) string {
	if s == "" {
		return "an hour that nobody has priced yet"
	}
	return s
}

// OrderSheet is what is wanted of one supplier, or all of them, on paper.
type OrderSheet struct {
	Supplier string
	Rows     [][]string // unit, part, variant, count, price, expected
}

// OrderLists sets the order lists, a part for each supplier.
func OrderLists(sheets []OrderSheet, o Options) ([]byte, error) {
	return twice("Order lists", &plan.View{}, o, func(b *book) {
		b.foot = "Order lists · " + o.Made.Format(time.DateOnly)
		b.page(false)
		b.orders(sheets)
	})
}

func (b *book) orders(sheets []OrderSheet) {
	b.lines(b.left, b.wrap(title, b.wide(), "Order lists"))
	if len(sheets) == 0 {
		b.para(body, "Nothing is to be ordered, and nothing is on its way.")
	}
	for _, s := range sheets {
		b.part(s.Supplier)
		var rows []row
		for _, r := range s.Rows {
			var cells row
			for _, c := range r {
				cells = append(cells, in(cell, c))
			}
			rows = append(rows, cells)
		}
		b.table([]col{{"Unit", 1.8}, {"Part", 5}, {"Variant", 1.6}, {"Count", 1.2}, {"Price", 2}, {"Stands", 3}}, rows)
	}
	b.para(note, "Measure each part as it comes, on the mate it must fit, while it can still go back.")
}
