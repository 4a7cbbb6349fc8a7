package web

import (
	"context"
	"io"
	"log/slog"
	"net/http"
	"strconv"
	"strings"
	"time"

	"github.com/VictoriaMetrics/metrics"
)

// healthPatience is how long the store may take to answer what watches over a server.
const healthPatience = 3 * time.Second

// healthz answers whether the workshop can be read: for what watches over a
// server, which is not paired. It tells nothing else.
func (s *server) healthz(v *visit) error {
	code, says := http.StatusOK, "ok\n"
	ctx, cancel := context.WithTimeout(v.r.Context(), healthPatience)
	defer cancel()
	if err := s.sh.Ready(ctx); err != nil {
		slog.Error("not healthy", "err", err)
		code, says = http.StatusServiceUnavailable, "the store cannot be read; the log says why\n"
	}
	v.w.Header().Set("Content-Type", "text/plain; charset=utf-8")
	v.w.WriteHeader(code)
	io.WriteString(v.w, says) // whoever asked may have gone
	return nil
}

// metrics writes the figures of this program in the text format of Prometheus,
// where the options ask for them.
func (s *server) metrics(v *visit) error {
	if s.set == nil {
		return s.nothing(v)
	}
	v.w.Header().Set("Content-Type", "text/plain; version=0.0.4; charset=utf-8")
	s.set.WritePrometheus(v.w)
	metrics.WriteProcessMetrics(v.w)
	return nil
}

// seen counts and logs a request once it is answered. What was typed, and tokens,
// are never logged: the pattern of the address is.
func (s *server) seen(pattern string, began time.Time, code int) {
	took := time.Since(began)
	if s.opt.Log != nil {
		s.opt.Log.Info("request", "route", pattern, "status", code, "ms", float64(took.Microseconds())/1000)
	}
	if s.set == nil {
		return
	}
	route := strings.NewReplacer(`\`, "", `"`, "").Replace(pattern)
	s.set.GetOrCreateCounter(`endfloat_requests_total{route="` + route + `",status="` + strconv.Itoa(code) + `"}`).Inc()
	s.set.GetOrCreateHistogram(`endfloat_request_seconds{route="` + route + `"}`).Update(took.Seconds())
}

// turnedAway logs who was refused and why: the address, never what was sent. The
// path is quoted by the log, so that it cannot forge a line.
func (s *server) turnedAway(r *http.Request, why string) {
	if s.opt.Log == nil {
		return
	}
	who, _ := r.Context().Value(meKey{}).(me)
	s.opt.Log.Warn("turned away", "why", why, "from", r.RemoteAddr, "device", who.ID, "method", r.Method, "path", r.URL.Path)
}

// newSet begins the figures of one server.
func (s *server) newSet() *metrics.Set {
	set := metrics.NewSet()
	set.NewGauge(`endfloat_info{version="`+s.opt.Version+`"}`, func() float64 { return 1 })
	set.NewGauge("endfloat_screens_open", func() float64 { return float64(s.sh.Listeners()) })
	set.NewGauge("endfloat_seconds_since_proven_copy", func() float64 {
		last, ok, err := s.sh.LastProven(context.Background())
		if err != nil || !ok {
			return -1 // there never was one
		}
		return time.Since(last.At).Seconds()
	})
	return set
}

// coded remembers the status of an answer.
type coded struct {
	http.ResponseWriter
	code int
}

func (c *coded) WriteHeader(code int) {
	if c.code == 0 {
		c.code = code
	}
	c.ResponseWriter.WriteHeader(code)
}

func (c *coded) Unwrap() http.ResponseWriter { return c.ResponseWriter }
