package stack

import (
	"math"

	"endfloat/calc/uncert"
	"endfloat/calc/unit"
)

// Link is one length in a chain of them: L counts as it stands, negative where it
// takes away, and Tol is how far the part may be off to either side.
type Link struct {
	L, Tol unit.Length
}

// Shape is how parts spread within their tolerance.
type Shape string

const (
	// Bell is the normal distribution with the tolerance at three standard
	// deviations.
	Bell Shape = "as a bell, nearly all within the tolerance"
	// Even is the rectangular distribution: any size within the tolerance is as
	// likely as another.
	Even Shape = "evenly over the tolerance"
)

// Chain is what a chain of lengths closes to. The shape of the spread does not
// enter Worst or Statistical.
type Chain struct {
	Nominal     unit.Length // Σ L
	Worst       unit.Length // Σ |Tol|, to either side
	Statistical unit.Length // √(Σ Tol²), to either side
}

// Close adds the links up.
//
//	nominal = Σ L
//	worst   = Σ |Tol|
//	rss     = √(Σ Tol²)
//
// The root sum of squares is three standard deviations of the chain where each
// tolerance is three of its part and the parts are centred and independent.
// [CHASE], [SCHOLZ].
func Close(links []Link) Chain {
	var c Chain
	var squares float64
	for _, l := range links {
		c.Nominal += l.L
		c.Worst += unit.Length(math.Abs(float64(l.Tol)))
		squares += float64(l.Tol * l.Tol)
	}
	c.Statistical = unit.Length(math.Sqrt(squares))
	return c
}

// SD returns the standard deviation of the chain for parts of that shape: the
// root sum of squares over 3 for Bell and over √3 for Even.
func (c Chain) SD(s Shape) unit.Length {
	if s == Even {
		return c.Statistical / unit.Length(math.Sqrt(3))
	}
	return c.Statistical / 3
}

// Reject returns the part of all assemblies that a chain of standard deviation sd
// leaves outside lo to hi, taking the sum as normal. [JCGM106] 7.3.
func (c Chain) Reject(sd, lo, hi unit.Length) float64 {
	return 1 - uncert.Conformity(float64(c.Nominal), float64(sd), float64(lo), float64(hi))
}

// Draw builds n assemblies at random from parts of that shape and returns how far
// each chain is from its nominal, as a distribution in metres.
func Draw(links []Link, s Shape, n int, seed uint64) uncert.Outcome {
	draws := make([]uncert.Dist, len(links))
	for i, l := range links {
		if s == Even {
			draws[i] = uncert.Rectangular(0, float64(l.Tol))
		} else {
			draws[i] = uncert.Normal(0, float64(l.Tol)/3)
		}
	}
	sum := func(x []float64) float64 {
		total := 0.0
		for _, v := range x {
			total += v
		}
		return total
	}
	return uncert.MonteCarlo(sum, draws, n, seed)
}

// Mesh is how two gears on parallel shafts face each other along the shafts.
type Mesh struct {
	Offset unit.Length // middle of gear 1 less middle of gear 2
	Shared unit.Length // width of face in mesh; negative is the gap between gears that miss each other
	Over1  unit.Length // gear 1 beyond gear 2 at the near side; negative if it stands back
	Over2  unit.Length // the same at the far side
}

// Align compares two gears whose near faces lie at near1 and near2 from one plane
// across both shafts, with face widths b1 and b2.
//
//	offset = near1 + b1/2 − (near2 + b2/2)
//	shared = min(near1 + b1, near2 + b2) − max(near1, near2)
//
// Geometry, no source.
func Align(near1, b1, near2, b2 unit.Length) Mesh {
	return Mesh{
		Offset: near1 + b1/2 - (near2 + b2/2),
		Shared: min(near1+b1, near2+b2) - max(near1, near2),
		Over1:  near2 - near1,
		Over2:  near1 + b1 - (near2 + b2),
	}
}

// Slack returns the end play of a pack of plates in its housing: depth − Σ plates.
// Common practice, no source.
func Slack(depth unit.Length, plates []unit.Length) unit.Length { return -Proud(plates, depth) }

// ConeWear returns how far a baulk ring's bore or its cone has worn, on the
// radius, when the gap between ring and gear has closed by so much: lost·tan α, α
// half the cone's angle. Geometry, no source.
func ConeWear(lost unit.Length, half unit.Angle) unit.Length {
	return lost * unit.Length(math.Tan(float64(half)))
}
