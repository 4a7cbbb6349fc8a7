package main

import (
	"bytes"
	"context"
	"encoding/xml"
	"errors"
	"fmt"
	"image"
	"image/png"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"endfloat/internal/cert"
	"endfloat/internal/cli"
	"endfloat/internal/shop"
	"endfloat/internal/store/carry"
	"endfloat/internal/store/sqlite"
)

const threeSpeed = "internal/demo/three-speed.gearbox.yaml"

// trials are what the program does with files.
func trials(t *testing.T) []trial {
	old, stick := bases(t)
	return []trial{
		begin(t), writing(old), upgrade(t, 1), upgrade(t, 2), opening(t, old), restoring(t, old, stick), restoringAnew(t, stick),
		backing(t, old), copying(t, old, stick), moving(t, old), taking(t, old), papers(old), trusted(old),
	}
}

// bases are two workshops. The first is as a program leaves it that was killed: what
// it holds is partly in its log. The second is whole.
func bases(t *testing.T) (old, stick map[string][]byte) {
	folder := t.TempDir()
	data := filepath.Join(folder, "bench.db")
	run(t, "box", "keep", threeSpeed, "--data", data)
	run(t, "new", "--unit", "Heron", "--letter", "H", "--colour", "green", "--type", gearboxName(t, threeSpeed), "--data", data)
	whole, err := os.ReadFile(data)
	check(t, err)
	cmd, url := listen(t, "serve", "--addr", "127.0.0.1:0", "--copies", "none", "--data", data)
	for n := range 5 {
		if !note(t.Context(), url, fmt.Sprintf("0197a000-0000-7000-8000-00000000000%d", n), "before it was killed") {
			t.Fatal("no note was taken")
		}
	}
	cmd.Process.Kill()
	cmd.Wait()
	old = map[string][]byte{}
	for _, name := range []string{"bench.db", "bench.db-wal"} {
		old[name], err = os.ReadFile(filepath.Join(folder, name))
		check(t, err)
	}
	return old, map[string][]byte{"stick.db": whole}
}

// with adds files to some.
func with(files ...map[string][]byte) map[string][]byte {
	out := map[string][]byte{}
	for _, fs := range files {
		for name, b := range fs {
			out[name] = b
		}
	}
	return out
}

// sumIn reads a data file of a folder whole and returns the sum of its export.
func sumIn(folder, name string) (string, error) {
	ctx := context.Background()
	if _, err := os.Stat(filepath.Join(folder, name)); err != nil {
		return "", err
	}
	s, err := sqlite.Open(ctx, filepath.Join(folder, name))
	if err != nil {
		return "", err
	}
	_, err = carry.Check(ctx, s)
	sum := ""
	if err == nil {
		sum, err = carry.Sum(ctx, s)
	}
	return sum, errors.Join(err, s.Close())
}

// sumOfFiles is the sum of the data file among some.
func sumOfFiles(t *testing.T, files map[string][]byte, name string) string {
	t.Helper()
	folder := t.TempDir()
	for name, b := range files {
		check(t, os.WriteFile(filepath.Join(folder, name), b, 0o600))
	}
	sum, err := sumIn(folder, name)
	check(t, err)
	return sum
}

// is fails unless a data file holds one of some workshops.
func is(folder, name string, sums ...string) error {
	sum, err := sumIn(folder, name)
	if err == nil && !slices.Contains(sums, sum) {
		err = errors.New("it holds something else")
	}
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	return nil
}

// begin: a workshop is begun where there is no folder for it, and used by commands.
func begin(t *testing.T) trial {
	steps := [][]string{
		{"box", "keep", threeSpeedPath(t)},
		{"new", "--unit", "Heron", "--letter", "H", "--colour", "green", "--type", gearboxName(t, threeSpeed)},
		{"note", "H", "first"},
		{"note", "H", "second"},
	}
	return trial{
		name: "begin a workshop",
		do: func(b *bench) {
			for _, step := range steps { // each is an entry
				b.ran(step...)
			}
		},
		look: []string{"jobs"},
		holds: func(t *testing.T, folder string, b *bench) error {
			done := 0
			for _, step := range steps {
				if b.said[strings.Join(step, " ")] {
					done++
				}
			}
			n, err := countIn(filepath.Join(folder, "endfloat", "endfloat.db"))
			if err == nil && (n.Entries < done || n.Entries > len(steps)) {
				err = fmt.Errorf("%d of %d steps were acknowledged, and there are %d entries", done, len(steps), n.Entries)
			}
			return err
		},
	}
}

