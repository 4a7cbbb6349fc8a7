package shop_test

import (
	"archive/zip"
	"bytes"
	"compress/flate"
	"encoding/binary"
	"encoding/csv"
	"errors"
	"fmt"
	"hash/crc32"
	"io"
	"math/rand/v2"
	"strings"
	"testing"

	"endfloat/internal/archive"
	"endfloat/internal/demo"
	"endfloat/internal/job"
	"endfloat/internal/shop"
	"endfloat/internal/store/memory"
)

// exported is Linnet's archive, taken apart and as bytes.
func exported(t testing.TB) (*archive.Archive, []byte) {
	t.Helper()
	a, err := wholeDemo(t).Pack(t.Context(), demo.Linnet, true, nil)
	if err != nil {
		t.Fatal(err)
	}
	raw, err := a.Bytes()
	if err != nil {
		t.Fatal(err)
	}
	return a, raw
}

// One flipped byte anywhere in the export of the demonstration is found: a
// thousand places, over headers, entries, photos, checksums and the directory.
func TestFlippedExport(t *testing.T) {
	_, raw := exported(t)
	r := rand.New(rand.NewPCG(9, 4))
	tail := bytes.LastIndex(raw, []byte("SHA256SUMS"))
	for n := range 1000 {
		at := r.IntN(len(raw))
		if n%10 == 0 { // what stands behind the files is small and would hardly be hit
			at = tail - 4000 + r.IntN(len(raw)-tail+4000)
		}
		by := byte(1 + r.IntN(255))
		raw[at] ^= by
		if _, err := shop.Verify(raw, "1"); !errors.Is(err, shop.ErrInvalid) {
			t.Fatalf("byte %d of %d flipped and not found: %v", at, len(raw), err)
		}
		raw[at] ^= by
	}
	if _, err := shop.Verify(raw, "1"); err != nil {
		t.Errorf("put right again it is refused: %v", err)
	}
}

// entry is one file of a zip as a hostile hand writes it.
type entry struct {
	name   string
	data   []byte
	method uint16
}

