package web

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"io"
	"net/http"
	"strings"
	"sync"

	"github.com/klauspost/compress/flate"
)

// A page is squeezed at a level that saves as much as the usual one of compress/flate in
// half the time of that package's quickest, what is kept ready a little more.
var zips, tightZips = zipsAt(5), zipsAt(8)

func zipsAt(level int) *sync.Pool {
	return &sync.Pool{New: func() any {
		z, err := flate.NewWriter(io.Discard, level)
		if err != nil {
			panic(err) // the level is one of the library's own
		}
		return z
	}}
}

// squeeze compresses pages for those who take them so.
func squeeze(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Add("Vary", "Accept-Encoding")
		if !strings.Contains(r.Header.Get("Accept-Encoding"), "gzip") {
			next.ServeHTTP(w, r)
			return
		}
		z := &zipped{ResponseWriter: w}
		defer z.close()
		next.ServeHTTP(z, r)
	})
}

// zipped writes as gzip (RFC 1952) once the type of the answer is known to be text. It
// makes head and end of the file itself: package compress/gzip lets nobody put a part
// in that is compressed already.
type zipped struct {
	http.ResponseWriter
	z      *flate.Writer
	sum    uint32 // CRC-32 and length of what was written, for the end of the file
	size   uint32
	looked bool
}

// gzipHead is the header of a gzip file that says nothing of time or system.
var gzipHead = []byte{0x1f, 0x8b, 8, 0, 0, 0, 0, 0, 4, 255}

func (z *zipped) WriteHeader(code int) {
	first := !z.looked
	z.looked = true
	t := z.Header().Get("Content-Type")
	text := strings.HasPrefix(t, "text/html") || strings.HasPrefix(t, "text/css") || strings.HasPrefix(t, "text/javascript") || strings.Contains(t, "json")
	squeezed := first && text && z.Header().Get("Content-Encoding") == "" && code != http.StatusNoContent && code != http.StatusNotModified
	if squeezed {
		z.Header().Set("Content-Encoding", "gzip")
		z.Header().Del("Content-Length")
	}
	z.ResponseWriter.WriteHeader(code)
	if squeezed {
		z.z = zips.Get().(*flate.Writer)
		z.z.Reset(z.ResponseWriter)
		z.ResponseWriter.Write(gzipHead)
	}
}

func (z *zipped) Write(b []byte) (int, error) {
	if !z.looked {
		z.WriteHeader(http.StatusOK)
	}
	if z.z == nil {
		return z.ResponseWriter.Write(b)
	}
	z.count(b)
	return z.z.Write(b)
}

func (z *zipped) count(b []byte) {
	z.sum, z.size = crc32.Update(z.sum, crc32.IEEETable, b), z.size+uint32(len(b))
}

func (z *zipped) Unwrap() http.ResponseWriter { return z.ResponseWriter }

func (z *zipped) close() {
	if z.z == nil {
		return
	}
	z.z.Close()
	z.ResponseWriter.Write(binary.LittleEndian.AppendUint32(binary.LittleEndian.AppendUint32(nil, z.sum), z.size))
	z.z.Reset(io.Discard)
	zips.Put(z.z)
}

// block is a part of pages that is kept ready to be sent, as it is and squeezed. A
// deflate stream (RFC 1951) may be put together from parts that end on a byte and
// look back at nothing before them.
type block struct{ plain, squeezed []byte }

func newBlock(plain []byte) *block {
	var b bytes.Buffer
	z := tightZips.Get().(*flate.Writer)
	z.Reset(&b)
	z.Write(plain) // into memory, as is what Flush writes: neither fails
	z.Flush()
	z.Reset(io.Discard)
	tightZips.Put(z)
	return &block{plain, b.Bytes()}
}

// send writes a block, squeezed if what is around it is.
func (p *block) send(w http.ResponseWriter) {
	for inner := w; ; {
		if z, ok := inner.(*zipped); ok && z.z != nil {
			z.z.Flush()
			z.ResponseWriter.Write(p.squeezed)
			z.count(p.plain)
			z.z.Reset(z.ResponseWriter) // what follows looks back at nothing either
			return
		}
		u, ok := inner.(interface{ Unwrap() http.ResponseWriter })
		if !ok {
			w.Write(p.plain)
			return
		}
		inner = u.Unwrap()
	}
}
