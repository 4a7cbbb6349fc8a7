module endfloat

go 1.26

require (
	github.com/goccy/go-yaml v1.19.2 // indirect
	gonum.org/v1/gonum v0.17.0 // indirect
)