func zipped(t testing.TB, es ...entry) []byte {
	t.Helper()
	var b bytes.Buffer
	w := zip.NewWriter(&b)
	for _, e := range es {
		f, err := w.CreateRaw(&zip.FileHeader{Name: e.name, Method: e.method, CRC32: crc32.ChecksumIEEE(e.data), CompressedSize64: uint64(len(e.data)), UncompressedSize64: uint64(len(e.data))})
		if err != nil {
			t.Fatal(err)
		}
		if _, err := f.Write(e.data); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// bomb is a megabyte of nothing in a thousand bytes.
func bomb(t testing.TB) []byte {
	t.Helper()
	var b bytes.Buffer
	w, err := flate.NewWriter(&b, 9)
	if err == nil {
		_, err = io.CopyN(w, strings.NewReader(strings.Repeat("\x00", 1<<20)), 1<<20)
	}
	if err == nil {
		err = w.Close()
	}
	if err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// with is an archive that was changed and written anew, checksums, heads and all:
// what a forger would send who has this very program.
func with(t testing.TB, change func(*archive.Archive)) []byte {
	t.Helper()
	a, _ := exported(t)
	change(a)
	raw, err := a.Bytes()
	if err != nil {
		t.Fatal(err)
	}
	return raw
}

// Broken and hostile archives are refused with one sentence that says where, and
// nothing in the workshop is changed by any of them.
func TestHostileImport(t *testing.T) {
	_, good := exported(t)
	plainly := func(name string) []byte {
		return zipped(t, entry{"README", []byte("x"), zip.Store}, entry{name, []byte("x"), zip.Store})
	}
	huge := bytes.Clone(good)
	binary.LittleEndian.PutUint32(huge[22:], 0xFFFFFFF0) // the first file says it has 4 GB
	binary.LittleEndian.PutUint32(huge[18:], 0xFFFFFFF0)
	sums := bytes.Clone(good)
	at := bytes.LastIndex(sums, []byte("  README\n"))
	copy(sums[at-64:at], strings.Repeat("0", 64))
	cases := map[string]struct {
		raw  []byte
		says string
	}{
		"nothing":               {nil, "breaks off"},
		"no archive":            {[]byte("%PDF-1.3 a book"), "no file begins"},
		"out of the folder":     {plainly("../../../etc/cron.d/x"), "no name"},
		"absolute":              {plainly("/etc/passwd"), "no name"},
		"back slashes":          {plainly(`book\..\..\x.jsonl`), "no name"},
		"a name of the system":  {plainly("book/CON.jsonl"), "no name"},
		"zero byte in the name": {plainly("book/a.jsonl\x00.exe"), "no name"},
		"a folder":              {zipped(t, entry{"README", []byte("x"), zip.Store}, entry{"photo/", nil, zip.Store}), "no name"},
		"compressed":            {zipped(t, entry{"README", bomb(t), zip.Deflate}), "compressed"},
		"one inside another":    {plainly("42.zip"), "no name"},
		"a file twice":          {zipped(t, entry{"README", nil, zip.Store}, entry{"book/a.jsonl", []byte("x\n"), zip.Store}, entry{"book/a.jsonl", []byte("y\n"), zip.Store}), "twice"},
		"README twice":          {zipped(t, entry{"README", nil, zip.Store}, entry{"README", nil, zip.Store}), "does not begin"},
		"a size that lies":      {huge, "longer than the archive"},
		"wrong checksum":        {sums, "SHA256SUMS"},
		"cut short":             {good[:len(good)/3], "longer than"},
		"without its end":       {good[:len(good)-22], "own form"},
		"something behind it":   {append(bytes.Clone(good), "PK\x03\x04"...), "own form"},
		"a photo that is none":  {with(t, func(a *archive.Archive) { blob(a, archive.Photo, []byte("\xff\xd8 a page <script>")) }), "photo/"},
		"a name of nobody":      {with(t, func(a *archive.Archive) { blob(a, archive.Name, []byte(`{"x":1}`)) }), "name/"},
		"a gearbox file broken": {with(t, func(a *archive.Archive) { blob(a, archive.Gearbox, []byte("endfloat: 1\ngearbox: [")) }), "gearbox/"},
		"an id twice": {with(t, func(a *archive.Archive) {
			a.Books[0].Lines = append(a.Books[0].Lines, a.Books[0].Lines[3])
			a.Books[0].Head = ""
		}), "twice"},
		"an entry that is none": {with(t, func(a *archive.Archive) { a.Books[0].Lines[5] = []byte(`{"kind":7}`); a.Books[0].Head = "" }), "no entry"},
		"another's head":        {with(t, func(a *archive.Archive) { a.Books[0].Head = archive.FromPin(demo.Linnet, "588 AAAA=") }), "head/"},
		"devices":               {with(t, func(a *archive.Archive) { a.Books[0].Name = shop.DevicesBook; a.Books[0].Head = "" }), "pairing"},
		"a letter that is used": {with(t, func(a *archive.Archive) { reopened(t, a) }), "letter D"},
	}
	sh := small(t)
	before := whole(t, sh.Shop)
	for name, c := range cases {
		_, err := sh.Import(t.Context(), tove, c.raw)
		if !errors.Is(err, shop.ErrInvalid) || !strings.Contains(fmt.Sprint(err), c.says) {
			t.Errorf("%s: %v; want it refused with %q", name, err, c.says)
		}
		if !bytes.Equal(before, whole(t, sh.Shop)) {
			t.Fatalf("%s: something was changed", name)
		}
	}
}

func blob(a *archive.Archive, kind archive.Kind, b []byte) {
	a.Blobs = append(a.Blobs, archive.Blob{Kind: kind, Key: job.Salted(nil, b), Bytes: b})
}

// reopened makes the archive that of a unit under the letter of one that is here.
func reopened(t testing.TB, a *archive.Archive) {
	t.Helper()
	raw, err := job.Encode(job.Entry{ID: "0194e0f0-0000-7000-8000-000000000001", At: printed}, job.Opened{Unit: "Wagtail", Letter: "D", Type: "BW-4T", Series: "A"})
	if err != nil {
		t.Fatal(err)
	}
	a.Books[0] = archive.Book{Name: "wagtail", Lines: [][]byte{raw}}
}

// whole is everything a workshop holds, as its own export.
func whole(t testing.TB, sh *shop.Shop) []byte {
	t.Helper()
	a, err := sh.Pack(t.Context(), "", true, nil)
	if err != nil {
		t.Fatal(err)
	}
	raw, err := a.Bytes()
	if err != nil {
		t.Fatal(err)
	}
	return raw
}

// The tables hold what the book holds, numbers in SI and the text as typed, and no
// cell that a spreadsheet would take for a formula.
func TestTables(t *testing.T) {
	sh := shop.New(memory.New(), clock)
	if err := demo.Load(t.Context(), sh, false); err != nil {
		t.Fatal(err)
	}
	d, err := sh.Record(t.Context(), tove, demo.Linnet, job.Read{What: "P09 ring gap", Values: []string{"0.95"}, With: "feelers", Note: "=1+1"})
	if err != nil {
		t.Fatal(err)
	}
	readings, err := d.ReadingsCSV()
	if err != nil {
		t.Fatal(err)
	}
	parts, err := d.PartsCSV()
	if err != nil {
		t.Fatal(err)
	}
	rows := csvRows(t, readings)
	n := 0
	for _, r := range d.Readings {
		n += len(r.Is.Values)
	}
	if len(rows) != n+1 || rows[0][5] != "si" {
		t.Errorf("%d lines for %d values", len(rows)-1, n)
	}
	found := false
	for _, r := range rows {
		if r[2] == "gauge gap" && r[4] == "0.55" && r[5] == "0.00055" && r[6] == "m" && r[8] == "feelers" && r[9] == "20" {
			found = true
		}
		if strings.HasPrefix(r[12], "=") {
			t.Errorf("a formula: %q", r[12])
		}
	}
	if !found {
		t.Error("the gauge gap of 0.55 mm is not in it as 0.00055 m")
	}
	text := string(parts)
	for _, w := range []string{"P36,depth shims under the cartridge flange,pinion shaft,", ",d1,0.000499,", ",d5,0.00015,", "P39,pinion nut", ",donor,"} {
		if !strings.Contains(text, w) {
			t.Errorf("%q is not among the parts", w)
		}
	}
	if got := len(csvRows(t, parts)); got < 131 {
		t.Errorf("%d lines of parts for 130 positions", got-1)
	}
}

func csvRows(t testing.TB, b []byte) [][]string {
	t.Helper()
	rows, err := csv.NewReader(bytes.NewReader(b)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows
}
