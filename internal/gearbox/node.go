package gearbox

import (
	"fmt"
	"slices"
	"sort"
	"strings"

	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/parser"
	"github.com/goccy/go-yaml/token"
)

// Limits on a file, so that a hostile one cannot tie the program up.
const (
	maxBytes = 1 << 20
	maxDepth = 12
)

// Fault is one mistake in a gearbox file, at its line.
type Fault struct {
	File      string
	Line, Col int
	Says      string // what is wrong and the mend
	Excerpt   string // the line before and the line itself, with a mark
}

// Error gives the place, the fault and the excerpt.
func (f Fault) Error() string {
	s := fmt.Sprintf("%s:%d: %s", f.File, f.Line, f.Says)
	if f.Excerpt != "" {
		s += "\n" + f.Excerpt
	}
	return s
}

// Faults are all mistakes found in one reading of a file.
type Faults []Fault

// Error lists the faults, at most ten of them.
func (fs Faults) Error() string {
	var b strings.Builder
	for i, f := range fs {
		if i == 10 {
			fmt.Fprintf(&b, "and %d more", len(fs)-i)
			break
		}
		b.WriteString(f.Error())
		if i < len(fs)-1 {
			b.WriteString("\n")
		}
	}
	return b.String()
}

// reader collects faults while the tree is walked.
type reader struct {
	file   string
	lines  []string
	faults Faults
}

func (r *reader) fault(at *token.Token, format string, args ...any) {
	f := Fault{File: r.file, Line: 1, Col: 1, Says: fmt.Sprintf(format, args...)}
	if at != nil && at.Position != nil {
		f.Line, f.Col = at.Position.Line, at.Position.Column
	}
	r.faults = append(r.faults, r.excerpt(f))
}

func (r *reader) excerpt(f Fault) Fault {
	var b strings.Builder
	for n := f.Line - 1; n <= f.Line; n++ {
		if n < 1 || n > len(r.lines) {
			continue
		}
		mark := " "
		if n == f.Line {
			mark = ">"
		}
		fmt.Fprintf(&b, " %s %4d | %s\n", mark, n, clip(r.lines[n-1]))
	}
	if f.Line >= 1 && f.Line <= len(r.lines) && f.Col >= 1 && f.Col <= 200 {
		fmt.Fprintf(&b, "        | %s^", strings.Repeat(" ", f.Col-1))
	}
	f.Excerpt = b.String()
	return f
}

func clip(s string) string {
	if r := []rune(s); len(r) > 200 {
		return string(r[:200]) + "…"
	}
	return s
}

// tree parses the text and refuses what the format leaves out.
func (r *reader) tree(text []byte) ast.Node {
	if len(text) > maxBytes {
		r.fault(nil, "the file is larger than %d bytes; split off what does not belong to this type", maxBytes)
		return nil
	}
	f, err := parser.ParseBytes(text, 0)
	if err != nil {
		r.syntax(err)
		return nil
	}
	if len(f.Docs) != 1 || f.Docs[0].Body == nil {
		r.fault(nil, "expected one YAML document that begins with \"endfloat: %d\"", Format)
		return nil
	}
	root := f.Docs[0].Body
	if !r.plain(root, 0) {
		return nil
	}
	return root
}

func (r *reader) syntax(err error) {
	line, col := 1, 1
	msg := err.Error()
	if _, e := fmt.Sscanf(msg, "[%d:%d]", &line, &col); e == nil {
		if _, rest, ok := strings.Cut(msg, "] "); ok {
			msg = rest
		}
	}
	msg, _, _ = strings.Cut(msg, "\n")
	r.faults = append(r.faults, r.excerpt(Fault{File: r.file, Line: line, Col: col, Says: "this is not YAML: " + msg}))
}

// plain reports whether the tree is plain data, not too deep.
func (r *reader) plain(n ast.Node, depth int) bool {
	if depth > maxDepth {
		r.fault(n.GetToken(), "nested deeper than %d levels; write it flatter", maxDepth)
		return false
	}
	ok := true
	switch n := n.(type) {
	case *ast.AnchorNode, *ast.AliasNode, *ast.MergeKeyNode, *ast.TagNode:
		r.fault(n.GetToken(), "anchors, aliases, merges and tags are not used in a gearbox file; write the value out")
		return false
	case *ast.MappingNode:
		for _, v := range n.Values {
			ok = r.plain(v, depth) && ok
		}
	case *ast.MappingValueNode:
		if _, merge := n.Key.(*ast.MergeKeyNode); merge {
			r.fault(n.GetToken(), "merges are not used in a gearbox file; write the values out")
			return false
		}
		ok = r.plain(n.Value, depth+1)
	case *ast.SequenceNode:
		for _, v := range n.Values {
			ok = r.plain(v, depth+1) && ok
		}
	}
	return ok
}

// pair is one key and value of a mapping, in file order.
type pair struct {
	key string
	tok *token.Token
	val ast.Node
}

