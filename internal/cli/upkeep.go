package cli

import (
	"fmt"
	"io"
	"log/slog"
	"path/filepath"
	"strings"

	"endfloat/internal/web"

	"github.com/spf13/pflag"
)

// upkeep is what a served workshop does besides answering.
type upkeep struct {
	copies  string // folder, "none", or "" for the usual one
	metrics bool
	log     string // "", "text" or "json"
}

func (u *upkeep) flags(f *pflag.FlagSet) {
	f.StringVar(&u.copies, "copies", "", "`FOLDER` for a proven copy each day, thinned as they age; \"none\" for none; else beside the data file")
	f.BoolVar(&u.metrics, "metrics", false, "figures of this program at /metrics, for Prometheus")
	f.StringVar(&u.log, "log", "", "log every request, as \"text\" or \"json\"; what was typed is never logged")
}

// options are what the pages are told; the log goes to w.
func (u *upkeep) options(w io.Writer) (web.Options, error) {
	o := web.Options{Metrics: u.metrics}
	switch u.log {
	case "":
		return o, nil
	case "text":
		o.Log = slog.New(slog.NewTextHandler(w, nil))
	case "json":
		o.Log = slog.New(slog.NewJSONHandler(w, nil))
	default:
		return o, fmt.Errorf("--log %q: write text or json", u.log)
	}
	slog.SetDefault(o.Log)
	return o, nil
}

// copiesDir is the folder of the copies, "" where none are made: a database is
// backed up by its own means, unless a folder is named.
func (a *app) copiesDir(asked string) string {
	switch {
	case asked == "none":
		return ""
	case asked != "":
		return asked
	case a.database() != "":
		return ""
	}
	path, _, err := a.dataFile()
	if err != nil {
		return ""
	}
	return strings.TrimSuffix(path, filepath.Ext(path)) + "-copies"
}