func threeSpeedPath(t *testing.T) string {
	path, err := filepath.Abs(threeSpeed)
	check(t, err)
	return path
}

func countIn(file string) (n carry.Count, err error) {
	s, err := sqlite.Open(context.Background(), file)
	if err != nil {
		return n, err
	}
	n, err = carry.Check(context.Background(), s)
	return n, errors.Join(err, s.Close())
}

// writing: entries are written through a served workshop by three devices, which is
// then stopped, and by commands.
func writing(old map[string][]byte) trial {
	return trial{
		name: "write entries", files: old,
		do: func(b *bench) {
			b.serve(nil, func(url string) { notes(b, url, 3, 4) }, "--copies", "none", "--data", "@/bench.db")
			b.run("note", "H", "by command", "--data", "@/bench.db")
		},
		look: []string{"jobs", "--data", "@/bench.db"},
		holds: func(t *testing.T, folder string, b *bench) error {
			return hasNotes(filepath.Join(folder, "bench.db"), b)
		},
	}
}

func hasNotes(file string, b *bench) error {
	ctx := context.Background()
	s, err := sqlite.Open(ctx, file)
	if err != nil {
		return err
	}
	defer s.Close()
	if _, err := carry.Check(ctx, s); err != nil {
		return err
	}
	lines, err := s.Lines(ctx, "heron", 0)
	if err != nil {
		return err
	}
	times := map[string]int{}
	for i, l := range lines {
		if l.Seq != i+1 {
			return fmt.Errorf("entry %d has the number %d", i+1, l.Seq)
		}
		times[l.ID]++
	}
	for n := range 5 {
		b.ack(fmt.Sprintf("0197a000-0000-7000-8000-00000000000%d", n))
	}
	for id := range b.said {
		if times[id] != 1 {
			return fmt.Errorf("entry %s was acknowledged and is there %d times", id, times[id])
		}
	}
	return nil
}

// taking: an archive is taken into an empty workshop, and then a note with a photo.
func taking(t *testing.T, old map[string][]byte) trial {
	folder := t.TempDir()
	for name, b := range old {
		check(t, os.WriteFile(filepath.Join(folder, name), b, 0o600))
	}
	data, zip := filepath.Join(folder, "bench.db"), filepath.Join(folder, "heron.zip")
	all, err := countIn(data)
	check(t, err)
	run(t, "export", "--all", zip, "--data", data)
	raw, err := os.ReadFile(zip)
	check(t, err)
	var photo bytes.Buffer
	check(t, png.Encode(&photo, image.NewGray(image.Rect(0, 0, 400, 300))))
	take := []string{"import", "@/heron.zip", "--data", "@/bench.db"}
	noting := []string{"note", "H", "with a photo", "--photo", "@/photo.png", "--data", "@/bench.db"}
	return trial{
		name: "take in an archive", files: map[string][]byte{"heron.zip": raw, "photo.png": photo.Bytes()},
		do: func(b *bench) {
			b.ran(take...)
			b.ran(noting...)
		},
		look: []string{"jobs", "--data", "@/bench.db"},
		holds: func(t *testing.T, folder string, b *bench) error {
			n, err := countIn(filepath.Join(folder, "bench.db"))
			taken, noted := b.said[strings.Join(take, " ")], b.said[strings.Join(noting, " ")]
			switch {
			case err != nil:
				return err
			case n.Entries != 0 && n.Entries != all.Entries && n.Entries != all.Entries+1,
				taken && n.Entries == 0, noted && (n.Entries != all.Entries+1 || n.Blobs <= all.Blobs):
				return fmt.Errorf("there are %v, of the archive %v; taken in: %v, a note after that: %v", n, all, taken, noted)
			}
			return nil
		},
	}
}

