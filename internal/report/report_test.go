package report_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"image"
	"image/jpeg"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"endfloat/internal/demo"
	"endfloat/internal/gearbox"
	"endfloat/internal/job"
	"endfloat/internal/plan"
	"endfloat/internal/report"
	"endfloat/internal/shop"
	"endfloat/internal/store/memory"
)

var made = time.Date(2026, 3, 10, 8, 0, 0, 0, time.UTC)

// shops are the demonstration workshops, each loaded once.
var shops = map[bool]*shop.Shop{}

// desk is a unit of the demonstration workshop, with the options of its book.
func desk(t testing.TB, finished bool, book string) (*shop.Desk, report.Options) {
	t.Helper()
	ctx := context.Background()
	sh := shops[finished]
	if sh == nil {
		sh = shop.New(memory.New(), func() time.Time { return made })
		if err := demo.Load(ctx, sh, finished); err != nil {
			t.Fatal(err)
		}
		shops[finished] = sh
	}
	d, err := sh.Open(ctx, book)
	if err != nil {
		t.Fatal(err)
	}
	return d, report.Options{Pin: d.Pin, Made: made, Version: "1.2.3",
		Name:  func(k string) string { return sh.Name(ctx, k) },
		Photo: func(k string) ([]byte, bool) { b, err := sh.Blob(ctx, k); return b, err == nil },
	}
}

func book(t testing.TB, v *plan.View, o report.Options) []byte {
	t.Helper()
	b, err := report.Book(v, o)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// tool runs a general-purpose PDF tool on a book, or skips where it is missing.
func tool(t *testing.T, pdf []byte, name string, args ...string) string {
	t.Helper()
	if _, err := exec.LookPath(name); err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatalf("%s is missing, and CI must have it", name)
		}
		t.Skipf("%s is missing", name)
	}
	file := filepath.Join(t.TempDir(), "book.pdf")
	if err := os.WriteFile(file, pdf, 0o600); err != nil {
		t.Fatal(err)
	}
	for i, a := range args {
		args[i] = strings.ReplaceAll(a, "FILE", file)
	}
	out, err := exec.Command(name, args...).CombinedOutput()
	if err != nil {
		t.Fatalf("%s: %v\n%s", name, err, out)
	}
	return string(out)
}

var space = regexp.MustCompile(`\s+`)

// text is what a reader of the PDF finds, as one line.
func text(t *testing.T, pdf []byte) string {
	t.Helper()
	return space.ReplaceAllString(tool(t, pdf, "pdftotext", "FILE", "-"), " ")
}

func has(t *testing.T, in string, want ...string) {
	t.Helper()
	for _, w := range want {
		if !strings.Contains(in, w) {
			t.Errorf("not in the book: %q", w)
		}
	}
}

// replay replays entries made here over the demonstration's gearbox file.
func replay(t testing.TB, box *gearbox.Box, bodies ...job.Body) *plan.View {
	t.Helper()
	var lines []job.Line
	for i, b := range bodies {
		id := fmt.Sprintf("e%d", i+1)
		raw, err := job.Encode(job.Entry{ID: id, At: made.Add(time.Duration(i) * time.Minute), By: "k"}, b)
		if err != nil {
			t.Fatal(err)
		}
		lines = append(lines, job.Line{Seq: i + 1, ID: id, Bytes: raw})
	}
	return plan.Of(job.Replay("wren", box, job.DecodeAll(lines)))
}

func bw4t(t testing.TB) *gearbox.Box {
	t.Helper()
	box, err := gearbox.Read("bw-4t.gearbox.yaml", demo.BW4T())
	if err != nil {
		t.Fatal(err)
	}
	return box
}

func TestSameBytes(t *testing.T) {
	d, o := desk(t, true, demo.Linnet)
	first := book(t, d.View, o)
	for range 4 {
		if !bytes.Equal(first, book(t, d.View, o)) {
			t.Fatal("two books of one job differ")
		}
	}
	a, err := report.ReturnCard(d.View, o)
	if err != nil {
		t.Fatal(err)
	}
	b, err := report.ReturnCard(d.View, o)
	if err != nil || !bytes.Equal(a, b) {
		t.Errorf("two return cards of one job differ (%v)", err)
	}
	o.Made = o.Made.Add(24 * time.Hour)
	if bytes.Equal(first, book(t, d.View, o)) {
		t.Error("a book made a day later says nothing of it")
	}
}

