package unit

import (
	"regexp"
	"strings"
)

// frames are the ways in which gauges dress a value, each with how to undress it.
// They are common practice of makers' interfaces, no source.
var frames = []struct {
	is  *regexp.Regexp
	say func(m []string) string
}{
	// Channel and A, then sign and digits: four digits before the point are
	// millimetres, two before and five after are inches.
	{regexp.MustCompile(`^\d{2}A([+-])(\d{4}\.\d{1,4})$`), func(m []string) string { return m[1] + m[2] + " mm" }},
	{regexp.MustCompile(`^\d{2}A([+-])(\d{2}\.\d{5})$`), func(m []string) string { return m[1] + m[2] + " in" }},
	// Thirteen digits: four F, sign, six figures, place of the point, unit.
	{regexp.MustCompile(`^F{4}([08])(\d{6})([0-5])([01])$`), func(m []string) string {
		at := 6 - int(m[3][0]-'0')
		value := m[2][:at]
		if at < 6 {
			value += "." + m[2][at:]
		}
		return map[string]string{"0": "+", "8": "-"}[m[1]] + value + map[string]string{"0": " mm", "1": " in"}[m[4]]
	}},
	// A short name before a sign, a colon or an equals sign: N+0012.34, D:0.123.
	{regexp.MustCompile(`^[A-Za-z]{1,4}\d?[:=] ?([+-]?[\d.,]+ ?[A-Za-z"]*)$`), func(m []string) string { return m[1] }},
	{regexp.MustCompile(`^[A-Za-z]{1,4}([+-][\d.,]+ ?[A-Za-z"]*)$`), func(m []string) string { return m[1] }},
}

// Undress takes off what a gauge or scanner puts around a value: control signs,
// a symbology mark such as ]C1, a channel, a name, a frame. What it does not know
// is returned as it was, so that Parse can say what is wrong with it.
func Undress(text string) string {
	s := strings.TrimFunc(text, func(r rune) bool { return r < ' ' || r == ' ' || r == 0x7f })
	if len(s) > 3 && s[0] == ']' && s[2] >= '0' && s[2] <= '9' {
		s = s[3:]
	}
	for _, f := range frames {
		if m := f.is.FindStringSubmatch(s); m != nil {
			return f.say(m)
		}
	}
	if s == strings.TrimSpace(text) {
		return text
	}
	return s
}
