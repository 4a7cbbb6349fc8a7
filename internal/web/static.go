package web

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"embed"
	"fmt"
	"io/fs"
	"mime"
	"net/http"
	"path"
	"strings"
	"sync"
	"time"

	"endfloat/internal/shop"
)

//go:embed static
var staticFiles embed.FS

// assetVersion changes whenever a static file does, so that browsers may keep
// them for good.
var assetVersion = hashFiles()

func hashFiles() string {
	h := sha256.New()
	err := fs.WalkDir(staticFiles, "static", func(p string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		b, err := staticFiles.ReadFile(p)
		fmt.Fprintf(h, "%s %d ", p, len(b))
		h.Write(b)
		return err
	})
	if err != nil {
		panic(err) // the files are in the binary
	}
	return fmt.Sprintf("%x", h.Sum(nil))[:12]
}

func (s *server) static(v *visit) error {
	name := path.Clean("static/" + v.r.PathValue("file"))
	b, err := staticFiles.ReadFile(name)
	if err != nil || path.Ext(name) == ".md" {
		return missing("There is no file %q here.", v.r.PathValue("file"))
	}
	kind := mime.TypeByExtension(path.Ext(name))
	if path.Ext(name) == ".woff2" {
		kind = "font/woff2"
	}
	v.w.Header().Set("Content-Type", kind)
	v.w.Header().Set("Cache-Control", "public, max-age=31536000, immutable")
	if strings.HasPrefix(kind, "text/") && strings.Contains(v.r.Header.Get("Accept-Encoding"), "gzip") {
		v.w.Header().Set("Content-Encoding", "gzip")
		b = tight(name, b)
	}
	v.w.WriteHeader(http.StatusOK)
	v.w.Write(b) // whoever asked may have gone
	return nil
}

var tights sync.Map // name → bytes

// tight compresses a static file as far as it goes, once: it is sent often.
func tight(name string, b []byte) []byte {
	if z, ok := tights.Load(name); ok {
		return z.([]byte)
	}
	var out bytes.Buffer
	z, err := gzip.NewWriterLevel(&out, gzip.BestCompression)
	if err == nil {
		_, err = z.Write(b)
	}
	if err == nil {
		err = z.Close()
	}
	if err != nil {
		panic(err) // into memory it does not fail
	}
	tights.Store(name, out.Bytes())
	return out.Bytes()
}

// worker is what keeps the pages on a device while the server is away. It must
// lie at the root to see every page, and is never kept itself.
func (s *server) worker(v *visit) error {
	b, err := staticFiles.ReadFile("static/sw.js")
	if err != nil {
		return err
	}
	v.w.Header().Set("Content-Type", "text/javascript; charset=utf-8")
	v.w.Header().Set("Cache-Control", "no-cache")
	v.w.WriteHeader(http.StatusOK)
	v.w.Write(b) // whoever asked may have gone
	return nil
}

// pulse is how often an open screen is told that the server is still there.
const pulse = 5 * time.Second

// events tells an open screen when a book has changed.
func (s *server) events(v *visit) error {
	changed, stop := s.sh.Listen()
	defer stop()
	c := http.NewResponseController(v.w)
	if err := c.SetWriteDeadline(time.Time{}); err != nil && v.r.ProtoMajor > 1 {
		return err
	}
	v.w.Header().Set("Content-Type", "text/event-stream")
	v.w.WriteHeader(http.StatusOK)
	fmt.Fprint(v.w, "retry: 3000\n\n")
	beat := time.NewTicker(pulse)
	defer beat.Stop()
	want := v.r.FormValue("book")
	for {
		if err := c.Flush(); err != nil {
			return nil // the screen has gone
		}
		select {
		case <-v.r.Context().Done():
			return nil
		case <-beat.C:
			if !v.still() {
				return nil
			}
			fmt.Fprint(v.w, "event: here\ndata: 1\n\n")
		case book := <-changed:
			if book == shop.DevicesBook && !v.still() {
				return nil
			}
			if want == "*" || book == want {
				fmt.Fprintf(v.w, "data: %s\n\n", book)
			}
		}
	}
}
