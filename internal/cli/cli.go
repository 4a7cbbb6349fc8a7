// Package cli is the command line: a thin layer of words over the shop. It reads
// what a person typed, hands it to the shop and prints what came of it. It is
// the only place that picks a store. One file holds one group of commands.
package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/user"
	"path/filepath"
	"regexp"
	"strings"
	"time"

	"endfloat/internal/file"
	"endfloat/internal/shop"

	"github.com/spf13/cobra"
)

// Version is what "endfloat version" prints; a release build sets it.
var Version = "development"

// app is one run of the program: the world it was given and the options that
// every command knows.
type app struct {
	ctx      context.Context
	in       io.Reader
	out, err io.Writer
	data, db string
	by       string
	json     bool
}

// Run does what args say and returns the exit code: 0 done, 1 refused or
// failed, 2 typed wrongly. Errors are one sentence on stderr.
func Run(ctx context.Context, args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	a := &app{ctx: ctx, in: stdin, out: stdout, err: stderr}
	root := a.root()
	root.SetArgs(signed(args))
	root.SetIn(stdin)
	root.SetOut(stdout)
	root.SetErr(stderr)
	err := root.ExecuteContext(ctx)
	if err == nil {
		return 0
	}
	fmt.Fprintln(stderr, "endfloat: "+err.Error())
	if u := (usageError{}); errors.As(err, &u) {
		fmt.Fprintf(stderr, "see %s --help\n", u.path)
		return 2
	}
	return 1
}

var negative = regexp.MustCompile(`^-[0-9.,]`)

// signed lets a person type a value below zero: "-0.02 mm" begins like an
// option, "−0.02 mm" does not and reads the same.
func signed(args []string) []string {
	out := make([]string, len(args))
	for i, s := range args {
		if negative.MatchString(s) {
			s = "−" + s[1:]
		}
		out[i] = s
	}
	return out
}

// usageError is a command typed wrongly.
type usageError struct{ path, says string }

func (u usageError) Error() string { return u.says }

func usage(cmd *cobra.Command, format string, args ...any) error {
	return usageError{cmd.CommandPath(), fmt.Sprintf(format, args...)}
}

// takes checks how many words follow the command; most < 0 means any number.
func takes(least, most int) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if n := len(args); n < least || most >= 0 && n > most {
			want := strings.TrimPrefix(cmd.UseLine(), cmd.CommandPath()+" ")
			if least == 0 && most == 0 {
				want = "nothing"
			}
			return usage(cmd, "%s is followed by %s; %d %s given", cmd.CommandPath(), want, n, were(n))
		}
		return nil
	}
}

func were(n int) string {
	if n == 1 {
		return "word was"
	}
	return "words were"
}

// group runs when a command that only gathers others is called: by itself it
// explains, with an unknown word it says which were meant.
func group(cmd *cobra.Command, args []string) error {
	if len(args) == 0 {
		return cmd.Help()
	}
	says := fmt.Sprintf("there is no command %q under %s", args[0], cmd.CommandPath())
	cmd.SuggestionsMinimumDistance = max(1, len(args[0])/2)
	if near := cmd.SuggestionsFor(args[0]); len(near) > 0 {
		says += "; did you mean " + strings.Join(near, " or ") + "?"
	}
	return usage(cmd, "%s", says)
}

const helpText = `{{with or .Long .Short}}{{.}}

{{end}}{{if .HasAvailableSubCommands}}{{$all := .Commands}}{{range .Groups}}{{$g := .}}{{.Title}}
{{range $all}}{{if and (eq .GroupID $g.ID) .IsAvailableCommand}}  {{rpad .Name .NamePadding}} {{.Short}}
{{end}}{{end}}
{{else}}Commands of {{.CommandPath}}
{{range $all}}{{if .IsAvailableCommand}}  {{rpad .Name .NamePadding}} {{.Short}}
{{end}}{{end}}
{{end}}{{else}}Write
  {{.UseLine}}

{{end}}{{if .HasExample}}For example
{{.Example}}
{{end}}{{if .HasAvailableLocalFlags}}
Options
{{.LocalFlags.FlagUsages}}{{end}}{{if .HasAvailableInheritedFlags}}
Options of every command
{{.InheritedFlags.FlagUsages}}{{end}}`

