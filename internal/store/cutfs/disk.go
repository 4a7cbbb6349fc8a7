// Package cutfs is a disk in memory, for tests, that knows what of it is durable: the
// bytes of a file once the file was synced, a name once its folder was. A program that
// knows nothing of it works there through the kernel (Mount). At any call the power
// fails, or the call does; and then a test sees what a disk may have kept (After).
package cutfs

import (
	"io/fs"
	"math/rand/v2"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"syscall"
)

// Kind is what a program asks of the disk.
type Kind int

// The kinds up to Rename need room on the disk; those up to SyncFolder change something.
const (
	Write Kind = iota
	Create
	Link
	MakeFolder
	Rename
	Truncate
	Sync
	Remove
	SyncFolder
	Lookup
	Open
	Read
	List
)

func (k Kind) String() string {
	return [...]string{"write", "create", "link", "make folder", "rename", "truncate", "sync", "remove", "sync folder", "look up", "open", "read", "list"}[k]
}

// Disk is a tree of folders and files.
type Disk struct {
	mu      sync.Mutex
	rnd     *rand.Rand
	nodes   map[uint64]*node
	opened  map[uint64][]string // folders being listed
	last    uint64              // number given to a node or a listing
	names   []renaming          // since the disk was made, in order
	changes int                 // calls that changed something
	calls   int                 // of every kind
	cutAt   int
	fault   func(n, change int, k Kind) syscall.Errno
	struck  string // the first call that was cut or failed
	dead    chan struct{}
}

const root = 1

// node is a file or a folder.
type node struct {
	name    string // one of them, to be told
	mode    uint32
	links   uint32
	scratch bool              // memory that programs share through a file; never durable
	data    []byte            // as programs see it
	safe    []byte            // as the disk has it
	pending []change          // what the disk may have of the rest
	names   map[string]uint64 // of a folder, as programs see them
	base    map[string]uint64 // as they were when the disk was made
}

func (n *node) folder() bool { return n.mode&syscall.S_IFMT == syscall.S_IFDIR }

// change of a file's bytes; without bytes it is a new size.
type change struct {
	at   int
	data []byte
}

// renaming changes names, all of them or none.
type renaming struct {
	names  []naming
	synced bool // its folder was
	doomed bool // the disk said that it could not
}

// naming gives a name in a folder to a node, or to none if that is 0, and takes it
// from the one that has it.
type naming struct {
	folder   uint64
	name     string
	was, now uint64
}

// New is an empty disk; chance decides what it keeps of what was not synced.
func New(chance *rand.Rand) *Disk {
	d := &Disk{rnd: chance, nodes: map[uint64]*node{}, opened: map[uint64][]string{}, last: root, dead: make(chan struct{})}
	d.nodes[root] = &node{name: "/", mode: syscall.S_IFDIR | 0o755, links: 2, names: map[string]uint64{}, base: map[string]uint64{}}
	return d
}

// Put has a file on the disk for good, and the folders above it. It is called before
// the disk is mounted.
func (d *Disk) Put(name string, data []byte) {
	folder := d.nodes[root]
	parts := strings.Split(name, "/")
	for _, part := range parts[:len(parts)-1] {
		id, ok := folder.names[part]
		if !ok {
			id = d.add(&node{mode: syscall.S_IFDIR | 0o700, links: 2, name: part, names: map[string]uint64{}, base: map[string]uint64{}})
			folder.names[part], folder.base[part] = id, id
		}
		folder = d.nodes[id]
	}
	last := parts[len(parts)-1]
	id := d.add(&node{name: last, mode: syscall.S_IFREG | 0o600, links: 1, data: slices.Clone(data), safe: slices.Clone(data)})
	folder.names[last], folder.base[last] = id, id
}

func (d *Disk) add(n *node) uint64 {
	d.last++
	d.nodes[d.last] = n
	return d.last
}

// CutAt has the power fail at the nth call that changes something, counted from 1.
func (d *Disk) CutAt(n int) { d.cutAt = n }

// Fault has calls fail for which it is not 0. It is given the number of the call, and
// of it among those that change something, both counted from 1.
func (d *Disk) Fault(f func(n, change int, k Kind) syscall.Errno) { d.fault = f }

// Calls are how many were made: of those that change something, and of every kind.
func (d *Disk) Calls() (changes, all int) {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.changes, d.calls
}

// Struck says which call was the first to be cut or to fail, "" if none was.
func (d *Disk) Struck() string {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.struck
}

// Dead is closed when the power fails.
func (d *Disk) Dead() <-chan struct{} { return d.dead }

// call counts a call, and says whether it fails.
func (d *Disk) call(k Kind, what string) syscall.Errno {
	d.calls++
	if k <= SyncFolder {
		d.changes++
	}
	select {
	case <-d.dead:
		return syscall.EIO
	default:
	}
	e := syscall.Errno(0)
	if d.cutAt > 0 && k <= SyncFolder && d.changes == d.cutAt {
		e = syscall.EIO
		close(d.dead)
	} else if d.fault != nil {
		e = d.fault(d.calls, d.changes, k)
	}
	if e != 0 && d.struck == "" {
		d.struck = k.String() + " " + what
	}
	return e
}

// rename changes names for programs, and remembers that the disk may not have it yet.
func (d *Disk) rename(names ...naming) {
	for _, n := range names {
		folder := d.nodes[n.folder]
		if n.now == 0 {
			delete(folder.names, n.name)
		} else {
			folder.names[n.name] = n.now
		}
	}
	d.names = append(d.names, renaming{names: names})
}

// syncNames makes the names in a folder durable, or not if the disk fails.
func (d *Disk) syncNames(folder uint64, failed bool) {
	for i := range d.names {
		r := &d.names[i]
		if r.names[len(r.names)-1].folder == folder {
			r.synced = r.synced || !failed && !r.doomed
			r.doomed = r.doomed || failed && !r.synced
		}
	}
}

// Files are the contents of all files by their names, as programs see them.
func (d *Disk) Files() map[string][]byte {
	d.mu.Lock()
	defer d.mu.Unlock()
	out := map[string][]byte{}
	d.walk(root, "", func(name string, n *node) { out[name] = slices.Clone(n.data) })
	return out
}

func (d *Disk) walk(id uint64, at string, do func(string, *node)) {
	for name, id := range d.nodes[id].names {
		if n := d.nodes[id]; n.folder() {
			d.walk(id, path.Join(at, name), do)
		} else {
			do(path.Join(at, name), n)
		}
	}
}

// CopyTo writes all files into a folder.
func (d *Disk) CopyTo(folder string) error {
	for name, data := range d.Files() {
		to := filepath.Join(folder, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(to), 0o700); err != nil {
			return err
		}
		if err := os.WriteFile(to, data, fs.FileMode(0o600)); err != nil {
			return err
		}
	}
	return nil
}
