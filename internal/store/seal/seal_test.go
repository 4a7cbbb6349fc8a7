package seal

import (
	"bytes"
	"fmt"
	"testing"

	"endfloat/internal/job"
)

func book(n int) (ls []job.Line) {
	for i := range n {
		ls = append(ls, job.Line{Seq: i + 1, ID: fmt.Sprint(i), Bytes: fmt.Appendf(nil, "entry %d", i)})
	}
	return ls
}

// The head is that of an independent RFC 6962 tree: golang.org/x/mod/sumdb/tlog.
func TestRoot(t *testing.T) {
	s := Seal{}
	for n := range 200 {
		tree, err := job.NewTree(book(n))
		if err != nil {
			t.Fatal(err)
		}
		want, err := tree.Head()
		if err != nil || s.Root() != want {
			t.Fatalf("%d entries: head %v, want %v, %v", n, s.Root(), want, err)
		}
		again, err := Parse(s.Bytes())
		if err != nil || !bytes.Equal(again.Bytes(), s.Bytes()) {
			t.Fatalf("%d entries: read back as %v, %v", n, again, err)
		}
		s.Add(fmt.Appendf(nil, "entry %d", n))
	}
}

// Every change of any one byte of any entry is found, and so are entries that
// are missing, doubled or in another order.
func TestCheck(t *testing.T) {
	const n = 21
	sealed, err := After(nil, book(n))
	if err != nil {
		t.Fatal(err)
	}
	if err := Check(sealed, book(n+4)); err != nil {
		t.Errorf("a book that went on since: %v", err)
	}
	for i := range n {
		for j := range book(n)[i].Bytes {
			ls := book(n)
			ls[i].Bytes[j] ^= 1
			if Check(sealed, ls) == nil {
				t.Errorf("byte %d of entry %d changed and nothing was found", j, i+1)
			}
		}
	}
	swapped := book(n)
	swapped[3].Bytes, swapped[4].Bytes = swapped[4].Bytes, swapped[3].Bytes
	for name, ls := range map[string][]job.Line{"short": book(n - 1), "none": nil, "gap": append(book(3), book(n)[4:]...), "swapped": swapped} {
		if Check(sealed, ls) == nil {
			t.Errorf("%s: nothing was found", name)
		}
	}
	if Check(nil, book(1)) == nil {
		t.Error("a book without a seal passed")
	}
	for _, bad := range [][]byte{{1}, sealed[:len(sealed)-1], sealed[:8], append([]byte{9}, sealed...)} {
		if _, err := Parse(bad); err == nil {
			t.Errorf("%d bytes were read as a seal", len(bad))
		}
	}
}
