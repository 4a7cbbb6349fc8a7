package demo

import (
	"slices"
	"time"

	"endfloat/internal/gearbox"
	"endfloat/internal/job"
	"endfloat/internal/plan"
	"endfloat/internal/shop"
)

type planStep = plan.Step

// pick takes the piece that was decided for a position.
func pick(p *gearbox.Position, d *shop.Desk) []string {
	if sp := d.Spots[p.ID]; sp != nil && sp.Decided != nil && sp.Decided.Is.Piece != "" {
		return []string{sp.Decided.Is.Piece}
	}
	return []string{job.Tag("L", p.ID)}
}

func stopAt(ids ...string) func(string) bool {
	return func(id string) bool { return slices.Contains(ids, id) }
}

func (t *teller) fit(position string, trial bool, tags ...string) {
	d := t.open(Linnet)
	if t.err != nil {
		return
	}
	p, _ := d.Box.Position(position)
	t.warm(Linnet, position)
	t.do(Linnet, job.Fitted{Position: position, Tags: tags, Trial: trial, Faces: fitFacing(p), With: helper(p)})
}

func (t *teller) off(position string) {
	d := t.open(Linnet)
	if t.err != nil {
		return
	}
	p, _ := d.Box.Position(position)
	t.do(Linnet, job.TakenOff{Position: position, Faced: facing(p), Place: "bench", Moved: "after the trial"})
}

// seats and late are what the stacks leave for the settings.
var seats = []string{"P33", "P36", "D20", "D21", "Q13", "Q04"}

// stacks builds the pinion shaft with a trial spacer and sets its preload.
func (t *teller) stacks() {
	t.day(time.February, 17, 9)
	late := append(slices.Clone(seats), "D18", "D19", "C04", "R01", "F04", "F05", "F06", "Q16", "Q17")
	t.fitAll(Linnet, pick, stopAt(late...))
	t.read(Linnet, "groove gap", "feelers", "2.08")
	t.fit("Q04", false, "c-2.05")
	t.tightenAll(map[string]string{"P04": "12 N·m", "D31": "30 N·m"})
	t.fit("P33", true, "i-12.40")
	late = slices.DeleteFunc(late, func(id string) bool { return id == "P33" })
	t.fitAll(Linnet, pick, stopAt(append(late, "P38", "P39")...))
	// The old nut and tab washer do for the trial.
	t.fit("P38", true, "L-P38")
	t.fit("P39", true, "L-P39")
	bar := map[string]string{"tool": "600 mm bar", "pull": "238 N ± 0.5 N"}
	t.tighten(Linnet, "P39", shop.ByBar, true, bar)
	t.read(Linnet, "taper play", "dial indicator", "0.07 0.07 0.07", state("nut torqued"))
	for _, id := range []string{"P39", "P38", "P37", "P34"} {
		t.off(id)
	}
	t.fit("P33", false, "i-12.28")
	t.fit("P34", false, "N-P34")
	t.fit("P37", false, "L-P37")
	t.fit("P38", false, "N-P38")
	t.fit("P39", false, "N-P39")
	t.tighten(Linnet, "P39", shop.ByBar, false, bar)
	t.read(Linnet, "pinion drag", "hanging scale", "", whole("0.81 N·m ± 0.03"), state("oiled, steady"),
		remark("18 N steady on a cord at radius 45 mm; the 24 N it took to start does not count"))
	t.tighten(Linnet, "D04", shop.ByExtension, false, map[string]string{"tool": "120 N·m wrench with crow-foot", "set": "63.0 N·m"})
	t.do(Linnet, job.Locked{Position: "D04", How: "tab plates bent on a flat, all ten", Line: true, Photos: []string{t.plate(blue, 5)}})
	t.day(time.February, 20, 15)
	t.note(Linnet, "Until here. Pinion nut is torqued, its tab is NOT bent yet: first the depth.", "pause")
}

// test fills in a proof or a closing test as Linnet's came out.
func (t *teller) test(name, witness string) {
	d := t.open(Linnet)
	if t.err != nil {
		return
	}
	of, _ := d.TestOf(name)
	typed := map[string]string{"crown wheel": "left", "start": "0.20", "end": "0.20", "minutes": "10", "start temperature": "9", "end temperature": "9",
		"volume": "2.1 L", "oil": "straight mineral gear oil, kind to bronze", "batch": "2602",
		"R turns": "156.5", "1 turns": "163.7", "2 turns": "83.7", "3 turns": "58.7", "4 turns": "39.0"}
	values := map[string]string{}
	for _, f := range of.Fields {
		switch {
		case typed[f.Key] != "":
			values[f.Key] = typed[f.Key]
		case name == plan.SpinTest && f.Key == "R":
			values[f.Key] = "backward"
		default:
			values[f.Key] = f.Choices[0]
		}
	}
	t.do(Linnet, job.Tested{Test: name, Values: values, Witness: witness})
}

// tightenAll torques fastenings that a wrench reaches directly.
func (t *teller) tightenAll(at map[string]string) {
	for _, id := range sortedKeys(at) {
		t.tighten(Linnet, id, shop.ByWrench, false, map[string]string{"reads": at[id], "tool": "torque wrench"})
		if d := t.open(Linnet); t.err == nil {
			p, _ := d.Box.Position(id)
			if how := p.Lock.Text(d.Built); how != "" {
				t.do(Linnet, job.Locked{Position: id, How: how, Line: true, Photos: []string{t.plate(blue, len(id)+int(id[2]))}})
			}
		}
	}
}

func sortedKeys(m map[string]string) []string {
	var keys []string
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}

