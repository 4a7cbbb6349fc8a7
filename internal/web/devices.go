package web

import (
	"context"
	"crypto/sha256"
	"crypto/subtle"
	"errors"
	"html/template"
	"net"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"endfloat/internal/shop"

	"rsc.io/qr"
)

// me is who sent a request, and on what.
type me struct {
	ID     string // of the device; "" at the computer with the data file
	Name   string
	Device string
	Role   shop.Role
}

type meKey struct{}

// pass is the cookie that a paired device shows. Over https its name keeps it
// to this host and out of plain http.
func pass(r *http.Request) string {
	if r.TLS != nil {
		return "__Host-pass"
	}
	return "pass"
}

// asker tells who sent a request. The computer with the data file is its owner's;
// every other device shows what it was given when it was paired.
func (s *server) asker(r *http.Request) (me, bool) {
	if !s.opt.LAN || here(r) {
		return me{Role: shop.Owner}, true
	}
	c, err := r.Cookie(pass(r))
	if err != nil || c.Value == "" {
		return me{}, false
	}
	d, err := s.sh.DeviceOf(r.Context(), c.Value)
	if err != nil {
		return me{}, false
	}
	return me{d.ID, d.Name, d.Called, d.Role}, true
}

// here reports whether a request comes from the computer itself, by a name that
// only it has.
func here(r *http.Request) bool {
	host, _, err := net.SplitHostPort(r.RemoteAddr)
	ip := net.ParseIP(host)
	return err == nil && ip != nil && ip.IsLoopback() && ownName(hostOnly(r.Host))
}

// public are the pages that a device needs before it is paired.
func public(r *http.Request) bool {
	p := r.URL.Path
	return p == "/pair" || strings.HasPrefix(p, "/pair/") || strings.HasPrefix(p, "/static/") || p == "/trust" || strings.HasPrefix(p, "/trust/") || p == "/healthz"
}

// let decides whether a request may go on, and notes who sent it.
func (s *server) let(w http.ResponseWriter, r *http.Request) (*http.Request, bool) {
	who, in := s.asker(r)
	r = r.WithContext(context.WithValue(r.Context(), meKey{}, who))
	v := s.visit(w, r)
	switch {
	case s.opt.LAN && !s.pace.allow(r, in):
		s.turnedAway(r, "too many requests")
		w.Header().Set("Retry-After", "2")
		says := "Too many requests from this device at once. Wait a moment and go on; nothing is lost."
		if v.api {
			v.problem(http.StatusTooManyRequests, says)
		} else {
			http.Error(w, says, http.StatusTooManyRequests)
		}
		return r, false
	case public(r):
		return r, true
	case !in:
		s.turnedAway(r, "not paired")
		says := "This device is not paired with the workshop. Ask the owner to open Devices on the workshop's computer and to pair it."
		if v.api {
			v.problem(http.StatusUnauthorized, says)
		} else {
			v.refuseAt(http.StatusUnauthorized, "Not paired", says)
		}
		return r, false
	case unsafe(r.Method) && !who.Role.Writes() && r.URL.Path != "/look" && r.URL.Path != "/api/scan" && r.URL.Path != "/scan" && !strings.HasPrefix(r.URL.Path, "/api/sums/"):
		s.turnedAway(r, "a "+string(who.Role)+" may not")
		says := "A " + string(who.Role) + " " + who.Role.Does() + ". The owner or a hand may do this."
		if v.api {
			v.problem(http.StatusForbidden, says)
		} else {
			v.refuseAt(http.StatusForbidden, "Not for this role", says)
		}
		return r, false
	}
	return r, true
}

func (v *visit) refuseAt(code int, title, says string) {
	p := troublePage{frame: v.frame(title), Code: code, Text: says}
	p.Out = code == http.StatusUnauthorized
	if err := v.page(code, "trouble", p); err != nil {
		http.Error(v.w, says, code)
	}
}

