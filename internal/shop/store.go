package shop

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"
	"unicode/utf8"

	"endfloat/internal/job"
)

// The kinds of error, told apart with errors.Is.
var (
	ErrNotFound = errors.New("not found")
	ErrConflict = errors.New("the book has moved on since")
	ErrInvalid  = errors.New("not valid")
	ErrNewer    = errors.New("written by a newer program")
	ErrForeign  = errors.New("not an endfloat data file")
	ErrFull     = errors.New("the disk is full")
	ErrAway     = errors.New("the database does not answer")
)

// Store keeps books and blobs. Everything else is derived.
//
// Every method may be called at once from many goroutines.
type Store interface {
	// Lines returns the lines of a book with seq greater than after, in order.
	// A book nobody has written to has none.
	Lines(ctx context.Context, book string, after int) ([]job.Line, error)

	// Append adds lines to one or more books in one transaction: all or
	// nothing, and only once durable. Each Add names the sequence number it was
	// decided on; if that book has moved on, nothing is added and the error is
	// ErrConflict. A line whose id a book already holds with the same bytes is
	// taken as sent twice: when all lines of the call are such repeats, Append
	// adds nothing and returns nil, checked before the sequence; with other bytes,
	// or when only some are repeats, it is ErrConflict. The summary and tags of
	// each Add replace those of its book in the same transaction.
	Append(ctx context.Context, adds ...Add) error

	// Summaries returns the summary of every book, by book id.
	Summaries(ctx context.Context) ([]Summary, error)

	// FindTag returns the books in which a piece with the tag is, by book id.
	FindTag(ctx context.Context, tag string) ([]string, error)

	// Find returns up to n lines whose bytes hold every one of the words, the later
	// of a book first. Letters a to z are the same in either case. It reads
	// everything there is: for a person who searches, not for a page that opens.
	Find(ctx context.Context, words []string, n int) ([]Hit, error)

	// PutBlob keeps salt and bytes under job.Salted(salt, b) and returns that key.
	// The same key twice is kept once.
	PutBlob(ctx context.Context, salt, b []byte) (string, error)

	// Blob returns the bytes kept under a key, or ErrNotFound.
	Blob(ctx context.Context, key string) ([]byte, error)

	// DropBlob deletes a blob for good: a name or photo on request. Books that
	// cite its key stay whole. Deleting what is not there is no error.
	DropBlob(ctx context.Context, key string) error

	Close() error
}

type soon struct{}

// Soon returns a context for what only looks: the reader hears of a store that is away
// within seconds. What is sent waits longer, for a database that may come back.
func Soon(ctx context.Context) context.Context { return context.WithValue(ctx, soon{}, true) }

// IsSoon reports whether a context is one of Soon.
func IsSoon(ctx context.Context) bool { return ctx.Value(soon{}) != nil }

// Whole is a store that can be read out whole: to be backed up, moved, checked.
// Lines from the beginning of a book, and Blob, never return what is not as it
// was written.
type Whole interface {
	Store

	// TagsOf returns the tags of a book, in order.
	TagsOf(ctx context.Context, book string) ([]string, error)

	// BlobKeys returns the keys of up to n blobs after a key, in order.
	BlobKeys(ctx context.Context, after string, n int) ([]string, error)

	// Salt returns the salt that a blob was kept with, or ErrNotFound.
	Salt(ctx context.Context, key string) ([]byte, error)
}

// Care says when a store was last looked after, and how it went.
type Care struct {
	What string // "backup", "restore" or "check"
	At   time.Time
	Note string
}

// Cared is a store that remembers how it was looked after. That is no part of
// its books: a copy of a store has a history of its own.
type Cared interface {
	Care(ctx context.Context, c Care) error    // in the place of the last of its kind
	Cares(ctx context.Context) ([]Care, error) // by kind
}

// Elsewhere is a store that other programs write to as well. It tells of the
// books they change, when it can: nothing may depend on it but how fresh a
// screen is.
type Elsewhere interface {
	Elsewhere(changed func(book string))
}

// Add is what one Append adds to one book.
type Add struct {
	Book    string
	After   int        // sequence number the decision was made on
	Lines   []job.Line // Seq is given by the store: After+1, After+2, …
	Summary []byte     // JSON that lists show without replaying
	Tags    []string   // tags of all pieces now in the book
}

// Summary is the row that lists a book.
type Summary struct {
	Book string
	Seq  int // last sequence number
	Body []byte
}

// Hit is a line and the book it stands in.
type Hit struct {
	Book string
	job.Line
}

// CheckAdds refuses with ErrInvalid what no store could keep: a book unnamed or
// named twice in one append, a line without bytes or an id of its own. Every
// Append begins with it.
func CheckAdds(adds []Add) error {
	books := map[string]bool{}
	for _, a := range adds {
		for _, text := range append([]string{a.Book}, a.Tags...) {
			if !Storable(text) {
				return fmt.Errorf("%w: %q is no text: write it in UTF-8", ErrInvalid, text)
			}
		}
		if a.Book == "" || books[a.Book] {
			return fmt.Errorf("%w: each book of an append must be named, and once; got %q", ErrInvalid, a.Book)
		}
		books[a.Book] = true
		ids := map[string]bool{}
		for _, l := range a.Lines {
			if l.ID == "" || !Storable(l.ID) || ids[l.ID] || len(l.Bytes) == 0 {
				return fmt.Errorf("%w: each line for %q must have bytes and an id of its own; got %d bytes as %q", ErrInvalid, a.Book, len(l.Bytes), l.ID)
			}
			ids[l.ID] = true
		}
	}
	return nil
}

// Storable reports whether every store can keep a name, tag or id as it is.
func Storable(text string) bool { return utf8.ValidString(text) && !strings.Contains(text, "\x00") }

// wrap marks an error with a kind.
func wrap(kind error, format string, args ...any) error {
	return &marked{kind, fmt.Sprintf(format, args...)}
}

type marked struct {
	kind error
	says string
}

func (m *marked) Error() string { return m.says }
func (m *marked) Unwrap() error { return m.kind }
