// Package web is what a person at the bench sees: pages rendered on the server
// that work without JavaScript, a small module of our own that makes them
// quicker, and a JSON interface to the same things.
//
// Every page of a job shows whose gearbox it is. A form that is refused comes
// back with all that was typed and the reason at its place.
package web

import (
	"context"
	"crypto/ed25519"
	"errors"
	"fmt"
	"log/slog"
	"net/http"
	"runtime/debug"
	"time"

	"endfloat/internal/shop"

	"github.com/VictoriaMetrics/metrics"
)

// Options are what the caller decides.
type Options struct {
	Version string
	Host    []string // host names served besides 127.0.0.1, localhost and [::1]

	// Book makes the PDF of a job's book, or the version of it for one reader, on
	// A4 or Letter; nil where it is not offered.
	Book func(ctx context.Context, desk *shop.Desk, reader, paper string) ([]byte, error)

	// Key is the workshop's own key, which signs what leaves it; nil where there is none.
	Key func() (ed25519.PrivateKey, error)

	LAN     bool   // other devices may come in, once paired
	Base    string // address that they reach, such as http://192.168.1.20:8080
	CA      []byte // the workshop's own certificate (DER), where https is served with it
	CAPrint string // its SHA-256, to be compared by eye

	Metrics bool         // figures of this program at /metrics
	Log     *slog.Logger // where every request is logged; nil: none
}

// server answers requests for one workshop.
type server struct {
	sh    *shop.Shop
	opt   Options
	pair  pairings
	pace  limits
	cards cards
	set   *metrics.Set // nil where no figures are asked for
}

// route is one line of the list of everything that is served.
type route struct {
	pattern string
	do      func(*visit) error
}

