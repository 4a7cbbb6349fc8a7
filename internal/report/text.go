package report

import (
	"fmt"
	"strconv"
	"strings"

	"endfloat/internal/job"
)

// tally adds up figures as typed, "12.50 EUR" or "3 h". Different units, or a
// text that is no figure, end the sum: then nothing is said rather than half.
type tally struct {
	sum   float64
	unit  string
	n     int
	mixed bool
}

func (t *tally) add(s string) {
	s = strings.TrimSpace(s)
	if s == "" {
		return
	}
	end := strings.LastIndexAny(s, "0123456789") + 1
	start := strings.IndexAny(s, "-0123456789")
	if start < 0 {
		t.mixed = true
		return
	}
	v, err := strconv.ParseFloat(strings.ReplaceAll(s[start:end], ",", "."), 64)
	unit := strings.TrimSpace(s[:start] + s[end:])
	if err != nil || t.n > 0 && unit != t.unit {
		t.mixed = true
		return
	}
	t.sum, t.unit, t.n = t.sum+v, unit, t.n+1
}

func (t *tally) say(what string, places int) string {
	if t.n == 0 || t.mixed {
		return ""
	}
	return strings.TrimSpace(fmt.Sprintf("%s: %.*f %s", what, places, t.sum, t.unit))
}

// says puts an entry into words.
func (b *book) says(e job.Entry) string {
	switch e.Kind {
	case "opened":
		return words(e, func(x job.Opened) string { return joined(", ", "job opened on "+x.Unit, x.Type, x.Series) })
	case "repinned":
		return words(e, func(x job.Repinned) string {
			return joined(": ", fmt.Sprintf("gearbox file is now %.16s…", x.Box), x.Why)
		})
	case "person":
		return words(e, func(x job.Person) string { return joined(", ", b.name(x.Person), x.Role) })
	case "noted":
		return words(e, func(x job.Noted) string { return joined(": ", joined(" ", x.Position, x.Topic), x.Text) })
	case "taken off":
		return words(e, func(x job.TakenOff) string {
			return joined(", ", joined(" ", x.Position, x.Name)+" off", x.Faced, x.Marks, x.Moved, x.Damage, strings.Join(x.Thick, " + "), "into "+x.Place)
		})
	case "read":
		return words(e, func(x job.Read) string {
			return joined(", ", x.What+" "+strings.Join(x.Values, " · "), x.With, x.State, x.Note)
		})
	case "decided":
		return words(e, func(x job.Decided) string {
			return joined(", ", x.Position+": "+x.Choice, x.Variant, x.Piece, x.Why)
		})
	case "torqued":
		return words(e, func(x job.Torqued) string {
			trial := ""
			if x.Trial {
				trial = "on trial"
			}
			return joined(", ", x.Position+" to "+torqueText(x.Torque, x.U), x.Method, x.Tool, "read "+x.Reading, trial)
		})
	case "locked":
		return words(e, func(x job.Locked) string { return x.Position + ": " + x.How })
	}
	return b.saysMore(e)
}

func (b *book) saysMore(e job.Entry) string {
	switch e.Kind {
	case "added":
		return words(e, func(x job.Added) string { return joined(", ", pieceWords(x.Piece), "to "+x.Place, x.Piece.Price) })
	case "came":
		return words(e, func(x job.Came) string { return joined(", ", pieceWords(x.Piece), "from "+x.From, "to "+x.Place) })
	case "left":
		return words(e, func(x job.Left) string { return joined(", ", x.Tag+" to "+x.To, x.Why) })
	case "put":
		return words(e, func(x job.Put) string { return x.Tag + " to " + x.Place })
	case "marked":
		return words(e, func(x job.Marked) string { return x.Tag + ": " + markWords(x.Marks) })
	case "fitted":
		return words(e, func(x job.Fitted) string {
			trial := ""
			if x.Trial {
				trial = "on trial"
			}
			return joined(", ", x.Position+": "+strings.Join(x.Tags, " + "), x.Faces, trial)
		})
	case "answered":
		return words(e, func(x job.Answered) string { return joined(", ", x.Question+" "+x.Answer, x.Why) })
	case "allowed":
		return words(e, func(x job.Allowed) string { return joined(", ", b.holdWords(x.Hold)+": "+x.Why, x.Witness) })
	case "signed":
		return words(e, func(x job.Signed) string { return joined(", ", x.What, b.name(x.Name), x.As) })
	case "cost":
		return words(e, func(x job.Cost) string { return joined(", ", x.What, x.Stage, x.Hours, x.Money) })
	case "pattern":
		return words(e, func(x job.Pattern) string {
			return joined("; ", "contact pattern: drive "+x.Drive.Height+" "+x.Drive.End+", coast "+x.Coast.Height+" "+x.Coast.End, x.Next, x.Note)
		})
	case "heated":
		return words(e, func(x job.Heated) string {
			inner := ""
			if x.Inner != "" {
				inner = "the inner part at " + x.Inner
			}
			return joined(", ", x.Position+" out of the oven at "+x.Oven, inner)
		})
	case "tested":
		return words(e, func(x job.Tested) string {
			witness := ""
			if x.Witness != "" {
				witness = "witness " + x.Witness
			}
			return joined(", ", x.Test+" test: "+x.Says, witness, x.Note)
		})
	case "offered", "ordered", "arrived", "sent back", "terms":
		return job.TradeWords(e)
	case "received", "estimate", "approved", "cleaned", "repaired", "looked", "gap", "drawn":
		return b.saysBench(e)
	case "struck":
		return words(e, func(x job.Struck) string { return joined(": ", "struck "+b.entryNo(x.Entry), x.Why) })
	case "closed":
		return words(e, func(x job.Closed) string { return joined(", ", "handed over", x.To, "oil "+x.Oil, x.Note) })
	}
	return "cannot be read by this program"
}

func words[B any](e job.Entry, say func(B) string) string {
	v, ok := is[B](e)
	if !ok {
		return "cannot be read by this program"
	}
	return say(v)
}

func pieceWords(p job.Piece) string { return joined(" ", p.Tag, p.Name, thickness(&p)) }

func (b *book) entryNo(id string) string {
	for _, e := range b.v.Entries {
		if e.ID == id {
			return fmt.Sprintf("entry %d", e.Seq)
		}
	}
	return "an entry that is not here"
}
