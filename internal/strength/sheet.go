package strength

import (
	"fmt"
	"math"
	"strings"
)

// Sheet is a comparison as it is shown and sent: screens, command line, interface and
// book have it from here. What is not known is left out.
type Sheet struct {
	Before   Side     `json:"before"`
	After    Side     `json:"after"`
	Ratio    float64  `json:"torque_ratio"`
	Wanted   float64  `json:"life_wanted_h"`
	Verdict  string   `json:"verdict"`
	Weakest  string   `json:"weakest"`
	Enough   bool     `json:"enough"`
	Draws    int      `json:"draws"`
	Short    float64  `json:"share_short"`
	Lines    []Line   `json:"lines"`
	Speeds   []Way    `json:"speeds"`
	Doubts   []Ground `json:"doubts"`
	Missing  []string `json:"not_rated"`
	Changes  []string `json:"would_change_it"`
	Facts    int      `json:"facts"`
	Assumed  int      `json:"assumptions"`
	Caution  string   `json:"caution"`
	Assuming string   `json:"method"`
}

// Side is one of the two units.
type Side struct {
	Name    string  `json:"name"`
	Engine  string  `json:"engine"`
	Power   float64 `json:"power_w"`
	Torque  float64 `json:"torque_nm"`
	Weakest string  `json:"weakest"`
	Reserve float64 `json:"reserve"`
	Top     float64 `json:"top_speed_ms"`
}

// Line is one link, before and after.
type Line struct {
	Part          string   `json:"part"`
	Name          string   `json:"name"`
	Kind          string   `json:"kind"`
	Gear          string   `json:"gear"`
	Load          string   `json:"load"`
	LoadBefore    string   `json:"load_before"`
	Reserve       *float64 `json:"reserve,omitempty"`
	ReserveBefore *float64 `json:"reserve_before,omitempty"`
	Low           *float64 `json:"reserve_low,omitempty"`
	High          *float64 `json:"reserve_high,omitempty"`
	Life          string   `json:"life"`
	LifeBefore    string   `json:"life_before"`
	LifeSpread    string   `json:"life_spread"`
	Says          string   `json:"compared"`
	Weakest       float64  `json:"share_weakest"`
	Verdict       string   `json:"verdict"`
	ByTorque      bool     `json:"by_torque"`
	Grounds       []Ground `json:"grounds"`
}

// Was is the reserve before in words, "" where it is not known.
func (l Line) Was() string { return figure(l.ReserveBefore) }

// Now is the reserve after in words, "" where it is not known.
func (l Line) Now() string { return figure(l.Reserve) }

// Spread is where the reserve lies in nine of ten draws, "" without draws.
func (l Line) Spread() string {
	if l.Low == nil || l.High == nil {
		return ""
	}
	return figure(l.Low) + " to " + figure(l.High)
}

func figure(v *float64) string {
	if v == nil {
		return ""
	}
	return fmt.Sprintf("%.2f", *v)
}

// Way is one speed, with the unit after.
type Way struct {
	Name    string  `json:"name"`
	Ratio   float64 `json:"ratio"`
	Overall float64 `json:"overall"`
	In      float64 `json:"torque_in_nm"`
	Out     float64 `json:"torque_out_nm"`
	Was     float64 `json:"torque_out_before_nm"`
	Force   float64 `json:"tooth_force_n"`
	Thrust  float64 `json:"thrust_n"`
}

// Assumes is what every comparison takes for granted.
const Assumes = "Reserve is by how much all torques of the duty could grow before the part no longer lasts as long as is wanted or is overloaded at once; 1.00 is just enough. " +
	"The engine is driven as before: the same shares of the time and of its full torque. Losses in the gearbox are left out, shocks too: no factor lies on top of the duty. " +
	"Dirt, rust, wear, cracks, heat and a case that gives are not looked at."

// Sheet makes the sheet of a comparison.
func (c *Comparison) Sheet() Sheet {
	s := Sheet{Before: c.side(&c.Before), After: c.side(&c.After), Ratio: c.Ratio, Wanted: c.Wanted / 3600, Draws: c.Draws, Short: c.Short, Doubts: c.Doubts,
		Missing: nonNil(c.Missing), Changes: nonNil(c.Changes), Caution: Caution, Assuming: Assumes}
	for _, p := range c.Pairs {
		l := c.line(p)
		for _, g := range l.Grounds {
			if g.Fact {
				s.Facts++
			} else {
				s.Assumed++
			}
		}
		s.Lines = append(s.Lines, l)
	}
	for i, w := range c.After.Speeds {
		way := Way{Name: w.Name, Ratio: w.Ratio, Overall: w.Overall, In: w.In, Out: w.Out, Force: w.Tangential, Thrust: w.Axial}
		if i < len(c.Before.Speeds) {
			way.Was = c.Before.Speeds[i].Out
		}
		s.Speeds = append(s.Speeds, way)
	}
	s.Weakest, s.Verdict, s.Enough = c.verdict()
	return s
}