func (s *server) routes() []route {
	return []route{
		{"GET /{$}", s.bench},
		{"GET /new", s.newForm},
		{"POST /new", s.newUnit},
		{"GET /stores", s.stores},
		{"POST /stores/piece", s.addPiece},
		{"POST /stores/instrument", s.addInstrument},
		{"POST /stores/tool", s.addTool},
		{"GET /orders", s.orders},
		{"GET /orders.csv", s.ordersCSV},
		{"GET /orders.pdf", s.ordersPDF},
		{"GET /offers", s.offers},
		{"POST /offers", s.addOffer},
		{"POST /offers/terms", s.workshopTerms},
		{"GET /choose", s.choose},
		{"POST /choose/accept", s.accept},
		{"GET /board", s.board},
		{"POST /board", s.assign},
		{"GET /tag", s.tag},
		{"GET /T/{tag}", s.label},
		{"GET /scan", s.scanForm},
		{"POST /scan", s.scan},
		{"GET /sums", s.sums},
		{"GET /sums/{name}", s.sum},
		{"POST /sums/{name}", s.keepSum},

		{"GET /job/{book}", s.card},
		{"GET /job/{book}/at/{pos}", s.position},
		{"POST /job/{book}/at/{pos}/mark", s.mark},
		{"GET /job/{book}/scan", s.scanForm},
		{"GET /job/{book}/labels", s.labels},
		{"GET /job/{book}/labels.pdf", s.labelsPDF},
		{"GET /job/{book}/file", s.file},
		{"POST /job/{book}/file", s.keepFile},
		{"GET /job/{book}/file.yaml", s.fileOut},
		{"GET /people", s.people},
		{"POST /people", s.keepPerson},
		{"POST /people/forget", s.forgetPerson},
		{"GET /job/{book}/receive", s.receive},
		{"GET /job/{book}/receive/{part}", s.receivePart},
		{"POST /job/{book}/receive/{part}", s.received},
		{"GET /job/{book}/clean", s.clean},
		{"POST /job/{book}/clean", s.cleaned},
		{"POST /job/{book}/basket", s.basket},
		{"GET /job/{book}/repair", s.repair},
		{"POST /job/{book}/repair", s.repaired},
		{"GET /job/{book}/look", s.inspection},
		{"GET /job/{book}/look/{pos}", s.lookAt},
		{"POST /job/{book}/look/{pos}", s.looked},
		{"GET /job/{book}/runout", s.runOut},
		{"POST /job/{book}/runout", s.dialled},
		{"GET /job/{book}/rings", s.rings},
		{"POST /job/{book}/rings", s.tryRing},
		{"GET /job/{book}/strip", s.strip},
		{"POST /job/{book}/strip", s.takeOff},
		{"GET /job/{book}/read", s.readings},
		{"GET /job/{book}/read/one", s.reading},
		{"POST /job/{book}/read/one", s.record},
		{"GET /job/{book}/read/parsed", s.parsed},
		{"GET /job/{book}/decide", s.decisions},
		{"POST /job/{book}/decide", s.decide},
		{"POST /job/{book}/decide/rules", s.decideByRule},
		{"GET /job/{book}/ways", s.ways},
		{"POST /job/{book}/order", s.place},
		{"GET /job/{book}/goods/{tag}", s.goods},
		{"POST /job/{book}/goods/{tag}", s.checkIn},
		{"POST /job/{book}/back/{tag}", s.sendBack},
		{"GET /job/{book}/costs", s.costs},
		{"POST /job/{book}/costs", s.spend},
		{"GET /job/{book}/levels.pdf", s.levelsPDF},
		{"GET /job/{book}/drawings", s.drawings},
		{"GET /job/{book}/drawing", s.drawing},
		{"GET /job/{book}/settings", s.settings},
		{"GET /job/{book}/setting", s.setting},
		{"POST /job/{book}/setting/fit", s.fitPacks},
		{"POST /job/{book}/setting/answer", s.answer},
		{"GET /job/{book}/strength", s.strength},
		{"GET /job/{book}/pattern", s.pattern},
		{"POST /job/{book}/pattern", s.tried},
		{"GET /job/{book}/build", s.build},
		{"POST /job/{book}/build", s.fit},
		{"POST /job/{book}/allow", s.allow},
		{"GET /job/{book}/torque/{pos}", s.torque},
		{"POST /job/{book}/torque/{pos}", s.tighten},
		{"POST /job/{book}/lock/{pos}", s.lock},
		{"GET /job/{book}/heat/{pos}", s.heat},
		{"POST /job/{book}/heat/{pos}", s.outOfOven},
		{"GET /job/{book}/tests", s.tests},
		{"GET /job/{book}/tests/{name}", s.test},
		{"POST /job/{book}/tests/{name}", s.recordTest},
		{"GET /job/{book}/today", s.today},
		{"GET /job/{book}/status", s.whereAreWe},
		{"GET /job/{book}/card.pdf", s.cardPDF},
		{"GET /job/{book}/wrong", s.wrong},
		{"POST /job/{book}/answered", s.answerNote},
		{"GET /job/{book}/note", s.noteForm},
		{"POST /job/{book}/note", s.note},
		{"GET /job/{book}/hand-over", s.handOverForm},
		{"POST /job/{book}/hand-over", s.handOver},
		{"GET /job/{book}/book", s.book},
		{"GET /job/{book}/book.pdf", s.bookPDF},
		{"GET /job/{book}/export.zip", s.exportJob},
		{"GET /job/{book}/readings.csv", s.readingsCSV},
		{"GET /job/{book}/parts.csv", s.partsCSV},
		{"GET /job/{book}/proof", s.proof},
		{"GET /archive", s.archive},
		{"POST /archive/check", s.checkFile},
		{"POST /archive/import", s.takeArchive},
		{"GET /export.zip", s.exportAll},
		{"POST /job/{book}/strike", s.strike},
		{"GET /job/{book}/bags", s.bags},
		{"POST /job/{book}/bags/saw", s.sawBag},
		{"POST /job/{book}/bags/mystery", s.mystery},
		{"GET /job/{book}/photos", s.gallery},
		{"GET /job/{book}/photos/{key}", s.onePhoto},
		{"POST /job/{book}/photos/{key}", s.drawOn},
		{"POST /job/{book}/photos/{key}/forget", s.forgetPhoto},

		{"GET /photo/{key}", s.photo},
		{"GET /photo/{key}/small", s.smallPhoto},
		{"GET /events", s.events},
		{"GET /devices", s.devices},
		{"POST /devices/pair", s.pairNew},
		{"POST /devices/yes", s.pairYes},
		{"POST /devices/strike", s.strikeOff},
		{"GET /pair", s.pairForm},
		{"POST /pair", s.pairCode},
		{"GET /pair/wait", s.pairWait},
		{"GET /trust", s.trust},
		{"GET /trust/workshop.crt", s.trustFile},
		{"GET /waiting", s.waiting},
		{"POST /waiting", s.takeWaiting},
		{"GET /sw.js", s.worker},
		{"GET /who", s.whoForm},
		{"POST /who", s.who},
		{"POST /look", s.look},
		{"GET /search", s.search},
		{"GET /static/{file...}", s.static},
		{"GET /healthz", s.healthz},
		{"GET /metrics", s.metrics},

		{"GET /api/openapi.json", s.apiDescription},
		{"GET /api/jobs", s.apiJobs},
		{"GET /api/job/{book}", s.apiJob},
		{"POST /api/job/{book}/entry", s.apiEntry},
		{"GET /api/job/{book}/labels", s.apiLabels},
		{"GET /api/job/{book}/papers", s.apiPapers},
		{"GET /api/job/{book}/proof", s.apiProof},
		{"POST /api/verify", s.apiVerify},
		{"POST /api/import", s.apiImport},
		{"POST /api/choose", s.apiChoose},
		{"POST /api/choose/accept", s.apiAccept},
		{"GET /api/board", s.apiBoard},
		{"POST /api/board", s.apiAssign},
		{"GET /api/board/place", s.apiTries},
		{"GET /api/orders", s.apiOrders},
		{"GET /api/offers", s.apiOffers},
		{"POST /api/job/{book}/order", s.apiOrder},
		{"GET /api/job/{book}/goods", s.apiGoods},
		{"GET /api/job/{book}/costs", s.apiCosts},
		{"GET /api/job/{book}/ways", s.apiWays},
		{"GET /api/job/{book}/strength", s.apiStrength},
		{"GET /api/job/{book}/drawings", s.apiDrawings},
		{"GET /api/job/{book}/drawing", s.apiDrawing},
		{"GET /api/job/{book}/status", s.apiStatus},
		{"GET /api/job/{book}/tests", s.apiTests},
		{"GET /api/job/{book}/today", s.apiToday},
		{"GET /api/job/{book}/reach", s.apiReach},
		{"GET /api/job/{book}/receive", s.apiReceive},
		{"GET /api/job/{book}/clean", s.apiClean},
		{"POST /api/job/{book}/basket", s.apiBasket},
		{"GET /api/job/{book}/look", s.apiLook},
		{"GET /api/job/{book}/rings", s.apiRings},
		{"GET /api/people", s.apiPeople},
		{"POST /api/people", s.apiKeepPerson},
		{"GET /api/recovery", s.apiRecovery},
		{"GET /api/search", s.apiSearch},
		{"POST /api/forget", s.apiForget},
		{"POST /api/photo", s.apiPhoto},
		{"GET /api/job/{book}/photos", s.apiPhotos},
		{"GET /api/job/{book}/bags", s.apiBags},
		{"GET /api/job/{book}/decide", s.apiDecide},
		{"POST /api/scan", s.apiScan},
		{"GET /api/sums", s.apiSums},
		{"POST /api/sums/{name}", s.apiSum},
		{"GET /api/instruments", s.apiInstruments},
		{"GET /", s.nothing},
	}
}

