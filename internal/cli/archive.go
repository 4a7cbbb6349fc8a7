package cli

import (
	"bytes"
	"crypto/ed25519"
	"crypto/rand"
	"crypto/x509"
	"encoding/base64"
	"encoding/pem"
	"errors"
	"fmt"
	"os"
	"strconv"
	"strings"

	"endfloat/internal/archive"
	"endfloat/internal/file"
	"endfloat/internal/shop"

	"github.com/spf13/cobra"
)

// maxArchive is the largest file that is read: all of it is held in memory.
const maxArchive = 2 << 30

func (a *app) export() *cobra.Command {
	var all bool
	cmd := &cobra.Command{
		Use: "export JOB FILE", Short: "Write a job, or with --all the whole workshop, as an archive", Args: takes(1, 2),
		Long: "Write a job, or with --all the whole workshop, as an archive: entries, gearbox files, photos, names and checksums.\n\n" +
			"It is a zip that any program opens; docs/archive.md describes it.",
		Example: "  endfloat export L linnet.zip\n  endfloat export --all workshop.zip",
		RunE: run(func(args []string) error {
			if all == (len(args) == 2) {
				return errors.New("say which job and which file: endfloat export JOB FILE, or endfloat export --all FILE")
			}
			return a.open(func(sh *shop.Shop) error {
				book, to := "", args[len(args)-1]
				var err error
				if !all {
					if book, err = a.bookOf(sh, args[0]); err != nil {
						return err
					}
				}
				key, err := a.key()
				if err != nil {
					return err
				}
				p, err := sh.Pack(a.ctx, book, true, key)
				if err != nil {
					return err
				}
				var out bytes.Buffer
				if err := p.Write(&out); err != nil {
					return err
				}
				if err := file.Write(to, out.Bytes(), 0o600); err != nil {
					return fmt.Errorf("the archive could not be written (%w)", err)
				}
				fmt.Fprintf(a.out, "written: %s, %d kB\n%s", to, (out.Len()+999)/1000, headsOf(p))
				return nil
			})
		}),
	}
	cmd.Flags().BoolVar(&all, "all", false, "the whole workshop")
	return cmd
}

func headsOf(p *archive.Archive) string {
	var s strings.Builder
	for _, b := range p.Books {
		l := strings.Split(b.Head, "\n")
		fmt.Fprintf(&s, "%s: head %s %s\n", b.Name, l[1], l[2])
	}
	return s.String()
}

func (a *app) importCmd() *cobra.Command {
	return &cobra.Command{
		Use: "import FILE", Short: "Take in an archive that export wrote, or nothing of it", Args: takes(1, 1),
		Example: "  endfloat import linnet.zip",
		RunE: run(func(args []string) error {
			raw, err := readArchive(args[0])
			if err != nil {
				return err
			}
			return a.open(func(sh *shop.Shop) error {
				n, err := sh.Import(a.ctx, a.who(), raw)
				if err != nil {
					return err
				}
				fmt.Fprintf(a.out, "taken in: %d books with %d entries, %d files that they cite; %d entries were here already\n", n.Books, n.Entries, n.Blobs, n.Held)
				return nil
			})
		}),
	}
}

func (a *app) table() *cobra.Command {
	var out string
	cmd := &cobra.Command{
		Use: "table JOB readings|parts", Short: "Write the readings or the parts of a job as a table (CSV)", Args: takes(2, 2),
		Long: "Write the readings or the parts of a job as a table (CSV, RFC 4180) that a spreadsheet opens.\n\n" +
			"Numbers are in SI; beside each reading stands the text as it was typed.",
		Example: "  endfloat table L readings\n  endfloat table L parts --out linnet-parts.csv",
		RunE: run(func(args []string) error {
			of, ok := map[string]func(*shop.Desk) ([]byte, error){"readings": (*shop.Desk).ReadingsCSV, "parts": (*shop.Desk).PartsCSV}[args[1]]
			if !ok {
				return fmt.Errorf("there is no table %q; there are readings and parts", args[1])
			}
			return a.onJob(args[0], func(_ *shop.Shop, d *shop.Desk) error {
				b, err := of(d)
				if err != nil {
					return err
				}
				if out == "" {
					out = d.Book + "-" + args[1] + ".csv"
				}
				if err := file.Write(out, b, 0o644); err != nil {
					return fmt.Errorf("the table could not be written (%w)", err)
				}
				fmt.Fprintf(a.out, "written: %s, %d lines\n", out, bytes.Count(b, []byte("\n"))-1)
				return nil
			})
		}),
	}
	cmd.Flags().StringVar(&out, "out", "", "`FILE` to write; else the book's name with -readings.csv or -parts.csv, here")
	return cmd
}

func readArchive(file string) ([]byte, error) {
	st, err := os.Stat(file)
	if err != nil {
		return nil, fmt.Errorf("the file cannot be read (%w)", err)
	}
	if st.Size() > maxArchive {
		return nil, fmt.Errorf("%s has %d MB; the most that is read is %d MB: export job by job", file, st.Size()>>20, maxArchive>>20)
	}
	return os.ReadFile(file)
}