// pairs returns the entries of a mapping in order.
func (r *reader) pairs(n ast.Node, what string) []pair {
	var vs []*ast.MappingValueNode
	switch n := n.(type) {
	case *ast.MappingNode:
		vs = n.Values
	case *ast.MappingValueNode:
		vs = []*ast.MappingValueNode{n}
	case *ast.NullNode, nil:
		return nil
	default:
		r.fault(n.GetToken(), "%s: expected keys with values, found %q", what, n.String())
		return nil
	}
	var ps []pair
	for _, v := range vs {
		tok := v.Key.GetToken()
		ps = append(ps, pair{key: scalarText(v.Key), tok: tok, val: v.Value})
	}
	return ps
}

func isMap(n ast.Node) bool {
	switch n.(type) {
	case *ast.MappingNode, *ast.MappingValueNode:
		return true
	}
	return false
}

func isNull(n ast.Node) bool {
	_, null := n.(*ast.NullNode)
	return n == nil || null
}

// scalarText is the text of a scalar as the person typed it.
func scalarText(n ast.Node) string {
	switch n := n.(type) {
	case *ast.StringNode:
		return n.Value
	case *ast.LiteralNode:
		return n.Value.Value
	case *ast.MappingKeyNode:
		return scalarText(n.Value)
	}
	if t := n.GetToken(); t != nil {
		return t.Value
	}
	return n.String()
}

// fields takes a mapping apart by key and faults on what is left.
type fields struct {
	r    *reader
	what string
	ps   []pair
	used map[string]bool
	know []string
}

func (r *reader) fields(n ast.Node, what string) *fields {
	return &fields{r: r, what: what, ps: r.pairs(n, what), used: map[string]bool{}}
}

// take returns the value of a key, nil when it is not there.
func (f *fields) take(key string) *pair {
	f.know = append(f.know, key)
	for i := range f.ps {
		if f.ps[i].key == key {
			f.used[key] = true
			return &f.ps[i]
		}
	}
	return nil
}

// rest faults on every key nobody took.
func (f *fields) rest() {
	for _, p := range f.ps {
		if !f.used[p.key] {
			f.r.fault(p.tok, "%s has no key %q; %s", f.what, p.key, offer(p.key, f.know))
		}
	}
}

// offer names the nearest known word, or lists them all.
func offer(word string, know []string) string {
	best, near := 3, ""
	for _, k := range know {
		if d := distance(word, k); d < best {
			best, near = d, k
		}
	}
	if near != "" {
		return fmt.Sprintf("did you mean %q?", near)
	}
	k := slices.Clone(know)
	sort.Strings(k)
	return "it may have: " + strings.Join(slices.Compact(k), ", ")
}

// distance is the number of letters to change, add or drop (Levenshtein).
func distance(a, b string) int {
	x, y := []rune(a), []rune(b)
	row := make([]int, len(y)+1)
	for j := range row {
		row[j] = j
	}
	for i := range x {
		prev := row[0]
		row[0] = i + 1
		for j := range y {
			cost := 1
			if x[i] == y[j] {
				cost = 0
			}
			prev, row[j+1] = row[j+1], min(row[j+1]+1, row[j]+1, prev+cost)
		}
	}
	return row[len(y)]
}

func (f *fields) text(key string) string {
	p := f.take(key)
	if p == nil || isNull(p.val) {
		return ""
	}
	if isMap(p.val) {
		f.r.fault(p.tok, "%s: %s is one text, not a list of keys", f.what, key)
		return ""
	}
	return strings.TrimSpace(scalarText(p.val))
}

func (f *fields) texts(key string) []string {
	p := f.take(key)
	if p == nil || isNull(p.val) {
		return nil
	}
	return f.r.texts(p.val, f.what+": "+key)
}

func (r *reader) texts(n ast.Node, what string) []string {
	s, ok := n.(*ast.SequenceNode)
	if !ok {
		if isMap(n) {
			r.fault(n.GetToken(), "%s: expected a text or a list like [a, b]", what)
			return nil
		}
		return []string{strings.TrimSpace(scalarText(n))}
	}
	var out []string
	for _, v := range s.Values {
		if isMap(v) {
			r.fault(v.GetToken(), "%s: expected plain texts in the list", what)
			continue
		}
		out = append(out, strings.TrimSpace(scalarText(v)))
	}
	return out
}

func (f *fields) whole(key string, def, lo, hi int) int {
	p := f.take(key)
	if p == nil {
		return def
	}
	var v int
	if n, err := fmt.Sscanf(scalarText(p.val)+";", "%d;", &v); n != 1 || err != nil || v < lo || v > hi {
		f.r.fault(p.val.GetToken(), "%s: %s is %q; expected a whole number from %d to %d", f.what, key, scalarText(p.val), lo, hi)
		return def
	}
	return v
}

func (f *fields) yes(key string) bool {
	p := f.take(key)
	if p == nil {
		return false
	}
	switch scalarText(p.val) {
	case "true", "yes":
		return true
	case "false", "no":
		return false
	}
	f.r.fault(p.val.GetToken(), "%s: %s is %q; expected yes or no", f.what, key, scalarText(p.val))
	return false
}
