package catalog

import (
	"fmt"
	"strings"
)

// Guide is the guide to all sums as Markdown: what each is for, what it asks and
// gives, what it takes for granted, where it is from, and its example worked.
func Guide() string {
	var b strings.Builder
	b.WriteString("# The sums\n\nMade by `endfloat calc --guide` from the declarations that the command line, the\n" +
		"screens and the API use. A value may carry `± u`, one standard uncertainty. Every sum\n" +
		"also takes `" + Shared.Key + "`: " + Shared.Help + "\n")
	group := ""
	for _, s := range All() {
		if s.Group != group {
			group = s.Group
			fmt.Fprintf(&b, "\n## %s\n", group)
		}
		s.guide(&b)
	}
	return b.String()
}

func (s *Sum) guide(b *strings.Builder) {
	fmt.Fprintf(b, "\n### %s — %s\n\n%s\n\n| input | unit | what |\n|---|---|---|\n", s.Name, s.Title, s.Purpose)
	for _, in := range s.Inputs {
		unit := in.Unit
		if len(in.Choices) > 0 {
			unit = strings.Join(in.Choices, " or ")
		}
		help := in.Help
		switch {
		case in.Default != "":
			help += "; " + in.Default + " if left out"
		case in.Optional:
			help += "; may be left out"
		}
		fmt.Fprintf(b, "| `%s` | %s | %s |\n", in.Key, cell(unit), cell(help))
	}
	var gives []string
	for _, o := range s.Outputs {
		gives = append(gives, o.Title)
	}
	fmt.Fprintf(b, "\nGives: %s.\n", strings.Join(gives, "; "))
	for _, a := range s.Assumptions {
		fmt.Fprintf(b, "\nTaken for granted: %s\n", a)
	}
	fmt.Fprintf(b, "\nSources: %s. %s\n", strings.Join(s.Sources, "; "), s.Checked())
	if s.Caution != "" {
		fmt.Fprintf(b, "\n**Care.** %s\n", s.Caution)
	}
	s.guideExample(b)
}

// guideExample works the example of the sum, as it is typed.
func (s *Sum) guideExample(b *strings.Builder) {
	a, err := s.Run(s.Example)
	if err != nil {
		return // every example runs: a test holds it
	}
	fmt.Fprintf(b, "\n    endfloat calc %s", s.Name)
	for _, in := range s.Inputs {
		if v, ok := s.Example[in.Key]; ok {
			fmt.Fprintf(b, " %s='%s'", in.Key, v)
		}
	}
	b.WriteString("\n")
	for _, l := range a.Lines {
		if l.Formula != "" {
			fmt.Fprintf(b, "    %s = %s = %s = %s\n", l.Symbol, l.Formula, l.Numbers, l.Value)
		}
	}
	for _, r := range a.Results {
		fmt.Fprintf(b, "    → %s: %s\n", r.Title, r.Text)
	}
}

// cell keeps a text from breaking a table.
func cell(s string) string { return strings.ReplaceAll(s, "|", "\\|") }
