package demo_test

import (
	"fmt"
	"testing"

	"endfloat/internal/demo"
	"endfloat/internal/gearbox"
)

func TestScratch(t *testing.T) {
	for _, x := range [][]byte{demo.BW4T(), demo.ThreeSpeed()} {
		b, err := gearbox.Read("x.yaml", x)
		if err != nil {
			t.Fatal(err)
		}
		fmt.Println(len(b.All()))
		for _, p := range b.Order() {
			fmt.Println("  ", p.Label())
		}
	}
}
