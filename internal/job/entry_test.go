package job_test

import (
	"bytes"
	"encoding/json"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"
	"time"

	"endfloat/internal/job"
)

// What Encode wrote, Decode reads: the entry's own fields and the body.
func TestRoundTrip(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	kinds := map[string]bool{}
	for n := range 2000 {
		b := random(r)
		e := job.Entry{ID: "019", At: began.Add(time.Duration(r.Int64N(1e15))).In(time.FixedZone("", 3600)), By: some(r, "", "key"), On: some(r, "", "tablet"), N: r.IntN(9)}
		by, err := job.Encode(e, b)
		if err != nil {
			t.Fatal(err)
		}
		got := job.Decode(job.Line{Seq: n, ID: "019", Bytes: by})
		kinds[got.Kind] = true
		if got.ID != e.ID || got.By != e.By || got.On != e.On || got.N != e.N || got.Seq != n || got.Kind != b.Kind() {
			t.Fatalf("%s came back as %+v", by, got)
		}
		if d := e.At.Sub(got.At); d < 0 || d >= time.Millisecond || got.At.Location() != time.UTC {
			t.Fatalf("%v came back as %v", e.At, got.At)
		}
		back := reflect.New(reflect.TypeOf(b))
		if err := json.Unmarshal(got.Body, back.Interface()); err != nil {
			t.Fatal(err)
		}
		again, err := job.Encode(e, back.Elem().Interface().(job.Body))
		if err != nil || !bytes.Equal(again, by) {
			t.Fatalf("%s\nencoded again is\n%s %v", by, again, err)
		}
	}
	if len(kinds) < 20 {
		t.Errorf("only %d kinds of entry were tried", len(kinds))
	}
}

// Text is kept as typed: no sign of HTML is escaped, and an entry is one line.
func TestVerbatimText(t *testing.T) {
	for _, text := range []string{"0,15 < play > 0.10 & \"tight\"", "Zeile\nzwei", "½ in · 130 lbf·ft", "\u2028", `back\slash`} {
		by, err := job.Encode(job.Entry{ID: "a"}, job.Noted{Text: text})
		if err != nil {
			t.Fatal(err)
		}
		if bytes.ContainsAny(by, "\n\r") || strings.Contains(string(by), `\u003c`) || strings.Contains(string(by), `\u0026`) {
			t.Errorf("%q was written %s", text, by)
		}
		var n job.Noted
		if err := json.Unmarshal(job.Decode(job.Line{Bytes: by}).Body, &n); err != nil || n.Text != text {
			t.Errorf("%q came back as %q, %v", text, n.Text, err)
		}
	}
}

// Reading a book never touches its bytes: what is hashed is what was stored,
// whatever spaces, order of keys or unknown keys it has.
func TestBytesVerbatim(t *testing.T) {
	raw := []byte("{ \"later\": 1, \"kind\":\"noted\",\t\"id\" : \"a\", \"body\": { \"text\" : \"x\", \"new\": [1 , 2] } }")
	ls := []job.Line{{Seq: 1, ID: "a", Bytes: bytes.Clone(raw)}}
	before := pin(t, ls)
	s := job.Replay("b", nil, job.DecodeAll(ls))
	if !bytes.Equal(ls[0].Bytes, raw) || pin(t, ls) != before {
		t.Errorf("the bytes became %s", ls[0].Bytes)
	}
	if len(s.Notes) != 1 || string(s.Notes[0].Body) != "{ \"text\" : \"x\", \"new\": [1 , 2] }" {
		t.Errorf("notes %v", s.Notes)
	}
}

// A line that is no entry says so and stops nothing.
func TestDecodeAnything(t *testing.T) {
	for _, raw := range []string{"", "null", "7", "[]", "{", "{}", `{"kind":7}`, `{"id":"x","at":"yesterday"}`, "\xff\xfe"} {
		e := job.Decode(job.Line{Seq: 3, ID: "stored", Bytes: []byte(raw)})
		if e.Seq != 3 || e.ID != "stored" {
			t.Errorf("%q: %+v", raw, e)
		}
		s := job.Replay("b", nil, []job.Entry{e})
		if len(s.Stray) != 1 || !strings.Contains(s.Stray[0], "entry 3") {
			t.Errorf("%q: strays %q", raw, s.Stray)
		}
	}
}