// upgrade: a data file of an older format is opened, and brought to today's.
func upgrade(t *testing.T, format int) trial {
	raw, err := os.ReadFile(fmt.Sprintf("internal/store/sqlite/testdata/format-%d.db", format))
	check(t, err)
	files := map[string][]byte{"bench.db": raw}
	sum := sumOfFiles(t, files, "bench.db")
	return trial{
		name: fmt.Sprint("upgrade from format ", format), files: files,
		do:   func(b *bench) { b.ran("jobs", "--data", "@/bench.db") },
		look: []string{"jobs", "--data", "@/bench.db"},
		holds: func(t *testing.T, folder string, b *bench) error {
			if err := is(folder, "bench.db", sum); err != nil {
				return err
			}
			return is(folder, fmt.Sprint("bench.db.format-", format), sum) // is there now, and whole
		},
	}
}

// opening: a copy that no program has opened yet, such as is kept at an upgrade, is
// opened for the first time.
func opening(t *testing.T, old map[string][]byte) trial {
	folder := t.TempDir()
	for name, b := range old {
		check(t, os.WriteFile(filepath.Join(folder, name), b, 0o600))
	}
	s, err := sqlite.Open(t.Context(), filepath.Join(folder, "bench.db"))
	check(t, err)
	check(t, errors.Join(s.Backup(t.Context(), filepath.Join(folder, "copy.db")), s.Close()))
	raw, err := os.ReadFile(filepath.Join(folder, "copy.db"))
	check(t, err)
	files := map[string][]byte{"bench.db": raw}
	was := sumOfFiles(t, files, "bench.db")
	return trial{
		name: "open a copy", files: files,
		do:    func(b *bench) { b.ran("jobs", "--data", "@/bench.db") },
		look:  []string{"jobs", "--data", "@/bench.db"},
		holds: func(t *testing.T, folder string, b *bench) error { return is(folder, "bench.db", was) },
	}
}

// restoring: a backup is put in the place of a workshop.
func restoring(t *testing.T, old, stick map[string][]byte) trial {
	was, is1 := sumOfFiles(t, old, "bench.db"), sumOfFiles(t, stick, "stick.db")
	do := []string{"restore", "@/stick.db", "--data", "@/bench.db"}
	return trial{
		name: "restore", files: with(old, stick),
		do:    func(b *bench) { b.ran(do...) },
		look:  []string{"jobs", "--data", "@/bench.db"},
		again: func(b *bench) { b.ran(do...) },
		holds: func(t *testing.T, folder string, b *bench) error {
			if err := is(folder, "stick.db", is1); err != nil {
				return err
			}
			if err := is(folder, "bench.db", was); err == nil && !b.said[strings.Join(do, " ")] {
				return nil
			}
			if err := is(folder, "bench.db", is1); err != nil {
				return err
			}
			kept, err := filepath.Glob(filepath.Join(folder, "bench.db.before-*"))
			for _, file := range kept {
				if is(folder, filepath.Base(file), was) == nil {
					return nil
				}
			}
			return errors.Join(err, fmt.Errorf("the workshop that was there before is not kept: %q", kept))
		},
	}
}

// restoringAnew: a backup is restored where there is no workshop, and if that is cut
// short, once more.
func restoringAnew(t *testing.T, stick map[string][]byte) trial {
	was := sumOfFiles(t, stick, "stick.db")
	do := []string{"restore", "@/stick.db", "--data", "@/bench.db"}
	return trial{
		name: "restore where there is none", files: stick,
		do:    func(b *bench) { b.ran(do...) },
		look:  do,
		holds: func(t *testing.T, folder string, b *bench) error { return is(folder, "bench.db", was) },
	}
}

