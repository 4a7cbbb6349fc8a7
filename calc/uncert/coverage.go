package uncert

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// EffectiveDOF returns the effective degrees of freedom of a result made of
// independent parts ci·ui, each with its own degrees of freedom, +Inf where the
// part is known exactly (Welch–Satterthwaite). Round it down before looking up
// a coverage factor in a table.
//
//	ν = uc⁴ / Σ (parti⁴ / νi), uc² = Σ parti²
func EffectiveDOF(parts, dof []float64) float64 {
	uc := 0.0
	for _, p := range parts {
		uc = math.Hypot(uc, p)
	}
	sum := 0.0
	for i, p := range parts {
		if p != 0 {
			sum += math.Pow(p/uc, 4) / dof[i] // [GUM] G.4.1, eq. (G.2b)
		}
	}
	return 1 / sum
}

// GuessDOF returns the degrees of freedom of an uncertainty that is itself only
// known to the relative standard uncertainty doubt: 0.25 gives 8.
//
//	ν = ½ doubt⁻²
func GuessDOF(doubt float64) float64 { return 0.5 / (doubt * doubt) } // [GUM] G.4.2, eq. (G.3)

// CoverageFactor returns k such that y ± k·u covers the fraction p, for a
// normal result whose u has dof degrees of freedom (Student's t), +Inf for the
// normal distribution itself. It is 0 for p ≤ 0 and +Inf where nothing smaller
// will do: p ≥ 1 or dof ≤ 0.
func CoverageFactor(p, dof float64) float64 {
	switch {
	case p <= 0:
		return 0
	case p >= 1 || dof <= 0:
		return math.Inf(1)
	case math.IsInf(dof, 1):
		return math.Sqrt2 * math.Erfinv(p)
	}
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: dof}.Quantile((1 + p) / 2) // [GUM] G.3.2
}

// Expanded returns the expanded uncertainty k·u. [GUM] 6.2.1.
func Expanded(u, k float64) float64 { return k * u }
