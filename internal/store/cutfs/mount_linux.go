package cutfs

import (
	"fmt"
	"io"
	"log"
	"os"
	"slices"
	"strings"
	"syscall"

	"github.com/hanwen/go-fuse/v2/fuse"
)

// Mount shows the disk in a folder, to other programs: who looks there himself may
// wait for himself. The function it returns takes it away again.
func (d *Disk) Mount(folder string) (unmount func() error, err error) {
	s, err := fuse.NewServer(&served{fuse.NewDefaultRawFileSystem(), d}, folder, &fuse.MountOptions{
		Name: "cutfs", FsName: "cutfs", DirectMountStrict: true, DisableXAttrs: true, DisableReadDirPlus: true,
		Logger: log.New(io.Discard, "", 0), // it minds programs that are killed while they wait
	})
	if err != nil {
		return nil, fmt.Errorf("a file system in memory cannot be mounted: %w", err)
	}
	go s.Serve()
	if err := s.WaitMount(); err != nil {
		return nil, err
	}
	return func() error {
		if s.Unmount() == nil {
			return nil
		}
		return syscall.Unmount(folder, syscall.MNT_DETACH)
	}, nil
}

// Missing says why nothing can be mounted here, or nothing.
func Missing() string {
	f, err := os.OpenFile("/dev/fuse", os.O_RDWR, 0)
	if err != nil {
		return fmt.Sprintf("no file system of a program's own can be mounted here (%v)", err)
	}
	defer f.Close()
	folder, err := os.MkdirTemp("", "cutfs")
	if err != nil {
		return err.Error()
	}
	defer os.Remove(folder)
	unmount, err := New(nil).Mount(folder)
	if err == nil {
		err = unmount()
	}
	if err != nil {
		return err.Error()
	}
	return ""
}

// served answers the kernel. Locks and what programs map into memory are its own
// matter; all else comes here at once, for it is not asked to keep writes back.
type served struct {
	fuse.RawFileSystem
	d *Disk
}

func (s *served) String() string { return "cutfs" }

func (d *Disk) attr(id uint64, out *fuse.Attr) {
	n := d.nodes[id]
	out.Ino, out.Mode, out.Nlink, out.Size = id, n.mode, n.links, uint64(len(n.data))
	out.Uid, out.Gid = uint32(os.Getuid()), uint32(os.Getgid())
	out.Blksize, out.Blocks = 4096, (out.Size+sector-1)/sector
	out.Mtime = 1_700_000_000 // of no account
}

func (d *Disk) entry(id uint64, out *fuse.EntryOut) {
	out.NodeId, out.Generation = id, 1
	d.attr(id, &out.Attr)
}

func (s *served) Lookup(_ <-chan struct{}, h *fuse.InHeader, name string, out *fuse.EntryOut) fuse.Status {
	s.d.mu.Lock()
	defer s.d.mu.Unlock()
	if e := s.d.call(Lookup, name); e != 0 {
		return fuse.Status(e)
	}
	id, ok := s.d.nodes[h.NodeId].names[name]
	if !ok {
		return fuse.ENOENT
	}
	s.d.entry(id, out)
	return fuse.OK
}

func (s *served) GetAttr(_ <-chan struct{}, in *fuse.GetAttrIn, out *fuse.AttrOut) fuse.Status {
	s.d.mu.Lock()
	defer s.d.mu.Unlock()
	s.d.attr(in.NodeId, &out.Attr)
	return fuse.OK
}

func (s *served) SetAttr(_ <-chan struct{}, in *fuse.SetAttrIn, out *fuse.AttrOut) fuse.Status {
	s.d.mu.Lock()
	defer s.d.mu.Unlock()
	n := s.d.nodes[in.NodeId]
	if mode, ok := in.GetMode(); ok {
		n.mode = n.mode&^0o7777 | mode&0o7777
	}
	if size, ok := in.GetSize(); ok {
		if e := s.d.change(in.NodeId, Truncate, change{at: int(size)}); e != 0 {
			return fuse.Status(e)
		}
	}
	s.d.attr(in.NodeId, &out.Attr)
	return fuse.OK
}

