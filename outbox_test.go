package main

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"math/rand/v2"
	"net"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"endfloat/internal/job"
	"endfloat/internal/store/sqlite"

	"github.com/chromedp/chromedp"
)

// cable is the network between a browser and the server. Pulled, it loses what is
// on its way in either direction and lets nothing through.
type cable struct {
	net.Listener
	to   string
	mu   sync.Mutex
	out  bool
	open map[net.Conn]bool
}

func plug(t *testing.T, to string) *cable {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	c := &cable{Listener: l, to: strings.TrimPrefix(to, "http://"), open: map[net.Conn]bool{}}
	t.Cleanup(func() { l.Close(); c.pull(true) })
	go func() {
		for {
			near, err := l.Accept()
			if err != nil {
				return
			}
			go c.carry(near)
		}
	}()
	return c
}

func (c *cable) carry(near net.Conn) {
	far, err := net.Dial("tcp", c.to)
	if err != nil {
		near.Close()
		return
	}
	c.mu.Lock()
	if c.out {
		c.mu.Unlock()
		near.Close()
		far.Close()
		return
	}
	c.open[near], c.open[far] = true, true
	c.mu.Unlock()
	done := func() {
		near.Close()
		far.Close()
		c.mu.Lock()
		delete(c.open, near)
		delete(c.open, far)
		c.mu.Unlock()
	}
	go func() { io.Copy(far, near); done() }()
	io.Copy(near, far)
	done()
}

func (c *cable) pull(out bool) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.out = out
	if out {
		for x := range c.open {
			x.Close()
		}
	}
}

// tab is a new page of the same browser; what a device keeps is the browser's.
func (b *browser) tab() (*browser, context.CancelFunc) {
	ctx, stop := chromedp.NewContext(b.ctx)
	n := *b
	n.ctx = ctx
	return &n, stop
}

// try runs a script whose page may go away under it.
func (b *browser) try(script string) string {
	ctx, stop := context.WithTimeout(b.ctx, 5*time.Second)
	defer stop()
	s, err := chromedp.Run(ctx, chromedp.Evaluate[string](script, chromedp.EvalAwaitPromise))
	if err != nil {
		return "gone"
	}
	return s
}

func (b *browser) wait(what, script string, patience time.Duration) {
	b.t.Helper()
	for end := time.Now().Add(patience); time.Now().Before(end); time.Sleep(10 * time.Millisecond) {
		if b.try(script) == "yes" {
			return
		}
	}
	b.t.Fatalf("waited %v in vain for %s; the bar says %q", patience, what, b.try(`document.querySelector("#away")?.innerText ?? ""`))
}

// snap makes a photo of its own for number n and puts it into the form.
const snap = `const c = document.createElement("canvas"); c.width = c.height = 24; const g = c.getContext("2d");
	g.fillStyle = "hsl(" + (%[1]d * 37 %% 360) + "," + (20 + %[1]d) + "%%,50%%)"; g.fillRect(0, 0, 24, 24); g.fillStyle = "#fff"; g.fillRect(%[1]d %% 20, Math.floor(%[1]d / 20) * 2, 4, 4);
	const raw = Uint8Array.from(atob(c.toDataURL("image/jpeg", .95).split(",")[1]), x => x.charCodeAt(0));
	const d = new DataTransfer(); d.items.add(new File([raw], "p%[1]d.jpg", {type: "image/jpeg"})); f.elements.photo.files = d.files;`

// Pulling the network at random and killing the page during 200 entries and 50
// photos loses none and doubles none, and all arrive in the order in which they
// were made within 30 s of its return.
func TestOutbox(t *testing.T) {
	const seed = 20260305
	chance := rand.New(rand.NewPCG(seed, 1))
	data := filepath.Join(t.TempDir(), "bench.db")
	run(t, "box", "keep", "internal/demo/bw-4t.gearbox.yaml", "--data", data)
	run(t, "new", "--unit", "Heron", "--letter", "H", "--colour", "green", "--type", "BW-4T", "--series", "A", "--data", data)
	server, url := listen(t, "serve", "--addr", "127.0.0.1:0", "--data", data)
	line := plug(t, url)
	root := open(t, "http://"+line.Addr().String(), 390, 844)
	out := newOutbox(t, root, line)
	out.fill(chance)
	out.strip()
	line.pull(false)
	began := time.Now()
	b, stop := root.tab()
	defer stop()
	b.goTo("/job/heron")
	b.wait("the box to be empty", empty, 30*time.Second)
	t.Logf("all in their book %.1f s after the network came back; seed %d", time.Since(began).Seconds(), seed)
	server.Process.Signal(os.Interrupt)
	server.Wait()
	out.check(data)
}

// empty asks the device itself whether anything waits.
const empty = `new Promise(ok => { const r = indexedDB.open("endfloat"); r.onsuccess = () => { const q = r.result.transaction("out").objectStore("out").count(); q.onsuccess = () => { r.result.close(); ok(q.result ? "no " + q.result : "yes"); }; }; })`

type outboxTest struct {
	t             *testing.T
	root          *browser
	line          *cable
	made          []string // what was kept, in order
	maybe         map[string]bool
	photos, kills int
}

func newOutbox(t *testing.T, root *browser, line *cable) *outboxTest {
	return &outboxTest{t: t, root: root, line: line, maybe: map[string]bool{}}
}

