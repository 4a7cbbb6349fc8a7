package plan

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"endfloat/internal/job"
)

// Bag is a bag, tray, box or basket of a unit. It keeps its number for as long as
// the book is kept: "3 of 17" tells when one is missing.
type Bag struct {
	Place  string
	N, Of  int
	Pieces []*job.Piece // that lie in it now, in the order of their positions
	Seen   job.Entry    // the last time that anything was put in or found there
}

// Mystery reports whether it is for parts of which nobody knows where they belong.
func (b Bag) Mystery() bool { return isMystery(b.Place) }

// Count is which of how many it is: "3 of 17".
func (b Bag) Count() string { return fmt.Sprintf("%d of %d", b.N, b.Of) }

// MysteryBag is what the bag of a unit is called that holds what nobody can place.
func MysteryBag(letter string) string { return "mystery bag " + letter }

func isMystery(place string) bool {
	return strings.HasPrefix(strings.ToLower(strings.TrimSpace(place)), "mystery bag")
}

// isBag tells a bag, tray, box or basket from a shelf or the bench.
func isBag(place string) bool {
	word, _, _ := strings.Cut(strings.ToLower(strings.TrimSpace(place)), " ")
	return isMystery(place) || slices.Contains([]string{"bag", "tray", "box", "basket"}, word)
}

// Bags are those of a unit in the order in which they were first used, emptied
// ones too.
func (v *View) Bags() []Bag {
	var out []Bag
	at := map[string]int{}
	for _, e := range v.Entries {
		if _, gone := v.Struck[e.ID]; gone {
			continue
		}
		place := strings.TrimSpace(placeOf(e))
		if !isBag(place) {
			continue
		}
		key := strings.ToLower(place)
		i, known := at[key]
		if !known {
			i = len(out)
			at[key] = i
			out = append(out, Bag{Place: place})
		}
		out[i].Seen = e
	}
	order := v.order()
	for tag, place := range v.Where {
		if i, ok := at[strings.ToLower(strings.TrimSpace(place))]; ok {
			out[i].Pieces = append(out[i].Pieces, v.Pieces[tag])
		}
	}
	for i := range out {
		out[i].N, out[i].Of = i+1, len(out)
		slices.SortFunc(out[i].Pieces, func(a, b *job.Piece) int {
			return cmp.Or(order[a.Position]-order[b.Position], strings.Compare(a.Tag, b.Tag))
		})
	}
	return out
}

// placeOf is where an entry put something.
func placeOf(e job.Entry) string {
	switch e.Kind {
	case "taken off":
		b, _ := bodyOf[job.TakenOff](e)
		return b.Place
	case "put":
		b, _ := bodyOf[job.Put](e)
		return b.Place
	case "added":
		b, _ := bodyOf[job.Added](e)
		return b.Place
	case "came":
		b, _ := bodyOf[job.Came](e)
		return b.Place
	case "cleaned":
		b, _ := bodyOf[job.Cleaned](e)
		return b.Place
	case "fitted":
		b, _ := bodyOf[job.Fitted](e)
		return b.Aside
	}
	return ""
}

// order is the place of each position in the gearbox file, from 1.
func (v *View) order() map[string]int {
	out := map[string]int{}
	if v.Box != nil {
		for i, p := range v.Box.All() {
			out[p.ID] = i + 1
		}
	}
	return out
}

// Unseen is a piece off the unit with the last time that a hand had it.
type Unseen struct {
	Piece *job.Piece
	Place string
	Seen  job.Entry
	Days  int
}

// NotSeen are the pieces off the unit that nobody has had in hand for so many days
// or more, the longest first.
func (v *View) NotSeen(now time.Time, days int) []Unseen {
	var out []Unseen
	for tag, p := range v.Pieces {
		if _, in := v.In(tag); in || len(v.Trail[tag]) == 0 {
			continue
		}
		trail := v.Trail[tag]
		i := slices.IndexFunc(v.Entries, func(e job.Entry) bool { return e.Seq == trail[len(trail)-1] })
		if i < 0 {
			continue
		}
		if n := int(now.Sub(v.Entries[i].At).Hours() / 24); n >= days {
			out = append(out, Unseen{p, v.Where[tag], v.Entries[i], n})
		}
	}
	order := v.order()
	slices.SortFunc(out, func(a, b Unseen) int {
		return cmp.Or(a.Seen.At.Compare(b.Seen.At), order[a.Piece.Position]-order[b.Piece.Position], strings.Compare(a.Piece.Tag, b.Piece.Tag))
	})
	return out
}

// mysteries are the parts that nobody can place: a unit is not handed over with
// one of them left unexplained.
func (v *View) mysteries() []Finding {
	var out []Finding
	for tag, place := range v.Where {
		if p := v.Pieces[tag]; p != nil && isMystery(place) {
			out = append(out, Finding{Kind: Loose, Key: Key("mystery", tag), About: tag, Says: tag + " " + p.Name + " is in the mystery bag: nobody knows where it belongs",
				Rests: place, Mend: "find where it belongs and fit it or put it there, or write why it stays over"})
		}
	}
	slices.SortFunc(out, func(a, b Finding) int { return strings.Compare(a.Key, b.Key) })
	return out
}
