package setup_test

import (
	"strings"
	"testing"

	"endfloat/internal/demo"
	"endfloat/internal/gearbox"
	"endfloat/internal/job"
	"endfloat/internal/setup"
)

// A limit meant square to the tooth and a dial in the plane of turning: it is
// asked, and the reading is brought to the sense of the limit. 0.147 in the plane
// of turning is 0.113 square to the tooth at 20° and 35°.
func TestWhereTheDialStands(t *testing.T) {
	text := strings.Replace(string(demo.BW4T()), "    factor: 0.70 ± 0.07\n", "    factor: 0.70 ± 0.07\n    sense: normal\n    turning reads: 1.2991\n", 1)
	box, err := gearbox.Read("sense", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	with := func(answer string) setup.Result {
		bs := join(sideShims(), l23packs(), []job.Body{read("backlash", "dial indicator", 5, 0.147, 0.147, 0.147, 0.147)})
		if answer != "" {
			bs = append(bs, job.Answered{Question: setup.DialQuestion, Answer: answer})
		}
		return setting(t, job.Replay("linnet", box, entries(t, "A", bs...)), "backlash")
	}
	if r := with(""); r.Known || r.Question != setup.DialQuestion {
		t.Errorf("not asked: known %v, question %q", r.Known, r.Question)
	}
	near(t, "square to the tooth", with(setup.DialSquare).Value/mm, 0.147, 1e-6)
	near(t, "in the plane of turning", with(setup.DialTurning).Value/mm, 0.1132, 1e-4)
	if r := with(setup.DialTurning); r.Verdict != "out" {
		t.Errorf("0.113 of 0.13 to 0.18 is %q", r.Verdict)
	}
}
