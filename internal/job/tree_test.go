package job_test

import (
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"endfloat/internal/job"

	"golang.org/x/mod/sumdb/tlog"
)

func tree(t testing.TB, ls []job.Line) *job.Tree {
	t.Helper()
	tr, err := job.NewTree(ls)
	if err != nil {
		t.Fatal(err)
	}
	return tr
}

func pin(t testing.TB, ls []job.Line) string {
	t.Helper()
	p, err := tree(t, ls).Pin()
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func lines(bs ...[]byte) []job.Line {
	var ls []job.Line
	for i, b := range bs {
		ls = append(ls, job.Line{Seq: i + 1, ID: fmt.Sprint(i + 1), Bytes: b})
	}
	return ls
}

// The heads of the first eight trees. RFC 6962, 2.1: the hash of an empty tree
// is SHA-256 of the empty string. The others: test vectors of the Certificate
// Transparency project for RFC 6962, github.com/transparency-dev/merkle,
// testonly/constants.go, LeafInputs and RootHashes.
func TestPublishedHeads(t *testing.T) {
	leaves := strings.Split(" 00 10 2021 3031 40414243 5051525354555657 606162636465666768696a6b6c6d6e6f", " ")
	heads := []string{
		fmt.Sprintf("%x", sha256.Sum256(nil)),
		"6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d",
		"fac54203e7cc696cf0dfcb42c92a1d9dbaf70ad9e621f4bd8d98662f00e3c125",
		"aeb6bcfe274b70a14fb067a5e5578264db0fa9b51af5e0ba159158f329e06e77",
		"d37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7",
		"4e3bbb1f7b478dcfe71fb631631519a3bca12c9aefca1612bfce4c13a86264d4",
		"76e67dadbcdf1e10e1b74ddc608abd2f98dfb16fbce75277b5232a127f2087ef",
		"ddb89be403809e325750d3d263cd78929c2942b7942a34b77e122c9594a74c8c",
		"5dc9da79a70659a9ad559cb701ded9a2ab9d823aad2f4960cfe370eff4604328",
	}
	tr := tree(t, nil)
	for n, want := range heads {
		h, err := tr.Head()
		if err != nil {
			t.Fatal(err)
		}
		if got := hex.EncodeToString(h[:]); got != want || tr.Size() != n {
			t.Errorf("head of %d entries (size says %d) is %s, want %s", n, tr.Size(), got, want)
		}
		p, err := tr.Pin()
		if err != nil || p != fmt.Sprintf("%d %s", n, base64.StdEncoding.EncodeToString(h[:])) {
			t.Errorf("pin %q, %v", p, err)
		}
		if n == len(leaves) {
			break
		}
		b, err := hex.DecodeString(leaves[n])
		if err != nil {
			t.Fatal(err)
		}
		if err := tr.Add(b); err != nil {
			t.Fatal(err)
		}
	}
}

// Any bit of any entry, the order of two, one left out, one added: each
// changes the head.
func TestHeadPinsEverything(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for range 200 {
		var bs [][]byte
		for i := range 1 + r.IntN(20) {
			bs = append(bs, fmt.Appendf(nil, "entry %d %d", i, r.Int()))
		}
		ls := lines(bs...)
		was := pin(t, ls)
		i := r.IntN(len(ls))
		j := r.IntN(len(ls[i].Bytes))
		ls[i].Bytes[j] ^= 1 << r.IntN(8)
		if pin(t, ls) == was {
			t.Fatalf("byte %d of entry %d of %d does not count", j, i, len(ls))
		}
		ls[i].Bytes = append(ls[i].Bytes[:0:0], ls[i].Bytes...)
		changed := pin(t, ls)
		if k := r.IntN(len(ls)); k != i {
			ls[i], ls[k] = ls[k], ls[i]
			if pin(t, ls) == changed {
				t.Fatalf("the order of entries %d and %d does not count", i, k)
			}
			ls[i], ls[k] = ls[k], ls[i]
		}
		if pin(t, append(ls[:len(ls):len(ls)], job.Line{Bytes: nil})) == changed || pin(t, ls[:len(ls)-1]) == changed {
			t.Fatal("an entry more or less does not count")
		}
	}
}

// Each entry can be proved against the head, in under a kilobyte, by the
// library's own check; no other bytes, place or head pass.
func TestProveEach(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for _, n := range []int{1, 2, 3, 7, 8, 9, 100, 257} {
		var bs [][]byte
		for i := range n {
			bs = append(bs, fmt.Appendf(nil, "%d of %d: %d", i, n, r.Int()))
		}
		tr := tree(t, lines(bs...))
		head, err := tr.Head()
		if err != nil {
			t.Fatal(err)
		}
		for i, b := range bs {
			p, err := tr.Prove(i + 1)
			if err != nil {
				t.Fatal(err)
			}
			check := func(at int, b []byte, head tlog.Hash) error {
				return tlog.CheckRecord(p, int64(n), head, int64(at), tlog.RecordHash(b))
			}
			if err := check(i, b, head); err != nil {
				t.Fatalf("entry %d of %d: %v", i+1, n, err)
			}
			if len(p)*tlog.HashSize >= 1024 {
				t.Errorf("the proof of entry %d of %d has %d bytes", i+1, n, len(p)*tlog.HashSize)
			}
			bad := head
			bad[r.IntN(32)] ^= 1
			if check(i, append([]byte("x"), b...), head) == nil || check(i, b, bad) == nil || n > 1 && check((i+1)%n, b, head) == nil {
				t.Fatalf("entry %d of %d: a false proof passes", i+1, n)
			}
		}
	}
}

// A place outside the book is an error, not a proof and not a panic.
func TestProveOutside(t *testing.T) {
	tr := tree(t, lines([]byte("a"), []byte("b")))
	for _, seq := range []int{0, -1, 3, 1 << 40} {
		if p, err := tr.Prove(seq); err == nil {
			t.Errorf("entry %d of 2 has the proof %v", seq, p)
		}
	}
}

// The key of a name or photo depends on its salt, so that it cannot be guessed
// from the name alone.
func TestSalted(t *testing.T) {
	a, b := job.Salted([]byte("salt 1"), []byte("Tove")), job.Salted([]byte("salt 2"), []byte("Tove"))
	if a == b || a != job.Salted([]byte("salt 1"), []byte("Tove")) || len(a) != 64 {
		t.Errorf("keys %s and %s", a, b)
	}
}
