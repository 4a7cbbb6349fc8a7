package draw

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"testing"

	"codeberg.org/go-pdf/fpdf"
	"github.com/go-fonts/dejavu/dejavusans"

	"endfloat/calc/ratio"
)

const perRPM = math.Pi / 30

// Two invented vehicles: a small car and a railcar with a governed engine.
var (
	roadCar = ratio.Vehicle{
		Engine: ratio.Engine{Inertia: .15, Curve: []ratio.Point{{Speed: 1000 * perRPM, Torque: 90}, {Speed: 2000 * perRPM, Torque: 108}, {Speed: 3000 * perRPM, Torque: 114},
			{Speed: 4500 * perRPM, Torque: 105}, {Speed: 5500 * perRPM, Torque: 80}, {Speed: 6200 * perRPM, Torque: 52}}},
		Ratios: []float64{14.82, 8.58, 5.616, 3.9}, Efficiency: .92, Wheel: .6136, WheelInertia: 2.4,
		Road: ratio.Road{Mass: 1200, Rolling: .013, DragArea: .665, Air: 1.2},
	}
	railcar = ratio.Vehicle{
		Engine: ratio.Engine{Inertia: .5, Curve: []ratio.Point{{Speed: 600 * perRPM, Torque: 95}, {Speed: 1000 * perRPM, Torque: 120},
			{Speed: 1400 * perRPM, Torque: 125}, {Speed: 1800 * perRPM, Torque: 118}}},
		Ratios: []float64{16.365, 8.369, 5.870, 3.902}, Efficiency: .9, Wheel: .510, WheelInertia: 20,
		Road: ratio.Road{Mass: 3200, Rolling: .0035, DragArea: 2.4, Air: 1.2},
	}
)

// effortOf makes the data of a diagram from a vehicle.
func effortOf(t *testing.T, v ratio.Vehicle) Effort {
	t.Helper()
	e := Effort{Axes: Axes{"speed, km/h", "tractive effort, N"}}
	most := 0.0
	for g := range v.Ratios {
		c := Curve{Name: fmt.Sprint(g + 1)}
		for _, p := range v.Effort(g) {
			c.X, c.Y = append(c.X, p.Speed*3.6), append(c.Y, p.Force)
		}
		_, hi := v.Range(g)
		most = max(most, hi)
		e.Gears = append(e.Gears, c)
	}
	for _, grade := range []float64{0, .05, .10} {
		c := Curve{Name: fmt.Sprintf("%g %%", grade*100)}
		if grade == 0 {
			c.Name = "level"
		}
		v.Road.Grade = grade
		for k := range 61 {
			x := most * float64(k) / 60
			l, err := v.Road.At(x)
			if err != nil {
				t.Fatal(err)
			}
			c.X, c.Y = append(c.X, x*3.6), append(c.Y, float64(l.Total()))
		}
		e.Loads = append(e.Loads, c)
	}
	v.Road.Grade = 0
	top, err := v.TopSpeed()
	if err != nil {
		t.Fatal(err)
	}
	e.Top = &Spot{top.Speed * 3.6, v.EffortAt(top.Gear, top.Speed), fmt.Sprintf("%.0f km/h", top.Speed*3.6)}
	return e
}

// teethOf makes the data of a sawtooth from a vehicle.
func teethOf(t *testing.T, v ratio.Vehicle) (teeth []Tooth, limit float64) {
	t.Helper()
	points, err := v.ShiftPoints()
	if err != nil {
		t.Fatal(err)
	}
	limit = v.Engine.Curve[len(v.Engine.Curve)-1].Speed / perRPM
	for g := range v.Ratios {
		_, hi := v.Range(g)
		tooth := Tooth{Name: fmt.Sprint(g + 1), To: hi * 3.6, Left: limit}
		if g > 0 {
			tooth.From, tooth.Taken = points[g-1].Speed*3.6, points[g-1].After/perRPM
		}
		if g < len(points) {
			tooth.To, tooth.Left = points[g].Speed*3.6, points[g].Before/perRPM
		}
		teeth = append(teeth, tooth)
	}
	return teeth, limit
}

func roadPictures(t *testing.T) map[string]*Drawing {
	axes := Axes{"speed, km/h", "engine speed, rpm"}
	carTeeth, carLimit := teethOf(t, roadCar)
	railTeeth, railLimit := teethOf(t, railcar)
	return map[string]*Drawing{
		"car": EffortDiagram(effortOf(t, roadCar)), "railcar": EffortDiagram(effortOf(t, railcar)),
		"car-teeth":     Sawtooth(carTeeth, carLimit, fmt.Sprintf("limit %.0f rpm", carLimit), axes),
		"railcar-teeth": Sawtooth(railTeeth, railLimit, fmt.Sprintf("governed at %.0f rpm", railLimit), axes),
	}
}