// pairing is a device on its way in. It lives in memory only, for two minutes.
type pairing struct {
	code    [sha256.Size]byte // of the one-time code; cleared once used
	shown   string            // the code itself, for the owner's screen only
	until   time.Time
	wanted  shop.Device
	asker   string // the device whose owner began it
	tries   int
	claim   [sha256.Size]byte // of what the phone that gave the code shows
	words   string
	token   string // what it is given once the owner has said yes
	refused bool
}

// pairLife is how long a code may be used, pairTries how often a wrong one may
// be given.
const (
	pairLife  = 2 * time.Minute
	pairTries = 10
)

type pairings struct {
	mu  sync.Mutex
	now *pairing
}

// at runs fn on the pairing under way, or on nil.
func (p *pairings) at(fn func(*pairing)) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.now != nil && time.Now().After(p.now.until) {
		p.now = nil
	}
	fn(p.now)
}

type devicesPage struct {
	frame
	LAN     bool
	Plain   bool // served without https
	HTTPS   bool
	Base    string
	Devices []shop.Device
	Roles   []shop.Role
	Link    string
	Code    string
	QR      template.HTML
	Words   string
	For     shop.Device
	Left    int // seconds
}

// devices lists who may come in, and lets one more in.
func (s *server) devices(v *visit) error {
	ds, err := s.sh.Devices(v.r.Context())
	if err != nil {
		return err
	}
	p := devicesPage{frame: v.frame("Devices"), LAN: s.opt.LAN, Plain: s.opt.LAN && s.opt.CA == nil, HTTPS: s.opt.CA != nil, Base: s.opt.Base, Devices: ds, Roles: shop.Roles}
	if v.me.Role != shop.Owner {
		return v.show("devices", p)
	}
	s.pair.at(func(n *pairing) {
		if n == nil || n.token != "" || n.refused || n.asker != v.me.ID {
			return
		}
		p.For, p.Words, p.Left = n.wanted, n.words, int(time.Until(n.until).Seconds())
		if n.shown != "" {
			p.Link, p.Code = s.opt.Base+"/pair#"+n.shown, n.shown
		}
	})
	if p.Link != "" {
		code, err := qr.Encode(p.Link, qr.M)
		if err != nil {
			return err
		}
		p.QR = drawn(code)
	}
	return v.show("devices", p)
}

// drawn is a code as one path, with its quiet zone.
func drawn(c *qr.Code) template.HTML {
	var b strings.Builder
	n := strconv.Itoa(c.Size + 8)
	b.WriteString(`<svg class="code" viewBox="0 0 ` + n + ` ` + n + `" width="300" height="300" role="img" aria-label="Code to be photographed with the phone"><path fill="#fff" d="M0 0h` + n + `v` + n + `H0z"/><path fill="#000" d="`)
	for y := range c.Size {
		for x := range c.Size {
			if c.Black(x, y) {
				b.WriteString("M" + strconv.Itoa(x+4) + " " + strconv.Itoa(y+4) + "h1v1h-1z")
			}
		}
	}
	b.WriteString(`"/></svg>`)
	return template.HTML(b.String())
}

func (s *server) pairNew(v *visit) error {
	if err := v.form(); err != nil {
		return err
	}
	r := v.r
	d := shop.Device{Name: strings.TrimSpace(clip(r.FormValue("name"), 60)), Called: strings.TrimSpace(clip(r.FormValue("called"), 60)), Role: shop.Role(r.FormValue("role"))}
	err := v.owner("let devices in")
	switch {
	case err != nil:
	case !s.opt.LAN:
		err = invalid("the workshop is open to this computer only; start it with endfloat serve --lan")
	case d.Name == "" || d.Called == "":
		err = invalid("give the name of who uses it, and what the device is called")
	case !slices.Contains(shop.Roles, d.Role):
		err = invalid("choose what this person may do")
	default:
		var code string
		if code, err = shop.Secret(16); err == nil {
			s.pair.at(func(*pairing) {
				s.pair.now = &pairing{code: sha256.Sum256([]byte(code)), shown: code, until: time.Now().Add(pairLife), wanted: d, asker: v.me.ID}
			})
			return v.go303("/devices")
		}
	}
	if err := v.refused("pair", err); err != nil {
		return err
	}
	return s.devices(v)
}

