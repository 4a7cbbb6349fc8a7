package job

import (
	"encoding/json"
	"strings"

	"endfloat/internal/gearbox"
)

// Found are the parts that came off and were named by who took them off, in
// the order in which they came off: what a gearbox file can be written from.
func Found(entries []Entry) []gearbox.Found {
	gone := struck(entries)
	var out []gearbox.Found
	at := map[string]bool{}
	var before []string
	for _, e := range entries {
		if _, no := gone[e.ID]; no || e.Kind != "taken off" {
			continue
		}
		var b TakenOff
		if json.Unmarshal(e.Body, &b) != nil {
			continue
		}
		before = append(before, b.Position)
		if b.Name == "" || at[b.Position] {
			continue
		}
		at[b.Position] = true
		f := gearbox.Found{ID: b.Position, Name: b.Name, Kind: b.PartKind, Carrier: b.Carrier, Ends: b.Ends, From: b.From, Faced: b.Faced, Count: b.Count, Mark: b.Marks,
			Against: b.Against, After: before[: len(before)-1 : len(before)-1]}
		if len(b.Thick) > 0 && f.Kind == "" {
			f.Kind = "seat"
		}
		out = append(out, f)
	}
	return out
}

// Draft is the text of a gearbox file written from a book: "" when no part that
// somebody named has come off.
func Draft(entries []Entry) []byte {
	found := Found(entries)
	if len(found) == 0 {
		return nil
	}
	name := ""
	for _, e := range entries {
		var b Opened
		if e.Kind == "opened" && json.Unmarshal(e.Body, &b) == nil {
			name = strings.TrimSpace(b.Type)
			break
		}
	}
	return gearbox.Write(name, found)
}
