// Package testdisk comes between SQLite and the system in tests: it sees what is
// written to the files of a folder and when it is synced, lets any of it fail, and
// makes the folder as a power cut may leave it. A program that imports it has it
// for all its files; those of folders that nobody watches pass untouched.
//
// It stands where SQLite calls the system (sqlite.org/vfs.html), so that it needs
// neither root nor a file system of its own. What the program does to files by
// itself (it makes, links and renames them) it does not see.
package testdisk

import (
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"unsafe"

	"modernc.org/libc"
	sqlite3 "modernc.org/sqlite/lib"
)

// Kind is what is done to a file.
type Kind int

const (
	Open Kind = iota
	Read
	Write
	Truncate
	Sync
	Delete
	Note // by the test, see Watch.Note
)

func (k Kind) String() string {
	return [...]string{"open", "read", "write", "truncate", "sync", "delete", "note"}[k]
}

// Result codes that a call may fail with (sqlite.org/rescode.html).
const (
	Full     = sqlite3.SQLITE_FULL
	Broken   = sqlite3.SQLITE_IOERR
	NotThere = sqlite3.SQLITE_CANTOPEN
	ReadOnly = sqlite3.SQLITE_READONLY
)

// Op is one call, or a note.
type Op struct {
	Kind Kind
	File string // its name in the folder; of a note, what it says
	Off  int64  // where it writes, or the length that a truncate leaves
	Data []byte // what it writes
}

// Watch is a folder that is watched.
type Watch struct {
	folder string
	start  map[string][]byte // its files when the watch began

	mu   sync.Mutex
	fail func(Op) int // asked before each call; 0 lets it pass
	keep bool
	log  []Op
}

var (
	watches atomic.Pointer[[]*Watch]
	change  sync.Mutex
)

// On watches a folder. With keep, all that is written is kept, to be replayed.
func On(folder string, keep bool) (*Watch, error) {
	folder, err := filepath.Abs(folder)
	if err != nil {
		return nil, err
	}
	w := &Watch{folder: folder + string(filepath.Separator), keep: keep}
	if keep {
		if w.start, err = files(folder); err != nil {
			return nil, err
		}
	}
	change.Lock()
	defer change.Unlock()
	list := append([]*Watch{w}, all()...)
	watches.Store(&list)
	return w, nil
}

func all() []*Watch {
	if l := watches.Load(); l != nil {
		return *l
	}
	return nil
}

// Off ends the watch.
func (w *Watch) Off() {
	change.Lock()
	defer change.Unlock()
	var left []*Watch
	for _, x := range all() {
		if x != w {
			left = append(left, x)
		}
	}
	watches.Store(&left)
}

// Fail has each call asked about first. The answer is a result code; 0 is none.
func (w *Watch) Fail(ask func(Op) int) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.fail = ask
}

// Note puts a word of the test into what is kept, after all that was done so far.
func (w *Watch) Note(text string) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.log = append(w.log, Op{Kind: Note, File: text})
}

// Log is what was kept.
func (w *Watch) Log() []Op {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.log
}

// watching finds who watches a path, and its name there.
func watching(path string) (*Watch, string) {
	for _, w := range all() {
		if name, ok := strings.CutPrefix(path, w.folder); ok {
			return w, name
		}
	}
	return nil, ""
}

// call does op for whoever watches the path, unless it is to fail.
func call(path string, op Op, do func() int32) int32 {
	w, name := watching(path)
	if w == nil {
		return do()
	}
	op.File = name
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.fail != nil {
		if rc := w.fail(op); rc != 0 {
			return int32(rc)
		}
	}
	rc := do()
	if rc == sqlite3.SQLITE_OK && w.keep && op.Kind >= Write {
		w.log = append(w.log, op)
	}
	return rc
}

// The rest is SQLite's own interface, in which functions are numbers.

type (
	tls     = *libc.TLS
	opens   = func(tls, uintptr, uintptr, uintptr, int32, uintptr) int32
	deletes = func(tls, uintptr, uintptr, int32) int32
	moves   = func(tls, uintptr, uintptr, int32, int64) int32 // reads and writes
	cuts    = func(tls, uintptr, int64) int32
	syncs   = func(tls, uintptr, int32) int32
	closes  = func(tls, uintptr) int32
)

