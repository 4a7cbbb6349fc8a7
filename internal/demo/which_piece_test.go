package demo_test

import (
	"os"
	"regexp"
	"strings"
	"testing"

	"endfloat/internal/demo"
	"endfloat/internal/gearbox"
)

// The page on rules shows lines that the reader takes, in the gearbox file of the
// demonstration, and at least one of each form.
func TestWhichPiecePage(t *testing.T) {
	page, err := os.ReadFile("../../docs/which-piece.md")
	if err != nil {
		t.Fatal(err)
	}
	lines := regexp.MustCompile("(?m)`(- \\{.*\\})` \\|$").FindAllSubmatch(page, -1)
	var all []string
	for _, l := range lines {
		rule := string(l[1])
		text := strings.Replace(string(demo.BW4T()), "\nrules:\n", "\nrules:\n  "+rule+"\n", 1)
		if _, err := gearbox.Read("page.yaml", []byte(text)); err != nil {
			t.Errorf("%s\n%v", rule, err)
		}
		all = append(all, rule)
	}
	for _, key := range []string{"needs:", "at least:", "never:", "same:", "pair:", "renew together:", "equal:", "handed:", "range:", "prove:", "soft:", "trust:"} {
		if !strings.Contains(strings.Join(all, "\n"), key) {
			t.Errorf("the page has no rule with %q", key)
		}
	}
	if len(all) < 13 {
		t.Errorf("only %d rules were found on the page", len(all))
	}
}