// New serves a workshop.
func New(sh *shop.Shop, o Options) http.Handler {
	s := &server{sh: sh, opt: o}
	if o.Metrics {
		s.set = s.newSet()
	}
	return s.guard(squeeze(s.mux()))
}

func (s *server) mux() *http.ServeMux {
	mux := http.NewServeMux()
	for _, r := range s.routes() {
		mux.HandleFunc(r.pattern, s.handle(r.pattern, r.do))
	}
	return mux
}

// handle runs one route and turns what it returns into a page.
func (s *server) handle(pattern string, do func(*visit) error) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		if s.set != nil || s.opt.Log != nil {
			c := &coded{ResponseWriter: w}
			defer func(began time.Time) { s.seen(pattern, began, max(c.code, http.StatusOK)) }(time.Now())
			w = c
		}
		v := s.visit(w, r)
		defer func() {
			if p := recover(); p != nil {
				slog.Error("a page failed", "path", r.URL.Path, "says", p, "stack", string(debug.Stack()))
				v.trouble(fmt.Errorf("%v", p))
			}
		}()
		if err := do(v); err != nil {
			v.trouble(err)
		}
	}
}

// trouble answers with what went wrong, in a calm voice.
func (v *visit) trouble(err error) {
	if errors.Is(err, context.Canceled) {
		return
	}
	code, says := status(err)
	if code == http.StatusInternalServerError || code == http.StatusServiceUnavailable {
		slog.Error("a request failed", "path", v.r.URL.Path, "err", err)
	}
	if v.api {
		v.problem(code, says)
		return
	}
	p := troublePage{frame: v.frame("Not found"), Code: code, Text: says}
	if code != http.StatusNotFound {
		p.Title = "Something went wrong"
	}
	if code == http.StatusServiceUnavailable && !unsafe(v.r.Method) {
		v.w.Header().Set("Refresh", "10")
		p.Text += " This page looks again by itself."
	}
	if err := v.page(code, "trouble", p); err != nil {
		http.Error(v.w, says, code)
	}
}

// status is the HTTP status and the sentence for an error.
func status(err error) (int, string) {
	var hold *shop.HoldError
	switch {
	case errors.As(err, &hold):
		return http.StatusConflict, err.Error()
	case errors.Is(err, shop.ErrMayNot):
		return http.StatusForbidden, err.Error()
	case errors.Is(err, shop.ErrNotFound):
		return http.StatusNotFound, err.Error()
	case errors.Is(err, shop.ErrInvalid):
		return http.StatusUnprocessableEntity, err.Error()
	case errors.Is(err, shop.ErrConflict):
		return http.StatusConflict, "Somebody else wrote to this book at the same moment. Look at what is there now and send it again."
	case errors.Is(err, shop.ErrFull):
		return http.StatusInsufficientStorage, "The disk is full: nothing was written. Make room and send it again."
	case errors.Is(err, shop.ErrAway):
		return http.StatusServiceUnavailable, "The database does not answer. What was kept before is safe. See that its server runs and can be reached. What you sent may be sent again as it is: it is kept once."
	case errors.Is(err, shop.ErrNewer), errors.Is(err, shop.ErrForeign):
		return http.StatusConflict, err.Error()
	}
	return http.StatusInternalServerError, "The program could not do this. Nothing that was recorded before is lost. Go back and try again; the log says what happened."
}

type troublePage struct {
	frame
	Code int
	Text string
}

func (s *server) nothing(v *visit) error {
	if v.api {
		v.problem(http.StatusNotFound, "there is nothing under this address")
		return nil
	}
	p := troublePage{frame: v.frame("Not found"), Code: http.StatusNotFound, Text: "There is nothing under this address."}
	return v.page(http.StatusNotFound, "trouble", p)
}
