package cli

import (
	"os"
	"runtime"
	"runtime/debug"
	"runtime/metrics"
	"time"
)

// With a small heap and many pages at once the collector runs a hundred times a
// second, and pages wait for it. While it would run oftener than every often, so much
// garbage is let gather before it does; in a quiet workshop memory is given back.
const (
	garbage = 48 << 20 // bytes
	often   = time.Second / 4
	usual   = 100       // percent of what is in use: Go's own
	most    = 128 << 20 // bytes held in all, where what is in use leaves as much again free
)

// makeRoom watches the collector from now on, unless whoever runs the program has set it.
func makeRoom() {
	if os.Getenv("GOGC")+os.Getenv("GOMEMLIMIT") != "" {
		return
	}
	live := []metrics.Sample{{Name: "/gc/heap/live:bytes"}}
	last, percent := time.Now(), usual
	var collected func(*[16]byte)
	collected = func(*[16]byte) { // once after each collection, one at a time
		metrics.Read(live)
		now, want, in := time.Now(), usual, live[0].Value.Uint64()
		if now.Sub(last) < often || percent > usual && now.Sub(last) < 8*often {
			want = max(usual, int(100*garbage/max(in, 1<<20)))
		}
		if last = now; want < percent*3/4 || want > percent*5/4 {
			percent = want
			debug.SetGCPercent(percent)
		}
		// A share of what was in use a moment ago would be too much beside a large photo.
		debug.SetMemoryLimit(int64(max(most, 2*in+garbage)))
		runtime.SetFinalizer(new([16]byte), collected)
	}
	runtime.SetFinalizer(new([16]byte), collected)
}
