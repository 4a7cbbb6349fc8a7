// Package seal keeps, beside a book, what its entries must hash to: the peaks of
// their Merkle tree (RFC 6962), brought up to date in the transaction that adds
// them. A byte of history that changes on the disk no longer fits its seal.
package seal

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math/bits"

	"golang.org/x/mod/sumdb/tlog"

	"endfloat/internal/job"
)

// Seal is the state of the tree after n entries: the hashes of its whole
// subtrees, largest first. The zero Seal is that of an empty book.
type Seal struct {
	n     uint64
	peaks []tlog.Hash
}

// Parse reads what Bytes wrote; nothing is the seal of an empty book.
func Parse(b []byte) (Seal, error) {
	if len(b) == 0 {
		return Seal{}, nil
	}
	s := Seal{}
	if len(b) < 8 {
		return s, fmt.Errorf("a seal of %d bytes cannot be read", len(b))
	}
	s.n = binary.BigEndian.Uint64(b)
	for rest := b[8:]; len(rest) >= tlog.HashSize; rest = rest[tlog.HashSize:] {
		s.peaks = append(s.peaks, tlog.Hash(rest[:tlog.HashSize]))
	}
	if len(s.peaks) != bits.OnesCount64(s.n) || !bytes.Equal(s.Bytes(), b) {
		return Seal{}, fmt.Errorf("a seal of %d bytes cannot be read", len(b))
	}
	return s, nil
}

// Bytes is the seal as it is kept: the number of entries and the peaks.
func (s Seal) Bytes() []byte {
	b := binary.BigEndian.AppendUint64(nil, s.n)
	for _, p := range s.peaks {
		b = append(b, p[:]...)
	}
	return b
}

// Add seals one more entry.
func (s *Seal) Add(entry []byte) { s.AddHash(tlog.RecordHash(entry)) }

// AddHash seals one more entry by the hash of its record.
func (s *Seal) AddHash(h tlog.Hash) {
	for n := s.n; n&1 == 1 && len(s.peaks) > 0; n >>= 1 { // two subtrees of a size become one
		last := len(s.peaks) - 1
		h = tlog.NodeHash(s.peaks[last], h)
		s.peaks = s.peaks[:last]
	}
	s.n++
	s.peaks = append(s.peaks, h)
}

// After seals lines on top of what is sealed already.
func After(sealed []byte, lines []job.Line) ([]byte, error) {
	s, err := Parse(sealed)
	if err != nil {
		return nil, err
	}
	for _, l := range lines {
		s.Add(l.Bytes)
	}
	return s.Bytes(), nil
}

// Root is the head of the tree, as RFC 6962 defines it.
func (s Seal) Root() tlog.Hash {
	if len(s.peaks) == 0 {
		h, _ := tlog.TreeHash(0, nil)
		return h
	}
	h := s.peaks[len(s.peaks)-1]
	for i := len(s.peaks) - 2; i >= 0; i-- {
		h = tlog.NodeHash(s.peaks[i], h)
	}
	return h
}

// Check holds a whole book against a seal made at or before its last line.
func Check(sealed []byte, lines []job.Line) error {
	want, err := Parse(sealed)
	if err != nil {
		return err
	}
	if uint64(len(lines)) < want.n {
		return fmt.Errorf("%d entries are sealed and %d are there", want.n, len(lines))
	}
	if len(lines) > 0 && want.n == 0 {
		return fmt.Errorf("%d entries are there and none is sealed", len(lines))
	}
	got := Seal{}
	for i, l := range lines {
		if l.Seq != i+1 {
			return fmt.Errorf("entry %d stands where entry %d belongs", l.Seq, i+1)
		}
		if uint64(i) < want.n {
			got.Add(l.Bytes)
		}
	}
	for i, p := range got.peaks {
		if p != want.peaks[i] {
			return fmt.Errorf("an entry among %s is not as it was written", span(want.n, i))
		}
	}
	return nil
}

// span names the entries under a peak.
func span(n uint64, peak int) string {
	from := uint64(1)
	for bit := uint64(1) << 63; bit > 0; bit >>= 1 {
		if n&bit == 0 {
			continue
		}
		if peak == 0 {
			return fmt.Sprintf("%d to %d", from, from+bit-1)
		}
		peak, from = peak-1, from+bit
	}
	return fmt.Sprintf("1 to %d", n)
}
