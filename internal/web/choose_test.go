package web

import (
	"context"
	"encoding/json"
	"net/url"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"endfloat/internal/demo"
	"endfloat/internal/job"
)

func (b *bench) seq(book string) string {
	b.t.Helper()
	d, err := b.sh.Open(context.Background(), book)
	if err != nil {
		b.t.Fatal(err)
	}
	return strconv.Itoa(d.Seq)
}

// Wishes that cannot all be had are answered with one paragraph that names the
// positions and the rule, and with ways out; nothing is written.
func TestChooseClash(t *testing.T) {
	b := demoBench(t)
	before := b.entries(demo.Linnet)
	w := b.get("/choose?asked=yes&unit=linnet&unit=dunnock&at+linnet=P08+gear+1st&what+linnet=P-P08&at+linnet=P11&what+linnet=narrow")
	holds(t, w, 200, "It cannot all be had", "dogs must be one for all of P08, P09, P11, P14, P15", "Ways out", "Without this: ")
	w = b.get("/choose?asked=yes&unit=linnet&at+linnet=P99&what+linnet=x")
	holds(t, w, 422, "no position P99")
	if b.entries(demo.Linnet) != before {
		t.Error("a question was written down")
	}
}

// The best answer is shown proven, with why; it is written into all books at
// once, and only on the state on which it was seen.
func TestChooseAccept(t *testing.T) {
	b := demoBench(t)
	ask := "asked=yes&unit=linnet&unit=dunnock&decided+linnet=yes&decided+dunnock=yes"
	page := b.get("/choose?" + ask)
	holds(t, page, 200, "Proven: nothing right is cheaper", "Dunnock", "Linnet", "P-P19 from Plover", "Next best")
	form := func(seq string) url.Values {
		return url.Values{"asking": {ask}, "which": {"0"}, "on linnet": {b.seq(demo.Linnet)}, "on dunnock": {seq}}
	}
	holds(t, b.post("/choose/accept", form("3")), 422, "has moved on since", "This goes where")
	was := b.entries(demo.Dunnock)
	if w := b.post("/choose/accept", form(b.seq(demo.Dunnock))); w.Code != 303 || b.entries(demo.Dunnock) == was {
		t.Errorf("status %d, %d entries before, %d after: %.300s", w.Code, was, b.entries(demo.Dunnock), w.Body)
	}
	holds(t, b.get("/board?decided=yes"), 200, "Decided, and written")
}

// A move on the board shows what it breaks and the ways out; it is decided only
// with a reason, and that stays in the book.
func TestBoardMove(t *testing.T) {
	b := demoBench(t)
	holds(t, b.get("/board?unit=linnet"), 200, "P08 gear 1st", "Left over", "belongs to Hask Valley", "Whose piece went where", "Plover")
	holds(t, b.get("/board?unit=linnet&place=linnet.P11"), 200, "what could go here?", "L-P11", "not fit", "Swap", "spline wear")
	tried := "/board?unit=linnet&move=linnet.P11%3DL-P11"
	holds(t, b.get(tried), 200, "Tried, not done yet", "It breaks:", "P10 hub 1/2 (wide) needs P11 sleeve 1/2 (wide)", "Ways out")
	holds(t, b.get("/board?move=nothing"), 422, "write it like linnet.P08=P-P08")
	form := url.Values{"board": {"move=linnet.P11%3DL-P11"}, "on linnet": {b.seq(demo.Linnet)}, "on dunnock": {b.seq(demo.Dunnock)}}
	holds(t, b.post("/board", form), 422, "write in a sentence why")
	form.Set("why", "the owner wants the old sleeve back for the museum")
	if w := b.post("/board", form); w.Code != 303 {
		t.Fatalf("status %d: %.400s", w.Code, w.Body)
	}
	d, _ := b.sh.Open(context.Background(), demo.Linnet)
	if is := d.Spots["P11"].Decided.Is; is.Why != "the owner wants the old sleeve back for the museum" || is.Choice != "reuse" {
		t.Errorf("decided %+v", is)
	}
}

