package archive

import (
	"bytes"
	"compress/gzip"
	"crypto/ed25519"
	"crypto/sha256"
	"encoding/base64"
	"encoding/binary"
	"fmt"
	"io"
	"strings"

	"endfloat/internal/job"

	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"
)

// A checkpoint is three lines: the origin, the number of entries and the head of
// their tree. Signed, it is a note. Sources: C2SP tlog-checkpoint, signed-note
// and tlog-proof; RFC 6962, 2.1; RFC 8032 for Ed25519.

// Origin is what a book is called in its checkpoints.
func Origin(book string) string { return "endfloat/" + book }

// Checkpoint is that of a book, without a signature.
func Checkpoint(book string, lines [][]byte) (string, error) {
	t, err := treeOf(lines)
	if err != nil {
		return "", err
	}
	return OfPin(book, t)
}

// OfPin is the checkpoint of a book from its tree.
func OfPin(book string, t *job.Tree) (string, error) {
	pin, err := t.Pin()
	if err != nil {
		return "", err
	}
	return FromPin(book, pin), nil
}

// FromPin is the checkpoint of a book from its pin, "size hash".
func FromPin(book, pin string) string {
	return Origin(book) + "\n" + strings.Replace(pin, " ", "\n", 1) + "\n"
}

func treeOf(lines [][]byte) (*job.Tree, error) {
	t := &job.Tree{}
	for _, l := range lines {
		if err := t.Add(l); err != nil {
			return nil, err
		}
	}
	return t, nil
}

// Fits reports whether the head of a book is that of its entries.
func Fits(b Book) error {
	want, err := Checkpoint(b.Name, b.Lines)
	if err != nil {
		return err
	}
	rest, ok := strings.CutPrefix(b.Head, want)
	if !ok {
		return refuse("head/%s is not that of book/%s.jsonl: its %d entries give %s", b.Name, b.Name, len(b.Lines), strings.ReplaceAll(strings.TrimSpace(want), "\n", " "))
	}
	if rest != "" && !strings.HasPrefix(rest, "\n— ") {
		return refuse("head/%s: what follows the checkpoint is no signature", b.Name)
	}
	return nil
}

const ed25519Note = 1 // the kind of key, in a signed note

// keyHash tells keys of one name apart, as signed-note has it.
func keyHash(name string, pub ed25519.PublicKey) uint32 {
	h := sha256.Sum256(append([]byte(name+"\n\x01"), pub...))
	return binary.BigEndian.Uint32(h[:])
}

// Sign signs a checkpoint with the workshop's key, under the name of its origin.
func Sign(checkpoint string, key ed25519.PrivateKey) (string, error) {
	name, _, _ := strings.Cut(checkpoint, "\n")
	pub := key.Public().(ed25519.PublicKey)
	s, err := note.NewSigner(fmt.Sprintf("PRIVATE+KEY+%s+%08x+%s", name, keyHash(name, pub),
		base64.StdEncoding.EncodeToString(append([]byte{ed25519Note}, key.Seed()...))))
	if err != nil {
		return "", fmt.Errorf("signing %s: %w", name, err)
	}
	b, err := note.Sign(&note.Note{Text: checkpoint}, s)
	if err != nil {
		return "", fmt.Errorf("signing %s: %w", name, err)
	}
	return string(b), nil
}

// Signed reports whether a head carries a good signature of a key.
func Signed(head string, pub ed25519.PublicKey) bool {
	name, _, _ := strings.Cut(head, "\n")
	v, err := note.NewVerifier(fmt.Sprintf("%s+%08x+%s", name, keyHash(name, pub),
		base64.StdEncoding.EncodeToString(append([]byte{ed25519Note}, pub...))))
	if err != nil {
		return false
	}
	_, err = note.Open([]byte(head), note.VerifierList(v))
	return err == nil
}

// proofLine begins a proof as tlog-proof has it.
const proofLine = "c2sp.org/tlog-proof@v1"

// small is how long a proof may be and still be written as plain text, bytes. A
// longer one is put through gzip (RFC 1952), so that that of a reading stays
// below 1 kB: small enough for a text message or a code of its own.
const small = 1000

