package testdisk

import (
	"bytes"
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// sector is what a disk writes as a whole or not at all.
const sector = 512

// Replay goes through what a watch has kept, call by call, and knows at each what
// is on the disk for certain and what may or may not be.
type Replay struct {
	ops  []Op
	at   int
	sure map[string][]byte
	open map[string][]Op // calls since the last sync of each file
}

// Replay begins at the beginning.
func (w *Watch) Replay() *Replay {
	r := &Replay{ops: w.Log(), sure: map[string][]byte{}, open: map[string][]Op{}}
	for name, b := range w.start {
		r.sure[name] = b
	}
	return r
}

// Next goes on by one call and returns it; none is left if it returns false.
func (r *Replay) Next() (Op, bool) {
	if r.at == len(r.ops) {
		return Op{}, false
	}
	op := r.ops[r.at]
	r.at++
	switch op.Kind {
	case Write, Truncate, Delete:
		r.open[op.File] = append(r.open[op.File], op)
	case Sync:
		settle(r.sure, op.File, r.open[op.File])
		delete(r.open, op.File)
	}
	return op, true
}

// settle does calls to a file of those in disk, whose bytes others may share.
func settle(disk map[string][]byte, name string, ops []Op) {
	b, there := disk[name]
	b = bytes.Clone(b)
	for _, o := range ops {
		there = o.Kind != Delete
		end := int(o.Off) + len(o.Data)
		switch {
		case o.Kind == Delete:
			b = nil
		case o.Kind == Truncate && end < len(b):
			b = b[:end:end] // what grows again is zero
		case end > len(b):
			b = append(b, make([]byte, end-len(b))...)
		}
		copy(b[min(int(o.Off), len(b)):], o.Data)
	}
	if there {
		disk[name] = b
	} else {
		delete(disk, name)
	}
}

// Cut puts into a folder what a power cut now may leave: all that was synced, and
// of the rest some whole calls, some sectors of calls, some of them spoiled, in any
// order, or none.
func (r *Replay) Cut(rnd *rand.Rand, folder string) error {
	left := maps.Clone(r.sure)
	for _, name := range slices.Sorted(maps.Keys(r.open)) { // the same for the same dice
		settle(left, name, survivors(rnd, r.open[name]))
	}
	return put(folder, left)
}

// survivors picks what a power cut leaves of calls that were not synced.
func survivors(rnd *rand.Rand, ops []Op) []Op {
	for i, o := range ops { // the name in the folder is one thing, the file another
		if o.Kind == Delete {
			if rnd.IntN(2) == 0 {
				return survivors(rnd, ops[:i])
			}
			return append([]Op{o}, survivors(rnd, ops[i+1:])...)
		}
	}
	way := rnd.IntN(5)
	switch way {
	case 0:
		return nil
	case 1:
		return ops
	case 2:
		return ops[:rnd.IntN(len(ops)+1)]
	}
	var out []Op
	for _, i := range rnd.Perm(len(ops)) {
		o := ops[i]
		if rnd.IntN(2) == 0 {
			continue
		}
		if o.Kind == Truncate || way == 3 {
			out = append(out, o)
			continue
		}
		for from := 0; from < len(o.Data); { // to the ends of the disk's sectors
			to := min(len(o.Data), from+sector-int(o.Off+int64(from))%sector)
			piece := Op{Kind: Write, Off: o.Off + int64(from), Data: o.Data[from:to]}
			if rnd.IntN(16) == 0 {
				piece.Data = make([]byte, to-from)
				for i := range piece.Data {
					piece.Data[i] = byte(rnd.Uint32())
				}
			}
			if rnd.IntN(2) == 0 {
				out = append(out, piece)
			}
			from = to
		}
	}
	return out
}

// put makes a folder hold just these files.
func put(folder string, left map[string][]byte) error {
	old, err := os.ReadDir(folder)
	if err != nil {
		return err
	}
	for _, f := range old {
		if err := os.Remove(filepath.Join(folder, f.Name())); err != nil {
			return err
		}
	}
	for name, b := range left {
		if err := os.WriteFile(filepath.Join(folder, name), b, 0o600); err != nil {
			return err
		}
	}
	return nil
}

// files reads the files of a folder, but for the shared memory of a log, which no
// power cut leaves.
func files(folder string) (map[string][]byte, error) {
	out := map[string][]byte{}
	list, err := os.ReadDir(folder)
	if err != nil {
		return nil, err
	}
	for _, f := range list {
		if f.IsDir() || strings.HasSuffix(f.Name(), "-shm") {
			continue
		}
		b, err := os.ReadFile(filepath.Join(folder, f.Name()))
		if err != nil && !os.IsNotExist(err) {
			return nil, err
		}
		out[f.Name()] = b
	}
	return out, nil
}