func TestRoadPictures(t *testing.T) {
	for name, d := range roadPictures(t) {
		inside(t, d)
		// No word lies over another.
		var boxes []Box
		for _, it := range d.Groups[0].Items {
			if it.Text == "" {
				continue
			}
			for _, o := range boxes {
				if b := it.Bounds(); b.Overlaps(o) {
					t.Errorf("%s: %q lies over another word", name, it.Text)
				}
			}
			boxes = append(boxes, it.Bounds())
		}
		if d.SVG() != roadPictures(t)[name].SVG() {
			t.Errorf("%s: not the same twice", name)
		}
	}
	said := texts(EffortDiagram(effortOf(t, roadCar)))
	for _, want := range []string{"level", "5 %", "10 %", "|1|", "|2|", "|3|", "|4|", "tractive effort, N"} {
		if !strings.Contains(said, want) {
			t.Errorf("%q is not said: %s", want, said)
		}
	}
}

// No word of the pictures is crossed by a line, apart from the thin ones across.
func TestRoadWordsAreClear(t *testing.T) {
	for name, d := range roadPictures(t) {
		items := d.Groups[0].Items
		for _, it := range items {
			if it.Text == "" {
				continue
			}
			b := it.Bounds()
			b = Box{b.X0 + .2, b.Y0 + .22*it.Size, b.X1 - .2, b.Y1}
			for _, l := range items {
				if l.Text != "" || l.Pen.W < Thin {
					continue
				}
				for i := 1; i < len(l.Path); i++ {
					if l.Path[i].K != 'L' {
						continue
					}
					if _, _, hit := cutTo(b, l.Path[i-1].P[0], l.Path[i].P[0]); hit {
						t.Errorf("%s: a line crosses %q", name, it.Text)
					}
				}
			}
		}
	}
}

// The book takes the pictures.
func TestRoadPicturesInPDF(t *testing.T) {
	f := fpdf.New("P", "mm", "A4", "")
	f.AddUTF8FontFromBytes("sheet", "", dejavusans.TTF)
	for _, d := range roadPictures(t) {
		f.AddPage()
		d.PDF(f, "sheet", 10, 10, 1)
	}
	var out bytes.Buffer
	if err := f.Output(&out); err != nil || f.PageCount() != 4 || out.Len() < 4000 {
		t.Errorf("%d pages, %d bytes, %v", f.PageCount(), out.Len(), err)
	}
}

// What is drawn is to scale: the point of top speed lies on the line of its gear and
// on that of the level road.
func TestEffortToScale(t *testing.T) {
	e := effortOf(t, roadCar)
	d := EffortDiagram(e)
	inside(t, d)
	f := newFrame(96, 84, e.Axes)
	for _, c := range e.Gears {
		f.reach(c.X, c.Y)
	}
	f.grid()
	x, y := f.x(e.Top.X), f.y(e.Top.Y)
	for _, c := range []Curve{e.Gears[3], e.Loads[0]} {
		near := math.Inf(1)
		f.each(c, func(a, b Pt) { near = min(near, toLine(Pt{x, y}, a, b)) })
		if !(near < 0.02) {
			t.Errorf("%s passes the top speed at %.3f mm", c.Name, near)
		}
	}
	if a, b := f.x(100)-f.x(0), f.x(150)-f.x(50); math.Abs(a-b) > 1e-9 {
		t.Error("the axis is not even")
	}
}

// Data that cannot be drawn leave a sheet that can be read, never a bad number.
func TestRoadPicturesOfNothing(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, d := range []*Drawing{
		EffortDiagram(Effort{}),
		EffortDiagram(Effort{Gears: []Curve{{Name: "1", X: []float64{nan, 1}, Y: []float64{inf, 2}}}, Top: &Spot{nan, inf, "?"}}),
		EffortDiagram(Effort{Loads: []Curve{{Name: strings.Repeat("down the hill ", 9), X: []float64{0, 9}, Y: []float64{-50, 5}}}}),
		EffortDiagram(Effort{Gears: []Curve{{X: []float64{1}, Y: []float64{1}}}, Loads: []Curve{{X: []float64{3, 1}}}}),
		Sawtooth(nil, 0, "", Axes{}),
		Sawtooth([]Tooth{{"1", 0, 0, 0, 0}, {"2", nan, inf, -1, 1e300}}, 1e9, strings.Repeat("limit ", 40), Axes{strings.Repeat("speed ", 40), "y"}),
	} {
		inside(t, d)
	}
	for most, want := range map[float64]int{1: 6, 7: 4, 44: 5, 183: 4, 6200: 4, 0.003: 7} {
		if got := ticks(most, 6); len(got) != want || got[len(got)-1] > most*(1+1e-9) {
			t.Errorf("up to %g: %v", most, got)
		}
	}
}
