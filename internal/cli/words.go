package cli

import (
	"encoding/json"
	"strings"

	"endfloat/calc/unit"
	"endfloat/internal/job"
	"endfloat/internal/setup"
)

// words puts an entry into one line. An entry that cannot be read, or is of a
// kind not known here, is shown as it stands.
func words(e job.Entry) string {
	for _, say := range sayings {
		if s, ok := say(e); ok {
			return s
		}
	}
	if s := job.TradeWords(e); s != "" {
		return s
	}
	return strings.TrimSpace(e.Kind + " " + string(e.Body))
}

// saying makes the words of one kind of entry from its body.
func saying[B job.Body](say func(B) string) func(job.Entry) (string, bool) {
	return func(e job.Entry) (string, bool) {
		var b B
		if e.Kind != b.Kind() || json.Unmarshal(e.Body, &b) != nil {
			return "", false
		}
		return say(b), true
	}
}

// and joins what was said.
func and(parts ...string) string {
	var out []string
	for _, p := range parts {
		if p = strings.TrimSpace(p); p != "" {
			out = append(out, p)
		}
	}
	return strings.Join(out, ", ")
}

// after puts a word before what was said, and nothing before nothing.
func after(word, said string) string {
	if said == "" {
		return ""
	}
	return word + said
}

// newtonMetres prints a torque as it was reached.
func newtonMetres(torque, u float64) string {
	nm, _ := unit.Find("N·m", unit.KindTorque)
	return setup.Text(torque, u, nm)
}

func trial(yes bool) string {
	if yes {
		return "on trial"
	}
	return ""
}

func photos(keys []string) string {
	if len(keys) == 0 {
		return ""
	}
	return count(len(keys), "photo")
}

var sayings = []func(job.Entry) (string, bool){
	saying(func(b job.Opened) string {
		return and("begun: "+b.Unit, b.Type, after("series ", b.Series), b.Asked, b.Symptoms)
	}),
	saying(func(b job.Repinned) string { return and("another version of the gearbox file", b.Why) }),
	saying(func(b job.Noted) string {
		text, _, _ := strings.Cut(b.Text, "\n") // a sum has its working on further lines
		return and("note: "+text, after("at ", b.Position), after("before ", b.Until), photos(b.Photos))
	}),
	saying(func(b job.TakenOff) string {
		return and(b.Position+" off", b.Name, after("faced ", b.Faced), b.Marks, after("moved by ", b.Moved), b.Damage, strings.Join(b.Thick, " + "), after("in ", b.Place), photos(b.Photos))
	}),
	saying(func(b job.Read) string {
		return and(b.What+": "+strings.Join(b.Values, " · "), after("with ", b.With), b.State, b.Note, photos(b.Photos))
	}),
	saying(func(b job.Received) string {
		return and("received", b.Says(), photos(b.Photos))
	}),
	saying(func(b job.Estimate) string {
		return and("estimate "+b.Low+" to "+b.High, b.Level, after("stop: ", b.Stop), b.Asked)
	}),
	saying(func(b job.Approved) string { return and("agreed: "+b.What, b.Level, b.How) }),
	saying(func(b job.Cleaned) string {
		return and("cleaned "+b.What, after("with ", b.With), after("in ", b.Basket), after("oil ways: ", b.Clear), b.Note, photos(b.Photos))
	}),
	saying(func(b job.Repaired) string {
		return and(b.Position+" repaired", b.What, b.How, after("with ", b.With), after("proved: ", b.Proved), b.Note, photos(b.Photos))
	}),
	saying(func(b job.Looked) string {
		return and(b.Position+", "+b.At+": "+b.Saw, b.Says, photos(b.Photos))
	}),
	saying(func(b job.Gap) string { return b.Ring + " on " + b.Cone + ": gap " + b.Value }),
	saying(func(b job.Drawn) string { return and(b.Shape+" drawn over a photo", b.Says) }),
	saying(func(b job.Decided) string {
		return and(b.Position+": "+b.Choice, b.Variant, after("piece ", b.Piece), b.Why)
	}),
	saying(func(b job.Added) string {
		return and("piece "+b.Piece.Tag+" added", b.Piece.Name, b.Piece.Thick, after("in ", b.Place))
	}),
	saying(func(b job.Came) string {
		return and("piece "+b.Piece.Tag+" came from "+b.From, b.Piece.Thick, after("to ", b.Place))
	}),
	saying(func(b job.Left) string { return and("piece "+b.Tag+" left for "+b.To, b.Why) }),
	saying(func(b job.Put) string { return "piece " + b.Tag + " put in " + b.Place }),
	saying(func(b job.Marked) string { return and("piece "+b.Tag+" is marked", pairs(b.Marks)) }),
	saying(func(b job.Fitted) string {
		return and(b.Position+" fitted: "+strings.Join(b.Tags, " + "), b.Faces, trial(b.Trial), photos(b.Photos))
	}),
	saying(func(b job.Torqued) string {
		return and(b.Position+" torqued to "+newtonMetres(b.Torque, b.U), b.Method, after("read ", b.Reading), trial(b.Trial), strings.Join(b.Warnings, "; "), photos(b.Photos))
	}),
	saying(func(b job.Heated) string {
		return and(b.Position+" out of the oven at "+b.Oven, after("the inner part at ", b.Inner), photos(b.Photos))
	}),
	saying(func(b job.Tested) string {
		return and(b.Test+" test: "+b.Says, after("witness ", b.Witness), b.Note, photos(b.Photos))
	}),
	saying(func(b job.Locked) string { return and(b.Position+" locked: "+b.How, photos(b.Photos)) }),
	saying(func(b job.Answered) string { return and(b.Question+": "+b.Answer, b.Why) }),
	saying(func(b job.Allowed) string { return and("passed "+b.Hold+": "+b.Why, after("witness ", b.Witness)) }),
	saying(func(b job.Signed) string { return and("signed: "+b.What, b.As) }),
	saying(func(b job.Cost) string { return and("cost: "+b.What, b.Stage, b.Hours, b.Money) }),
	saying(func(b job.Struck) string { return and("an entry struck", b.Why) }),
	saying(func(b job.Closed) string { return and("handed over, "+b.Oil, after("to ", b.To), b.Note) }),
	saying(func(b job.Instrument) string {
		return and(after("instrument ", b.Name), b.Quantity+" in "+b.Unit, doubtOf(b), after("checked ", b.Checked))
	}),
	saying(func(b job.Tool) string { return and(after("tool ", b.Name), b.Class, pairs(b.Values)) }),
	saying(func(b job.KeptBox) string { return "gearbox file kept: " + b.Name }),
}
