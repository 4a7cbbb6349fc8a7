package web

import (
	"encoding/json"

	"endfloat/internal/job"
)

// benchSays puts the entries of receiving, cleaning, looking and agreeing into a
// sentence. at is the label of the position.
func benchSays(e job.Entry, at string) string {
	f := func(k string) string { return field(e, k) }
	switch e.Kind {
	case "received":
		var b job.Received
		_ = json.Unmarshal(e.Body, &b) // fields of another shape stay empty
		return "Received" + and(": ", b.Says())
	case "estimate":
		return "Estimated " + f("low") + " to " + f("high") + and(", stop-point ", f("stop"))
	case "approved":
		return "Agreed with the customer: " + f("what")
	case "cleaned":
		return "Cleaned " + f("what") + and(" with ", f("with")) + and(", oil ways ", f("clear"))
	case "repaired":
		return "Repaired " + at + ": " + f("how")
	case "looked":
		return "Looked at " + at + ", " + f("at") + ": " + f("saw") + and(", ", f("says"))
	case "gap":
		return "Gap of " + f("ring") + " on " + f("cone") + ": " + f("value")
	case "drawn":
		return "Drew " + map[string]string{"arrow": "an arrow", "circle": "a circle", "toe": "the toe", "heel": "the heel", "text": "words"}[f("shape")] + " over a photo" + and(": ", f("says"))
	}
	return "Another version of the gearbox file" + and(": ", f("why"))
}