func nonNil(s []string) []string {
	if s == nil {
		return []string{}
	}
	return s
}

func (c *Comparison) side(x *Case) Side {
	s := Side{Name: x.Name, Engine: fmt.Sprintf("%.0f kW at %.0f rpm, engine of series %s", x.Power/1e3, x.PowerAt*30/math.Pi, x.Engine), Power: x.Power, Torque: x.Torque}
	if x.Weakest >= 0 {
		s.Weakest, s.Reserve = x.Links[x.Weakest].words(), round(x.Links[x.Weakest].Reserve)
	}
	if x.Road != nil && x.Road.TopOK {
		s.Top = x.Road.Top.Speed
	}
	return s
}

// words name a link: what and how it gives way.
func (l *Link) words() string {
	if l.Kind == Section {
		return l.Part + " shaft, " + l.Name
	}
	if l.Kind == BevelFlank || l.Kind == BevelRoot {
		return l.Name + ", " + strings.TrimPrefix(string(l.Kind), "bevel ")
	}
	return l.Name + ", " + string(l.Kind)
}

func (c *Comparison) line(p Pair) Line {
	a := p.After
	l := Line{Part: a.Part, Name: a.words(), Kind: string(a.Kind), Gear: a.Gear, Load: a.Load, Reserve: told(a.Reserve), Life: hours(a.Life), Says: p.Says, Grounds: a.Grounds, Weakest: p.Weakest, ByTorque: a.Torqued, Verdict: "only compared"}
	if b := p.Before; b != nil {
		l.LoadBefore, l.ReserveBefore, l.LifeBefore = b.Load, told(b.Reserve), hours(b.Life)
	}
	if c.Draws > 0 {
		l.Low, l.High = told(p.Low), told(p.High)
		if lo, hi := hours(p.LifeLow), hours(p.LifeHigh); lo != "" {
			l.LifeSpread = lo + " to " + hi
			if lo == hi {
				l.LifeSpread = lo
			}
		}
	}
	if a.Reserve == a.Reserve {
		l.Verdict = c.judge(p)
	}
	return l
}

// judge is what a reserve says: never more than it rests on.
func (c *Comparison) judge(p Pair) string {
	r, lo, hi := p.After.Reserve, p.After.Reserve, p.After.Reserve
	if c.Draws > 0 {
		lo, hi = p.Low, p.High
	}
	switch {
	case hi < 1:
		return "too weak"
	case r < 1:
		return "likely too weak"
	case lo < 1:
		return "perhaps too weak"
	}
	return "carries it, as assumed"
}

// verdict names the weakest link and says in a sentence what it comes to.
func (c *Comparison) verdict() (weakest, says string, enough bool) {
	p, ok := c.Weak()
	if !ok {
		return "", "Nothing could be rated: the gearbox file lacks what an absolute figure needs. The parts are only compared with what they bore.", false
	}
	weakest = p.After.words()
	chance := ""
	if c.Draws > 0 {
		chance = fmt.Sprintf(" With the doubts counted, some part falls short in %.0f of 100 cases.", c.Short*100)
	}
	switch r := p.After.Reserve; {
	case r < 1:
		says = fmt.Sprintf("Too weak for %s of %.0f h: %s gives way first, in speed %s. It bears %.0f %% of the torque that is asked of it.", "a life", c.Wanted/3600, weakest, p.After.Gear, 100*r)
	case c.Draws > 0 && p.Low < 1:
		says = fmt.Sprintf("Not sure: %s is the weakest link, in speed %s, with a reserve of %.2f, which the doubts may use up.", weakest, p.After.Gear, r)
	default:
		enough = true
		says = fmt.Sprintf("Carries the duty as far as the assumptions hold: %s is the weakest link, in speed %s, with a reserve of %.2f.", weakest, p.After.Gear, r)
	}
	return weakest, says + chance, enough
}

func told(v float64) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	v = round(v)
	return &v
}

func round(v float64) float64 { return math.Round(v*100) / 100 }

// longest is a life beyond which no figure is worth a digit.
const longest = 100_000 * 3600

// hours puts a life into words, two digits of it; "" where there is none.
func hours(s float64) string {
	switch {
	case math.IsNaN(s):
		return ""
	case s >= longest:
		return "over 100 000 h"
	case s < 3600:
		return "under 1 h"
	}
	h := s / 3600
	step := math.Pow(10, math.Floor(math.Log10(h))-1)
	n := fmt.Sprintf("%.0f", math.Round(h/step)*step)
	if len(n) > 4 {
		n = n[:len(n)-3] + " " + n[len(n)-3:]
	}
	return n + " h"
}
