package archive

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"io"
	"math"
)

// The zip form is written out here, and not by a library, because every byte of
// it is part of the promise. Source: .ZIP File Format Specification 6.3 (APPNOTE),
// 4.3.7 local file header, 4.3.12 central directory, 4.3.16 its end record.

const (
	localSign   = 0x04034b50
	centralSign = 0x02014b50
	endSign     = 0x06054b50
	version     = 10     // needed to read a file that is stored as it is
	day         = 0x0021 // 1 January 1980
)

// le appends numbers of two and of four bytes, least significant first.
func le(b []byte, ns ...any) []byte {
	for _, n := range ns {
		switch n := n.(type) {
		case uint16:
			b = binary.LittleEndian.AppendUint16(b, n)
		case uint32:
			b = binary.LittleEndian.AppendUint32(b, n)
		}
	}
	return b
}

// common are the fields that a file has in both of its headers.
func common(f file) []byte {
	size := uint32(len(f.data))
	return le(nil, uint16(version), uint16(0), uint16(0), uint16(0), uint16(day),
		crc32.ChecksumIEEE(f.data), size, size, uint16(len(f.name)), uint16(0))
}

// pack writes files as a zip: stored, in their order, without times or extras.
func pack(w io.Writer, fs []file) error {
	if len(fs) > MaxFiles {
		return refuse("%d files are more than an archive holds (%d): export job by job", len(fs), MaxFiles)
	}
	var at int64
	var dir []byte
	put := func(b []byte) error {
		n, err := w.Write(b)
		at += int64(n)
		return err
	}
	for _, f := range fs {
		if at+int64(len(f.data)) > math.MaxUint32-(64<<20) {
			return refuse("this is more than an archive holds (4 GB): export job by job")
		}
		dir = le(dir, uint32(centralSign), uint16(version))
		dir = append(dir, common(f)...)
		dir = append(le(dir, uint16(0), uint16(0), uint16(0), uint32(0), uint32(at)), f.name...)
		for _, b := range [][]byte{le(nil, uint32(localSign)), common(f), []byte(f.name), f.data} {
			if err := put(b); err != nil {
				return err
			}
		}
	}
	start, n := uint32(at), uint16(len(fs))
	return put(le(dir, uint32(endSign), uint16(0), uint16(0), n, n, uint32(len(dir)), start, uint16(0)))
}

// localSize is that of a local header without the name.
const localSize = 30

// unpack reads files one after the other. It looks at sizes and names only:
// whether the rest is as pack writes it is seen by writing it again.
func unpack(b []byte) ([]file, error) {
	var fs []file
	for at := 0; ; {
		if len(b)-at < 4 {
			return nil, refuse("the archive breaks off at byte %d", len(b))
		}
		sign := binary.LittleEndian.Uint32(b[at:])
		if sign == centralSign && len(fs) > 0 {
			return fs, nil
		}
		if sign != localSign {
			return nil, refuse("at byte %d no file begins: this is no archive of endfloat, or it is broken", at+1)
		}
		if len(b)-at < localSize {
			return nil, refuse("the archive breaks off at byte %d", len(b))
		}
		h := b[at:]
		method, size := binary.LittleEndian.Uint16(h[8:]), int64(binary.LittleEndian.Uint32(h[18:]))
		name, extra := int64(binary.LittleEndian.Uint16(h[26:])), int64(binary.LittleEndian.Uint16(h[28:]))
		if method != 0 || extra != 0 {
			return nil, refuse("the file at byte %d is compressed or carries extras; in an archive of endfloat none is", at+1)
		}
		if int64(len(h)) < localSize+name+size {
			return nil, refuse("the file at byte %d is longer than the archive", at+1)
		}
		f := file{string(h[localSize : localSize+name]), h[localSize+name : localSize+name+size]}
		if !known.MatchString(f.name) {
			return nil, refuse("%.80q at byte %d is no name of a file in an archive", f.name, at+1)
		}
		if len(fs) > 1 && f.name <= fs[len(fs)-1].name && f.name != "SHA256SUMS" {
			return nil, refuse("%s stands twice or out of order", f.name)
		}
		if fs = append(fs, f); len(fs) > MaxFiles {
			return nil, refuse("there are more than %d files in the archive", MaxFiles)
		}
		at += int(localSize + name + size)
	}
}

// matcher is a writer that compares and keeps nothing.
type matcher struct {
	want  []byte
	at    int
	parts bool
}

func (m *matcher) Write(p []byte) (int, error) {
	if m.parts {
		return len(p), nil
	}
	rest := m.want[m.at:]
	if bytes.HasPrefix(rest, p) {
		m.at += len(p)
		return len(p), nil
	}
	m.parts = true
	for i := range p {
		if i >= len(rest) || rest[i] != p[i] {
			m.at += i
			break
		}
	}
	return len(p), nil
}