// change changes the bytes of a file. One at which the power fails may be on the disk.
func (d *Disk) change(id uint64, k Kind, c change) syscall.Errno {
	n := d.nodes[id]
	if n.scratch { // the kernel writes it when it likes
		n.data = c.on(n.data)
		return 0
	}
	e := d.call(k, fmt.Sprintf("%s, %d bytes at %d", n.name, len(c.data), c.at))
	if e == 0 || d.dying() {
		n.pending = append(n.pending, c)
	}
	if e == 0 {
		n.data = c.on(n.data)
	}
	return e
}

// dying is true of the call at which the power fails.
func (d *Disk) dying() bool { return d.cutAt > 0 && d.changes == d.cutAt }

func (s *served) Write(_ <-chan struct{}, in *fuse.WriteIn, data []byte) (uint32, fuse.Status) {
	s.d.mu.Lock()
	defer s.d.mu.Unlock()
	e := s.d.change(in.NodeId, Write, change{int(in.Offset), append([]byte{}, data...)})
	if e != 0 {
		return 0, fuse.Status(e)
	}
	return uint32(len(data)), fuse.OK
}

func (s *served) Writev(<-chan struct{}, *fuse.WriteIn, [][]byte) (uint32, fuse.Status) {
	return 0, fuse.ENOSYS
}

func (s *served) Read(_ <-chan struct{}, in *fuse.ReadIn, buf []byte) (fuse.ReadResult, fuse.Status) {
	s.d.mu.Lock()
	defer s.d.mu.Unlock()
	n := s.d.nodes[in.NodeId]
	if !n.scratch {
		if e := s.d.call(Read, fmt.Sprintf("%s at %d", n.name, in.Offset)); e != 0 {
			return nil, fuse.Status(e)
		}
	}
	got := 0
	if at := int(in.Offset); at < len(n.data) {
		got = copy(buf, n.data[at:])
	}
	return fuse.ReadResultData(buf[:got]), fuse.OK
}

func (s *served) Fsync(_ <-chan struct{}, in *fuse.FsyncIn) fuse.Status {
	s.d.mu.Lock()
	defer s.d.mu.Unlock()
	e := s.d.call(Sync, s.d.nodes[in.NodeId].name)
	if !s.d.isDead() {
		s.d.nodes[in.NodeId].sync(e, s.d.rnd)
	}
	return fuse.Status(e)
}

func (s *served) FsyncDir(_ <-chan struct{}, in *fuse.FsyncIn) fuse.Status {
	s.d.mu.Lock()
	defer s.d.mu.Unlock()
	e := s.d.call(SyncFolder, s.d.nodes[in.NodeId].name)
	if !s.d.isDead() {
		s.d.syncNames(in.NodeId, e != 0)
	}
	return fuse.Status(e)
}

func (d *Disk) isDead() bool {
	select {
	case <-d.dead:
		return true
	default:
		return false
	}
}

// made makes a node under a name.
func (s *served) made(k Kind, folder uint64, name string, n *node, out *fuse.EntryOut) fuse.Status {
	s.d.mu.Lock()
	defer s.d.mu.Unlock()
	if _, ok := s.d.nodes[folder].names[name]; ok {
		return fuse.Status(syscall.EEXIST)
	}
	if e := s.d.call(k, name); e != 0 {
		return fuse.Status(e)
	}
	n.name, n.scratch = name, strings.HasSuffix(name, "-shm")
	id := s.d.add(n)
	s.d.rename(naming{folder: folder, name: name, now: id})
	s.d.entry(id, out)
	return fuse.OK
}

func (s *served) Create(_ <-chan struct{}, in *fuse.CreateIn, name string, out *fuse.CreateOut) fuse.Status {
	return s.made(Create, in.NodeId, name, &node{mode: syscall.S_IFREG | in.Mode&0o7777, links: 1}, &out.EntryOut)
}

func (s *served) Mkdir(_ <-chan struct{}, in *fuse.MkdirIn, name string, out *fuse.EntryOut) fuse.Status {
	n := &node{mode: syscall.S_IFDIR | in.Mode&0o7777, links: 2, names: map[string]uint64{}, base: map[string]uint64{}}
	return s.made(MakeFolder, in.NodeId, name, n, out)
}

