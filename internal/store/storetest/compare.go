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

// Compare makes a random history of n calls, conflicts and repeats among them, and
// checks that a model and other empty stores answer alike.
func Compare(t testing.TB, seed uint64, n int, model shop.Store, others ...shop.Store) {
	t.Helper()
	h := &history{r: rand.New(rand.NewPCG(seed, 0)), seqs: map[string]int{}}
	kinds := map[string]int{}
	for i := range n {
		what, call := h.next()
		x, ex := call(model)
		if ex == nil {
			count(context.Background(), model, h.seqs)
		}
		for _, s := range others {
			if y, ey := call(s); kind(ex) != kind(ey) || !alike(x, y) {
				t.Errorf("call %d: %s\n%T: %v, %v\n%T: %v, %v", i, what, model, x, ex, s, y, ey)
				return
			}
		}
		kinds[kind(ex)]++
	}
	x, ex := model.Summaries(context.Background())
	for _, s := range others {
		if y, ey := s.Summaries(context.Background()); ex != nil || ey != nil || !alike(x, y) {
			t.Errorf("summaries\n%v, %v\n%v, %v", x, ex, y, ey)
			return
		}
	}
	for _, k := range []error{nil, shop.ErrConflict, shop.ErrInvalid, shop.ErrNotFound} {
		if kinds[kind(k)] == 0 {
			t.Errorf("no call of this history ended with error %v: it proves too little", k)
		}
	}
}

// history makes calls at random.
type history struct {
	r    *rand.Rand
	seqs map[string]int // of each book, at the model
	sent [][]shop.Add   // the last appends, which a phone may send again
}

func (h *history) book() string { return string(rune('a' + h.r.IntN(4))) }
func (h *history) tag() string  { return fmt.Sprint("T", h.r.IntN(8)) }

// next is a call, and what it is in words.
func (h *history) next() (string, func(shop.Store) (any, error)) {
	ctx := context.Background()
	switch book, tag, after := h.book(), h.tag(), h.r.IntN(9); h.r.IntN(8) {
	case 0:
		if h.r.IntN(2) == 0 { // who has read most of it already
			after = h.seqs[book] - 2
		}
		return fmt.Sprintf("Lines %s %d", book, after), func(s shop.Store) (any, error) { return s.Lines(ctx, book, after) }
	case 1:
		return h.index(ctx, book, tag)
	case 2:
		salt := []byte(tag)[:h.r.IntN(2)]
		return "blob", func(s shop.Store) (any, error) { return blobCall(ctx, s, salt, after) }
	}
	var adds []shop.Add
	if len(h.sent) > 0 && h.r.IntN(8) == 0 {
		adds = h.sent[h.r.IntN(len(h.sent))]
	} else {
		adds = randomAdds(h.r, h.seqs, h.book, h.tag)
		h.sent = append(h.sent, adds)
		h.sent = h.sent[max(0, len(h.sent)-20):]
	}
	return fmt.Sprintf("Append %v", adds), func(s shop.Store) (any, error) { return nil, s.Append(ctx, adds...) }
}

// index is a call that finds or lists.
func (h *history) index(ctx context.Context, book, tag string) (string, func(shop.Store) (any, error)) {
	word, n := fmt.Sprint(h.r.IntN(100)), 1+h.r.IntN(9)
	switch h.r.IntN(8) {
	case 0:
		return "Find " + word, func(s shop.Store) (any, error) { return s.Find(ctx, []string{"ID", word}, n) }
	case 1:
		return "Summaries", func(s shop.Store) (any, error) { return s.Summaries(ctx) }
	case 2:
		return "TagsOf " + book, func(s shop.Store) (any, error) { return s.(shop.Whole).TagsOf(ctx, book) }
	case 3:
		return "BlobKeys", func(s shop.Store) (any, error) { return s.(shop.Whole).BlobKeys(ctx, word, n) }
	}
	return "FindTag " + tag, func(s shop.Store) (any, error) { return s.FindTag(ctx, tag) }
}

// randomAdds is most often decided on the right state, and sometimes not.
func randomAdds(r *rand.Rand, seqs map[string]int, book, tag func() string) (adds []shop.Add) {
	for range 1 + r.IntN(3) {
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

// blobCall puts, gets or drops one of a few blobs.
func blobCall(ctx context.Context, s shop.Store, salt []byte, i int) (any, error) {
	b := bytes.Repeat([]byte{byte(i / 3)}, i/3*500)
	switch i % 3 {
	case 0:
		return s.PutBlob(ctx, salt, b)
	case 1:
		return s.Blob(ctx, job.Salted(salt, b))
	}
	return nil, s.DropBlob(ctx, job.Salted(salt, b))
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
