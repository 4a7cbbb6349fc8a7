package shop

import (
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"endfloat/internal/job"
)

// Results are what a search of the whole workshop found.
type Results struct {
	Words   []string
	Jobs    []Row  // units that the words name
	Tag     *Found // the piece or bag that the words are the tag of
	Entries []Told // later ones first
	More    bool   // there are more entries than are given
}

// Told is an entry found, with the unit whose book it stands in.
type Told struct {
	Row   Row // Book is the stores' where it stands there
	Entry job.Entry
}

const (
	mostWords = 8
	mostFound = 100  // entries given
	mostLines = 2000 // lines looked at that hold the words somewhere
)

// Search looks for all the words in every unit's name, tag, piece, reading and note
// of all books. Case does not matter for A to Z. It returns ErrInvalid for a search
// of nothing.
func (sh *Shop) Search(ctx context.Context, text string) (*Results, error) {
	words := strings.Fields(text)
	switch {
	case len(words) == 0:
		return nil, wrap(ErrInvalid, "search: no word was given; try a tag, a name, a place or a word of a note")
	case len(words) > mostWords || len(text) > 200 || !utf8.ValidString(text):
		return nil, wrap(ErrInvalid, "search: at most %d words are looked for at once", mostWords)
	}
	r := &Results{Words: words}
	rows, err := sh.Jobs(ctx)
	if err != nil {
		return nil, err
	}
	units := map[string]Row{StoresBook: {Book: StoresBook, Unit: "The stores"}}
	for _, row := range rows {
		units[row.Book] = row
		if holds(words, row.Unit, row.Letter, row.Colour, row.Type, row.Series, row.Arc) {
			r.Jobs = append(r.Jobs, row)
		}
	}
	if len(words) == 1 {
		if f, err := sh.Scan(ctx, "", text); err == nil {
			r.Tag = f
		}
	}
	return r, sh.searchLines(ctx, r, units)
}

func (sh *Shop) searchLines(ctx context.Context, r *Results, units map[string]Row) error {
	sent := make([]string, len(r.Words)) // as an entry writes them inside a text
	for i, w := range r.Words {
		sent[i] = inJSON.Replace(w)
	}
	lines, err := sh.store.Find(ctx, sent, mostLines+1)
	if err != nil {
		return fmt.Errorf("search: %w", err)
	}
	r.More = len(lines) > mostLines
	for _, l := range lines {
		row, ok := units[l.Book]
		if !ok {
			continue // the book of devices: nobody's business here
		}
		e := job.Decode(l.Line)
		if holds(r.Words, append(values(e.Body), e.Kind)...) {
			r.Entries = append(r.Entries, Told{row, e})
		}
	}
	slices.SortStableFunc(r.Entries, func(a, b Told) int { return cmp.Or(b.Entry.At.Compare(a.Entry.At), b.Entry.Seq-a.Entry.Seq) })
	if len(r.Entries) > mostFound {
		r.Entries, r.More = r.Entries[:mostFound], true
	}
	return nil
}

var inJSON = strings.NewReplacer(`\`, `\\`, `"`, `\"`)

// holds reports whether every word stands in one of the texts.
func holds(words []string, texts ...string) bool {
	all := strings.ToLower(strings.Join(texts, "\n"))
	return !slices.ContainsFunc(words, func(w string) bool { return !strings.Contains(all, strings.ToLower(w)) })
}

// values are the texts and numbers of a body, without the names of its fields.
func values(body json.RawMessage) (out []string) {
	var v any
	if json.Unmarshal(body, &v) != nil {
		return nil
	}
	var walk func(any)
	walk = func(v any) {
		switch x := v.(type) {
		case map[string]any:
			for _, y := range x {
				walk(y)
			}
		case []any:
			for _, y := range x {
				walk(y)
			}
		case nil, bool:
		default:
			out = append(out, fmt.Sprint(x))
		}
	}
	walk(v)
	return out
}
