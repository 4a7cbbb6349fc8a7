package cutfs

import (
	"maps"
	"math/rand/v2"
	"slices"
	"syscall"
)

// sector is what a disk writes whole or not at all.
const sector = 512

// After is the disk as it may be after the power has failed: all that was synced, and
// by chance some of the rest. Of names that is either what was done up to some moment,
// as a journal keeps it, or any of them. Of the bytes of a file it is nothing, all,
// what was done up to some moment, or any sectors of any age and rubbish in some.
func (d *Disk) After() *Disk {
	d.mu.Lock()
	defer d.mu.Unlock()
	a := New(rand.New(rand.NewPCG(d.rnd.Uint64(), d.rnd.Uint64())))
	a.last = d.last
	for id, n := range d.nodes {
		n := &node{name: n.name, mode: n.mode, scratch: n.scratch, safe: slices.Clone(n.safe), pending: n.pending, data: n.data, names: maps.Clone(n.base)}
		if n.scratch {
			n.safe, n.pending = rubbish(d.rnd, len(n.data)), nil
		}
		n.settle(d.rnd)
		n.data = slices.Clone(n.safe)
		a.nodes[id] = n
	}
	a.settleNames(d.names, d.rnd)
	a.count()
	return a
}

// settleNames does what the disk has of what was done to names.
func (a *Disk) settleNames(done []renaming, rnd *rand.Rand) {
	last := -1
	for i, r := range done {
		if r.synced {
			last = i
		}
	}
	journal, until := rnd.IntN(2) == 0, last+1+rnd.IntN(len(done)-last)
	for i, r := range done {
		keep := r.synced || rnd.IntN(2) == 0
		if journal {
			keep = i < until && !r.doomed
		}
		if first := r.names[0]; !keep || first.was != 0 && a.nodes[first.folder].names[first.name] != first.was {
			continue // it is of a name that the disk does not have
		}
		for _, n := range r.names {
			if n.now == 0 {
				delete(a.nodes[n.folder].names, n.name)
			} else {
				a.nodes[n.folder].names[n.name] = n.now
			}
		}
	}
}

// count makes what the disk has what programs see, and drops what no name leads to.
func (a *Disk) count() {
	reached := map[uint64]*node{root: a.nodes[root]}
	a.nodes[root].links = 2
	var visit func(uint64)
	visit = func(id uint64) {
		n := a.nodes[id]
		n.base = maps.Clone(n.names)
		for _, id := range n.names {
			child := a.nodes[id]
			reached[id] = child
			child.links++
			if child.folder() {
				child.links = 2
				visit(id)
			}
		}
	}
	visit(root)
	a.nodes = reached
}

// settle decides what the disk has of what was not synced.
func (n *node) settle(rnd *rand.Rand) {
	pending := n.pending
	n.pending = nil
	switch rnd.IntN(5) {
	case 0:
	case 1:
		n.apply(pending)
	case 2:
		n.apply(pending[:rnd.IntN(len(pending)+1)])
	default:
		n.tear(pending, rnd)
	}
}

// apply has changes on the disk.
func (n *node) apply(cs []change) {
	for _, c := range cs {
		n.safe = c.on(n.safe)
	}
}

// on returns bytes as they are after a change.
func (c change) on(b []byte) []byte {
	if c.data == nil {
		return sized(b, c.at)
	}
	b = sized(b, max(len(b), c.at+len(c.data)))
	copy(b[c.at:], c.data)
	return b
}

// sized makes bytes so many, with zeros where there were none.
func sized(b []byte, size int) []byte {
	if size <= len(b) {
		clear(b[size:])
		return b[:size]
	}
	return append(b, make([]byte, size-len(b))...)
}

// tear has any age of each sector on the disk, and a size of any age. What is spoiled
// in a sector is what was written there, not what lies beside it; SQLite and journals
// rely on that ("powersafe overwrite", sqlite.org/psow.html).
func (n *node) tear(cs []change, rnd *rand.Rand) {
	ages := map[int][][]byte{}
	spans := map[int][2]int{} // of what was written in a sector
	now, sizes := slices.Clone(n.safe), []int{len(n.safe)}
	for _, c := range cs {
		from, to := c.at, c.at+len(c.data)
		if c.data == nil {
			from, to = min(len(now), c.at), max(len(now), c.at)
		}
		now = c.on(now)
		for s := from / sector; s*sector < to; s++ {
			if _, ok := spans[s]; !ok {
				spans[s] = [2]int{sector, 0}
			}
			spans[s] = [2]int{min(spans[s][0], max(0, from-s*sector)), max(spans[s][1], min(sector, to-s*sector))}
			ages[s] = append(ages[s], whole(now, s))
		}
		sizes = append(sizes, len(now))
	}
	size := sizes[rnd.IntN(len(sizes))]
	n.safe = sized(n.safe, max(size, len(n.safe)))
	for _, s := range slices.Sorted(maps.Keys(ages)) {
		at := s * sector
		if at >= len(n.safe) {
			break
		}
		if k := rnd.IntN(len(ages[s]) + 1); k > 0 {
			copy(n.safe[at:], ages[s][k-1])
		}
		if from, to := at+spans[s][0], min(at+spans[s][1], len(n.safe)); from < to && rnd.IntN(16) == 0 {
			copy(n.safe[from:to], rubbish(rnd, to-from))
		}
	}
	n.safe = sized(n.safe, size)
}

// whole is a sector with zeros past the end of the file.
func whole(b []byte, s int) []byte {
	out := make([]byte, sector)
	if at := s * sector; at < len(b) {
		copy(out, b[at:])
	}
	return out
}

func rubbish(rnd *rand.Rand, size int) []byte {
	b := make([]byte, size)
	for i := range b {
		b[i] = byte(rnd.Uint32())
	}
	return b
}

// sync makes the bytes of a file durable. If the disk fails it says so once: what it
// has of them is left to chance, and no later sync brings the rest.
func (n *node) sync(failed syscall.Errno, rnd *rand.Rand) {
	if failed != 0 {
		n.settle(rnd)
		return
	}
	n.apply(n.pending)
	n.pending = nil
}
