package strength_test

import (
	"fmt"
	"testing"

	"endfloat/internal/demo"
	"endfloat/internal/gearbox"
	"endfloat/internal/strength"
)

func TestTry(t *testing.T) {
	box, err := gearbox.Read("bw-4t", demo.BW4T())
	if err != nil {
		t.Fatal(err)
	}
	c, err := strength.Compare(box, strength.Design{"A", box.As("A"), "A"}, strength.Design{"B", linnet(box), "B"}, strength.Options{Draws: 2000, Seed: 1})
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range c.Pairs {
		b := 0.0
		if p.Before != nil {
			b = p.Before.Reserve
		}
		fmt.Printf("%-34s %-12s %s  %.2f→%.2f (%.2f–%.2f, %.0f%%) life %.0f h [%s] %s\n", p.After.Name, p.After.Kind, p.After.Gear, b, p.After.Reserve, p.Low, p.High, p.Weakest*100, p.After.Life/3600, p.After.Load, p.Says)
	}
	fmt.Println(c.Missing, c.Changes, c.Short)
}

func linnet(b *gearbox.Box) gearbox.Built {
	as := b.As("A")
	for _, id := range []string{"P08", "P09", "P10", "P11", "P14", "P15", "P18", "Q08", "F04"} {
		as.Variants[id] = b.As("B").Variants[id]
	}
	return as
}