func (s *served) Link(_ <-chan struct{}, in *fuse.LinkIn, name string, out *fuse.EntryOut) fuse.Status {
	s.d.mu.Lock()
	defer s.d.mu.Unlock()
	if e := s.d.call(Link, name); e != 0 {
		return fuse.Status(e)
	}
	s.d.nodes[in.Oldnodeid].links++
	s.d.rename(naming{folder: in.NodeId, name: name, now: in.Oldnodeid})
	s.d.entry(in.Oldnodeid, out)
	return fuse.OK
}

func (s *served) Rename(_ <-chan struct{}, in *fuse.RenameIn, from, to string) fuse.Status {
	s.d.mu.Lock()
	defer s.d.mu.Unlock()
	id, over := s.d.nodes[in.NodeId].names[from], s.d.nodes[in.Newdir].names[to]
	if in.Flags != 0 || over != 0 && s.d.nodes[over].folder() {
		return fuse.EINVAL
	}
	e := s.d.call(Rename, from+" to "+to)
	if e == 0 || s.d.dying() {
		if over != 0 {
			s.d.nodes[over].links--
		}
		s.d.nodes[id].name = to
		s.d.rename(naming{folder: in.NodeId, name: from, was: id}, naming{folder: in.Newdir, name: to, now: id})
	}
	return fuse.Status(e)
}

func (s *served) Unlink(_ <-chan struct{}, h *fuse.InHeader, name string) fuse.Status {
	s.d.mu.Lock()
	defer s.d.mu.Unlock()
	id := s.d.nodes[h.NodeId].names[name]
	e := s.d.call(Remove, name)
	if e == 0 || s.d.dying() {
		s.d.nodes[id].links--
		s.d.rename(naming{folder: h.NodeId, name: name, was: id})
	}
	return fuse.Status(e)
}

func (s *served) Open(_ <-chan struct{}, in *fuse.OpenIn, out *fuse.OpenOut) fuse.Status {
	s.d.mu.Lock()
	defer s.d.mu.Unlock()
	if e := s.d.call(Open, s.d.nodes[in.NodeId].name); e != 0 {
		return fuse.Status(e)
	}
	if in.Flags&syscall.O_TRUNC != 0 {
		return fuse.Status(s.d.change(in.NodeId, Truncate, change{}))
	}
	return fuse.OK
}

func (s *served) OpenDir(_ <-chan struct{}, in *fuse.OpenIn, out *fuse.OpenOut) fuse.Status {
	s.d.mu.Lock()
	defer s.d.mu.Unlock()
	if e := s.d.call(List, s.d.nodes[in.NodeId].name); e != 0 {
		return fuse.Status(e)
	}
	s.d.last++
	names := []string{}
	for name := range s.d.nodes[in.NodeId].names {
		names = append(names, name)
	}
	slices.Sort(names)
	out.Fh, s.d.opened[s.d.last] = s.d.last, names
	return fuse.OK
}

func (s *served) ReadDir(_ <-chan struct{}, in *fuse.ReadIn, out *fuse.DirEntryList) fuse.Status {
	s.d.mu.Lock()
	defer s.d.mu.Unlock()
	names := s.d.opened[in.Fh]
	for i := int(in.Offset); i < len(names); i++ {
		id, ok := s.d.nodes[in.NodeId].names[names[i]]
		if !ok {
			id = in.NodeId // gone meanwhile; whoever looks it up is told so
		}
		if !out.AddDirEntry(fuse.DirEntry{Name: names[i], Ino: id, Mode: s.d.nodes[id].mode, Off: uint64(i + 1)}) {
			break
		}
	}
	return fuse.OK
}

func (s *served) StatFs(_ <-chan struct{}, _ *fuse.InHeader, out *fuse.StatfsOut) fuse.Status {
	out.Bsize, out.Blocks, out.Bfree, out.Bavail, out.NameLen = 4096, 1<<20, 1<<19, 1<<19, 255
	return fuse.OK
}
