package cli

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"endfloat/internal/file"
	"endfloat/internal/shop"
	"endfloat/internal/store/carry"
	"endfloat/internal/store/sqlite"

	"github.com/spf13/cobra"
)

func (a *app) backup() *cobra.Command {
	return &cobra.Command{
		Use: "backup FILE", Short: "Copy the whole workshop to one file, also while it is in use", Args: takes(1, 1),
		Example: "  endfloat backup /media/stick/bench-monday.db",
		RunE: run(func(args []string) error {
			if _, err := os.Lstat(args[0]); !errors.Is(err, fs.ErrNotExist) {
				return fmt.Errorf("%s is there already; name another file", args[0])
			}
			s, err := a.store()
			if err != nil {
				return err
			}
			n, err := backUp(a.ctx, s, args[0], carry.Check)
			if err = errors.Join(err, s.Close()); err != nil {
				return err
			}
			fmt.Fprintf(a.out, "backed up to %s and read back whole: %s\n", args[0], n)
			return nil
		}),
	}
}

// backUp copies a store to a file and proves the copy before it has its name: opened
// afresh, all in it is as it was written.
func backUp(ctx context.Context, s kept, name string, read reader) (n carry.Count, err error) {
	part := name + ".part" + stamp()
	defer func() { err = errors.Join(err, discard(part)) }()
	if lite, ok := s.(*sqlite.Store); ok {
		if err := lite.Backup(ctx, part); err != nil {
			return n, err
		}
	} else if err := copyTo(ctx, s, part); err != nil {
		return n, err
	}
	if n, err = prove(ctx, part, read); err != nil {
		return n, fmt.Errorf("the backup was made and is not good: %w", err)
	}
	if err := file.PlaceNew(part, name); err != nil {
		return n, err
	}
	return n, s.Care(ctx, shop.Care{What: "backup", At: time.Now(), Note: name})
}

// discard removes a data file that nobody needs, and what it may have beside it.
func discard(name string) error {
	return errors.Join(file.Remove(name), file.Remove(name+"-wal"), file.Remove(name+"-shm"))
}

// stamp ends a name that none cut short may have left.
func stamp() string { return time.Now().UTC().Format("20060102T150405.000") }

// copyTo fills a new data file from a database.
func copyTo(ctx context.Context, s shop.Whole, file string) error {
	to, err := sqlite.Open(ctx, file)
	if err != nil {
		return err
	}
	_, err = carry.Copy(ctx, s, to)
	return errors.Join(err, to.CloseAlone())
}

// reader reads all of a store: carry.Check, or beside other work carry.CheckSlowly.
type reader func(context.Context, shop.Whole) (carry.Count, error)

// prove opens a data file and reads all of it.
func prove(ctx context.Context, file string, read reader) (carry.Count, error) {
	s, err := sqlite.Open(ctx, file)
	if err != nil {
		return carry.Count{}, err
	}
	n, err := read(ctx, s)
	return n, errors.Join(err, s.CloseAlone())
}

func (a *app) restore() *cobra.Command {
	return &cobra.Command{
		Use: "restore FILE", Short: "Put a backup in the place of the data file; what was there is kept", Args: takes(1, 1),
		Example: "  endfloat restore /media/stick/bench-monday.db",
		RunE: run(func(args []string) error {
			if a.database() != "" {
				return fmt.Errorf("a database is filled with: endfloat move --from %s --to ADDRESS", args[0])
			}
			path, missing, err := a.dataFile()
			if err != nil {
				return err
			}
			n, aside, err := restore(a.ctx, args[0], path, missing)
			if err != nil {
				return err
			}
			fmt.Fprintf(a.out, "restored to %s: %s\n", path, n)
			if aside != "" {
				fmt.Fprintf(a.out, "what was there before is kept as %s\n", aside)
			}
			return nil
		}),
	}
}

// restore proves a copy of the backup beside the place it is to have, and only
// then puts the old file aside and the copy there.
func restore(ctx context.Context, from, path string, missing bool) (n carry.Count, aside string, err error) {
	if _, err := os.Stat(from); err != nil {
		return n, "", fmt.Errorf("the backup cannot be found (%w)", err)
	}
	at := stamp()
	fresh := path + ".restored-" + at
	defer func() { discard(fresh) }() // once in its place it is gone from here
	if err := sqlite.CopyFile(ctx, from, fresh); err != nil {
		return n, "", err
	}
	if n, err = prove(ctx, fresh, carry.Check); err != nil {
		return n, "", fmt.Errorf("%s is not good and nothing was changed: %w", from, err)
	}
	s, err := sqlite.Open(ctx, fresh)
	if err != nil {
		return n, "", err
	}
	err = s.Care(ctx, shop.Care{What: "restore", At: time.Now(), Note: filepath.Base(from)})
	if err = errors.Join(err, s.CloseAlone()); err != nil {
		return n, "", err
	}
	aside = path + ".before-" + at
	if err := sqlite.Replace(ctx, path, aside, fresh); err != nil {
		return n, "", err
	}
	if missing { // but its log may have been there
		aside += "-wal"
		if _, err := os.Stat(aside); err != nil {
			aside = ""
		}
	}
	return n, aside, nil
}

func (a *app) move() *cobra.Command {
	var from, to string
	cmd := &cobra.Command{
		Use: "move", Short: "Carry a workshop from a data file to a database, or back", Args: takes(0, 0),
		Example: "  endfloat move --from bench.db --to postgres://bench@db.local/endfloat",
		RunE: run(func([]string) error {
			if from == "" || to == "" {
				return fmt.Errorf("say where from and where to: endfloat move --from bench.db --to postgres://NAME@HOST/DATABASE")
			}
			src, err := storeAt(a.ctx, from)
			if err != nil {
				return err
			}
			defer src.Close()
			dst, err := storeAt(a.ctx, to)
			if err != nil {
				return err
			}
			n, err := carry.Copy(a.ctx, src, dst)
			if err = errors.Join(err, dst.Close()); err != nil {
				return err
			}
			fmt.Fprintf(a.out, "carried over and compared byte for byte: %s\n", n)
			return nil
		}),
	}
	cmd.Flags().StringVar(&from, "from", "", "data file, or postgres:// `ADDRESS`, to read")
	cmd.Flags().StringVar(&to, "to", "", "data file, or postgres:// `ADDRESS`, to fill; empty, or the beginning of the same")
	return cmd
}
