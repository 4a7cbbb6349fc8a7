package job

import (
	"crypto/sha256"
	"encoding/base64"
	"fmt"

	"golang.org/x/mod/sumdb/tlog"
)

// Tree is the Merkle tree of a book (RFC 6962): its head pins every byte of
// every entry and their order.
type Tree struct {
	hashes []tlog.Hash // stored hashes in tlog order
	size   int64
}

// ReadHashes returns stored hashes by index; it lets a Tree serve tlog.
func (t *Tree) ReadHashes(indexes []int64) ([]tlog.Hash, error) {
	out := make([]tlog.Hash, len(indexes))
	for i, x := range indexes {
		if x < 0 || x >= int64(len(t.hashes)) {
			return nil, fmt.Errorf("tree: no hash %d", x)
		}
		out[i] = t.hashes[x]
	}
	return out, nil
}

// NewTree builds the tree over the bytes of lines, in order.
func NewTree(ls []Line) (*Tree, error) {
	t := &Tree{}
	for _, l := range ls {
		if err := t.Add(l.Bytes); err != nil {
			return nil, err
		}
	}
	return t, nil
}

// Add appends one entry's bytes.
func (t *Tree) Add(b []byte) error {
	hs, err := tlog.StoredHashes(t.size, b, t)
	if err != nil {
		return fmt.Errorf("tree: %w", err)
	}
	t.hashes = append(t.hashes, hs...)
	t.size++
	return nil
}

// Size is the number of entries.
func (t *Tree) Size() int { return int(t.size) }

// Head is the root hash.
func (t *Tree) Head() (tlog.Hash, error) { return tlog.TreeHash(t.size, t) }

// Pin is the head as it is printed: size and hash.
func (t *Tree) Pin() (string, error) {
	h, err := t.Head()
	if err != nil {
		return "", err
	}
	return fmt.Sprintf("%d %s", t.size, base64.StdEncoding.EncodeToString(h[:])), nil
}

// Prove returns the proof that entry seq (from 1) stands in the book.
func (t *Tree) Prove(seq int) (tlog.RecordProof, error) {
	return tlog.ProveRecord(t.size, int64(seq-1), t)
}

// Salted is the key of a blob that can be deleted without breaking the tree:
// the hash of a random salt followed by the bytes. Only the key enters a book.
func Salted(salt, b []byte) string {
	h := sha256.New()
	h.Write(salt)
	h.Write(b)
	return fmt.Sprintf("%x", h.Sum(nil))
}
