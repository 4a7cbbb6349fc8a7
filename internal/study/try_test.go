package study

import (
	"fmt"
	"math/rand/v2"
	"testing"
	"time"
)

func TestTry(t *testing.T) {
	start := time.Now()
	for _, w := range Run(Plan{N: 20, Sets: mostSets, Ways: 2}, func(i int) Dice { return rand.New(rand.NewPCG(7, uint64(i))) }) {
		m, se := w.MeanTrials()
		p, pe := w.WrongShare()
		n, _ := w.NeverShare()
		fmt.Printf("%v %-40s trials %.2f ± %.2f (%d) readings %.1f wrong %.1f ± %.1f %% never %.1f %%\n", w.Fine, w.Name, m, se, w.NineInTen(), w.MeanReadings(), 100*p, 100*pe, 100*n)
	}
	fmt.Println(time.Since(start))
}
