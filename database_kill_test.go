package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"os/exec"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"endfloat/internal/job"
	"endfloat/internal/shop"
	"endfloat/internal/store/postgres"
	"endfloat/internal/store/postgres/pgtest"
	"endfloat/internal/store/storetest"

	"github.com/google/uuid"
)

// Two programs on one database are killed at any moment, also while they start, and
// started again. What one left unanswered is sent again to whichever runs, as it was:
// it is there once, in both books that it is for, or not at all where nobody sent it
// again.
func TestKillOnDatabase(t *testing.T) {
	kills, each := storetest.Long(12, 400), 50
	total, moments := reckoning{}, map[string]int{}
	for done := 0; done < kills; done += each { // in one workshop, so that books stay short
		addr := pgtest.URL(t)
		twoJobs(t, "--db", addr)
		c := newCrowd(t, 6)
		servers := [2]*exec.Cmd{}
		for i := range servers {
			var base string
			servers[i], base = listen(t, serveBase(addr)...)
			c.at[i].Store(&base)
		}
		for k := range min(each, kills-done) {
			i := rand.IntN(2)
			time.Sleep(rand.N(250 * time.Millisecond))
			end(servers[i])
			moments["at work"]++
			if k%4 == 3 { // once more while it starts
				cmd := program(t, serveBase(addr)...)
				check(t, cmd.Start())
				time.Sleep(rand.N(150 * time.Millisecond))
				end(cmd)
				moments["starting"]++
			}
			if k%5 == 4 {
				end(servers[1-i])
				moments["at work"]++
				var base string
				servers[1-i], base = listen(t, serveBase(addr)...)
				c.at[1-i].Store(&base)
			}
			var base string
			servers[i], base = listen(t, serveBase(addr)...)
			c.at[i].Store(&base)
		}
		c.stop(t)
		for _, cmd := range servers {
			end(cmd)
		}
		total.add(c.reckon(t, addr))
	}
	t.Logf("%d acknowledged, %d of them sent more than once, over kills %v; %d given up unanswered, of which %d are there; none lost, half done or doubled",
		total.acked, total.again, moments, total.dropped, total.kept)
	if total.acked == 0 || total.again == 0 {
		t.Error("nothing was left unanswered: this test proves nothing")
	}
}

func end(cmd *exec.Cmd) {
	cmd.Process.Kill()
	cmd.Wait()
}

// twoJobs begins a workshop with Heron and Stork.
func twoJobs(t *testing.T, where ...string) {
	t.Helper()
	const file = "internal/demo/three-speed.gearbox.yaml"
	run(t, append([]string{"box", "keep", file}, where...)...)
	for _, unit := range [][2]string{{"Heron", "H"}, {"Stork", "S"}} {
		run(t, append([]string{"new", "--unit", unit[0], "--letter", unit[1], "--colour", "green", "--type", gearboxName(t, file)}, where...)...)
	}
}

// crowd are devices that send notes to two servers. A note of theirs is pinned to a
// position of the type, which keeps it in the job and in the stores at once.
type crowd struct {
	at   [2]atomic.Pointer[string]
	halt context.CancelFunc
	wg   sync.WaitGroup
	mu   sync.Mutex
	sent map[string]*told // by text
}

// told is what is known of a note: to which job, how often sent, what was answered.
type told struct {
	book  string
	times int
	acked bool
	last  string
}

func newCrowd(t *testing.T, devices int) *crowd {
	ctx, halt := context.WithCancel(t.Context())
	c := &crowd{halt: halt, sent: map[string]*told{}}
	for d := range devices {
		c.wg.Go(func() {
			for n := 0; ctx.Err() == nil; n++ {
				c.note(ctx, d, n)
			}
		})
	}
	return c
}

