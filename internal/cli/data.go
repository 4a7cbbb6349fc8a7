package cli

import (
	"context"
	"fmt"
	"os"
	"strings"

	"endfloat/internal/shop"
	"endfloat/internal/store/postgres"
	"endfloat/internal/store/sqlite"
)

// database is the address of the PostgreSQL database to use, or "" for a data
// file. A data file named on the command line goes before the environment.
func (a *app) database() string {
	if a.db == "" && a.data == "" {
		return os.Getenv("ENDFLOAT_DB")
	}
	return a.db
}

// kept is a store that can be read out whole and remembers how it was looked after.
type kept interface {
	shop.Whole
	shop.Cared
}

// store opens the workshop that the options name.
func (a *app) store() (kept, error) {
	if a.db != "" && a.data != "" {
		return nil, fmt.Errorf("--db and --data were both given; a workshop is in one of them")
	}
	if url := a.database(); url != "" {
		return storeAt(a.ctx, url)
	}
	path, made, err := a.dataFile()
	if err != nil {
		return nil, err
	}
	s, err := sqlite.Open(a.ctx, path)
	if err != nil {
		return nil, err
	}
	if made {
		fmt.Fprintf(a.err, "a new data file was begun: %s\n", path)
	}
	return s, nil
}

// storeAt opens a data file, or a database by its address.
func storeAt(ctx context.Context, at string) (kept, error) {
	if strings.HasPrefix(at, "postgres://") || strings.HasPrefix(at, "postgresql://") {
		return postgres.Open(ctx, at)
	}
	if strings.Contains(at, "://") {
		return nil, fmt.Errorf("%q is no database this program knows; write postgres://NAME@HOST/DATABASE, or the name of a file", at)
	}
	return sqlite.Open(ctx, at)
}
