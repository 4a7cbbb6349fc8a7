package web

import (
	"encoding/json"
	"fmt"
	"html/template"
	"slices"
	"strings"
	"time"

	"endfloat/internal/gearbox"
	"endfloat/internal/job"
	"endfloat/internal/setup"
	"endfloat/internal/shop"
)

var funcs = template.FuncMap{
	"upper":   capital,
	"when":    when,
	"join":    strings.Join,
	"list":    func(s ...string) []string { return s },
	"verdict": verdictOf,
	"add":     func(a, b int) int { return a + b },
	"dict":    func(kv ...any) (map[string]any, error) { return dict(kv) },
	"caution": func(key string) string { c, _ := gearbox.Caution(key); return c },
	"defers":  func() string { return gearbox.Defers },
	"ready":   func() template.HTML { return readyHere },
	"tape":    tape,
	"sub":     func(a, b float64) float64 { return a - b },
	"hot":     func(row settingRow, h *setup.Hot) string { return setup.Text(h.Value, h.U, row.Unit) },
	"percent": func(f float64) string { return percent(f) },
}

func dict(kv []any) (map[string]any, error) {
	m := map[string]any{}
	for i := 0; i+1 < len(kv); i += 2 {
		k, ok := kv[i].(string)
		if !ok {
			return nil, fmt.Errorf("key %v is no text", kv[i])
		}
		m[k] = kv[i+1]
	}
	return m, nil
}

// percent prints a chance; near certainty is never printed as certainty.
func percent(f float64) string {
	switch {
	case f > 0.995:
		return "over 99 %"
	case f < 0.005:
		return "under 1 %"
	}
	return fmt.Sprintf("%.0f %%", f*100)
}

// verdict is a verdict's word and the name of its shape.
type verdict struct{ Word, Shape string }

// verdictOf gives a verdict its shape, the same as on the drawings: a disc
// is in, a cross out, an open square too close to call.
func verdictOf(v any) verdict {
	switch w := fmt.Sprint(v); w {
	case "in":
		return verdict{"in", "in"}
	case "out":
		return verdict{"out", "out"}
	case "too close to call":
		return verdict{"too close to call: measure again", "close"}
	case "":
		return verdict{"no limit", "none"}
	default:
		return verdict{w, "none"}
	}
}

func capital(s string) string {
	if s == "" {
		return s
	}
	r := []rune(s)
	return strings.ToUpper(string(r[:1])) + string(r[1:])
}

func when(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.Local().Format("2 Jan 2006, 15:04")
}

// Colours are those of tape that can be bought; each has its own look.
var colours = []string{"blue", "yellow", "red", "green", "white", "grey", "orange", "black", "brown", "violet"}

// tape is the style of a tape colour.
func tape(colour string) string {
	c := strings.ToLower(strings.TrimSpace(colour))
	if slices.Contains(colours, c) {
		return "tape-" + c
	}
	return "tape-other"
}

// strikable reports whether an entry of that kind can be taken back by striking.
func strikable(kind string) bool {
	return !slices.Contains([]string{"opened", "came", "left", "struck"}, kind)
}

// says puts an entry into a sentence.
func says(d *shop.Desk, e job.Entry) string {
	var b struct {
		Position, Text, What, Choice, Piece, Name, Tag, Place, Method, Reading, How, Question, Answer, Hold, Why, Entry, To, From, Faced, Faces, Unit, With, Money, Hours, Oil, Type, Part, Variant string
		Tags, Values                                                                                                                                                                                []string
		Trial                                                                                                                                                                                       bool
		Torque                                                                                                                                                                                      float64
		Marks                                                                                                                                                                                       map[string]string
	}
	piece := piecePeek(e.Body)
	_ = json.Unmarshal(e.Body, &b) // fields of another shape stay empty
	at := label(d, b.Position)
	switch e.Kind {
	case "opened":
		return "Received " + b.Unit + and(", a ", b.Type)
	case "taken off":
		return "Took off " + at + and(", faced ", b.Faced) + and(", to ", b.Place)
	case "read":
		return "Read " + b.What + ": " + strings.Join(b.Values, ", ") + unitIfBare(b.Values, b.Unit) + and(", by ", b.With)
	case "decided":
		return "Decided " + at + ": " + b.Choice + and(", ", b.Variant) + and(", because ", b.Why)
	case "added":
		return "Added " + piece + and(", to ", b.Place)
	case "came":
		return "Came from " + b.From + ": " + piece
	case "left":
		return b.Tag + " went to " + b.To
	case "put":
		return "Put " + b.Tag + " on " + b.Place
	case "marked":
		return "Marked " + b.Tag + ": " + pairs(b.Marks)
	case "fitted":
		return "Fitted " + at + " with " + strings.Join(b.Tags, " + ") + and(", ", b.Faces) + trial(b.Trial)
	case "torqued":
		return fmt.Sprintf("Torqued %s to %.0f N·m by %s, read %s%s", at, b.Torque, b.Method, b.Reading, trial(b.Trial))
	case "locked":
		return "Locked " + at + ": " + b.How
	case "answered":
		return "Answered " + b.Question + ": " + b.Answer
	case "allowed":
		return "Allowed with a reason: " + b.Why
	case "noted":
		if field(e, "topic") == shop.SumTopic {
			return "Did the sum " + b.Text
		}
		return "Noted" + and(" at ", at) + ": " + b.Text
	case "struck":
		return "Struck " + seqOf(d, b.Entry) + and(": ", b.Why)
	case "closed":
		return "Handed over" + and(" to ", b.To) + and(", oil ", b.Oil)
	case "cost":
		return "Spent " + strings.TrimSpace(b.Hours+" "+b.Money) + and(": ", b.What)
	case "pattern":
		return "Rolled the contact pattern"
	case "offered", "ordered", "arrived", "sent back", "terms":
		return capital(job.TradeWords(e))
	case "heated":
		return "Out of the oven: " + at + and(" at ", field(e, "oven")) + and(", the inner part at ", field(e, "inner"))
	case "tested":
		return "Tested " + field(e, "test") + and(": ", field(e, "says")) + and(", witness ", field(e, "witness"))
	case "received", "estimate", "approved", "cleaned", "repaired", "looked", "gap", "drawn", "repinned":
		return benchSays(e, at)
	case "instrument", "tool", "kept box":
		return "Kept " + e.Kind + " " + b.Name
	}
	return capital(e.Kind)
}

