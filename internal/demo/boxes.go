package demo

import _ "embed"

//go:embed bw-4t.gearbox.yaml
var bw4t []byte

//go:embed three-speed.gearbox.yaml
var threeSpeed []byte

//go:embed box-two.gearbox.yaml
var boxTwo []byte

// BoxTwo is the gearbox file of a club's hill-climb gearbox: dog rings, change
// gears for the hill, parts that live by runs.
func BoxTwo() []byte { return boxTwo }

// BW4T is the gearbox file of the BW-4T, the railcar gearbox of the
// demonstration workshop, grown to everything a file may hold.
func BW4T() []byte { return bw4t }

// ThreeSpeed is the smallest useful gearbox file: positions in order.
func ThreeSpeed() []byte { return threeSpeed }
