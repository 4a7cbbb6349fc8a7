package web

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"slices"
	"time"

	"endfloat/calc/catalog"
	"endfloat/calc/uncert"
	"endfloat/internal/job"
	"endfloat/internal/plan"
	"endfloat/internal/setup"
	"endfloat/internal/shop"
)

// problem answers with an error as RFC 9457 has it.
func (v *visit) problem(code int, says string) {
	v.json(code, "application/problem+json", map[string]any{"type": "about:blank", "title": http.StatusText(code), "status": code, "detail": says, "instance": v.r.URL.Path})
}

type jobJSON struct {
	Book string `json:"book"`
	shop.Row
}

func (s *server) apiJobs(v *visit) error {
	rows, err := s.sh.Jobs(v.r.Context())
	if err != nil {
		return err
	}
	out := make([]jobJSON, len(rows))
	for i, r := range rows {
		out[i] = jobJSON{r.Book, r}
	}
	v.json(http.StatusOK, "application/json", map[string]any{"jobs": out})
	return nil
}

type positionJSON struct {
	ID       string   `json:"id"`
	Name     string   `json:"name"`
	Carrier  string   `json:"carrier"`
	Pieces   []string `json:"pieces"`
	State    string   `json:"state"`
	Decision string   `json:"decision,omitempty"`
}

type settingJSON struct {
	Name    string   `json:"name"`
	Value   *float64 `json:"si,omitempty"`
	U       float64  `json:"u_si,omitempty"`
	Text    string   `json:"text,omitempty"`
	Wanted  string   `json:"wanted,omitempty"`
	Verdict string   `json:"verdict,omitempty"`
	Proven  bool     `json:"proven"`
	Why     string   `json:"why,omitempty"`
}

type findingJSON struct {
	Kind    string `json:"kind"`
	Key     string `json:"key,omitempty"`
	About   string `json:"about,omitempty"`
	Says    string `json:"says"`
	Rests   string `json:"rests_on,omitempty"`
	Mend    string `json:"mend,omitempty"`
	Allowed string `json:"allowed,omitempty"`
}

type stepJSON struct {
	Do       string   `json:"do"`
	Position string   `json:"position,omitempty"`
	Setting  string   `json:"setting,omitempty"`
	Title    string   `json:"title"`
	Waits    []string `json:"waits,omitempty"`
}

type stateJSON struct {
	Book      string         `json:"book"`
	Seq       int            `json:"seq"`
	Unit      string         `json:"unit"`
	Letter    string         `json:"letter"`
	Colour    string         `json:"colour"`
	Type      string         `json:"type"`
	Arc       string         `json:"arc"`
	Pin       string         `json:"pin"`
	Positions []positionJSON `json:"positions"`
	Settings  []settingJSON  `json:"settings"`
	Findings  []findingJSON  `json:"findings"`
	Next      []stepJSON     `json:"next"`
	Waiting   []stepJSON     `json:"waiting"`
}

func stateOf(d *shop.Desk) stateJSON {
	o := stateJSON{Book: d.Book, Seq: d.Seq, Unit: d.Opened.Unit, Letter: d.Opened.Letter, Colour: d.Opened.Colour, Type: d.Opened.Type, Arc: d.Arc(), Pin: d.Pin,
		Positions: []positionJSON{}, Settings: []settingJSON{}, Findings: []findingJSON{}, Next: stepsJSON(d.Next(3)), Waiting: stepsJSON(d.Waiting(10))}
	if d.Box != nil {
		stands := d.Standing()
		for _, p := range d.Box.All() {
			q := positionJSON{ID: p.ID, Name: p.Name, Carrier: p.Carrier.ID, Pieces: slices.Clone(d.At[p.ID]), State: stands(p.ID).Word()}
			if q.Pieces == nil {
				q.Pieces = []string{}
			}
			if sp := d.Spots[p.ID]; sp != nil && sp.Decided != nil {
				q.Decision = sp.Decided.Is.Choice
			}
			o.Positions = append(o.Positions, q)
		}
	}
	for _, r := range d.Settings {
		j := settingJSON{Name: r.Name, Wanted: setup.Range(r.Lo, r.Hi, r.HasLo, r.HasHi, r.Unit), Verdict: string(r.Verdict), Proven: r.Proven, Why: r.Why}
		if r.Known {
			j.Value, j.U, j.Text = &r.Value, r.U, setup.Text(r.Value, r.U, r.Unit)
		}
		o.Settings = append(o.Settings, j)
	}
	for _, f := range d.Findings {
		o.Findings = append(o.Findings, findingJSON{string(f.Kind), f.Key, f.About, f.Says, f.Rests, f.Mend, f.Allowed})
	}
	return o
}

func stepsJSON(steps []plan.Step) []stepJSON {
	out := []stepJSON{}
	for _, st := range steps {
		j := stepJSON{Do: st.Do, Setting: st.Setting, Title: st.Title, Waits: st.Waits}
		if st.Position != nil {
			j.Position = st.Position.ID
		}
		out = append(out, j)
	}
	return out
}

func (s *server) apiJob(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	v.json(http.StatusOK, "application/json", stateOf(d))
	return nil
}

// sent is an entry as a client sends it. Its id makes a repeat harmless.
type sent struct {
	ID     string          `json:"id"`
	Kind   string          `json:"kind"`
	Body   json.RawMessage `json:"body"`
	By     string          `json:"by"`
	Device string          `json:"device"`
	N      int             `json:"n"`
	At     time.Time       `json:"at"`
}

