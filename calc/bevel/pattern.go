package bevel

import "fmt"

// Height is where a contact pattern lies between tip and root of a crown-wheel
// tooth.
type Height string

// End is toward which end of the tooth it lies.
type End string

// The heights and ends a pattern can have. The toe is the end of the tooth
// nearer to the axis of the crown wheel, the heel the outer end.
const (
	High   Height = "high"
	Mid    Height = "mid"
	Low    Height = "low"
	Toe    End    = "toe"
	Centre End    = "centre"
	Heel   End    = "heel"
)

// Mark is the pattern on one flank.
type Mark struct {
	Height Height
	End    End
}

// Advice is the move a pattern asks for: one move at a time, then the backlash is
// restored and the gears are rolled again.
type Advice struct {
	Move    string // empty when the pattern is good
	Restore string // how the backlash comes back after it
	Why     string
	Source  string // key of the source
}

// The four moves. Each is followed by the move of the other gear that brings the
// backlash back, as paired in [TM653] p. 4-181.
var (
	pinionToward = Advice{Move: "move the pinion toward the axis of the crown wheel",
		Restore: "then the crown wheel away from the pinion until the backlash is back"}
	pinionAway = Advice{Move: "move the pinion away from the axis of the crown wheel",
		Restore: "then the crown wheel toward the pinion until the backlash is back"}
	wheelAway = Advice{Move: "move the crown wheel away from the pinion",
		Restore: "the backlash grows; if it leaves its limits, move the pinion toward the axis"}
	wheelToward = Advice{Move: "move the crown wheel toward the pinion",
		Restore: "the backlash falls; if it leaves its limits, move the pinion away from the axis"}
)

func (a Advice) because(why, source string) Advice {
	a.Why, a.Source = why, source
	return a
}

// Move returns what the patterns on the drive and the coast flank of the crown
// wheel ask for. Which flank drives forward depends on the hand of the spiral
// and on the side the crown wheel sits; mark it once on the wheel itself.
//
// Height is looked at first, because a wrong pinion depth also moves a pattern
// along the tooth. Sources: [TM660] p. 9-29, [TM266], [TM306] p. 8-42, [TM638]
// p. 4-246, [TM671]. One manual ([TM643] p. 16-30) has the pairs the other way
// round and is not followed; another ([TM260] p. 3-245) names the flanks convex
// and concave and cannot be compared without knowing which of them drives.
func Move(drive, coast Mark) (Advice, error) {
	for _, m := range []Mark{drive, coast} {
		if !m.known() {
			return Advice{}, fmt.Errorf("bevel: a pattern is high, mid or low and toe, centre or heel, not %q and %q", m.Height, m.End)
		}
	}
	crossed := drive.End != coast.End && drive.End != Centre && coast.End != Centre
	switch h := common(drive.Height, coast.Height, Mid); {
	case drive.Height != coast.Height && drive.Height != Mid && coast.Height != Mid:
		return Advice{}.because("high on one flank and low on the other is a cross bearing: no move mends it; "+
			"look for a bent or worn housing or shaft, or a set that does not belong together", "TM643"), nil
	case crossed && drive.End == Heel && h != Low:
		return pinionToward.because("heel on drive and toe on coast: the pinion stands too far out", "TM266"), nil
	case crossed && drive.End == Toe && h != High:
		return pinionAway.because("toe on drive and heel on coast: the pinion stands too far in", "TM266"), nil
	case crossed:
		return Advice{}.because("the heights say one thing of the pinion's depth and the lengths the other; roll a clean pattern again", practice), nil
	case h == High:
		return pinionToward.because("high on the wheel: the pinion stands too far out", "TM660"), nil
	case h == Low:
		return pinionAway.because("low on the wheel: the pinion stands too far in", "TM660"), nil
	}
	switch common(drive.End, coast.End, Centre) {
	case Heel:
		return wheelToward.because("heel: the crown wheel stands too far out", "TM660"), nil
	case Toe:
		if drive.End == coast.End {
			return wheelAway.because("toe on both flanks: the crown wheel stands too far in, unless the pattern is "+
				"small and only leans toward the toe, which is right for a hand-rolled one", "TM660"), nil
		}
	}
	return Advice{Why: "mid height and toe to centre: good for a hand-rolled pattern; it grows along the tooth under load", Source: "TM660"}, nil
}

const practice = "common practice, no source"

func (m Mark) known() bool {
	return (m.Height == High || m.Height == Mid || m.Height == Low) &&
		(m.End == Toe || m.End == Centre || m.End == Heel)
}

// common returns what a and b agree on, taking the middle as agreeing with all.
func common[T comparable](a, b, middle T) T {
	if a == middle {
		return b
	}
	return a
}
