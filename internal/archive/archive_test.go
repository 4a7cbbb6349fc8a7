package archive_test

import (
	"archive/zip"
	"bytes"
	"crypto/ed25519"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"endfloat/internal/archive"
	"endfloat/internal/job"
)

func book(t testing.TB, name string, n int) archive.Book {
	t.Helper()
	b := archive.Book{Name: name}
	for i := range n {
		l, err := job.Encode(job.Entry{ID: fmt.Sprintf("%s-%d", name, i), At: time.Unix(1e9+int64(i), 0), By: strings.Repeat("ab", 32), On: "phone"},
			job.Read{What: "primary recess", Values: []string{"18.86", "18.87", "18.88"}, SI: []float64{0.01886, 0.01887, 0.01888}, Unit: "mm", U: 5e-6, With: "depth micrometer"})
		if err != nil {
			t.Fatal(err)
		}
		b.Lines = append(b.Lines, l)
	}
	return b
}

func sample(t testing.TB) *archive.Archive {
	t.Helper()
	a := &archive.Archive{Books: []archive.Book{book(t, "wren", 23), book(t, "heron", 5)}}
	for _, b := range []archive.Blob{
		{Kind: archive.Photo, Bytes: []byte("\xff\xd8\xff picture")},
		{Kind: archive.Name, Salt: []byte("0123456789abcdef"), Bytes: []byte(`{"name":"Ann Other"}`)},
		{Kind: archive.Gearbox, Bytes: []byte("endfloat: 1\n")},
	} {
		b.Key = job.Salted(b.Salt, b.Bytes)
		a.Blobs = append(a.Blobs, b)
	}
	a.Needs = book(t, "stores", 2).Lines
	return a
}

