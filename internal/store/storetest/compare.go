package storetest

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"reflect"
	"testing"

	"endfloat/internal/job"
	"endfloat/internal/shop"
)

// Compare makes a random history of n calls, conflicts and repeats among them,
// and checks that two empty stores answer alike.
func Compare(t *testing.T, a, b shop.Store, seed uint64, n int) {
	ctx := context.Background()
	r := rand.New(rand.NewPCG(seed, 0))
	book := func() string { return string(rune('a' + r.IntN(4))) }
	tag := func() string { return fmt.Sprint("T", r.IntN(8)) }
	seqs := map[string]int{}
	kinds := map[string]int{}
	for i := range n {
		var x, y any
		var ex, ey error
		var what string
		switch bk, tg, after := book(), tag(), r.IntN(9); r.IntN(8) {
		case 0:
			what = fmt.Sprintf("Lines %s %d", bk, after)
			x, ex = a.Lines(ctx, bk, after)
			y, ey = b.Lines(ctx, bk, after)
		case 1:
			what = "FindTag " + tg
			x, ex = a.FindTag(ctx, tg)
			y, ey = b.FindTag(ctx, tg)
		case 2:
			what = "blob"
			x, ex = blobCall(ctx, a, after)
			y, ey = blobCall(ctx, b, after)
		default:
			adds := randomAdds(r, seqs, book, tag)
			what = fmt.Sprintf("Append %v", adds)
			ex, ey = a.Append(ctx, adds...), b.Append(ctx, adds...)
			if ex == nil {
				count(ctx, a, seqs)
			}
		}
		if kind(ex) != kind(ey) || !alike(x, y) {
			t.Fatalf("call %d: %s\n%v, %v\n%v, %v", i, what, x, ex, y, ey)
		}
		kinds[kind(ex)]++
	}
	x, ex := a.Summaries(ctx)
	y, ey := b.Summaries(ctx)
	if ex != nil || ey != nil || !alike(x, y) {
		t.Fatalf("summaries\n%v, %v\n%v, %v", x, ex, y, ey)
	}
	for _, k := range []error{nil, shop.ErrConflict, shop.ErrInvalid, shop.ErrNotFound} {
		if kinds[kind(k)] == 0 {
			t.Errorf("no call of this history ended with error %v: it proves too little", k)
		}
	}
}

// randomAdds is most often decided on the right state, and sometimes not.
func randomAdds(r *rand.Rand, seqs map[string]int, book, tag func() string) (adds []shop.Add) {
	for range 1 + r.IntN(2) {
		a := shop.Add{Book: book(), Summary: fmt.Append(nil, r.IntN(1000))}
		a.After = seqs[a.Book]
		if r.IntN(5) == 0 {
			a.After += r.IntN(3) - 1
		}
		for range r.IntN(4) {
			l := entry(fmt.Sprint(r.IntN(4000)))
			if r.IntN(4) == 0 {
				l = entry(fmt.Sprint(r.IntN(8)))
			}
			if r.IntN(30) == 0 {
				l.Bytes = []byte("else")
			}
			a.Lines = append(a.Lines, l)
			a.Tags = append(a.Tags, tag())
		}
		adds = append(adds, a)
	}
	return adds
}

func count(ctx context.Context, s shop.Store, seqs map[string]int) {
	ms, _ := s.Summaries(ctx)
	for _, m := range ms {
		seqs[m.Book] = m.Seq
	}
}

// blobCall puts, gets or drops one of three blobs.
func blobCall(ctx context.Context, s shop.Store, i int) (any, error) {
	b := []byte{byte(i / 3)}
	switch i % 3 {
	case 0:
		return s.PutBlob(ctx, nil, b)
	case 1:
		return s.Blob(ctx, job.Salted(nil, b))
	}
	return nil, s.DropBlob(ctx, job.Salted(nil, b))
}

func kind(err error) string {
	for _, k := range []error{shop.ErrConflict, shop.ErrInvalid, shop.ErrNotFound} {
		if errors.Is(err, k) {
			return k.Error()
		}
	}
	return fmt.Sprint(err)
}

// alike compares answers; nothing is nothing, nil or not.
func alike(x, y any) bool {
	if xs, ok := x.([]shop.Summary); ok {
		ys := y.([]shop.Summary)
		for i := range min(len(xs), len(ys)) {
			if xs[i].Book != ys[i].Book || xs[i].Seq != ys[i].Seq || !bytes.Equal(xs[i].Body, ys[i].Body) {
				return false
			}
		}
		return len(xs) == len(ys)
	}
	vx, vy := reflect.ValueOf(x), reflect.ValueOf(y)
	if vx.Kind() == reflect.Slice && vx.Len() == 0 {
		return vy.Len() == 0
	}
	return reflect.DeepEqual(x, y)
}