// settings goes from the primary float to the second trial of the backlash.
func (t *teller) settings() {
	t.day(time.March, 2, 8)
	t.read(Linnet, "mandrel radius", "outside micrometer", "30.00")
	t.read(Linnet, "gauge block", "outside micrometer", "33.50")
	t.fit("P36", true, "d1")
	t.read(Linnet, "gauge gap", "feelers", "0.40 0.41 0.42", at(20))
	t.do(Linnet, job.Answered{Question: "etched plus means", Answer: "further", Why: "yellow booklet 24, and the drawing on the mandrel's box"})
	t.fit("P36", false, "d1", "d5")
	t.read(Linnet, "gauge gap", "feelers", "0.55 0.56 0.57", at(20))
	t.read(Linnet, "D03 back-face run-out", "dial indicator", "0.02 0.03 0.02")
	t.read(Linnet, "D06 side-gear backlash", "dial indicator", "0.11")
	t.read(Linnet, "D07 side-gear backlash", "dial indicator", "0.12")
	t.day(time.March, 3, 8)
	t.read(Linnet, "case width X", "inside micrometer", "170.59 170.60 170.61", at(9))
	t.read(Linnet, "differential length Y", "outside micrometer", "166.33 166.34 166.35", at(9))
	t.fit("D18", false, "N-D18")
	t.fit("D19", false, "N-D19")
	t.day(time.March, 4, 9)
	t.fit("D20", true, "s14", "s7")
	t.fit("D21", true, "s1", "s2", "s8")
	t.read(Linnet, "drag of differential", "hanging scale", "", whole("1.80 N·m ± 0.03"), state("alone, oiled, steady"), remark("29 N at radius 62 mm"))
	t.read(Linnet, "total drag at pinion", "hanging scale", "", whole("1.215 N·m ± 0.03"), remark("27 N at radius 45 mm; 0.81 + 1.80 · 8/37 = 1.20 expected"))
	t.read(Linnet, "backlash", "dial indicator", "0.30 0.32 0.31 0.31", at(20))
	t.fit("D20", true, "s14", "s6", "s9")
	t.fit("D21", true, "s1", "s2")
	t.read(Linnet, "backlash", "dial indicator", "0.19 0.20 0.18 0.19", at(20))
}

// finish sets the backlash, builds up the rest, closes, tests and hands over.
func (t *teller) finish() {
	t.day(time.March, 5, 9)
	t.fit("D20", false, "s14", "s5", "s9")
	t.fit("D21", false, "s13", "s7", "s6")
	t.read(Linnet, "D20 thickness", "outside micrometer", "2.448 2.449 2.448")
	t.read(Linnet, "D21 thickness", "outside micrometer", "1.952 1.953 1.952")
	t.read(Linnet, "backlash", "dial indicator", "0.16 0.16 0.15 0.16", at(20))
	t.note(Linnet, "Pattern: mid height, toe-centre, both flanks. Photo with the toe marked.", "pattern")
	t.do(Linnet, job.Noted{Text: "Set 417 had run with 0.384 of backlash. It is set to the booklet's 0.13 to 0.18: pattern and bearings as found were bad.", Topic: "deviation"})
	t.do(Linnet, job.Locked{Position: "P39", How: "tab bent on a flat", Line: true, Photos: []string{t.plate(blue, 3)}})
	late := []string{"Q13", "C05", "C03", "C09", "C11", "C06", "C07", "C08"}
	t.fitAll(Linnet, pick, stopAt(append(late, "C04")...))
	t.tightenAll(map[string]string{"Q06": "10 N·m", "Q16": "120 N·m", "R05": "9 N·m"})
	t.fitAll(Linnet, pick, stopAt(append(late, "C02")...))
	t.test(plan.Direction, "")
	t.fitAll(Linnet, pick, stopAt(late...))
	t.day(time.March, 6, 9)
	t.tightenAll(map[string]string{"F16": "24 N·m", "F17": "24 N·m", "F18": "24 N·m"})
	t.read(Linnet, "bearing stand-up", "depth micrometer", "18.43 18.44 18.45", remark("new bearing, 0.20 wider than the ground one"))
	t.fit("Q13", false, "q-0.55")
	t.fit("C05", false, "N-C05")
	for _, r := range []struct{ what, value string }{{"fork 1/2 travel to 1st", "8.9"}, {"fork 1/2 travel to 2nd", "8.3"}, {"fork 3/4 travel to 3rd", "8.6"}, {"fork 3/4 travel to 4th", "8.5"}} {
		t.read(Linnet, r.what, "depth micrometer", r.value)
	}
	t.note(Linnet, "Fork 1/2 shimmed by 2 × 0.127 toward 1st: 0.09 of difference is left.", "forks")
	t.test(plan.Forks, "")
	t.test(plan.Interlock, "Ivo")
	t.day(time.March, 8, 9)
	t.fitAll(Linnet, pick, stopAt("C07"))
	t.tightenAll(map[string]string{"C09": "24 N·m", "D30": "45 N·m", "D32": "22 N·m", "C06": "30 N·m"})
	t.fitAll(Linnet, pick, stopAt())
	t.tightenAll(map[string]string{"C07": "30 N·m"})
	t.test(plan.LeakTest, "")
	t.test(plan.OilFill, "Ivo")
	for _, r := range []struct{ gear, turns string }{{"R", "156.5"}, {"1st", "163.7"}, {"2nd", "83.7"}, {"3rd", "58.7"}, {"4th", "39.0"}} {
		t.read(Linnet, "turns for ten "+r.gear, "", r.turns)
	}
	t.test(plan.SpinTest, "")
	t.test(plan.ShiftTest, "")
	for _, c := range hoursToEnd {
		t.do(Linnet, c)
	}
	t.day(time.March, 9, 9)
	t.do(Linnet, job.Closed{To: "Hask Valley Light Railway", Oil: "filled", Note: "2.1 L to the plug, green tag. First run at walking pace on the yard track."})
}