func (v *visit) owner(what string) error {
	if v.me.Role == shop.Owner {
		return nil
	}
	return &plain{shop.ErrMayNot, "a " + string(v.me.Role) + " may not " + what + "; the owner may"}
}

// pairYes is the owner's word on the four words that the phone shows.
func (s *server) pairYes(v *visit) error {
	if err := v.form(); err != nil {
		return err
	}
	if err := v.owner("let devices in"); err != nil {
		return err
	}
	var wanted shop.Device
	s.pair.at(func(n *pairing) {
		switch {
		case n == nil || n.words == "" || n.words != v.r.FormValue("words") || n.asker != v.me.ID || n.token != "":
		case v.r.FormValue("yes") == "":
			n.refused = true
		default:
			wanted = n.wanted
		}
	})
	if wanted.Name == "" {
		return v.go303("/devices")
	}
	token, err := s.sh.Pair(v.r.Context(), v.by(), wanted)
	if err != nil {
		return err
	}
	s.pair.at(func(n *pairing) {
		if n != nil && n.words == v.r.FormValue("words") {
			n.token = token
		}
	})
	return v.go303("/devices")
}

func (s *server) strikeOff(v *visit) error {
	if err := v.form(); err != nil {
		return err
	}
	if err := s.sh.StrikeOff(v.r.Context(), v.by(), v.r.FormValue("device")); err != nil {
		return err
	}
	return v.go303("/devices")
}

type pairPage struct {
	frame
	Words string
	Plain bool
	CA    bool
}

func (s *server) pairPage(v *visit, words string) error {
	p := pairPage{frame: v.frame("Pair this device"), Words: words, Plain: v.r.TLS == nil, CA: s.opt.CA != nil}
	p.Out = true
	return v.show("pair", p)
}

// pairForm is where the code on the owner's screen leads. The code stands after
// the # and so never reaches a log; the page sends it by itself.
func (s *server) pairForm(v *visit) error { return s.pairPage(v, "") }

// pairCode takes the code, once.
func (s *server) pairCode(v *visit) error {
	if err := v.form(); err != nil {
		return err
	}
	given := sha256.Sum256([]byte(strings.TrimSpace(v.r.FormValue("code"))))
	claim, err := shop.Secret(32)
	if err != nil {
		return err
	}
	ok := false
	s.pair.at(func(n *pairing) {
		if n == nil || n.shown == "" {
			return
		}
		if subtle.ConstantTimeCompare(given[:], n.code[:]) != 1 {
			if n.tries++; n.tries >= pairTries {
				s.pair.now = nil
			}
			return
		}
		ok = true
		n.shown, n.code, n.claim = "", [sha256.Size]byte{}, sha256.Sum256([]byte(claim))
		n.words = fourWords(n.claim)
	})
	if !ok {
		s.turnedAway(v.r, "a wrong pairing code")
		err := invalid("this code is not the one on the owner's screen, was used already, or is older than two minutes. Ask for a new one")
		if err := v.refused("pair", err); err != nil {
			return err
		}
		return s.pairPage(v, "")
	}
	s.sh.Nudge(shop.DevicesBook)
	v.secret("claim", claim, int(pairLife.Seconds()))
	return v.go303("/pair/wait")
}

// secret keeps a cookie that no script reads and no other site sends.
func (v *visit) secret(name, value string, seconds int) {
	http.SetCookie(v.w, &http.Cookie{Name: name, Value: value, Path: "/", MaxAge: seconds, HttpOnly: true, Secure: v.r.TLS != nil, SameSite: http.SameSiteStrictMode})
}

