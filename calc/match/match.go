// Package match pairs n things with m others, each with at most one, so that the
// sum of what the pairs cost is least: which of several baulk rings goes on which
// cone. The answer is exact.
//
// Method: the assignment problem by shortest augmenting paths, an O(n² m) form of
// the Hungarian method. Sources: [KUHN] for the method and its proof by potentials.
package match

import (
	"fmt"
	"math"
)

// most keeps a pasted table from being a bench: 10⁶ cells.
const most = 1000

// Least pairs the rows of a table of costs with its columns so that the sum is
// least. It returns the column of every row, −1 for a row that is left over because
// there are fewer columns, and the sum. +Inf is a pair that must not be: where no
// full pairing can be had without one, it is an error. Costs that are whole
// numbers below 2⁵³ in every sum are added without rounding.
func Least(cost [][]float64) (column []int, sum float64, err error) {
	n := len(cost)
	if n == 0 {
		return nil, 0, nil
	}
	m := len(cost[0])
	if err := check(cost, n, m); err != nil {
		return nil, 0, err
	}
	if n > m {
		rows, sum, err := least(m, n, func(i, j int) float64 { return cost[j][i] })
		if err != nil {
			return nil, 0, err
		}
		column = make([]int, n)
		for i := range column {
			column[i] = -1
		}
		for j, i := range rows {
			column[i] = j
		}
		return column, sum, nil
	}
	return least(n, m, func(i, j int) float64 { return cost[i][j] })
}

func check(cost [][]float64, n, m int) error {
	if n > most || m > most {
		return fmt.Errorf("match: a table of at most %d by %d is paired, got %d by %d", most, most, n, m)
	}
	for i, row := range cost {
		if len(row) != m {
			return fmt.Errorf("match: row %d has %d costs and the first has %d", i+1, len(row), m)
		}
		for j, c := range row {
			if math.IsNaN(c) || math.IsInf(c, -1) {
				return fmt.Errorf("match: row %d, column %d: a cost is a number or +Inf, got %v", i+1, j+1, c)
			}
		}
	}
	return nil
}

// least is for no more rows than columns. Rows join one at a time along the
// cheapest path through the pairs there are; u and v are the potentials that keep
// every reduced cost at or above 0. Index 0 stands for "none".
func least(n, m int, cost func(i, j int) float64) ([]int, float64, error) {
	u, v := make([]float64, n+1), make([]float64, m+1)
	row, way := make([]int, m+1), make([]int, m+1)
	far, done := make([]float64, m+1), make([]bool, m+1)
	for i := 1; i <= n; i++ {
		row[0] = i
		for j := range far {
			far[j], done[j] = math.Inf(1), false
		}
		at := 0
		for row[at] != 0 {
			done[at] = true
			step, next := math.Inf(1), 0
			for j := 1; j <= m; j++ {
				if done[j] {
					continue
				}
				if d := cost(row[at]-1, j-1) - u[row[at]] - v[j]; d < far[j] {
					far[j], way[j] = d, at
				}
				if far[j] < step {
					step, next = far[j], j
				}
			}
			if next == 0 {
				return nil, 0, fmt.Errorf("match: no pairing serves all %d of the smaller side", n)
			}
			for j := range far {
				switch {
				case done[j]:
					u[row[j]] += step
					v[j] -= step
				default:
					far[j] -= step
				}
			}
			at = next
		}
		for at != 0 {
			row[at] = row[way[at]]
			at = way[at]
		}
	}
	column, sum := make([]int, n), 0.0
	for j := 1; j <= m; j++ {
		if row[j] != 0 {
			column[row[j]-1] = j - 1
			sum += cost(row[j]-1, j-1)
		}
	}
	return column, sum, nil
}
