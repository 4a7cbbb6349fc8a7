package gearbox

import (
	"slices"
	"strings"
)

// Recovery says what to do when something has just gone wrong. Common practice,
// no source.
type Recovery struct {
	Key, Title string
	Kinds      []string // kinds of part at which it happens; none = anywhere
	Care       string   // caution that goes with it
	Do         []string // in order
	Not        string   // what makes it worse
}

var recoveries = []Recovery{
	{"balls", "Balls have dropped into the case", []string{"ball bearing", "ball", "hub", "sleeve", "rail", "spring"}, "", []string{
		"Stop. Turn nothing: a ball between teeth cracks both.",
		"Count those you have against the number of the part. Write down how many are missing.",
		"Tilt the case over a cloth; a magnet on a wire for the rest. Photograph where each lay.",
		"Only when the count is right does anything turn again."}, "Turning the shafts to shake them out."},
	{"stuck", "A ring is stuck half-way", []string{"ball bearing", "roller bearing", "taper bearing", "hub", "gear", "inner sleeve", "crown wheel"}, "press", []string{
		"Stop at once. Do not strike it home cold.",
		"Is it square? Look from two sides. If it is cocked, take it off again while it is warm.",
		"Square: press on the ring that has the fit, watching the gauge. Over three times the expected force: stop.",
		"Off again: warm the outer part alone, puller on that same ring. A bearing pulled through its balls is scrap.",
		"Look for a burr on the seat, measure it, and heat higher, up to the ceiling, before the next try."}, "A hammer, a flame, or pressing through the balls."},
	{"sleeve", "A sleeve went past its stop", []string{"sleeve", "hub", "strut", "baulk ring"}, "spring", []string{
		"Stop. Put a cloth over the hub: struts and balls are under spring.",
		"Count struts, balls and springs. Note what is missing.",
		"Push the sleeve back only when every strut lies in its slot; never force it over one that has risen.",
		"Too much has popped out: the hub comes apart and is built anew, marks in line.",
		"Make a washer or tube that stops the sleeve until the fork and the cover do."}, "Working the selector again to free it."},
	{"jammed", "Two gears are in at once, it will not turn", []string{"fork", "rail", "lever", "sleeve", "pin", "plunger"}, "interlock", []string{
		"Do not lever on the shafts.",
		"Open the lid over the rails. Put every rail to neutral by hand, one after another.",
		"Look at the reverse lever, each fork and each selector: is one the wrong way round?",
		"Count the interlock pin and plungers. Test every combination again before the lid goes on."}, "Turning harder."},
	{"spread", "A bearing came apart in the hot case", []string{"ball bearing", "roller bearing", "taper bearing"}, "hot", []string{
		"Leave the case on the plate; it stays warm and you have time.",
		"Take out loose parts with pliers, count them into a tin.",
		"The outer ring comes out while the case is warm. Heat the case again if it grips.",
		"Do not build that bearing together again: a new one goes in."}, "Bare hands. Metal looks the same at 20 and at 120 °C."},
	{"short", "It cooled before it was home", []string{"ball bearing", "roller bearing", "taper bearing", "hub", "inner sleeve", "gear"}, "hot", []string{
		"A feeler all round the shoulder: 0.04 mm must not enter.",
		"It enters: take it off now, and fit it again warmer. Every shim is wrong by that gap.",
		"Next time hold it home with the nut or a clamp until it is cold."}, "Leaving it because it is only a little."},
	{"overtight", "The crush sleeve was tightened too far", []string{"nut", "spacer"}, "torque", []string{
		"Do not back the nut off: the sleeve stays crushed and holds nothing.",
		"Undo it wholly, a new sleeve goes in, and the drag is approached from below."}, "Backing off to the wanted drag."},
	{"washer", "A thrust washer has dropped off its grease", []string{"washer", "shaft"}, "", []string{
		"Lift the shaft out again. Feel for both washers with a finger, then see both.",
		"Clean, less grease and stiffer, or a thread that holds it and is drawn out afterward.",
		"Tick both washers only when you have seen both in place."}, "Hoping that it lies at the bottom."},
	{"thread", "A thread pulled, or a stud turned in the case", []string{"stud", "bolt", "nut", "plug", "cover", "case"}, "magnesium", []string{
		"Stop at the first give. Note the torque it had.",
		"Measure what thread is left. An insert restores it: drilled square, dry in magnesium.",
		"Chips out before anything closes; count them as foreign parts.",
		"Torque its neighbours again in the pattern."}, "A longer bolt that bottoms."},
	{"wrong-way", "A part is on the wrong way round", nil, "", []string{
		"Strike its entry, with the reason. What lies over it comes off in the order shown.",
		"One-way parts that come off are new ones next time.",
		"Settings measured through it are no longer proven; the list says which."}, "Leaving it because it turns."},
	{"left-over", "There is a part left on the bench", nil, "", []string{
		"Do not turn the unit. Look up its tag, or find it on the drawing.",
		"If it belongs inside, open again: the position says what must come apart and how long it takes.",
		"If it is of the other unit, put it into that unit's tray and write a note in both books."}, "A drawer."},
	{"sheared", "A bolt sheared", []string{"bolt", "stud", "screw"}, "torque", []string{
		"Photograph it. What torque, which tool, how long a bar?",
		"Drill on centre through a guide; heat the case around it, not the bolt.",
		"Renew all of that set: its neighbours have had the same.",
		"Check the sum of the lever before the next one."}, "A bigger extractor at once."},
}

// Recoveries are the recovery cards for a kind of part, those for anything last;
// with no kind, all of them.
func Recoveries(kind string) []Recovery {
	var near, any []Recovery
	for _, r := range recoveries {
		switch {
		case len(r.Kinds) == 0:
			any = append(any, r)
		case kind == "" || slices.Contains(r.Kinds, kind):
			near = append(near, r)
		}
	}
	return append(near, any...)
}

// FindRecovery is the card of that key, or the first whose title has the word.
func FindRecovery(word string) (Recovery, bool) {
	for _, same := range []func(Recovery) bool{
		func(r Recovery) bool { return r.Key == word },
		func(r Recovery) bool {
			return strings.Contains(strings.ToLower(r.Title), strings.ToLower(word))
		},
	} {
		if i := slices.IndexFunc(recoveries, same); word != "" && i >= 0 {
			return recoveries[i], true
		}
	}
	return Recovery{}, false
}