func (a *app) prove() *cobra.Command {
	return &cobra.Command{
		Use: "prove JOB ENTRY FILE", Short: "Write a file that proves one entry to somebody who has the book on paper", Args: takes(3, 3),
		Long: "Write a file that proves one entry to somebody who has the book on paper.\n\n" +
			"ENTRY is its number in the book. docs/prove.py checks the file with nothing but Python.",
		Example: "  endfloat prove L 118 entry-118.proof",
		RunE: run(func(args []string) error {
			seq, err := strconv.Atoi(args[1])
			if err != nil {
				return fmt.Errorf("%q is no number of an entry", args[1])
			}
			return a.open(func(sh *shop.Shop) error {
				book, err := a.bookOf(sh, args[0])
				if err != nil {
					return err
				}
				key, err := a.key()
				if err != nil {
					return err
				}
				b, err := sh.Prove(a.ctx, book, seq, key)
				if err != nil {
					return err
				}
				if err := file.Write(args[2], b, 0o644); err != nil {
					return fmt.Errorf("the proof could not be written (%w)", err)
				}
				fmt.Fprintf(a.out, "written: %s, %d bytes\n", args[2], len(b))
				return nil
			})
		}),
	}
}

func (a *app) verify() *cobra.Command {
	var public string
	cmd := &cobra.Command{
		Use: "verify FILE", Short: "Say whether a book, an archive or a proof is whole", Args: takes(1, 1),
		Long: "Say whether a book (PDF), an archive or a proof is whole and agrees with the head that it carries.\n\n" +
			"A book is checked by the data attached to it: its printed head is compared, and its pages are made again from them.",
		Example: "  endfloat verify linnet.pdf\n  endfloat verify linnet.zip --signed 'MCow…'",
		RunE: run(func(args []string) error {
			raw, err := readArchive(args[0])
			if err != nil {
				return err
			}
			v, err := shop.Verify(raw, Version)
			if err != nil {
				return err
			}
			for _, s := range v.Says {
				fmt.Fprintln(a.out, s)
			}
			if public == "" {
				return nil
			}
			pub, err := publicKey(public)
			if err != nil {
				return err
			}
			for _, h := range v.Heads {
				if name, _, _ := strings.Cut(h, "\n"); !archive.Signed(h, pub) {
					return fmt.Errorf("%s carries no good signature of this key", name)
				}
			}
			fmt.Fprintln(a.out, "signed by this key")
			return nil
		}),
	}
	cmd.Flags().StringVar(&public, "signed", "", "`KEY`, public, that must have signed it")
	return cmd
}

// keyFile lies beside the data file; who has it signs for the workshop.
func (a *app) keyFile() (string, error) {
	path, _, err := a.dataFile()
	return path + ".key", err
}

// key is the workshop's own key, nil where it has none.
func (a *app) key() (ed25519.PrivateKey, error) {
	file, err := a.keyFile()
	if err != nil {
		return nil, err
	}
	raw, err := os.ReadFile(file)
	if errors.Is(err, os.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("the workshop's key cannot be read (%w)", err)
	}
	if p, _ := pem.Decode(raw); p != nil {
		k, err := x509.ParsePKCS8PrivateKey(p.Bytes)
		if key, ok := k.(ed25519.PrivateKey); ok && err == nil {
			return key, nil
		}
	}
	return nil, fmt.Errorf("%s holds no Ed25519 key (PKCS 8, PEM)", file)
}

func (a *app) signing() *cobra.Command {
	return &cobra.Command{
		Use: "signing", Short: "Show the workshop's public key; the first time it is made", Args: takes(0, 0),
		Long: "Show the workshop's public key; the first time a key is made, beside the data file.\n\n" +
			"From then on books, archives and proofs are signed with it (Ed25519). Keep the key file to yourself, and a copy of it safe.",
		Example: "  endfloat signing",
		RunE: run(func([]string) error {
			key, err := a.key()
			if err != nil {
				return err
			}
			if key == nil {
				if key, err = a.makeKey(); err != nil {
					return err
				}
			}
			der, err := x509.MarshalPKIXPublicKey(key.Public())
			if err != nil {
				return err
			}
			fmt.Fprintln(a.out, base64.StdEncoding.EncodeToString(der))
			return nil
		}),
	}
}

func (a *app) makeKey() (ed25519.PrivateKey, error) {
	name, err := a.keyFile()
	if err != nil {
		return nil, err
	}
	_, key, err := ed25519.GenerateKey(rand.Reader)
	if err != nil {
		return nil, err
	}
	der, err := x509.MarshalPKCS8PrivateKey(key)
	if err != nil {
		return nil, err
	}
	raw := pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: der})
	if err := file.New(name, raw, 0o600); err != nil {
		return nil, fmt.Errorf("the key could not be kept (%w)", err)
	}
	fmt.Fprintf(a.err, "a key was made: %s\n", name)
	return key, nil
}

// publicKey reads a public key as signing shows it.
func publicKey(text string) (ed25519.PublicKey, error) {
	der, err := base64.StdEncoding.DecodeString(strings.TrimSpace(text))
	if err == nil {
		k, err := x509.ParsePKIXPublicKey(der)
		if pub, ok := k.(ed25519.PublicKey); ok && err == nil {
			return pub, nil
		}
	}
	return nil, fmt.Errorf("%.20q is no public key as endfloat signing shows it", text)
}
