package gearbox

import "slices"

// cautions are short and come at the step. Each defers to the maker's manual,
// the local rules and licensed practice. Common practice, no source, unless a
// manual is named in docs/sources.md.
var cautions = map[string]string{
	"spring":    "Springs fly. Cover the hub or rail before you draw it off, and wear eye protection.",
	"press":     "Bearings burst under a press: full face shield, a screen, never at eye level. Push the ring that has the fit.",
	"hot":       "Hot metal looks the same at 20 and at 120 °C. Dry gloves, no synthetic sleeves, a HOT tag on the bench.",
	"cold":      "Dry ice and liquid nitrogen burn the skin and suffocate in a closed room. Gloves, goggles, open doors.",
	"magnesium": "Magnesium dust and swarf burn fiercely. No water, no sparks; dry sand or a class D extinguisher at hand.",
	"solvent":   "Solvents: goggles, gloves, ventilation, no flame. Follow the sheet of the product and local disposal rules.",
	"asbestos":  "Old gaskets and clutch dust may hold asbestos. Never dry-sand or blow them; remove damp, follow local rules.",
	"lift":      "Never be under a unit held by a jack or sling alone. Lift only by sound, proven points; strap it down.",
	"torque":    "Clamp the stand. Push with an open hand, no face over the bar; hold the shaft only through teeth and dogs fully home.",
	"interlock": "A missing interlock lets two gears engage at once and locks the wheels on the road or rail. Test every combination.",
	"circlip":   "Circlips spring off. Eye protection; a shaft may drop when its ring is opened.",
	"pressure":  "Air test: low pressure only, a relief valve, stand clear of plugs and covers.",
	"first run": "First run where a locked box does no harm: low speed, wheels chocked while setting, nobody in line.",
}

// Defers is the sentence that stands under every caution.
const Defers = "The maker's manual, local rules and licensed practice come first."

// Caution returns the words of a caution by its key.
func Caution(key string) (string, bool) {
	c, ok := cautions[key]
	return c, ok
}

// Cautions are the keys of all cautions, sorted.
func Cautions() []string {
	var keys []string
	for k := range cautions {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}
