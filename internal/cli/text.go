package cli

import (
	"encoding/json"
	"fmt"
	"io"
	"strings"
	"text/tabwriter"
	"unicode/utf8"
)

// width is the column at which running text is broken.
const width = 88

// wrapped breaks text at spaces; every line after the first begins with indent.
func wrapped(text, indent string) string {
	var b strings.Builder
	col := utf8.RuneCountInString(indent)
	for i, word := range strings.Fields(text) {
		n := utf8.RuneCountInString(word)
		switch {
		case i == 0:
		case col+1+n > width:
			b.WriteString("\n" + indent)
			col = utf8.RuneCountInString(indent)
		default:
			b.WriteByte(' ')
			col++
		}
		b.WriteString(word)
		col += n
	}
	return b.String()
}

// bullets prints a headed list, nothing when it is empty.
func bullets(w io.Writer, head string, items []string) {
	if len(items) == 0 {
		return
	}
	fmt.Fprintf(w, "\n%s\n", head)
	for _, s := range items {
		fmt.Fprintf(w, "  %s\n", wrapped(s, "    "))
	}
}

// table prints rows in columns that line up.
func table(w io.Writer, rows [][]string) {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	for _, r := range rows {
		fmt.Fprintf(t, "  %s\n", strings.TrimRight(strings.Join(r, "\t"), "\t"))
	}
	t.Flush()
}

// printJSON prints v for another program.
func (a *app) printJSON(v any) error {
	enc := json.NewEncoder(a.out)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	return enc.Encode(v)
}

// quoted writes a word so that a shell takes it as one.
func quoted(s string) string {
	if s != "" && !strings.ContainsAny(s, " \t\n'\"$`\\&|;<>()*?#~!{}[]") {
		return s
	}
	return "'" + strings.ReplaceAll(s, "'", `'\''`) + "'"
}

// count writes "1 position", "3 positions".
func count(n int, one string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %ss", n, one)
}