// backing: a workshop is backed up.
func backing(t *testing.T, old map[string][]byte) trial {
	was := sumOfFiles(t, old, "bench.db")
	return trial{
		name: "backup", files: with(old, map[string][]byte{"stick/else.txt": []byte("else")}),
		do:    func(b *bench) { b.ran("backup", "@/stick/monday.db", "--data", "@/bench.db") },
		look:  []string{"jobs", "--data", "@/bench.db"},
		again: func(b *bench) { b.ran("backup", "@/stick/tuesday.db", "--data", "@/bench.db") },
		holds: func(t *testing.T, folder string, b *bench) error {
			for _, day := range []string{"monday", "tuesday"} {
				name := "stick/" + day + ".db"
				acked := b.said["backup @/"+name+" --data @/bench.db"]
				if err := is(folder, name, was); err != nil && (acked || !errors.Is(err, fs.ErrNotExist)) {
					return err
				}
			}
			return is(folder, "bench.db", was)
		},
	}
}

// copying: a served workshop makes the copy of the day, and thins the older ones.
func copying(t *testing.T, old, stick map[string][]byte) trial {
	files, was := with(old), sumOfFiles(t, old, "bench.db")
	older := sumOfFiles(t, stick, "stick.db")
	for day := 10; day < 20; day++ {
		files[fmt.Sprintf("copies/endfloat-202403%dT080000Z.db", day)] = stick["stick.db"]
	}
	files["copies/endfloat-20240320T080000Z.db.part"] = []byte("half a copy")
	return trial{
		name: "daily copies", files: files,
		do: func(b *bench) {
			heard, once := make(chan bool), sync.OnceFunc(func() {})
			once = sync.OnceFunc(func() { close(heard) })
			says := func(line string) {
				if strings.Contains(line, "copy of the workshop was made and read back") {
					b.ack("copy")
				}
				if strings.Contains(line, "copy of the workshop was made") {
					once()
				}
			}
			b.serve(says, func(string) {
				select {
				case <-heard:
				case <-b.disk.Dead():
				case <-time.After(15 * time.Second):
					b.left = append(b.left, "endfloat: nothing was said of the copy")
				}
			}, "--copies", "@/copies", "--data", "@/bench.db")
		},
		look: []string{"jobs", "--data", "@/bench.db"},
		holds: func(t *testing.T, folder string, b *bench) error {
			copies, err := filepath.Glob(filepath.Join(folder, "copies", "endfloat-*.db"))
			if err != nil || len(copies) == 0 {
				return fmt.Errorf("no copy is there: %v", err)
			}
			fresh := 0
			for _, file := range copies {
				name := filepath.Join("copies", filepath.Base(file))
				want := older
				if !strings.Contains(name, "-202403") {
					fresh++
					want = was
				}
				if err := is(folder, name, want); err != nil {
					return err
				}
			}
			if b.said["copy"] && fresh != 1 {
				return fmt.Errorf("a copy was said to be made, and %d are there", fresh)
			}
			return is(folder, "bench.db", was)
		},
	}
}

// moving: a workshop is carried from one file to another.
func moving(t *testing.T, old map[string][]byte) trial {
	was := sumOfFiles(t, old, "bench.db")
	do := []string{"move", "--from", "@/bench.db", "--to", "@/other.db"}
	return trial{
		name: "move", files: old,
		do:    func(b *bench) { b.ran(do...) },
		look:  []string{"jobs", "--data", "@/bench.db"},
		again: func(b *bench) { b.ran(do...) },
		holds: func(t *testing.T, folder string, b *bench) error {
			if b.said[strings.Join(do, " ")] {
				if err := is(folder, "other.db", was); err != nil {
					return err
				}
			}
			return is(folder, "bench.db", was)
		},
	}
}