// Ordered from the list, checked as it comes, sent back in time, and right at
// the second time.
func TestOrderAndGoodsIn(t *testing.T) {
	b := demoBench(t)
	by := func(body job.Body) {
		t.Helper()
		raw, _ := json.Marshal(body)
		if w := b.send("/api/job/dunnock/entry", `{"kind":"`+body.Kind()+`","body":`+string(raw)+`}`); w.Code != 200 {
			t.Fatalf("%s", w.Body)
		}
	}
	by(job.Decided{Position: "P21", Choice: "new"})
	by(job.Decided{Position: "F13", Choice: "new"})
	holds(t, b.get("/orders"), 200, "To order from Brindle Bearings", "P21 needle cage 3rd", "11.50 EUR, in 12 days", "Nobody offers these yet", "F13 interlock pin", "On its way from Foss Lane Gears")
	order := url.Values{"lot": {"dunnock/Brindle Bearings"}, "supplier": {"Brindle Bearings"}, "reference": {"BB 7"}, "expected": {"soon"}, "position": {"P21"}}
	holds(t, b.post("/job/dunnock/order", order), 422, "a day such as 2026-03-14")
	order.Set("expected", "2099-03-14")
	if w := b.post("/job/dunnock/order", order); w.Code != 303 {
		t.Fatalf("status %d: %.300s", w.Code, w.Body)
	}
	goods := "/job/dunnock/goods/N-P21-D"
	holds(t, b.get(goods), 200, "It must fit", "Runs on P20 inner sleeve 3rd, 30.15 mm wide", "wanted 26.00 mm", "goes back within 14 days")
	holds(t, b.post(goods, url.Values{"look width": {"wide"}}), 422, "a length such as 26.00 mm")
	if w := b.post(goods, url.Values{"look width": {"30,2"}}); w.Code != 303 {
		t.Fatalf("status %d: %.300s", w.Code, w.Body)
	}
	holds(t, b.get(goods), 200, "Wrong: it goes back", "Width 30.20 mm, wanted 26.00 mm", "It would bind")
	holds(t, b.get("/orders"), 200, "Wrong, and still here", "it may go back until", "Send back P21")
	holds(t, b.get("/orders.csv"), 200, "supplier,unit,part", "Brindle Bearings,D Dunnock,P21 needle cage 3rd", "WRONG: send it back by")
	if w := b.get("/orders.pdf?supplier=Brindle+Bearings"); w.Code != 200 || !strings.HasPrefix(w.Body.String(), "%PDF-") {
		t.Errorf("the order list: status %d", w.Code)
	}
	if w := b.post("/job/dunnock/back/N-P21-D", url.Values{"expected": {"2099-03-17"}}); w.Code != 303 {
		t.Fatalf("status %d: %.300s", w.Code, w.Body)
	}
	holds(t, b.get(goods), 200, "Sent back", "expected 2099-03-17")
	if w := b.post(goods, url.Values{"look width": {"26.00"}, "place": {"tray 4"}}); w.Code != 303 {
		t.Fatalf("status %d: %.300s", w.Code, w.Body)
	}
	holds(t, b.get(goods), 200, "Right, and here", "N-P21-D lies on the tray 4")
}

func TestOffersAndCosts(t *testing.T) {
	b := demoBench(t)
	holds(t, b.get("/offers"), 200, "Brindle Bearings", "P02 head roller bearing, inner ring", "62.00 EUR")
	offer := url.Values{"type": {"BW-4T"}, "position": {"F13 interlock pin"}, "supplier": {"Foss Lane Gears"}, "price": {"2.40 EUR"}, "days": {"many"}}
	holds(t, b.post("/offers", offer), 422, "a whole number is expected")
	offer.Set("days", "6")
	if w := b.post("/offers", offer); w.Code != 303 {
		t.Fatalf("status %d: %.300s", w.Code, w.Body)
	}
	holds(t, b.get("/offers"), 200, "F13 interlock pin", "2.40 EUR", "in 6 days")
	holds(t, b.get("/job/linnet/costs"), 200, "so far", "Hours by stage", "4.5 h", "216.00 EUR", "Below the estimate of 2200.00 EUR to 2800.00 EUR", "Make it safe", "As new")
	holds(t, b.post("/job/linnet/costs", url.Values{"what": {"stacks"}, "stage": {"stacks"}}), 422, "hours")
	if w := b.post("/job/linnet/costs", url.Values{"what": {"stacks"}, "stage": {"stacks"}, "hours": {"6"}}); w.Code != 303 {
		t.Fatalf("status %d: %.300s", w.Code, w.Body)
	}
	holds(t, b.get("/job/linnet/costs"), 200, "288.00 EUR")
	if w := b.post("/job/linnet/costs", url.Values{"what is it": {"terms"}, "hour": {"50 EUR"}}); w.Code != 303 {
		t.Fatalf("status %d: %.300s", w.Code, w.Body)
	}
	holds(t, b.get("/job/linnet/costs"), 200, "300.00 EUR")
	if w := b.get("/job/linnet/levels.pdf"); w.Code != 200 || !strings.HasPrefix(w.Body.String(), "%PDF-") {
		t.Errorf("the three levels: status %d", w.Code)
	}
}