// piecePeek names the piece in a body that has one as an object.
func piecePeek(body json.RawMessage) string {
	var b struct{ Piece job.Piece }
	if json.Unmarshal(body, &b) != nil || b.Piece.Tag == "" {
		return "a piece"
	}
	return b.Piece.Tag + and(" ", b.Piece.Name) + and(", ", b.Piece.Thick)
}

func and(before, s string) string {
	if s == "" {
		return ""
	}
	return before + s
}

func trial(yes bool) string {
	if yes {
		return ", trial"
	}
	return ""
}

func pairs(m map[string]string) string {
	var out []string
	for k, v := range m {
		out = append(out, k+" "+v)
	}
	slices.Sort(out)
	return strings.Join(out, ", ")
}

func unitIfBare(values []string, unit string) string {
	if len(values) == 0 || unit == "" || strings.ContainsAny(values[len(values)-1], "abcdefghijklmnopqrstuvwxyzµ°\"") {
		return ""
	}
	return " " + unit
}

func seqOf(d *shop.Desk, id string) string {
	for _, e := range d.Entries {
		if e.ID == id {
			return fmt.Sprintf("entry %d (%s)", e.Seq, e.Kind)
		}
	}
	return "an entry"
}

// label is a position's id and name.
func label(d *shop.Desk, id string) string {
	if id == "" {
		return ""
	}
	if d.Box != nil {
		if p, ok := d.Box.Position(id); ok {
			return p.Label()
		}
	}
	return id
}

// facing puts a face into words with the name of what it looks at.
func facing(d *shop.Desk, f gearbox.Facing) string {
	if d.Box != nil {
		if p, ok := d.Box.Position(f.Toward); ok {
			return f.Face + " toward " + p.Label()
		}
	}
	if _, ok := opposite[f.Toward]; ok {
		return f.Face + " " + f.Toward
	}
	return f.Face + " toward " + f.Toward
}

// otherWay puts the wrong way round into words.
func otherWay(d *shop.Desk, f gearbox.Facing) string {
	if o, ok := opposite[f.Toward]; ok {
		return "the other way: " + f.Face + " " + o
	}
	return "the other way: " + strings.Replace(facing(d, f), " toward ", " away from ", 1)
}

// photosOf are the keys of the photos of an entry.
func photosOf(e job.Entry) []string {
	var b struct{ Photos []string }
	if json.Unmarshal(e.Body, &b) != nil {
		return nil
	}
	return b.Photos
}

// about reports whether an entry is about a position or one of its pieces.
func about(e job.Entry, id string, tags []string) bool {
	var b struct {
		Position, What, Tag string
		Tags                []string
	}
	_ = json.Unmarshal(e.Body, &b) // fields of another shape stay empty
	return b.Position == id || strings.HasPrefix(b.What, id+" ") || slices.Contains(tags, b.Tag) ||
		slices.ContainsFunc(b.Tags, func(t string) bool { return slices.Contains(tags, t) })
}

// field is one text field of an entry's body.
func field(e job.Entry, key string) string {
	var b map[string]any
	if json.Unmarshal(e.Body, &b) != nil {
		return ""
	}
	s, _ := b[key].(string)
	return s
}
