package main

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// gauge is one way in which a gauge or scanner types a value.
type gauge struct {
	name   string
	value  func(mm string) string // how it writes a length given in mm
	factor float64                // of the written value, in metres; 0 = the value in mm is meant
	end    string                 // keys that end a value: r Enter, t Tab, "" none
}

func as(s string) func(string) string { return func(mm string) string { return fmt.Sprintf(s, mm) } }

func comma(mm string) string { return strings.Replace(mm, ".", ",", 1) }

// digits13 is a frame of thirteen digits: four F, sign, six figures, place of the
// point, unit.
func digits13(mm string) string {
	whole, part, _ := strings.Cut(mm, ".")
	return fmt.Sprintf("FFFF0%06s%d0", whole+part, len(part))
}

func channel(mm string) string {
	whole, part, _ := strings.Cut(mm, ".")
	return fmt.Sprintf("01A+%04s.%s", whole, part)
}

var gauges = []gauge{
	{"point, Enter", as("%s"), 0, "r"},
	{"comma, Enter", comma, 0, "r"},
	{"point, Tab", as("%s"), 0, "t"},
	{"point, Enter twice", as("%s"), 0, "rr"},
	{"comma, Enter and Tab", comma, 0, "rt"},
	{"point, nothing after", as("%s"), 0, ""},
	{"signed with zeros", as("+000%s"), 0, "r"},
	{"channel frame", channel, 0, "r"},
	{"thirteen digits", digits13, 0, "r"},
	{"named with a sign", as("N+00%s"), 0, "r"},
	{"named with a colon", as("D:%s"), 0, "t"},
	{"symbology mark", as("]C1%s"), 0, "r"},
	{"unit after", as("%smm"), 0, "r"},
	{"unit after a space", as("%s mm"), 0, "r"},
	{"inches", as("%s in"), 25.4e-3, "r"},
	{"thousandths", as("%s thou"), 25.4e-6, "r"},
}

// pace are the milliseconds between two keys.
var pace = []time.Duration{1, 2, 3, 5, 7, 8, 8, 13, 16, 60}

// A gauge or scanner that types like a keyboard loses no sign and yields no wrong
// value, whatever it puts around a value and however fast it types, while the page
// follows what others write.
func TestWedge(t *testing.T) {
	_, at := listen(t, "demo", "--addr", "127.0.0.1:0")
	b := open(t, at, 390, 844)
	const page = "/job/linnet/read/one?what=bearing+stand-up" // three fields to begin with
	w := &wedge{b: b, url: at}
	stop := w.others()
	defer stop()
	cases, n := 0, 0
	for round := 0; cases < 208; round++ {
		b.do(chromedp.Navigate(at+page), chromedp.WaitReady(chromedp.CSS("form[data-read]")))
		b.wait("the page to be ready", `document.querySelector("#away").dataset.says !== undefined ? "yes" : "no"`, 5*time.Second)
		if round%3 == 0 {
			b.say(`document.activeElement.blur(); ""`) // nothing is focused: the first key finds its way
		}
		g := gauges[round%len(gauges)]
		var want []string
		for range 4 { // one more than there are fields
			mm := fmt.Sprintf("%d.%02d", 17+n%3, n*37%100)
			n++
			gap := pace[(cases+round)%len(pace)] * time.Millisecond
			w.types(g.value(mm), gap)
			w.types(strings.NewReplacer("r", "\r", "t", "\t").Replace(g.end), gap)
			if g.end == "" {
				time.Sleep(700 * time.Millisecond) // nobody measures again sooner
			} else {
				time.Sleep(330 * time.Millisecond / 5)
			}
			want = append(want, mm)
			cases++
		}
		w.check(g, want)
		if t.Failed() {
			return
		}
	}
	if w.written < 20 {
		t.Errorf("others wrote %d entries only meanwhile: the test proves too little", w.written)
	}
	t.Logf("%d values of %d kinds of gauge, %d entries of others meanwhile", cases, len(gauges), w.written)
}

type wedge struct {
	b       *browser
	url     string
	written int
}

// types sends keys as a keyboard does, one every gap.
func (w *wedge) types(text string, gap time.Duration) {
	w.b.t.Helper()
	for _, r := range text {
		began := time.Now()
		w.b.do(chromedp.KeyEvent(string(r)))
		time.Sleep(gap - time.Since(began))
	}
}

// check reads what stands in the fields, and what the server takes it for.
func (w *wedge) check(g gauge, want []string) {
	t := w.b.t
	t.Helper()
	var got []string
	if err := json.Unmarshal([]byte(w.b.say(`JSON.stringify([...document.querySelectorAll("form[data-read] input[name=value]")].map(f => f.value))`)), &got); err != nil {
		t.Fatal(err)
	}
	if at := w.b.say("location.pathname + location.search"); at != "/job/linnet/read/one?what=bearing+stand-up" {
		t.Errorf("%s: it left the page for %s", g.name, at)
	}
	for i, mm := range want {
		if i >= len(got) || got[i] != g.value(mm) {
			t.Errorf("%s: %q was typed; the fields hold %q", g.name, g.value(mm), got)
			return
		}
		resp, err := http.Get(w.url + "/job/linnet/read/parsed?" + url.Values{"what": {"bearing stand-up"}, "text": {got[i]}}.Encode())
		if err != nil {
			t.Fatal(err)
		}
		raw, _ := io.ReadAll(resp.Body)
		resp.Body.Close()
		var said struct {
			OK   bool
			Says string
			SI   float64
		}
		var x float64
		fmt.Sscan(mm, &x)
		factor := g.factor
		if factor == 0 {
			factor = 1e-3
		}
		if err := json.Unmarshal(raw, &said); err != nil || !said.OK || math.Abs(said.SI-x*factor) > 1e-12 {
			t.Errorf("%s: %q is taken for %s", g.name, got[i], raw)
		}
	}
	if len(got) > len(want) && strings.Join(got[len(want):], "") != "" {
		t.Errorf("%s: more stands there than was typed: %q", g.name, got)
	}
}

// others write to the same book all the while, so that the page is told to look
// again between any two keys.
func (w *wedge) others() func() {
	ctx, stop := context.WithCancel(w.b.t.Context())
	done := make(chan struct{})
	go func() {
		defer close(done)
		for n := 0; ctx.Err() == nil; n++ {
			body := strings.NewReader(fmt.Sprintf(`{"kind":"noted","body":{"text":"seen %d"}}`, n))
			r, err := http.NewRequestWithContext(ctx, http.MethodPost, w.url+"/api/job/linnet/entry", body)
			if err != nil {
				return
			}
			r.Header.Set("Origin", w.url)
			if resp, err := http.DefaultClient.Do(r); err == nil {
				if resp.StatusCode == http.StatusOK {
					w.written++
				}
				resp.Body.Close()
			}
			time.Sleep(300 * time.Millisecond)
		}
	}()
	return func() { stop(); <-done }
}
