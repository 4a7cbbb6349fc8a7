package web

import (
	"net"
	"net/http"
	"sync"
	"time"

	"golang.org/x/time/rate"
)

// limits hold each address to a pace: a device that is not paired has no business
// here but to pair, and one that is may send what has waited for days, but not for
// ever without a pause. This computer itself has none.
type limits struct {
	mu sync.Mutex
	by map[string]*pace
}

type pace struct {
	*rate.Limiter
	seen time.Time
}

// Requests a second over a longer time, and at once.
const (
	strangerRate, strangerBurst = 5, 60
	pairedRate, pairedBurst     = 100, 1000
	mostPaces                   = 4096 // addresses remembered
)

// allow counts a request and reports whether it may be answered.
func (l *limits) allow(r *http.Request, paired bool) bool {
	host, _, err := net.SplitHostPort(r.RemoteAddr)
	if err != nil {
		host = r.RemoteAddr
	}
	if ip := net.ParseIP(host); ip != nil && ip.IsLoopback() {
		return true
	}
	key, per, burst := "?"+host, rate.Limit(strangerRate), strangerBurst
	if paired {
		key, per, burst = host, pairedRate, pairedBurst
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	now := time.Now()
	p := l.by[key]
	if p == nil {
		l.sweep(now)
		p = &pace{Limiter: rate.NewLimiter(per, burst)}
		l.by[key] = p
	}
	p.seen = now
	return p.AllowN(now, 1)
}

// sweep forgets addresses not heard of for a minute when there are too many, and
// all if that is not enough.
func (l *limits) sweep(now time.Time) {
	if l.by == nil {
		l.by = map[string]*pace{}
	}
	if len(l.by) < mostPaces {
		return
	}
	for k, p := range l.by {
		if now.Sub(p.seen) > time.Minute {
			delete(l.by, k)
		}
	}
	if len(l.by) >= mostPaces {
		clear(l.by)
	}
}
