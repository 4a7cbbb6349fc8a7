package report

import "endfloat/internal/job"

// saysBench puts the entries of receiving, cleaning, looking and agreeing into words.
func (b *book) saysBench(e job.Entry) string {
	switch e.Kind {
	case "received":
		return words(e, func(x job.Received) string {
			return joined(": ", "received", x.Says())
		})
	case "estimate":
		return words(e, func(x job.Estimate) string {
			return joined(", ", "estimate "+x.Low+" to "+x.High, x.Level, "stop-point: "+x.Stop, b.name(x.May))
		})
	case "approved":
		return words(e, func(x job.Approved) string {
			return joined(", ", "agreed by "+b.name(x.By)+": "+x.What, x.Level, x.How)
		})
	case "cleaned":
		return words(e, func(x job.Cleaned) string {
			return joined(", ", "cleaned "+x.What, x.With, x.Basket, x.Clear, x.Note)
		})
	case "repaired":
		return words(e, func(x job.Repaired) string {
			return joined(", ", x.Position+" repaired: "+x.How, x.What, x.With, x.Proved, x.Note)
		})
	case "looked":
		return words(e, func(x job.Looked) string { return joined(", ", x.Position+" "+x.At+": "+x.Saw, x.Says) })
	case "gap":
		return words(e, func(x job.Gap) string { return "gap of " + x.Ring + " on " + x.Cone + ": " + x.Value })
	}
	return words(e, func(x job.Drawn) string { return joined(", ", x.Shape+" drawn over a photo", x.Position, x.Says) })
}