func packed(t testing.TB, a *archive.Archive) []byte {
	t.Helper()
	b, err := a.Bytes()
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// The same books give the same bytes, whatever their order, and what is read is
// what was written.
func TestCanonical(t *testing.T) {
	a := sample(t)
	first := packed(t, a)
	a.Books[0], a.Books[1] = a.Books[1], a.Books[0]
	a.Blobs[0], a.Blobs[2] = a.Blobs[2], a.Blobs[0]
	if !bytes.Equal(first, packed(t, a)) {
		t.Fatal("the order of books and blobs changes the bytes")
	}
	got, err := archive.Read(first)
	if err != nil {
		t.Fatal(err)
	}
	if len(got.Books) != 2 || len(got.Blobs) != 3 || len(got.Needs) != 2 || !bytes.Equal(first, packed(t, got)) {
		t.Error("read and written again it is another")
	}
}

// A zip reader that is not ours and the common tools read it too.
func TestOtherReaders(t *testing.T) {
	raw := packed(t, sample(t))
	z, err := zip.NewReader(bytes.NewReader(raw), int64(len(raw)))
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	for _, f := range z.File {
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		var b bytes.Buffer
		if _, err := b.ReadFrom(r); err != nil { // checks the CRC
			t.Fatal(f.Name, err)
		}
		to := filepath.Join(dir, f.Name)
		os.MkdirAll(filepath.Dir(to), 0o700)
		if err := os.WriteFile(to, b.Bytes(), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := exec.LookPath("sha256sum"); err == nil {
		cmd := exec.Command("sha256sum", "-c", "--strict", "SHA256SUMS")
		cmd.Dir = dir
		if out, err := cmd.CombinedOutput(); err != nil {
			t.Errorf("%v\n%s", err, out)
		}
	}
}

// One flipped byte anywhere is found.
func TestFlipped(t *testing.T) {
	raw := packed(t, sample(t))
	r := rand.New(rand.NewPCG(1, 2))
	for range 1000 {
		at, bit := r.IntN(len(raw)), byte(1+r.IntN(255))
		raw[at] ^= bit
		if _, err := archive.Read(raw); !errors.Is(err, archive.ErrRefused) {
			t.Fatalf("byte %d of %d flipped and not found: %v", at, len(raw), err)
		}
		raw[at] ^= bit
	}
	for range 200 {
		if _, err := archive.Read(raw[:r.IntN(len(raw))]); !errors.Is(err, archive.ErrRefused) {
			t.Fatal("a broken off archive is taken")
		}
	}
	if _, err := archive.Read(append(raw, 0)); !errors.Is(err, archive.ErrRefused) {
		t.Error("what hangs on at the end is not seen")
	}
}

// Archives that a hostile hand made with a zip library.
func TestHostile(t *testing.T) {
	made := func(do func(*zip.Writer)) []byte {
		var b bytes.Buffer
		w := zip.NewWriter(&b)
		do(w)
		if err := w.Close(); err != nil {
			t.Fatal(err)
		}
		return b.Bytes()
	}
	add := func(w *zip.Writer, method uint16, name, data string) {
		f, err := w.CreateRaw(&zip.FileHeader{Name: name, Method: method, CompressedSize64: uint64(len(data)), UncompressedSize64: uint64(len(data))})
		if err != nil {
			t.Fatal(err)
		}
		f.Write([]byte(data))
	}
	for name, want := range map[string]string{"../../etc/passwd": "no name", "/abs": "no name", "book/Wren.jsonl": "no name", "book\\x.jsonl": "no name", "photo/../x.jpg": "no name", "con": "no name", "book/a.jsonl/b": "no name"} {
		_, err := archive.Read(made(func(w *zip.Writer) { add(w, zip.Store, name, "x") }))
		if !errors.Is(err, archive.ErrRefused) || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v", name, err)
		}
	}
	for why, raw := range map[string][]byte{
		"compressed": made(func(w *zip.Writer) {
			f, _ := w.Create("README")
			f.Write(make([]byte, 1<<20))
		}),
		"twice": made(func(w *zip.Writer) {
			add(w, zip.Store, "README", "x")
			add(w, zip.Store, "book/a.jsonl", "x")
			add(w, zip.Store, "book/a.jsonl", "x")
		}),
		"no archive": []byte("<html>nothing of the kind"),
		"breaks off": {'P', 'K'},
	} {
		if _, err := archive.Read(raw); !errors.Is(err, archive.ErrRefused) || !strings.Contains(err.Error(), why) {
			t.Errorf("%s: %v", why, err)
		}
	}
	for why, change := range map[string]func(*archive.Archive){
		"key":   func(a *archive.Archive) { a.Blobs[0].Bytes = []byte("another") },
		"head":  func(a *archive.Archive) { a.Books[0].Head = "endfloat/wren\n23\nAAAA\n" },
		"twice": func(a *archive.Archive) { a.Books[0].Lines = append(a.Books[0].Lines, a.Books[0].Lines[0]) },
		"entry": func(a *archive.Archive) { a.Books[0].Lines[3] = []byte(`{"id":"x"}`) },
		"book":  func(a *archive.Archive) { a.Books = nil },
		"signat": func(a *archive.Archive) {
			a.Books[0].Head, _ = archive.Checkpoint("wren", a.Books[0].Lines)
			a.Books[0].Head += "more\n"
		},
	} {
		a := sample(t)
		change(a)
		if _, err := archive.Read(packed(t, a)); !errors.Is(err, archive.ErrRefused) || !strings.Contains(err.Error(), why) {
			t.Errorf("%s: %v", why, err)
		}
	}
}

// A key signs; another key's signature is not taken for it.
func TestSigned(t *testing.T) {
	key := ed25519.NewKeyFromSeed(bytes.Repeat([]byte{7}, 32))
	other := ed25519.NewKeyFromSeed(bytes.Repeat([]byte{8}, 32))
	a := sample(t)
	head, err := archive.Checkpoint("wren", a.Books[0].Lines)
	if err != nil {
		t.Fatal(err)
	}
	if a.Books[0].Head, err = archive.Sign(head, key); err != nil {
		t.Fatal(err)
	}
	got, err := archive.Read(packed(t, a))
	if err != nil {
		t.Fatal(err)
	}
	signed := got.Books[1].Head
	if !archive.Signed(signed, key.Public().(ed25519.PublicKey)) || archive.Signed(signed, other.Public().(ed25519.PublicKey)) || archive.Signed(head, key.Public().(ed25519.PublicKey)) {
		t.Errorf("signature told wrongly: %q", signed)
	}
}

func TestProof(t *testing.T) {
	for _, n := range []int{1, 2, 3, 7, 8, 500} {
		b := book(t, "wren", n)
		for _, seq := range []int{1, n/2 + 1, n} {
			raw, err := archive.Prove(b, seq)
			if err != nil {
				t.Fatal(err)
			}
			if len(raw) > 1000 || bytes.HasPrefix(raw, []byte{0x1f, 0x8b}) {
				t.Errorf("entry %d of %d: the proof has %d bytes", seq, n, len(raw))
			}
			p, err := archive.CheckProof(raw)
			if err != nil || p.Entry.Seq != seq || !strings.HasPrefix(p.Head, "endfloat/wren\n") {
				t.Fatalf("entry %d of %d: %v", seq, n, err)
			}
			for at := range raw {
				raw[at] ^= 1
				if _, err := archive.CheckProof(raw); err == nil && at < bytes.LastIndex(raw, []byte("endfloat/")) {
					t.Fatalf("entry %d of %d: byte %d flipped and not found", seq, n, at)
				}
				raw[at] ^= 1
			}
		}
	}
	if _, err := archive.Prove(book(t, "wren", 3), 4); err == nil {
		t.Error("an entry that is not there is proved")
	}
}

// A long entry is proved by a file through gzip: below 1 kB for eight values, a
// note and a signature, in a book of 5000 entries, and found broken where it is.
func TestLongProof(t *testing.T) {
	b := book(t, "wren", 5000)
	l, err := job.Encode(job.Entry{ID: "019471f0-0000-7000-8000-000000000abc", At: time.Unix(1e9, 0), By: strings.Repeat("c4", 32), On: "bench tablet", N: 1234},
		job.Read{What: "backlash as found", Values: strings.Fields("0.36 0.37 0.39 0.40 0.41 0.40 0.38 0.36"), SI: []float64{0.00036, 0.00037, 0.00039, 0.0004, 0.00041, 0.0004, 0.00038, 0.00036},
			Unit: "mm", U: 5e-6, Common: 0.5, With: "dial indicator", Note: "one high and one low per turn: look for run-out"})
	if err != nil {
		t.Fatal(err)
	}
	b.Lines[3000] = l
	head, err := archive.Checkpoint("wren", b.Lines)
	if err == nil {
		b.Head, err = archive.Sign(head, ed25519.NewKeyFromSeed(bytes.Repeat([]byte{7}, 32)))
	}
	if err != nil {
		t.Fatal(err)
	}
	raw, err := archive.Prove(b, 3001)
	if err != nil || len(raw) >= 1000 || !bytes.HasPrefix(raw, []byte{0x1f, 0x8b}) {
		t.Fatalf("%d bytes, %v", len(raw), err)
	}
	if p, err := archive.CheckProof(raw); err != nil || p.Entry.Seq != 3001 {
		t.Fatalf("%v", err)
	}
	for at := 10; at < len(raw)-10; at++ { // the header of gzip holds nothing of the proof
		raw[at] ^= 4
		if p, err := archive.CheckProof(raw); err == nil {
			t.Fatalf("byte %d changed: %+v", at, p)
		}
		raw[at] ^= 4
	}
	file := filepath.Join(t.TempDir(), "proof")
	if err := os.WriteFile(file, raw, 0o600); err != nil {
		t.Fatal(err)
	}
	if py, err := exec.LookPath("python3"); err == nil {
		if out, err := exec.Command(py, "../../docs/prove.py", file, strings.Split(head, "\n")[2]).CombinedOutput(); err != nil || !bytes.Contains(out, []byte("entry 3001 of 5000")) {
			t.Errorf("%v\n%s", err, out)
		}
	}
	t.Logf("%d bytes", len(raw))
}

// The script that is shipped says the same with the standard library of another
// language alone.
func TestScript(t *testing.T) {
	py, err := exec.LookPath("python3")
	if err != nil {
		t.Skip("python3 is missing")
	}
	file := filepath.Join(t.TempDir(), "proof")
	for _, n := range []int{1, 2, 5, 8, 300} {
		b := book(t, "wren", n)
		for _, seq := range []int{1, n/2 + 1, n} {
			raw, err := archive.Prove(b, seq)
			if err != nil {
				t.Fatal(err)
			}
			head := strings.Split(string(raw[bytes.LastIndex(raw, []byte("endfloat/")):]), "\n")[2]
			for flip := range 2 {
				raw[10] ^= byte(flip)
				if err := os.WriteFile(file, raw, 0o600); err != nil {
					t.Fatal(err)
				}
				out, err := exec.Command(py, "../../docs/prove.py", file, head).CombinedOutput()
				if (err == nil) != (flip == 0) || flip == 0 && !bytes.Contains(out, []byte(fmt.Sprintf("entry %d of %d", seq, n))) {
					t.Fatalf("entry %d of %d, flipped %d: %v\n%s", seq, n, flip, err, out)
				}
			}
		}
	}
}

func FuzzRead(f *testing.F) {
	f.Add(packed(f, sample(f)))
	f.Fuzz(func(t *testing.T, raw []byte) {
		a, err := archive.Read(raw)
		if err == nil && !bytes.Equal(raw, packed(t, a)) {
			t.Error("taken, and written again it is another")
		}
	})
}