// readers reads the body of each kind of entry that may be sent. The others
// are made by the shop alone.
var readers = map[string]func(json.RawMessage) (job.Body, error){
	"noted": into[job.Noted], "taken off": into[job.TakenOff], "read": into[job.Read], "decided": into[job.Decided], "added": into[job.Added],
	"put": into[job.Put], "marked": into[job.Marked], "fitted": into[job.Fitted], "torqued": into[job.Torqued], "locked": into[job.Locked],
	"answered": into[job.Answered], "allowed": into[job.Allowed], "struck": into[job.Struck], "cost": into[job.Cost], "closed": into[job.Closed],
	"received": into[job.Received], "estimate": into[job.Estimate], "approved": into[job.Approved], "cleaned": into[job.Cleaned],
	"repaired": into[job.Repaired], "looked": into[job.Looked], "gap": into[job.Gap], "drawn": into[job.Drawn],
	"pattern": into[job.Pattern], "heated": into[job.Heated], "tested": into[job.Tested], "instrument": into[job.Instrument], "tool": into[job.Tool],
	"offered": into[job.Offered], "ordered": into[job.Ordered], "arrived": into[job.Arrived], "sent back": into[job.SentBack], "terms": into[job.Terms],
}

func into[B job.Body](raw json.RawMessage) (job.Body, error) {
	var b B
	if err := strict(raw, &b); err != nil {
		return nil, err
	}
	return b, nil
}

func strict(raw []byte, to any) error {
	dec := json.NewDecoder(bytes.NewReader(raw))
	dec.DisallowUnknownFields()
	if err := dec.Decode(to); err != nil {
		return invalid("this is not what was expected: %v", err)
	}
	return nil
}

func (s *server) apiEntry(v *visit) error {
	var e sent
	if err := v.asked(&e); err != nil {
		return err
	}
	read, ok := readers[e.Kind]
	if !ok {
		return invalid("entries of kind %q cannot be sent here", e.Kind)
	}
	b, err := read(e.Body)
	if err != nil {
		return err
	}
	d, err := s.sh.Record(v.r.Context(), v.byOf(e), v.r.PathValue("book"), b)
	if err != nil {
		return err
	}
	v.json(http.StatusOK, "application/json", stateOf(d))
	return nil
}

// byOf is who sends an entry. At the computer itself a program says who acts; a
// paired device is who it was paired as.
func (v *visit) byOf(e sent) shop.By {
	b := shop.By{Name: e.By, Device: e.Device, N: e.N, ID: e.ID, At: e.At, Role: v.role()}
	if v.me.ID != "" {
		b.Name, b.Device = v.me.Name, v.me.Device
	}
	return b
}

// mostJSON is the largest body of JSON that is read.
const mostJSON = 1 << 20

// asked reads what was sent as JSON; a field that is not known is a fault.
func (v *visit) asked(to any) error {
	raw, err := v.body()
	if err != nil {
		return err
	}
	return strict(raw, to)
}

func (v *visit) body() ([]byte, error) {
	raw, err := io.ReadAll(http.MaxBytesReader(v.w, v.r.Body, mostJSON))
	var big *http.MaxBytesError
	switch {
	case errors.As(err, &big):
		return nil, invalid("more than %d kB were sent", mostJSON>>10)
	case err != nil:
		return nil, fmt.Errorf("what was sent: %w", err)
	}
	return raw, nil
}

func (s *server) apiSums(v *visit) error {
	v.json(http.StatusOK, "application/json", map[string]any{"sums": catalog.All()})
	return nil
}

func (s *server) apiSum(v *visit) error {
	sum, err := catalog.Find(v.r.PathValue("name"))
	if err != nil {
		return missing("%v", err)
	}
	raw, err := v.body()
	if err != nil {
		return err
	}
	var in map[string]string
	if err := strict(raw, &in); err != nil {
		return err
	}
	for k := range in {
		if _, ok := sum.Input(k); !ok {
			return invalid("%s: %s asks for nothing of that name", k, sum.Name)
		}
	}
	q, stores, err := s.asked(v, sum, in, v.r.URL.Query().Get)
	if err != nil {
		return err
	}
	a, _, err := shop.DoSum(stores, q)
	if err != nil {
		return invalid("%v", err)
	}
	v.json(http.StatusOK, "application/json", a)
	return nil
}

type instrumentJSON struct {
	Name     string  `json:"name"`
	Class    string  `json:"class"`
	Quantity string  `json:"quantity"`
	Unit     string  `json:"unit"`
	MPE      string  `json:"mpe"`
	U        float64 `json:"u_si"`
	Common   float64 `json:"common"`
	Metal    string  `json:"metal,omitempty"`
	Source   string  `json:"source"`
}

// apiInstruments lists the usual instruments with the standard uncertainty that
// follows from their maximum permissible error.
func (s *server) apiInstruments(v *visit) error {
	out := []instrumentJSON{}
	for _, in := range uncert.Instruments() {
		out = append(out, instrumentJSON{in.Name, in.Class, in.Quantity.String(), in.Unit, in.MPE, in.U, in.Common, in.Metal, in.Source})
	}
	v.json(http.StatusOK, "application/json", map[string]any{"instruments": out})
	return nil
}