// papers: files are written over older ones of the same names, and a key is made.
func papers(old map[string][]byte) trial {
	whole := map[string]func([]byte) bool{
		"heron.zip": verified, "one.proof": verified,
		"heron.svg": func(b []byte) bool {
			for d := xml.NewDecoder(bytes.NewReader(b)); ; {
				if _, err := d.Token(); err != nil {
					return err == io.EOF
				}
			}
		},
		"card.pdf": func(b []byte) bool {
			return bytes.HasPrefix(b, []byte("%PDF-")) && bytes.HasSuffix(b, []byte("%%EOF\n"))
		},
		"parts.csv": func(b []byte) bool { return bytes.Count(b, []byte("\n")) > 5 && bytes.HasSuffix(b, []byte("\n")) },
	}
	files, older := with(old), bytes.Repeat([]byte("an older file "), 1000)
	for name := range whole {
		files[name] = older
	}
	do := func(b *bench) {
		for name, args := range map[string][]string{
			"heron.zip": {"export", "H", "@/heron.zip"},
			"one.proof": {"prove", "H", "1", "@/one.proof"},
			"heron.svg": {"draw", "H", "arrangement", "--out", "@/heron.svg"},
			"card.pdf":  {"card", "H", "--out", "@/card.pdf"},
			"parts.csv": {"table", "H", "parts", "--out", "@/parts.csv"},
		} {
			if b.ran(append(args, "--data", "@/bench.db")...) {
				b.ack(name)
			}
		}
		if out, err := b.run("signing", "--data", "@/bench.db"); err == nil {
			b.ack("key " + strings.TrimSpace(out[:60]))
		}
	}
	return trial{
		name: "write papers", files: files, do: do,
		look: []string{"signing", "--data", "@/bench.db"},
		holds: func(t *testing.T, folder string, b *bench) error {
			for name, good := range whole {
				raw, err := os.ReadFile(filepath.Join(folder, name))
				if err != nil {
					return err
				}
				if !good(raw) && (b.said[name] || !bytes.Equal(raw, older)) {
					return fmt.Errorf("%s has %d bytes, and is neither the older one nor whole; acknowledged: %v", name, len(raw), b.said[name])
				}
			}
			return sameKey(folder, b)
		},
	}
}

func verified(b []byte) bool {
	_, err := shop.Verify(b, cli.Version)
	return err == nil
}

// sameKey fails if the workshop has another key than the one it has shown.
func sameKey(folder string, b *bench) error {
	var out, words bytes.Buffer
	args := []string{"signing", "--data", filepath.Join(folder, "bench.db")}
	if code := cli.Run(context.Background(), args, nil, &out, &words); code != 0 {
		return errors.New(words.String())
	}
	for what := range b.said {
		if key, ok := strings.CutPrefix(what, "key "); ok && !strings.HasPrefix(out.String(), key) {
			return fmt.Errorf("the key shown was %s, and is %s", key, out.String())
		}
	}
	return nil
}

// trusted: a workshop is served with a certificate of its own, made on first use.
func trusted(old map[string][]byte) trial {
	do := func(b *bench) {
		for range 3 {
			before := len(b.left)
			b.serve(func(line string) {
				if _, print, ok := strings.Cut(line, "its print is "); ok {
					b.ack("print " + print)
				}
			}, func(string) {}, "--lan", "--https", "--addr", "127.0.0.1:0", "--name", "bench.local", "--copies", "none", "--data", "@/bench.db")
			if len(b.left) == before || !strings.Contains(b.left[before], "cannot listen") {
				return
			}
			b.left = b.left[:before] // another program has the port beside the one that was free
		}
	}
	return trial{
		name: "certificate", files: old, do: do, again: do,
		look: []string{"jobs", "--data", "@/bench.db"},
		holds: func(t *testing.T, folder string, b *bench) error {
			file := filepath.Join(folder, "bench-certificate.pem")
			_, missing := os.Stat(file)
			for what := range b.said {
				print, ok := strings.CutPrefix(what, "print ")
				if !ok {
					continue
				}
				if missing != nil {
					return missing
				}
				if a, err := cert.Open(file, time.Now); err != nil || a.Print() != print {
					return fmt.Errorf("another certificate is there than %s: %v", print, err)
				}
			}
			return nil
		},
	}
}