// The figures of the demonstration, as a reader finds them.
func TestFinishedBook(t *testing.T) {
	d, o := desk(t, true, demo.Linnet)
	got := text(t, book(t, d.View, o))
	has(t, got,
		"railcar No. 3", "L, blue tape", "Tove Marrin", "12 Jan 2026 to 9 Mar 2026",
		"0.263 ± 0.004 mm", "read 0.26 · 0.27 · 0.26", "0.10 to 0.20 mm", "booklet 21", // as found, with its limit
		"0.161 ± 0.005 mm", "in, proven", // as built
		"P11 spline wear", "was out",
		"q-0.55", "0.549 ± 0.003 mm", "Came off: 0.70", // packs
		"s14", "2.448 ± 0.005 mm", "1.952 ± 0.005 mm", "64.060 ± 0.008 mm", "d5",
		"0.158 ± 0.003 mm", "learnt from the moves",
		"149.9 ± 0.4 N·m", "bar and scale, 600 mm bar", "238 N", "tab bent on a flat", "left-hand thread", "7.06079 N·m",
		"Q08 21", "P15 38", "1.8095", "16.365",
		"Passed because: The donor wheel is nearly new", "etched plus means further",
		"Hask Valley Light Railway", "Hours in all: 42.5 h", "Money in all: 560.20 EUR",
		"The maker's manual, local rules and licensed practice come first.",
		"Printed 10 Mar 2026 by endfloat 1.2.3",
	)
	size, hash, _ := strings.Cut(d.Pin, " ")
	has(t, got, "Entries: "+size, hash, fmt.Sprintf("Page %d of", 12))
	if i := strings.LastIndex(got, "Open points"); !strings.HasPrefix(got[i:], "Open points None.") {
		t.Errorf("open points of a finished job: %.120s", got[i:])
	}
}

// Whatever stands open is in the book, each point in full.
func TestOpenBook(t *testing.T) {
	for _, name := range []string{demo.Linnet, demo.Dunnock} {
		d, o := desk(t, false, name)
		got := strings.ToLower(text(t, book(t, d.View, o)))
		n := 0
		for _, f := range d.Findings {
			if f.Allowed == "" {
				n++
				has(t, got, strings.ToLower(space.ReplaceAllString(f.Says, " ")))
			}
		}
		if n == 0 {
			t.Errorf("%s has no open point; the test asks nothing", name)
		}
		has(t, got, "not handed over yet", "the unit is not finished", "have no piece in the unit")
	}
}

func TestStruckAndOdd(t *testing.T) {
	v := replay(t, bw4t(t),
		job.Opened{Unit: "Wren 🚂", Letter: "W", Type: "BW-4T", Series: "A"},
		job.Read{What: "P09 ring gap", Values: []string{"0.41"}, SI: []float64{0.41e-3}, Unit: "mm", U: 1e-5, With: "feelers", Photos: []string{"gone", "broken", "good"}},
		job.Read{What: "height of the moon", Values: []string{"high"}},
		job.TakenOff{Position: "X99", Name: "a part no file knows", Place: "tray W", Damage: strings.Repeat("verylongword", 60)},
		job.Noted{Text: "first line\nsecond\x00\xff line", Topic: "pause"},
		job.Struck{Entry: "e2", Why: "feelers were not square"},
	)
	var pic bytes.Buffer
	if err := jpeg.Encode(&pic, image.NewGray(image.Rect(0, 0, 40, 90)), nil); err != nil {
		t.Fatal(err)
	}
	o := report.Options{Pin: "6 abc=", Made: made, Paper: "Letter", Name: func(string) string { return "Ann Other" },
		Photo: func(k string) ([]byte, bool) {
			return map[string][]byte{"broken": []byte("no picture"), "good": pic.Bytes()}[k], k != "gone"
		}}
	b := book(t, v, o)
	got := text(t, b)
	has(t, got, "P09 ring gap 0.41", "feelers were not square", "a part no file knows", "X99", "Height of the moon", "second")
	if strings.Contains(got, "0.410 ± 0.010") {
		t.Error("a struck reading is still judged")
	}
	v = replay(t, bw4t(t),
		job.Opened{Unit: "Wren", Letter: "W", Type: "BW-4T", Series: "A"},
		job.Noted{Text: "seen", Position: "P09", Photos: []string{"gone", "broken", "good"}})
	got = text(t, book(t, v, o))
	if n := strings.Count(got, "The photo is not here any more."); n != 2 {
		t.Errorf("%d of 2 photos are missed", n)
	}
}

