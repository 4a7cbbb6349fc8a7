// Command cmd runs the study of docs/study.md and writes its figures there:
//
//	go run ./internal/study/cmd docs
package main

import (
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"time"

	"endfloat/internal/study"
)

const begin, end = "<!-- figures -->\n", "<!-- end of figures -->\n"

func main() {
	n := flag.Int("n", 5000, "set-ups with each drawer")
	seed := flag.Uint64("seed", 2026, "seed of chance")
	flag.Parse()
	if flag.NArg() != 1 {
		fmt.Fprintln(os.Stderr, "say where docs is: go run ./internal/study/cmd docs")
		os.Exit(2)
	}
	if err := run(flag.Arg(0), *n, *seed); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func run(docs string, n int, seed uint64) error {
	page := filepath.Join(docs, "study.md")
	text, err := os.ReadFile(page)
	if err != nil {
		return err
	}
	before, rest, ok := strings.Cut(string(text), begin)
	_, after, ok2 := strings.Cut(rest, end)
	if !ok || !ok2 {
		return fmt.Errorf("%s: no %q with %q after it; put them where the figures go", page, strings.TrimSpace(begin), strings.TrimSpace(end))
	}
	dice := func(i int) study.Dice { return rand.New(rand.NewPCG(seed, uint64(i))) }
	start := time.Now()
	p := study.Plan{N: n, Sets: study.MostSets, Ways: runtime.NumCPU()}
	ways := study.Run(p, dice)
	p.N, p.Short = max(1, n/20), true
	p.Errors = 2
	twice := study.Run(p, dice)
	p.Errors, p.Sets = 1, 0
	bare := study.Run(p, dice)
	fmt.Fprintf(os.Stderr, "%d set-ups, twice %d more with each change, in %s\n", 2*n, 2*p.N, time.Since(start).Round(time.Second))

	var b strings.Builder
	fmt.Fprintf(&b, "%d set-ups with each drawer, seed %d; ± is the standard error.\n", n, seed)
	for _, fine := range []bool{false, true} {
		steps := map[bool]string{false: "05", true: "025"}[fine]
		fmt.Fprintf(&b, "\n### Drawer of 0.%s mm steps\n\n%s\n", steps, study.Table(ways, fine))
		for _, readings := range []bool{false, true} {
			name := fmt.Sprintf("study-%s-%s.svg", map[bool]string{false: "trials", true: "readings"}[readings], steps)
			d := study.Chart(ways, fine, readings)
			if err := os.WriteFile(filepath.Join(docs, name), []byte(study.SVG(d)), 0o644); err != nil {
				return err
			}
			fmt.Fprintf(&b, "![%s](%s)\n", d.Title, name)
		}
	}
	fmt.Fprintf(&b, "\n### Instruments twice as far off as they are said to be\n\n%d set-ups with each drawer, 0.05 mm steps first, then 0.025 mm.\n\n%s\n%s", p.N, study.Table(twice, false), study.Table(twice, true))
	fmt.Fprintf(&b, "\n### Nothing read again\n\nThe same as the first tables, but endfloat may read nothing more than it must.\n\n%s\n%s", study.Table(bare, false), study.Table(bare, true))
	return os.WriteFile(page, []byte(before+begin+b.String()+end+after), 0o644)
}