// fill writes 170 notes, 30 with a photo, while the network comes and goes and
// pages are killed.
func (o *outboxTest) fill(chance *rand.Rand) {
	b, kill := o.root.tab()
	b.goTo("/job/heron/note")
	for n := range 170 {
		if chance.IntN(9) == 0 {
			o.line.pull(chance.IntN(3) > 0)
		}
		if chance.IntN(25) == 0 {
			kill()
			o.kills++
			b, kill = o.root.tab()
			o.line.pull(false)
			b.goTo("/job/heron/note")
		}
		text := fmt.Sprintf("note %03d", n)
		photo := ""
		if n%17 < 3 {
			photo = fmt.Sprintf(snap, n)
			o.photos++
		}
		b.wait("the page of notes", `document.querySelector("form[data-fact] textarea") && document.readyState === "complete" && document.querySelector("#away").dataset.says !== undefined ? "yes" : "no"`, 10*time.Second)
		b.try(`(() => { window.before = 1; const f = document.querySelector("form[data-fact]"); f.elements.text.value = "` + text + `"; ` + photo + ` f.requestSubmit(); return "" })()`)
		if chance.IntN(40) == 0 { // killed in the very moment: it was kept or it was not, and never twice
			o.maybe[text] = true
			o.made = append(o.made, text)
			kill()
			o.kills++
			b, kill = o.root.tab()
			o.line.pull(false)
			b.goTo("/job/heron/note")
			continue
		}
		b.wait(text+" to be kept", `document.querySelector("form[data-fact] textarea")?.value === "" ? "yes" : "no"`, 10*time.Second)
		o.made = append(o.made, text)
	}
	kill()
}

// strip takes 30 parts off with the network out all the while: the questions were
// fetched beforehand. Then the page is killed.
func (o *outboxTest) strip() {
	o.line.pull(false)
	b, kill := o.root.tab()
	b.goTo("/job/heron/strip")
	b.wait("the questions", `new Promise(ok => { const r = indexedDB.open("endfloat"); r.onsuccess = () => { const q = r.result.transaction("pages").objectStore("pages").getAllKeys(); q.onsuccess = () => { r.result.close(); ok(q.result.includes("/job/heron/note") ? "yes" : "no"); }; }; })`, 20*time.Second)
	o.line.pull(true)
	for n := range 30 {
		pos := b.say(`document.querySelector("form.ask [name=pos]").value`)
		photo := ""
		if n < 20 {
			photo = fmt.Sprintf(snap, 200+n)
			o.photos++
		}
		b.say(`(() => { const f = document.querySelector("form.ask"); f.querySelector("[name=faced][type=radio]")?.click(); if (!f.elements.place.value) f.elements.place.value = "tray H"; ` + photo + ` const why = f.querySelector("[name=nophoto]"); if (why && !f.elements.photo.files.length) why.selectedIndex = 1; f.requestSubmit(); return "" })()`)
		b.wait(pos+" to be kept", `document.querySelector("form.ask [name=pos]").value !== "`+pos+`" ? "yes" : "no"`, 8*time.Second)
		o.made = append(o.made, pos)
	}
	if says := b.say(`document.querySelector("#away").innerText`); !strings.Contains(says, "entries wait on this device") || !strings.Contains(says, "The server is away") {
		o.t.Errorf("the bar says %q", says)
	}
	b.picture("/strip-away")
	kill()
	o.kills++
}

// check holds the book against what was made.
func (o *outboxTest) check(data string) {
	st, err := sqlite.Open(o.t.Context(), data)
	if err != nil {
		o.t.Fatal(err)
	}
	defer st.Close()
	lines, err := st.Lines(o.t.Context(), "heron", 0)
	if err != nil {
		o.t.Fatal(err)
	}
	var came []string
	last := 0
	photos := map[string]bool{}
	for _, e := range job.DecodeAll(lines) {
		var b struct {
			Text, Position string
			Photos         []string
		}
		if e.N == 0 {
			continue
		}
		if err := json.Unmarshal(e.Body, &b); err != nil {
			o.t.Fatal(err)
		}
		if e.N <= last {
			o.t.Errorf("entry %d is number %d of its device and comes after number %d", e.Seq, e.N, last)
		}
		last = e.N
		came = append(came, b.Text+b.Position)
		for _, k := range b.Photos {
			if _, err := st.Blob(o.t.Context(), k); err != nil {
				o.t.Errorf("photo of %s: %v", b.Text+b.Position, err)
			}
			photos[k] = true
		}
	}
	lost := 0
	want := slices.DeleteFunc(slices.Clone(o.made), func(s string) bool { return o.maybe[s] && !slices.Contains(came, s) })
	lost = len(o.made) - len(want)
	if !slices.Equal(came, want) {
		o.t.Errorf("%d were made and %d came:\nmade %q\ncame %q", len(want), len(came), want, came)
	}
	if len(photos) != o.photos && lost == 0 || len(photos) > o.photos {
		o.t.Errorf("%d photos were taken and %d came", o.photos, len(photos))
	}
	if len(o.made) < 200 || o.photos < 50 || o.kills < 5 {
		o.t.Errorf("only %d entries, %d photos and %d kills: the test proves too little", len(o.made), o.photos, o.kills)
	}
	o.t.Logf("%d entries, %d photos, %d pages killed; %d killed before they were kept", len(came), len(photos), o.kills, lost)
}
