package plan

import (
	"encoding/json"
	"maps"
	"math"
	"slices"
	"strings"

	"endfloat/calc/unit"
	"endfloat/internal/job"
)

// Photo is a photo of a job: what it shows, at which step it was taken, and what
// was drawn over it.
type Photo struct {
	Key      string
	Position string // "" where it is of the whole unit
	Step     string // one of PhotoSteps
	Says     string
	Entry    job.Entry // that it came with
	Marks    []job.Done[job.Drawn]
}

// PhotoSteps are the steps at which photos are taken, in the order of the work.
var PhotoSteps = []string{"received", "as found", "inspected", "as built", "proven", "noted"}

// Photos are the photos of a job in the order of the book, each once.
func (v *View) Photos() []Photo {
	var out []Photo
	seen := map[string]bool{}
	for _, e := range v.Entries {
		if _, gone := v.Struck[e.ID]; gone {
			continue
		}
		step, position, says, keys := v.shown(e)
		for _, k := range keys {
			if k != "" && !seen[k] {
				seen[k] = true
				out = append(out, Photo{k, position, step, says, e, v.Drawn[k]})
			}
		}
	}
	return out
}

// PhotosAt are those of one position.
func (v *View) PhotosAt(position string) []Photo {
	return slices.DeleteFunc(v.Photos(), func(p Photo) bool { return p.Position != position })
}

// shown is what the photos of an entry show, and where.
func (v *View) shown(e job.Entry) (step, position, says string, keys []string) {
	switch e.Kind {
	case "received":
		b, _ := bodyOf[job.Received](e)
		keys = slices.Clone(b.Photos)
		for _, side := range slices.Sorted(maps.Keys(b.Sides)) {
			keys = append(keys, b.Sides[side])
		}
		return "received", "", "as it came in", keys
	case "noted":
		b, _ := bodyOf[job.Noted](e)
		return "noted", b.Position, b.Text, b.Photos
	case "taken off":
		b, _ := bodyOf[job.TakenOff](e)
		return "as found", b.Position, list("as it came off", b.Faced, b.Damage), b.Photos
	case "read":
		b, _ := bodyOf[job.Read](e)
		return "inspected", v.readAt(b.What), b.What + " " + strings.Join(b.Values, " · "), b.Photos
	case "looked":
		b, _ := bodyOf[job.Looked](e)
		return "inspected", b.Position, list(b.At+": "+b.Saw, b.Says), b.Photos
	case "cleaned":
		b, _ := bodyOf[job.Cleaned](e)
		return "inspected", b.Position, list("cleaned "+b.What, b.Clear), b.Photos
	case "repaired":
		b, _ := bodyOf[job.Repaired](e)
		return "as built", b.Position, list("repaired", b.What, b.How), b.Photos
	}
	return v.shownBuilt(e)
}

// shownBuilt is the same for the entries of building up.
func (v *View) shownBuilt(e job.Entry) (step, position, says string, keys []string) {
	switch e.Kind {
	case "fitted":
		b, _ := bodyOf[job.Fitted](e)
		return "as built", b.Position, list("fitted", b.Faces), b.Photos
	case "heated":
		b, _ := bodyOf[job.Heated](e)
		return "as built", b.Position, "out of the oven at " + b.Oven, b.Photos
	case "torqued":
		b, _ := bodyOf[job.Torqued](e)
		return "as built", b.Position, "torqued to " + newtonMetres(b.Torque, b.U), b.Photos
	case "locked":
		b, _ := bodyOf[job.Locked](e)
		return "as built", b.Position, "locked: " + b.How, b.Photos
	case "pattern":
		b, _ := bodyOf[job.Pattern](e)
		return "proven", "", list("contact pattern", "drive "+b.Drive.Height+" "+b.Drive.End, "coast "+b.Coast.Height+" "+b.Coast.End, b.Note), b.Photos
	case "tested":
		b, _ := bodyOf[job.Tested](e)
		return "proven", "", list("test: "+b.Test, b.Says), b.Photos
	}
	return "", "", "", nil
}

func bodyOf[B job.Body](e job.Entry) (B, bool) {
	var b B
	err := json.Unmarshal(e.Body, &b)
	return b, err == nil
}

// readAt is the position that a reading is about.
func (v *View) readAt(what string) string {
	if v.Box != nil {
		if m, ok := v.Box.Measure(what); ok && len(m.Of) > 0 {
			return m.Of[0]
		}
	}
	id, _, _ := strings.Cut(what, " ")
	if v.Spots[id] != nil {
		return id
	}
	return ""
}

func list(parts ...string) string {
	return strings.Join(slices.DeleteFunc(parts, func(s string) bool { return strings.TrimSpace(s) == "" }), ", ")
}

func newtonMetres(torque, u float64) string {
	nm, _ := unit.Find("N·m", unit.KindTorque)
	if u > 0 {
		return unit.FormatU(torque, u, nm)
	}
	return unit.FormatU(math.Round(torque*10)/10, 0, nm)
}