// pairWait shows the four words until the owner has said yes.
func (s *server) pairWait(v *visit) error {
	claim := sha256.Sum256([]byte(v.cookie("claim")))
	words, token := "", ""
	s.pair.at(func(n *pairing) {
		if n == nil || n.refused || subtle.ConstantTimeCompare(claim[:], n.claim[:]) != 1 {
			return
		}
		if words, token = n.words, n.token; token != "" {
			s.pair.now = nil
		}
	})
	switch {
	case token != "":
		v.secret(pass(v.r), token, 400*24*3600)
		v.secret("claim", "", -1)
		return v.go303("/who")
	case words != "":
		return s.pairPage(v, words)
	}
	if err := v.refused("pair", invalid("the owner said no, or two minutes are over. Ask for a new code")); err != nil {
		return err
	}
	return s.pairPage(v, "")
}

// Door serves nothing but the workshop's certificate, for phones that do not trust
// it yet; everything else leads to the workshop itself.
func Door(sh *shop.Shop, o Options) http.Handler {
	s := &server{sh: sh, opt: o}
	inside := s.guard(s.mux())
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if p := r.URL.Path; p != "/trust" && p != "/trust/workshop.crt" && !strings.HasPrefix(p, "/static/") {
			http.Redirect(w, r, "/trust", http.StatusSeeOther)
			return
		}
		inside.ServeHTTP(w, r)
	})
}

// trust tells how the workshop's certificate is installed on a phone.
func (s *server) trust(v *visit) error {
	if s.opt.CA == nil {
		return missing("This workshop has no certificate of its own: it is started with endfloat serve --lan --https.")
	}
	p := trustPage{frame: v.frame("The workshop's certificate"), Base: s.opt.Base, Print: s.opt.CAPrint}
	_, p.Out = s.asker(v.r)
	p.Out = !p.Out
	return v.show("trust", p)
}

type trustPage struct {
	frame
	Base, Print string
}

// trustFile is the certificate itself; phones install it when it is opened.
func (s *server) trustFile(v *visit) error {
	if s.opt.CA == nil {
		return missing("This workshop has no certificate of its own.")
	}
	v.w.Header().Set("Content-Type", "application/x-x509-ca-cert")
	v.w.Header().Set("Content-Disposition", `attachment; filename="endfloat-workshop.crt"`)
	v.w.WriteHeader(http.StatusOK)
	v.w.Write(s.opt.CA) // whoever asked may have gone
	return nil
}

// still reports whether the device that asked may still come in.
func (v *visit) still() bool {
	if v.me.ID == "" {
		return true
	}
	ds, err := v.s.sh.Devices(v.r.Context())
	if errors.Is(err, context.Canceled) {
		return false
	}
	return err != nil || slices.ContainsFunc(ds, func(d shop.Device) bool { return d.ID == v.me.ID && d.Off.IsZero() })
}

// fourWords are what two people compare: 28 bits of what the phone holds.
func fourWords(h [sha256.Size]byte) string {
	out := make([]string, 4)
	for i := range out {
		out[i] = pairWords[h[i]&0x7f]
	}
	return strings.Join(out, " ")
}

var pairWords = strings.Fields(`acorn amber anchor apple arrow autumn badger barley basket beacon berry birch
blanket bottle branch bread bridge bronze bucket butter button candle carrot castle cedar cherry chimney
cider clover copper corner cotton cricket crystal daisy desert diamond dolphin donkey dragon eagle ember
engine falcon feather fiddle finger flour forest fossil fountain garden garlic ginger glacier goblet granite
guitar hammer harbour harvest hazel helmet honey island ivory jacket jigsaw kettle kitten ladder lantern
lemon linen lizard lobster magnet maple marble meadow melon mirror mitten mountain mustard needle nettle
nutmeg ocean olive onion orchard otter paddle parrot pebble pencil pepper pigeon planet plum pocket pottery
pumpkin quarry rabbit raven ribbon river rocket saddle salmon silver spider summer sunset teapot thistle
tiger timber tulip turnip valley velvet walnut willow window yellow`)
