package bevel_test

import (
	"fmt"
	"testing"

	"endfloat/calc/bevel"
	"endfloat/calc/unit"
)

// Our own gauge reading: the same move, and two places for the shim.
func ExampleDepthShim() {
	a := bevel.Depth(25*mm, 32*mm, 0.27*mm)
	target, _ := bevel.DepthTarget(57*mm, 0.12*mm, bevel.PlusFurther)
	move := target - a
	cup, _ := bevel.DepthShim(0.40*mm, move, bevel.ThickerToward)
	cartridge, _ := bevel.DepthShim(0.40*mm, move, bevel.ThickerAway)
	fmt.Printf("A %.2f, want %.2f, move %+.2f: cup %.2f, cartridge %.2f\n", a/mm, target/mm, move/mm, cup/mm, cartridge/mm)
	// Output: A 57.27, want 57.12, move -0.15: cup 0.55, cartridge 0.25
}

// Our own exchange of sets: old +0.05, new −0.10.
func ExampleSwapMove() {
	move, _ := bevel.SwapMove(0.05*mm, -0.10*mm, bevel.PlusFurther)
	cartridge, _ := bevel.DepthShim(0.55*mm, move, bevel.ThickerAway)
	cup, _ := bevel.DepthShim(0.55*mm, move, bevel.ThickerToward)
	fmt.Printf("%+.2f: cartridge %.2f, cup %.2f\n", move/mm, cartridge/mm, cup/mm)
	// Output: -0.15: cartridge 0.40, cup 0.70
}

// Two published manuals use the etched number in opposite ways: [TM280] section
// 19-3 takes 0.003 in off the pack for +3 and adds it for −3; [TM365] p. 23-16
// adds a positive number and takes a negative one off. Neither says why. Both come
// out of the same sum with other answers to the question about the shim.
func TestPublishedEtchedNumbers(t *testing.T) {
	const thou = unit.Inch / 1000
	tests := []struct {
		source  string
		thicker bevel.Thicker
		etched  unit.Length
		change  unit.Length
	}{
		{"TM280 +3", bevel.ThickerToward, 3 * thou, -3 * thou},
		{"TM280 −3", bevel.ThickerToward, -3 * thou, 3 * thou},
		{"TM365 PC +4", bevel.ThickerAway, 4 * thou, 4 * thou},
		{"TM365 PC −.05 mm", bevel.ThickerAway, -0.05 * mm, -0.05 * mm},
	}
	for _, tt := range tests {
		move, err := bevel.SwapMove(0, tt.etched, bevel.PlusFurther)
		if err != nil {
			t.Fatal(err)
		}
		shim, err := bevel.DepthShim(20*thou, move, tt.thicker)
		if err != nil {
			t.Fatal(err)
		}
		near(t, tt.source, float64(shim-20*thou), float64(tt.change), 1e-12)
	}
}

func TestDepthAsksForSigns(t *testing.T) {
	if _, err := bevel.DepthTarget(57*mm, 0.1*mm, ""); err == nil {
		t.Error("a sign was assumed for the etched number")
	}
	if _, err := bevel.SwapMove(0, 0.1*mm, ""); err == nil {
		t.Error("a sign was assumed for the exchange")
	}
	if _, err := bevel.DepthShim(0.4*mm, 0.1*mm, ""); err == nil {
		t.Error("a direction was assumed for the shim")
	}
	further, _ := bevel.SwapMove(0.02*mm, 0.09*mm, bevel.PlusFurther)
	nearer, _ := bevel.SwapMove(0.02*mm, 0.09*mm, bevel.PlusNearer)
	if further != -nearer || further == 0 {
		t.Errorf("the two meanings of plus give %g and %g, want opposite moves", further, nearer)
	}
}

// Our own side bearings.
func ExampleSideTotal() {
	fmt.Printf("%.2f\n", bevel.SideTotal(170.62*mm, 166.34*mm, 0.12*mm)/mm)
	// Output: 4.40
}