// Commands are listed in the order of the work, not of the alphabet.
func init() { cobra.EnableCommandSorting = false }

func (a *app) root() *cobra.Command {
	root := &cobra.Command{
		Use:   "endfloat",
		Short: "Keeps the book of a gearbox rebuild and does its sums.",
		Long: "endfloat keeps the book of a gearbox rebuild and does its sums.\n\n" +
			"JOB is the letter on a unit's tags, its name, or the name of its book.\n" +
			"POSITION is an id of its gearbox file, such as P08. Values carry their units: '18.87 mm'.",
		Example:       "  endfloat demo\n  endfloat calc lever want='130 lbf·ft' arm='34 in'",
		Args:          cobra.ArbitraryArgs,
		RunE:          group,
		SilenceErrors: true,
		SilenceUsage:  true,

		CompletionOptions: cobra.CompletionOptions{DisableDefaultCmd: true},
	}
	root.SetHelpTemplate(helpText)
	root.SetFlagErrorFunc(func(cmd *cobra.Command, err error) error { return usage(cmd, "%v", err) })
	f := root.PersistentFlags()
	f.StringVar(&a.data, "data", "", "data `FILE`; else $ENDFLOAT_DATA, else one in your own folder")
	f.StringVar(&a.db, "db", "", "`ADDRESS` of a PostgreSQL database instead, postgres://NAME@HOST/DATABASE; else $ENDFLOAT_DB")
	f.StringVar(&a.by, "by", "", "`NAME` of who acts; else $ENDFLOAT_BY, else the user of this machine")
	for _, g := range []struct {
		title string
		cmds  []*cobra.Command
	}{
		{"Look around", []*cobra.Command{a.demo(), a.serve(), a.devices(), a.take(), a.search(), a.calc(), a.version()}},
		{"Keep it safe", []*cobra.Command{a.backup(), a.restore(), a.move(), a.forget()}},
		{"The workshop", []*cobra.Command{a.box(), a.instrument(), a.tool(), a.piece(), a.drawer(), a.scan(), a.people()}},
		{"A job", []*cobra.Command{a.jobs(), a.newJob(), a.receive(), a.agreed(), a.job(), a.where(), a.today(), a.note(), a.done(), a.log(), a.strike()}},
		{"Take apart and decide", []*cobra.Command{a.strip(), a.off(), a.photo(), a.bags(), a.labels(), a.clean(), a.repair(), a.look(), a.rings(), a.read(), a.decide(), a.answer()}},
		{"Choose and buy", []*cobra.Command{a.choose(), a.board(), a.teeth(), a.offers(), a.orders(), a.goodsIn(), a.sendBack(), a.estimate(), a.levels(), a.cost(), a.terms()}},
		{"Build and hand over", []*cobra.Command{a.steps(), a.reach(), a.settings(), a.drawCmd(), a.pattern(), a.strength(), a.heat(), a.fit(), a.torque(), a.lock(), a.test(), a.recovery(), a.allow(), a.close(), a.bookCmd(), a.card(), a.verify(), a.prove(), a.signing(), a.export(), a.importCmd(), a.table()}},
	} {
		root.AddGroup(&cobra.Group{ID: g.title, Title: g.title})
		for _, c := range g.cmds {
			c.GroupID = g.title
			root.AddCommand(c)
		}
	}
	plain(root)
	return root
}

// plain keeps cobra's own "[flags]" out of what every command says of itself.
func plain(cmd *cobra.Command) {
	cmd.DisableFlagsInUseLine = true
	for _, c := range cmd.Commands() {
		plain(c)
	}
}

// run makes the function that cobra wants of one that only needs the words.
func run(fn func(args []string) error) func(*cobra.Command, []string) error {
	return func(_ *cobra.Command, args []string) error { return fn(args) }
}