// Prove makes a file that proves one entry of a book, seq from 1: the entry's
// own bytes on the first line and after it a proof in the form of tlog-proof.
func Prove(b Book, seq int) ([]byte, error) {
	if seq < 1 || seq > len(b.Lines) {
		return nil, refuse("%s has no entry %d; it has %d", b.Name, seq, len(b.Lines))
	}
	t, err := treeOf(b.Lines)
	if err != nil {
		return nil, err
	}
	p, err := t.Prove(seq)
	if err != nil {
		return nil, fmt.Errorf("proof of entry %d: %w", seq, err)
	}
	head := b.Head
	if head == "" {
		if head, err = OfPin(b.Name, t); err != nil {
			return nil, err
		}
	}
	var out bytes.Buffer
	fmt.Fprintf(&out, "%s\n%s\nindex %d\n", b.Lines[seq-1], proofLine, seq-1)
	for _, h := range p {
		fmt.Fprintln(&out, base64.StdEncoding.EncodeToString(h[:]))
	}
	out.WriteString("\n" + head)
	if out.Len() <= small {
		return out.Bytes(), nil
	}
	return squeezed(out.Bytes())
}

func squeezed(text []byte) ([]byte, error) {
	var b bytes.Buffer
	z, err := gzip.NewWriterLevel(&b, gzip.BestCompression)
	if err == nil {
		_, err = z.Write(text)
	}
	if err == nil {
		err = z.Close()
	}
	if err != nil {
		return nil, fmt.Errorf("proof: %w", err)
	}
	return b.Bytes(), nil
}

// plain is the text of a proof, squeezed or not.
func plain(b []byte) ([]byte, error) {
	if !bytes.HasPrefix(b, []byte{0x1f, 0x8b}) {
		return b, nil
	}
	z, err := gzip.NewReader(bytes.NewReader(b))
	if err != nil {
		return nil, refuse("the proof breaks off or is broken")
	}
	text, err := io.ReadAll(io.LimitReader(z, MaxLine+MaxName))
	if err != nil {
		return nil, refuse("the proof breaks off or is broken")
	}
	return text, nil
}

// Proven is what a proof proves.
type Proven struct {
	Entry job.Entry
	Head  string // of the book, with its signatures
}

// CheckProof reads a proof and checks it against the head that it carries.
// Whether that is the head of the book in hand is for the reader to compare.
func CheckProof(b []byte) (Proven, error) {
	b, err := plain(b)
	if err != nil {
		return Proven{}, err
	}
	top, head, ok := strings.Cut(string(b), "\n\n")
	ls := strings.Split(top, "\n")
	if !ok || len(ls) < 3 || ls[1] != proofLine {
		return Proven{}, refuse("this is no proof of an entry")
	}
	var index, size int64
	var origin string
	var root tlog.Hash
	if n, err := fmt.Sscanf(ls[2], "index %d", &index); n != 1 || err != nil {
		return Proven{}, refuse("line 3 does not say which entry it is: %.40q", ls[2])
	}
	hl := strings.Split(head, "\n")
	if len(hl) < 3 {
		return Proven{}, refuse("the proof carries no checkpoint")
	}
	origin = hl[0]
	if n, err := fmt.Sscanf(hl[1], "%d", &size); n != 1 || err != nil {
		return Proven{}, refuse("the checkpoint of %s has no size", origin)
	}
	if root, err = tlog.ParseHash(hl[2]); err != nil {
		return Proven{}, refuse("the checkpoint of %s has no head", origin)
	}
	var p tlog.RecordProof
	for _, l := range ls[3:] {
		h, err := tlog.ParseHash(l)
		if err != nil {
			return Proven{}, refuse("%.50q is no hash", l)
		}
		p = append(p, h)
	}
	again := fmt.Sprintf("%s\n%s\nindex %d", ls[0], proofLine, index)
	for _, h := range p {
		again += "\n" + base64.StdEncoding.EncodeToString(h[:])
	}
	if again != top {
		return Proven{}, refuse("the proof is not in its own form")
	}
	if err := tlog.CheckRecord(p, size, root, index, tlog.RecordHash([]byte(ls[0]))); err != nil {
		return Proven{}, refuse("entry %d does not stand in the book with this head as it is written here", index+1)
	}
	e := job.Decode(job.Line{Seq: int(index + 1), Bytes: []byte(ls[0])})
	return Proven{e, head}, nil
}
