package shop_test

import (
	"encoding/json"
	"maps"
	"reflect"
	"slices"
	"strings"
	"testing"

	"endfloat/internal/demo"
	"endfloat/internal/gearbox"
	"endfloat/internal/job"
	"endfloat/internal/plan"
	"endfloat/internal/shop"
)

// What lists and searches are shown, kept beside the books as they grew entry
// by entry, is what the books lead to when they are read from the first line.
func TestIndexIsWhatTheBooksSay(t *testing.T) {
	for name, of := range map[string]func() (told, error){"part way": partWay, "finished": finished} {
		w := demonstration(t, of)
		box, err := gearbox.Read("bw-4t.gearbox.yaml", demo.BW4T())
		if err != nil {
			t.Fatal(err)
		}
		sums, err := w.store.Summaries(t.Context())
		if err != nil || len(sums) != 4 {
			t.Fatalf("%d books, %v", len(sums), err)
		}
		homes := map[string][]string{}
		for _, sum := range sums {
			lines, err := w.store.Lines(t.Context(), sum.Book, 0)
			if err != nil {
				t.Fatal(err)
			}
			if sum.Book == shop.StoresBook {
				box = nil
			} else if box == nil {
				box, _ = gearbox.Read("bw-4t.gearbox.yaml", demo.BW4T())
			}
			v := plan.Of(job.Replay(sum.Book, box, job.DecodeAll(lines)))
			var row shop.Row
			if err := json.Unmarshal(sum.Body, &row); err != nil {
				t.Fatal(err)
			}
			if want := rowOf(v); row != want || sum.Seq != v.Seq {
				t.Errorf("%s, %s: the list says\n%+v at %d, the book\n%+v at %d", name, sum.Book, row, sum.Seq, want, v.Seq)
			}
			tags := slices.Sorted(maps.Keys(v.Pieces))
			if got := w.store.last[sum.Book].Tags; !slices.Equal(got, tags) {
				t.Errorf("%s, %s: %d tags are indexed, the book has %d", name, sum.Book, len(got), len(tags))
			}
			for _, tag := range tags {
				homes[tag] = append(homes[tag], sum.Book)
			}
			if len(v.Stray) > 0 {
				t.Errorf("%s, %s: %q", name, sum.Book, v.Stray)
			}
		}
		for tag, books := range homes {
			if found, err := w.FindTag(t.Context(), tag); err != nil || !slices.Equal(found, books) || len(books) != 1 {
				t.Errorf("%s: %s is in %v, found in %v, %v", name, tag, books, found, err)
			}
		}
	}
}

func rowOf(v *plan.View) shop.Row {
	o := v.Opened
	r := shop.Row{Unit: o.Unit, Letter: o.Letter, Colour: o.Colour, Type: o.Type, Series: o.Series, Donor: o.Donor, Arc: v.Arc(), Last: v.Last.Format("2006-01-02T15:04:05Z07:00")}
	for _, f := range v.Findings {
		if f.Kind == plan.Loose && f.Allowed == "" && !strings.HasPrefix(f.Key, "setting/") {
			r.Loose++
		}
	}
	if n := v.Next(1); len(n) > 0 {
		r.Next = n[0].Title
	}
	return r
}

// A book opened from the store is the book as it was left in memory.
func TestOpenColdIsWarm(t *testing.T) {
	w := demonstration(t, partWay)
	cold := shop.New(w.store, clock)
	for _, book := range []string{demo.Linnet, demo.Dunnock, demo.Plover, shop.StoresBook} {
		warm := w.open(t, book)
		c, err := cold.Open(t.Context(), book)
		if err != nil {
			t.Fatal(err)
		}
		if c.Pin != warm.Pin || !reflect.DeepEqual(c.Pieces, warm.Pieces) || !reflect.DeepEqual(c.Where, warm.Where) || !reflect.DeepEqual(c.At, warm.At) || !reflect.DeepEqual(c.Findings, warm.Findings) {
			t.Errorf("%s, opened anew, is another book", book)
		}
		lines, err := w.store.Lines(t.Context(), book, 0)
		if err != nil {
			t.Fatal(err)
		}
		tree, err := job.NewTree(lines)
		if err != nil {
			t.Fatal(err)
		}
		if pin, err := tree.Pin(); err != nil || pin != c.Pin {
			t.Errorf("%s: pin %s, the lines give %s", book, c.Pin, pin)
		}
	}
}

// Those in hand come first, the donor and the unit handed over last.
func TestJobsInOrder(t *testing.T) {
	for _, c := range []struct {
		of   func() (told, error)
		want []string
	}{{partWay, []string{demo.Dunnock, demo.Linnet, demo.Plover}}, {finished, []string{demo.Dunnock, demo.Plover, demo.Linnet}}} {
		rows, err := demonstration(t, c.of).Jobs(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, r := range rows {
			got = append(got, r.Book)
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%v, want %v", got, c.want)
		}
	}
}
