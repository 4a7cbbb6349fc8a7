package web

import (
	"net"
	"net/http"
	"slices"
	"strings"

	"endfloat/internal/shop"
)

const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; connect-src 'self'; " +
	"font-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

// most is the largest request: a few photos as cameras make them.
const most = 100 << 20

// guard keeps out what does not belong here: other host names, which is how a
// foreign page reaches into a private network, and changes asked for by pages
// of other sites.
func (s *server) guard(next http.Handler) http.Handler {
	cross := http.NewCrossOriginProtection()
	cross.SetDenyHandler(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		s.turnedAway(r, "a change asked for by another site")
		http.Error(w, "A page of another site asked for this change: it was not made.", http.StatusForbidden)
	}))
	inner := cross.Handler(next)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", policy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cache-Control", "no-store")
		if r.TLS != nil {
			h.Set("Strict-Transport-Security", "max-age=31536000; includeSubDomains")
		}
		if !s.knows(r.Host) {
			s.turnedAway(r, "a host name that is not served")
			http.Error(w, "This workshop is not served under the name "+hostOnly(r.Host)+". Start it with that name allowed, or use the address it printed.", http.StatusMisdirectedRequest)
			return
		}
		if unsafe(r.Method) && r.Header.Get("Origin") == "" && r.Header.Get("Sec-Fetch-Site") == "" {
			s.turnedAway(r, "a change without its origin")
			http.Error(w, "A change must say where it comes from: send an Origin header with this workshop's address.", http.StatusForbidden)
			return
		}
		r.Body = http.MaxBytesReader(w, r.Body, most)
		if !unsafe(r.Method) {
			r = r.WithContext(shop.Soon(r.Context()))
		}
		if r, ok := s.let(w, r); ok {
			inner.ServeHTTP(w, r)
		}
	})
}

func unsafe(method string) bool {
	return !slices.Contains([]string{http.MethodGet, http.MethodHead, http.MethodOptions}, method)
}

func hostOnly(host string) string {
	if h, _, err := net.SplitHostPort(host); err == nil {
		host = h
	}
	return strings.ToLower(strings.Trim(host, "[]"))
}

func (s *server) knows(host string) bool {
	h := hostOnly(host)
	if ownName(h) {
		return true
	}
	return slices.ContainsFunc(s.opt.Host, func(o string) bool { return hostOnly(o) == h })
}

// ownName reports whether a host name is one that a computer has for itself.
func ownName(h string) bool { return slices.Contains([]string{"127.0.0.1", "localhost", "::1"}, h) }