// A job with nothing in it, with and without a gearbox file.
func TestEmptyJob(t *testing.T) {
	for _, v := range []*plan.View{
		plan.Of(job.Replay("empty", nil, nil)),
		replay(t, nil, job.Opened{Unit: "Wren"}),
		replay(t, bw4t(t), job.Opened{Unit: "Wren", Letter: "W", Type: "BW-4T", Series: "A"}),
	} {
		b := book(t, v, report.Options{Made: made})
		tool(t, b, "qpdf", "--check", "FILE")
		got := text(t, b)
		has(t, got, "Nothing was recorded of the unit as it came in.", "No reading was recorded.", "No torque and no lock was recorded.", "The unit has not been handed over.")
		if _, err := report.ReturnCard(v, report.Options{Made: made}); err != nil {
			t.Error(err)
		}
	}
	if _, err := report.Book(replay(t, nil), report.Options{Paper: "A3"}); err == nil {
		t.Error("paper A3 is taken")
	}
}

// Bookmarks as a reader of the PDF sees them, each on the page that the
// contents name.
func TestBookmarks(t *testing.T) {
	d, o := desk(t, true, demo.Linnet)
	b := book(t, d.View, o)
	var doc struct {
		Outlines []struct {
			Title string
			Page  int `json:"destpageposfrom1"`
			Kids  []struct{ Title string }
		}
	}
	if err := json.Unmarshal([]byte(tool(t, b, "qpdf", "--json=2", "--json-key=outlines", "FILE")), &doc); err != nil {
		t.Fatal(err)
	}
	contents := space.ReplaceAllString(tool(t, b, "pdftotext", "-f", "2", "-l", "3", "-layout", "FILE", "-"), " ")
	kids := 0
	for _, x := range doc.Outlines {
		has(t, contents, fmt.Sprintf("%s %d", x.Title, x.Page))
		kids += len(x.Kids)
	}
	if len(doc.Outlines) < 12 || kids < 15 {
		t.Errorf("%d bookmarks with %d under them; a whole book has more", len(doc.Outlines), kids)
	}
}

func TestSound(t *testing.T) {
	d, o := desk(t, true, demo.Linnet)
	for _, paper := range []string{"A4", "Letter"} {
		o.Paper = paper
		if out := tool(t, book(t, d.View, o), "qpdf", "--check", "FILE"); strings.Contains(strings.ToLower(out), "warning") {
			t.Error(out)
		}
	}
}

func TestReturnCard(t *testing.T) {
	d, o := desk(t, false, demo.Linnet)
	b, err := report.ReturnCard(d.View, o)
	if err != nil {
		t.Fatal(err)
	}
	has(t, tool(t, b, "pdfinfo", "FILE"), "Pages:           1\n", "419.53 x 595.28")
	got := text(t, b)
	has(t, got, "Linnet", "blue tape", "P39 pinion nut is torqued and not locked", "Backlash is not proven", "backlash 0.19 · 0.20 · 0.18 · 0.19")
	for _, s := range d.Next(3) {
		has(t, got, s.Title)
	}
	d, o = desk(t, false, demo.Dunnock)
	if b, err = report.ReturnCard(d.View, o); err != nil {
		t.Fatal(err)
	}
	has(t, tool(t, b, "pdfinfo", "FILE"), "Pages:           1\n")
}

func BenchmarkBook(b *testing.B) {
	d, o := desk(b, true, demo.Linnet)
	for b.Loop() {
		book(b, d.View, o)
	}
}
