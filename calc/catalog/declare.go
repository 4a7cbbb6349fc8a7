package catalog

import "endfloat/calc/unit"

// The helpers below keep declarations short enough to read as a table. Ranges
// are given in the unit of the input.

// ask declares an input that is one quantity.
func ask(key, symbol string, k unit.Kind, symbolOfUnit string, lo, hi float64, help string) Input {
	u := mustUnit(symbolOfUnit, k)
	in := Input{Key: key, Symbol: symbol, Help: help, Kind: k, Unit: symbolOfUnit}
	in.Min, in.Max = toSI(lo, u), toSI(hi, u)
	return in
}

// mm declares a length in millimetres.
func mm(key, symbol string, lo, hi float64, help string) Input {
	return ask(key, symbol, unit.KindLength, "mm", lo, hi, help)
}

// whole declares a count.
func whole(key, symbol string, lo, hi float64, help string) Input {
	in := ask(key, symbol, unit.Number, "", lo, hi, help)
	in.Whole = true
	return in
}

// choice declares a question with fixed answers. It has no default: what is
// asked is a sign or a sense that only a person can know.
func choice(key, help string, answers ...string) Input {
	return Input{Key: key, Help: help, Choices: answers}
}

// text declares an input that the sum reads itself.
func text(key, help string) Input { return Input{Key: key, Help: help, Words: true} }

func (in Input) many() Input           { in.Many = true; return in }
func (in Input) named() Input          { in.Named = true; return in }
func (in Input) optional() Input       { in.Optional = true; return in }
func (in Input) or(value string) Input { in.Default = value; return in }

// gives declares an output that is a quantity.
func gives(key, symbol string, k unit.Kind, symbolOfUnit string, places int, title string) Output {
	return Output{Key: key, Symbol: symbol, Title: title, Kind: k, Unit: symbolOfUnit, Places: places}
}

// givesMM declares a length in millimetres, to the hundredth.
func givesMM(key, symbol, title string) Output {
	return gives(key, symbol, unit.KindLength, "mm", 2, title)
}

// says declares an output in words.
func says(key, title string) Output { return Output{Key: key, Title: title, Words: true} }

// counts declares an output that is a whole number.
func counts(key, symbol, title string) Output {
	return Output{Key: key, Symbol: symbol, Title: title}
}

// mustUnit finds a unit that a declaration names; a wrong name is our own slip.
func mustUnit(symbol string, k unit.Kind) unit.Unit {
	u, ok := unit.Find(symbol, k)
	if !ok && symbol == "" {
		return unit.Unit{Factor: 1}
	}
	if !ok {
		panic("catalog: no unit " + symbol + " of " + k.String())
	}
	return u
}

func toSI(x float64, u unit.Unit) float64 {
	if u.Factor == 0 {
		return x
	}
	return (x - u.Offset) * u.Factor
}
