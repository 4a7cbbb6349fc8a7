package job_test

import (
	"fmt"
	"testing"

	"endfloat/internal/job"
)

// realistic is a book of n entries as a long rebuild makes them: off and on
// again, measured with packs in and out, torqued, noted, now and then struck.
func realistic(b *testing.B, n int) []job.Line {
	box := bw4t(b)
	bs := []job.Body{opened()}
	for i, mm := range []float64{2.001, 0.203, 0.252, 0.149, 0.298, 0.998, 1.003, 0.197} {
		bs = append(bs, job.Came{Piece: job.Piece{Tag: fmt.Sprintf("s%d", i+1), Name: "side shim", Stock: "side shim",
			Thick: fmt.Sprintf("%.3f mm", mm), SI: mm / 1000, U: 3e-6}, From: "stores", Place: "bench"})
	}
	all := box.All()
	for i := 0; len(bs) < n; i++ {
		p := all[i%len(all)]
		own := job.Tag("L", p.ID)
		bs = append(bs,
			job.TakenOff{Position: p.ID, Faced: "as the file has it", Place: "tray L, " + p.Carrier.Name, Moved: "hand"},
			job.Read{What: "backlash", Values: []string{"0.30", "0.32", "0.31", "0.31"}, SI: []float64{0.30e-3, 0.32e-3, 0.31e-3, 0.31e-3}, Unit: "mm", With: "dial indicator", U: 5e-6, Common: 0.5},
			job.Decided{Position: p.ID, Choice: "reuse"},
			job.Noted{Text: "Washed, oil ways probed.", Position: p.ID},
			job.Fitted{Position: "D20", Tags: []string{"s1", fmt.Sprintf("s%d", 2+i%7)}, Trial: true},
			job.Fitted{Position: p.ID, Tags: []string{own}},
			job.Torqued{Position: p.ID, Method: "wrench", Reading: "24", Torque: 24},
		)
		if i%9 == 0 {
			bs = append(bs, job.Struck{Entry: fmt.Sprintf("e%d", len(bs)-3), Why: "typed twice"})
		}
	}
	return bodies(b, bs[:n]...)
}

// A book of five thousand entries is some forty times a usual rebuild.
func BenchmarkReplay5000(b *testing.B) {
	box, ls := bw4t(b), realistic(b, 5000)
	es := job.DecodeAll(ls)
	b.Run("replay", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			job.Replay("linnet", box, es)
		}
	})
	b.Run("decode and replay", func(b *testing.B) {
		for b.Loop() {
			job.Replay("linnet", box, job.DecodeAll(ls))
		}
	})
	b.Run("tree", func(b *testing.B) {
		for b.Loop() {
			if _, err := job.NewTree(ls); err != nil {
				b.Fatal(err)
			}
		}
	})
}
