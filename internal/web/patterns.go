package web

// Patterns are the patterns of all that is served, in the order of the list of
// routes: what is held of every page is held of these.
func Patterns() []string {
	var out []string
	for _, r := range new(server).routes() {
		out = append(out, r.pattern)
	}
	return out
}
