package cli

import (
	"errors"
	"fmt"
	"os"
	"time"

	"endfloat/internal/demo"
	"endfloat/internal/shop"
	"endfloat/internal/store/sqlite"
)

// demoInto writes the demonstration to a data file that is not there yet.
func (a *app) demoInto(file string, finished bool) error {
	if _, err := os.Stat(file); !errors.Is(err, os.ErrNotExist) {
		return fmt.Errorf("%s is there already; name a new file for the demonstration", file)
	}
	store, err := sqlite.Open(a.ctx, file)
	if err != nil {
		return err
	}
	if err := errors.Join(demo.Load(a.ctx, shop.New(store, time.Now), finished), store.Close()); err != nil {
		return err
	}
	fmt.Fprintf(a.out, "written: %s; look at it with endfloat jobs --data %s\n", file, quoted(file))
	return nil
}