func (a *app) withJSON(cmd *cobra.Command) *cobra.Command {
	cmd.Flags().BoolVar(&a.json, "json", false, "print JSON for another program")
	return cmd
}

// dataFile is where the data lies; made reports that it is about to be begun.
func (a *app) dataFile() (path string, made bool, err error) {
	path = a.data
	if path == "" {
		path = os.Getenv("ENDFLOAT_DATA")
	}
	if path == "" {
		dir, err := os.UserConfigDir()
		if err != nil {
			return "", false, fmt.Errorf("no folder for the data file is known; name one with --data FILE (%w)", err)
		}
		dir = filepath.Join(dir, "endfloat")
		if err := file.Folder(dir, 0o700); err != nil {
			return "", false, fmt.Errorf("the folder for the data file cannot be made; name another with --data FILE (%w)", err)
		}
		path = filepath.Join(dir, "endfloat.db")
	}
	_, err = os.Stat(path)
	return path, errors.Is(err, os.ErrNotExist), nil
}

// open runs fn on the workshop of the data file.
func (a *app) open(fn func(*shop.Shop) error) error {
	store, err := a.store()
	if err != nil {
		return err
	}
	err = fn(shop.New(store, time.Now))
	return errors.Join(err, store.Close())
}

// who is the person that acts.
func (a *app) who() shop.By {
	name := a.by
	if name == "" {
		name = os.Getenv("ENDFLOAT_BY")
	}
	if u, err := user.Current(); name == "" && err == nil {
		name = u.Username
	}
	return shop.By{Name: name, Device: "command line"}
}

// onJob opens the data file and the job that a person named.
func (a *app) onJob(name string, fn func(*shop.Shop, *shop.Desk) error) error {
	return a.open(func(sh *shop.Shop) error {
		book, err := a.bookOf(sh, name)
		if err != nil {
			return err
		}
		d, err := sh.Open(a.ctx, book)
		if err != nil {
			return err
		}
		return fn(sh, d)
	})
}

// bookOf finds the book of a job by its letter, its unit's name or its own name.
// A letter is free again once its unit has been handed over, so the unit that is
// still here has it.
func (a *app) bookOf(sh *shop.Shop, name string) (string, error) {
	rows, err := sh.Jobs(a.ctx)
	if err != nil {
		return "", err
	}
	var known []string
	for _, by := range []func(shop.Row) string{
		func(r shop.Row) string { return r.Book },
		func(r shop.Row) string { return r.Letter },
		func(r shop.Row) string { return r.Unit },
	} {
		for _, r := range rows {
			if strings.EqualFold(by(r), name) {
				return r.Book, nil
			}
		}
	}
	for _, r := range rows {
		known = append(known, r.Letter+" "+r.Unit)
	}
	if len(known) == 0 {
		return "", fmt.Errorf("there is no job %q, nor any other; begin one with endfloat new", name)
	}
	return "", fmt.Errorf("there is no job %q; there are %s", name, strings.Join(known, ", "))
}

// photos reads photo files into the store and returns their keys.
func (a *app) photos(sh *shop.Shop, files []string) ([]string, error) {
	var keys []string
	for _, file := range files {
		raw, err := os.ReadFile(file)
		if err != nil {
			return nil, fmt.Errorf("photo: %w", err)
		}
		key, err := sh.PhotoIn(a.ctx, raw)
		if err != nil {
			return nil, fmt.Errorf("photo %s: %w", file, err)
		}
		keys = append(keys, key)
	}
	return keys, nil
}

func (a *app) version() *cobra.Command {
	var parts bool
	cmd := &cobra.Command{
		Use: "version", Short: "Say which version this is, or what it was built of", Args: takes(0, 0),
		Example: "  endfloat version\n  endfloat version --parts",
		RunE: run(func([]string) error {
			if parts {
				return a.parts()
			}
			fmt.Fprintln(a.out, "endfloat "+Version)
			return nil
		}),
	}
	cmd.Flags().BoolVar(&parts, "parts", false, "print the libraries it was built of, as CycloneDX 1.6")
	return cmd
}