// A broken rule leads to its ways out and can be passed with a reason only.
func TestRuleWays(t *testing.T) {
	b := demoBench(t)
	if w := b.post("/job/dunnock/decide", url.Values{"pos": {"P08"}, "choice": {"donor"}, "piece": {"L-P08"}, "variant": {"SYM"}}); w.Code != 303 {
		t.Fatalf("status %d: %.300s", w.Code, w.Body)
	}
	holds(t, b.get("/job/dunnock/decide?pos=P08"), 200, "Ways out", "Dunnock P08 gear 1st: D-P08 (ASY) of its own")
	link := regexp.MustCompile(`/job/dunnock/ways\?key=[^"]+`).FindString(b.get("/job/dunnock").Body.String())
	if link == "" {
		t.Fatal("the return card does not lead to the ways out")
	}
	holds(t, b.get(link), 200, "A rule is broken", "Dogs must be one for all of P08, P09, P11, P14, P15", "D-P08 (ASY) of its own", "Decide P08 gear 1st again")
	holds(t, b.get("/job/dunnock/ways?key=rule/99/P08"), 404, "no longer so")
	key, _ := url.QueryUnescape(link[strings.Index(link, "=")+1:])
	holds(t, b.post("/job/dunnock/allow", url.Values{"hold": {key}, "why": {"no"}}), 422, "in a sentence")
	if w := b.post("/job/dunnock/allow", url.Values{"hold": {key}, "why": {"a show piece, it never runs"}, "back": {"/job/dunnock"}}); w.Code != 303 {
		t.Fatalf("status %d: %.300s", w.Code, w.Body)
	}
	holds(t, b.get(link), 200, "Passed with the reason:", "a show piece, it never runs")
}

// The interface does the same, in the shape that is described.
func TestChooseInterface(t *testing.T) {
	b := demoBench(t)
	doc := described(t, b)
	fits := func(method, path, at string, raw []byte) object {
		t.Helper()
		var v any
		if err := json.Unmarshal(raw, &v); err != nil {
			t.Fatalf("%s: %v: %s", at, err, raw)
		}
		for _, says := range misfits(doc, dig(doc, "paths", path, method, "responses", "200", "content", "application/json", "schema"), v, at) {
			t.Error(says)
		}
		o, _ := v.(object)
		return o
	}
	get := func(path, at string) object { return fits("get", path, at, b.get(at).Body.Bytes()) }
	post := func(path, at, in string) object { return fits("post", path, at, b.send(at, in).Body.Bytes()) }

	best := post("/api/choose", "/api/choose", `{"others":1}`)
	if best["proven"] != true || dig(best, "best", "price") == nil {
		t.Errorf("choose: %v", best)
	}
	seqs, _ := json.Marshal(dig(best, "best", "on"))
	took := post("/api/choose/accept", "/api/choose/accept", `{"asking":{"others":1},"on":`+string(seqs)+`}`)
	if n, _ := took["decided"].([]any); len(n) == 0 {
		t.Errorf("accept: %v", took)
	}
	clash := post("/api/choose", "/api/choose", `{"units":[{"book":"linnet","want":{"D03":"P-D03","P01":"L-P01"}},{"book":"dunnock"}]}`)
	if s, _ := clash["clash"].(string); !strings.Contains(s, "P01, D03 must have one set number") {
		t.Errorf("clash: %v", clash)
	}
	board := get("/api/board", "/api/board?move=linnet.P11%3DL-P11")
	if n, _ := board["breaks"].([]any); len(n) < 2 {
		t.Errorf("board: %v", board["breaks"])
	}
	get("/api/board/place", "/api/board/place?book=linnet&position=P08")
	get("/api/orders", "/api/orders")
	get("/api/offers", "/api/offers")
	get("/api/job/{book}/goods", "/api/job/dunnock/goods?tag=N-P09-D")
	get("/api/job/{book}/costs", "/api/job/linnet/costs")
	get("/api/job/{book}/ways", "/api/job/linnet/ways")
	on, _ := json.Marshal(board["on"])
	if w := b.send("/api/board", `{"moves":["linnet.P11=L-P11"],"on":`+string(on)+`}`); w.Code != 422 {
		t.Errorf("a breaking move without a reason: %d %s", w.Code, w.Body)
	}
	done := post("/api/board", "/api/board", `{"moves":["linnet.P11=L-P11"],"why":"for the museum, it never runs","on":`+string(on)+`}`)
	if n, _ := done["decided"].([]any); len(n) != 1 {
		t.Errorf("assign: %v", done)
	}
}

// What work is reckoned at in all jobs is kept in the stores; a unit of another
// type does not stop the board.
func TestTermsAndOtherTypes(t *testing.T) {
	b := demoBench(t)
	holds(t, b.post("/offers/terms", url.Values{"hour": {"dear"}}), 422, "such as 286.00")
	if w := b.post("/offers/terms", url.Values{"hour": {"60.00 EUR"}}); w.Code != 303 {
		t.Fatalf("status %d: %.300s", w.Code, w.Body)
	}
	holds(t, b.get("/job/linnet/costs"), 200, "270.00 EUR")
	if w := b.post("/new", url.Values{"unit": {"Auk"}, "letter": {"A"}, "colour": {"green"}, "type": {"QH-4"}, "series QH-4": {"short"}}); w.Code != 303 {
		t.Fatalf("status %d: %.300s", w.Code, w.Body)
	}
	holds(t, b.get("/board"), 200, "P08 gear 1st", "Of another type:", "Auk")
	holds(t, b.get("/choose"), 200, "Auk", "Linnet")
	holds(t, b.get("/choose?asked=yes&unit=auk&unit=linnet"), 422, "cannot share parts with")
}