// stop has each device finish what it is about.
func (c *crowd) stop(t *testing.T) {
	t.Helper()
	c.halt()
	done := make(chan bool)
	go func() { c.wg.Wait(); close(done) }()
	select {
	case <-done:
	case <-time.After(time.Minute):
		c.mu.Lock()
		defer c.mu.Unlock()
		for text, k := range c.sent {
			if !k.acked && k.last != "" {
				t.Errorf("%q, sent %d times, was answered at last: %s", text, k.times, k.last)
			}
		}
		t.Fatal("a device is still sending a minute after the last kill")
	}
}

// note sends one until it is answered, now to one server and now to the other. One in
// eight that are not answered are given up: that device was lost.
func (c *crowd) note(ctx context.Context, d, n int) {
	text := fmt.Sprintf("device %d, note %d", d, n)
	k := &told{book: []string{"heron", "stork"}[d%2]}
	c.mu.Lock()
	c.sent[text] = k
	c.mu.Unlock()
	body, err := json.Marshal(map[string]any{"id": uuid.Must(uuid.NewV7()).String(), "kind": "noted", "by": "test",
		"body": job.Noted{Text: text, Position: "M3", Type: "this"}})
	for try := d; err == nil && !k.acked; try++ {
		if base := c.at[try%2].Load(); base != nil {
			k.times++
			k.acked, k.last = ask(*base, "/api/job/"+k.book+"/entry", body)
		}
		if !k.acked && (n%8 == 7 || k.times > 10_000) {
			return
		}
		if !k.acked {
			time.Sleep(3 * time.Millisecond)
		}
	}
}

// ask sends JSON and says whether it was answered well, and what was answered.
func ask(base, path string, body []byte) (ok bool, says string) {
	req, err := http.NewRequest("POST", base+path, bytes.NewReader(body))
	if err != nil {
		return false, err.Error()
	}
	req.Header.Set("Origin", base)
	req.Header.Set("Content-Type", "application/json")
	resp, err := client.Do(req)
	if err != nil {
		return false, err.Error()
	}
	defer resp.Body.Close()
	b, err := io.ReadAll(resp.Body)
	if err != nil {
		return false, err.Error()
	}
	return resp.StatusCode == http.StatusOK, fmt.Sprintf("%s %.300s", resp.Status, b)
}

// reckoning is what became of the notes.
type reckoning struct{ acked, again, dropped, kept int }

func (r *reckoning) add(o reckoning) {
	r.acked, r.again, r.dropped, r.kept = r.acked+o.acked, r.again+o.again, r.dropped+o.dropped, r.kept+o.kept
}

// reckon holds the books against what was sent and answered.
func (c *crowd) reckon(t *testing.T, addr string) (r reckoning) {
	t.Helper()
	s, err := postgres.Open(t.Context(), addr)
	check(t, err)
	defer s.Close()
	there := map[string]map[string]int{}
	for _, book := range []string{"heron", "stork", shop.StoresBook} {
		lines, err := s.Lines(t.Context(), book, 0)
		check(t, err)
		there[book] = map[string]int{}
		for i, l := range lines {
			e := job.Decode(l)
			var b job.Noted
			if l.Seq != i+1 || e.Kind == "" {
				t.Errorf("%s: line %d has number %d: %s", book, i+1, l.Seq, l.Bytes)
			}
			if e.Kind == b.Kind() && json.Unmarshal(e.Body, &b) == nil {
				there[book][b.Text]++
			}
		}
	}
	for text, k := range c.sent {
		in, stores := there[k.book][text], there[shop.StoresBook][text]
		switch {
		case in != stores || in > 1:
			t.Errorf("%q, sent %d times, is %d times in %s and %d times in the stores", text, k.times, in, k.book, stores)
		case k.acked && in != 1:
			t.Errorf("%q was acknowledged and is not there", text)
		}
		if k.acked {
			r.acked++
			if k.times > 1 {
				r.again++
			}
		} else {
			r.dropped, r.kept = r.dropped+1, r.kept+in
		}
	}
	for _, book := range []string{"heron", "stork"} {
		for text := range there[book] {
			if k := c.sent[text]; k == nil || k.book != book {
				t.Errorf("%s holds %q, which nobody sent there", book, text)
			}
		}
	}
	return r
}
