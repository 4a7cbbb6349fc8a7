package catalog

// Checked says what the sum has been checked on in the tests: a published value
// where there is one, else an identity, a limit or an example worked by hand.
func (s *Sum) Checked() string { return checked[s.Name] }

const byHand = "Worked by hand; no published example is known. "

var checked = map[string]string{
	"end-float":          byHand + "Identity: the shim that was worked out leaves the float that was wanted.",
	"end-float-two-ends": byHand + "Identity: both shims make up the total.",
	"taper-shim":         byHand + "Identity: the shim that was worked out leaves the preload wanted, behind a cup as under a flange.",
	"taper-spacer":       "Published direction: a thinner spacer gives more preload [TM660]. Values by hand.",
	"cover-gap":          "Published direction: a thinner pack under a cover gives more preload [TM660]. Values by hand.",
	"stack-length":       byHand + "Identity: a part narrower by so much stands proud by so much less.",
	"gear-float":         byHand + "Identity: the difference of two lengths.",
	"circlip":            byHand + "Identity: the next thicker one does not go in.",
	"fork-shim":          byHand + "Identity: shift and shims leave the residue.",
	"nose":               byHand + "Identity: clearance and engagement make up the bore beyond the bearing.",
	"length-20":          "By the definition of [ISO1], worked by hand; an instrument of the part's metal needs no correction.",
	"oil-level":          byHand + "Identity: a box fills by area times height.",
	"pack":               "Against trying every set of pieces, over random drawers.",
	"chain":              "Published: [GODFREY] nominal; [CHASE] worst case, root sum of squares and rejects, from memory. Random draws against the formula.",
	"mesh-alignment":     byHand + "Identities: gears alike in line share all, exchanging them turns the signs.",
	"plate-stack":        byHand + "Identity: adding what is said leaves the play wanted.",
	"ring-gap":           byHand + "Limit: on a cone of 45° wear and lost gap are equal.",

	"backlash-move":      "Published rule: 0.003 in of shim for 0.002 in of backlash [AXLE]. Moves by hand.",
	"backlash-factor":    "Published: pitch angles [JINDAL] 27-3, the rule of [AXLE], the ratio of the two senses [ARROW].",
	"dial-place":         byHand + "Published ratio of the two senses [ARROW].",
	"pinion-depth":       "Published, contradicting each other on the sign: [TM280] and [TM365], both come out.",
	"pinion-swap":        "Published, contradicting each other on the sign: [TM280] and [TM365], both come out.",
	"pattern":            "Published tables of [TM660], [TM266], [TM306], [TM638]; a mirror image turns the move round.",
	"side-shims":         byHand + "Identity: no correction at 20 °C.",
	"depth-hot":          byHand + "Limit: in one metal all grows alike, the depth by its own share.",
	"side-preload-hot":   "Published: 10 µm on the radius of a cup are 27.4 µm along the shaft [BNORMS]. Limits: one metal changes nothing, O is X turned round.",
	"backlash-allowance": "Published table [AGMABL], row by row.",
	"side-gear-washers":  byHand + "Same factor as backlash-factor, for straight teeth.",

	"lever":           "Common practice: 130 lbf·ft on 34 in want 45.9 lbf. Identity: what is pulled gives the torque back.",
	"lever-reading":   "Common practice: 45 lbf on 34 in are 2 % short of 130 lbf·ft.",
	"lever-band":      byHand + "Limit: without doubt the readings are the band itself.",
	"extension":       "Published: three examples printed in manuals and data sheets, in line and at an angle.",
	"cord":            byHand + "Identity: the pull for a torque gives the torque back.",
	"bolt-pull":       byHand + "Identity: the torque of a pull gives the pull back.",
	"pinion-drag":     byHand + "Limit: without the differential's drag it is the pinion's own.",
	"nut-preload":     "Published: table of fine threads [VDI2230]; pitch diameters and stress areas [ISO724], [ISO898-1]. Limit: without friction all stretches.",
	"held-shaft-bend": "Published: stresses of [WENTZELL] 17.1. Limit: without overhang nothing bends.",

	"speeds":          byHand + "Common practice: the constant 336 for miles an hour.",
	"turns":           byHand + "Identity: teeth and turns give one ratio.",
	"up-shift":        byHand + "Identity: road speed stays.",
	"centre-distance": "Published: centre distance of [GEARSHEET] and of a textbook pair.",

	"fit":               "Published: fits of [JINDAL], [BN8] and others; all tables against two or more sources [MD15], [MH31].",
	"fit-reverse":       "Identity: sizes made within a class are found to meet it.",
	"bearing-seat":      "Published: seats of [SKF], [GBB] and [NKE11].",
	"press":             "Published: pressures and stresses of [BN8], [UF03] and others.",
	"heat-to-fit":       "Published: temperatures of [KAZIMI] and others; at the temperature found the slip is that wanted.",
	"grip-hot":          "Published slope and slack temperature [KAZIMI]; values by hand.",
	"bearing-clearance": "Worked by hand with the formulas of [NTN]; no published example is known. Limit: without interference and warmth nothing is lost.",
	"push-ring":         byHand + "Every tube of a grid against the geometry of the bearing.",

	"run-out":            "Made data: an offset that was put in comes out, with lobes added too.",
	"index-run-out":      "Worked by hand; against all ways round. Limit: equal offsets cancel.",
	"backlash-variation": byHand + "Same factor as backlash-factor.",
	"gear-run-out":       byHand + "Against moving the centre distance by so much.",
	"verdict":            "Published: probabilities of [JCGM106] and the guard band of [ISO14253-1], from memory.",

	"oil-grade": "Published: table of [J306], 2019 and 2005, limits included.",
	"splash":    "Published limits of [TRIBHB], through notes.",
	"oil-fill":  byHand + "Limit: where nothing stays, what was drained goes in.",
	"convert":   "Published: factors of [SP811]. Identity: there and back.",
}