func number[F any](f F) uintptr     { return *(*uintptr)(unsafe.Pointer(&struct{ f F }{f})) }
func function[F any](n uintptr) F   { return *(*F)(unsafe.Pointer(&struct{ n uintptr }{n})) }
func at[T any](p uintptr) (t *T)    { return *(**T)(unsafe.Pointer(&p)) }
func mem(p uintptr, n int32) []byte { return unsafe.Slice(at[byte](p), n) }

var (
	system  sqlite3.Tsqlite3_vfs
	own     uintptr  // the system's
	opened  sync.Map // path by file
	methods sync.Map // ours by the system's
)

// file is a file that SQLite has open: the methods of the system, and its path.
type file struct {
	real *sqlite3.Tsqlite3_io_methods
	path string
}

func of(p uintptr) file {
	f, _ := opened.Load(p)
	return f.(file)
}

func init() {
	t := libc.NewTLS()
	own = sqlite3.Xsqlite3_vfs_find(t, 0)
	system = *at[sqlite3.Tsqlite3_vfs](own)
	name, err := libc.CString("testdisk")
	if err != nil {
		panic(err)
	}
	p := libc.Xcalloc(t, 1, libc.Tsize_t(unsafe.Sizeof(system)))
	v := at[sqlite3.Tsqlite3_vfs](p)
	*v = system
	v.FzName, v.FpNext = name, 0
	v.FxOpen, v.FxDelete = number[opens](open), number[deletes](remove)
	if rc := sqlite3.Xsqlite3_vfs_register(t, p, 1); rc != sqlite3.SQLITE_OK {
		panic("testdisk: SQLite does not take it")
	}
}

func open(t tls, _, name, p uintptr, flags int32, out uintptr) int32 {
	path := ""
	if name != 0 {
		path = libc.GoString(name)
	}
	rc := call(path, Op{Kind: Open}, func() int32 {
		return function[opens](system.FxOpen)(t, own, name, p, flags, out)
	})
	f := at[sqlite3.Tsqlite3_file](p)
	if rc != sqlite3.SQLITE_OK {
		f.FpMethods = 0 // nothing to close
		return rc
	}
	if f.FpMethods == 0 {
		return rc
	}
	opened.Store(p, file{at[sqlite3.Tsqlite3_io_methods](f.FpMethods), path})
	ours, ok := methods.Load(f.FpMethods)
	if !ok {
		ours, _ = methods.LoadOrStore(f.FpMethods, wrap(t, f.FpMethods))
	}
	f.FpMethods = ours.(uintptr)
	return rc
}

// wrap makes a table of methods that is as another but for ours.
func wrap(t tls, real uintptr) uintptr {
	m := *at[sqlite3.Tsqlite3_io_methods](real)
	p := libc.Xcalloc(t, 1, libc.Tsize_t(unsafe.Sizeof(m)))
	m.FxRead, m.FxWrite = number[moves](read), number[moves](write)
	m.FxTruncate, m.FxSync, m.FxClose = number[cuts](truncate), number[syncs](sync_), number[closes](close_)
	*at[sqlite3.Tsqlite3_io_methods](p) = m
	return p
}

func remove(t tls, _, name uintptr, dir int32) int32 {
	return call(libc.GoString(name), Op{Kind: Delete}, func() int32 {
		return function[deletes](system.FxDelete)(t, own, name, dir)
	})
}

func read(t tls, p, to uintptr, n int32, off int64) int32 {
	f := of(p)
	return call(f.path, Op{Kind: Read, Off: off}, func() int32 {
		return function[moves](f.real.FxRead)(t, p, to, n, off)
	})
}

func write(t tls, p, from uintptr, n int32, off int64) int32 {
	f := of(p)
	op := Op{Kind: Write, Off: off}
	if w, _ := watching(f.path); w != nil && w.keep {
		op.Data = append([]byte{}, mem(from, n)...)
	}
	return call(f.path, op, func() int32 {
		return function[moves](f.real.FxWrite)(t, p, from, n, off)
	})
}

func truncate(t tls, p uintptr, size int64) int32 {
	f := of(p)
	return call(f.path, Op{Kind: Truncate, Off: size}, func() int32 {
		return function[cuts](f.real.FxTruncate)(t, p, size)
	})
}

func sync_(t tls, p uintptr, flags int32) int32 {
	f := of(p)
	return call(f.path, Op{Kind: Sync}, func() int32 {
		return function[syncs](f.real.FxSync)(t, p, flags)
	})
}

func close_(t tls, p uintptr) int32 {
	f := of(p)
	opened.Delete(p)
	return function[closes](f.real.FxClose)(t, p)
}
