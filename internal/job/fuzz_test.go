package job_test

import (
	"bytes"
	"math/rand/v2"
	"testing"

	"endfloat/internal/job"
)

// FuzzReplay gives Replay any lines at all: it reads them, never panics, and
// leaves each piece at one place.
func FuzzReplay(f *testing.F) {
	r := rand.New(rand.NewPCG(11, 12))
	for n := range 20 {
		bs := []job.Body{opened()}
		for range 2 * n {
			bs = append(bs, random(r))
		}
		var book [][]byte
		for _, l := range bodies(f, bs...) {
			book = append(book, l.Bytes)
		}
		f.Add(bytes.Join(book, []byte("\n")))
	}
	f.Add([]byte("\n{}\nnull\n{\"kind\":\"fitted\",\"body\":{\"position\":\"P08\",\"tags\":[null,\"\"]}}"))
	f.Fuzz(func(t *testing.T, book []byte) {
		var ls []job.Line
		for i, b := range bytes.Split(book, []byte("\n")) {
			ls = append(ls, job.Line{Seq: i + 1, ID: string(rune('a' + i%26)), Bytes: b})
		}
		es := job.DecodeAll(ls)
		job.BoxKey(es)
		if err := onePlace(job.Replay("linnet", bw4t(t), es)); err != nil {
			t.Error(err)
		}
		if err := onePlace(job.Replay("linnet", nil, es)); err != nil {
			t.Error(err)
		}
	})
}
