package web

import (
	"net/http"
	"reflect"
	"time"

	"endfloat/internal/choose"
	"endfloat/internal/job"
	"endfloat/internal/plan"
	"endfloat/internal/report"
	"endfloat/internal/shop"
)

// byJSON is who sends a change of several books.
type byJSON struct {
	ID     string    `json:"id,omitempty"`
	By     string    `json:"by,omitempty"`
	Device string    `json:"device,omitempty"`
	At     time.Time `json:"at,omitzero"`
}

func (v *visit) byWhom(b byJSON) shop.By {
	return v.byOf(sent{ID: b.ID, By: b.By, Device: b.Device, At: b.At})
}

type decidedJSON struct {
	Decided []string `json:"decided"`
}

// apiChoose works out which piece goes where.
func (s *server) apiChoose(v *visit) error {
	var ask shop.Asking
	if err := v.asked(&ask); err != nil {
		return err
	}
	c, err := s.sh.Choose(v.r.Context(), ask)
	if err != nil {
		return err
	}
	v.json(http.StatusOK, "application/json", c)
	return nil
}

type acceptJSON struct {
	Asking shop.Asking    `json:"asking"`
	On     map[string]int `json:"on"`
	Which  int            `json:"which,omitempty"`
	byJSON
}

// apiAccept writes an answer into the books of its units.
func (s *server) apiAccept(v *visit) error {
	var in acceptJSON
	if err := v.asked(&in); err != nil {
		return err
	}
	says, err := s.sh.Accept(v.r.Context(), v.byWhom(in.byJSON), in.Asking, in.On, in.Which)
	if err != nil {
		return err
	}
	v.json(http.StatusOK, "application/json", decidedJSON{says})
	return nil
}

// thingJSON is a piece, or a part to be bought, that is or could be somewhere.
type thingJSON struct {
	Tag       string            `json:"tag,omitempty"`
	Variant   string            `json:"variant,omitempty"`
	Is        string            `json:"is"`
	Own       bool              `json:"own,omitempty"`
	From      string            `json:"from,omitempty"`
	Price     string            `json:"price,omitempty"`
	Days      int               `json:"days,omitempty"`
	Condition string            `json:"condition"`
	Against   []string          `json:"against,omitempty"`
	Marks     map[string]string `json:"marks,omitempty"`
}

func thingOf(c choose.Could) thingJSON {
	t := thingJSON{Tag: c.Tag, Variant: c.Variant, Is: c.Name, Own: c.Own, From: c.Origin, Days: c.Days, Against: c.Against, Marks: c.Marks}
	if c.Price > 0 {
		t.Price = c.Price.String()
	}
	t.Condition, _ = shop.Condition(c)
	return t
}

type squareJSON struct {
	Book  string    `json:"book"`
	Moved bool      `json:"moved,omitempty"`
	Is    thingJSON `json:"is"`
}

type boardRowJSON struct {
	Position string       `json:"position"`
	Label    string       `json:"label"`
	Carrier  string       `json:"carrier"`
	Pool     int          `json:"pool"`
	Squares  []squareJSON `json:"squares"`
}

type leftJSON struct {
	Tag      string   `json:"tag"`
	Position string   `json:"position"`
	Unit     string   `json:"unit"`
	Owner    string   `json:"owner,omitempty"`
	Worth    string   `json:"worth,omitempty"`
	Against  []string `json:"against,omitempty"`
}

type passJSON struct {
	Tag  string `json:"tag"`
	What string `json:"what"`
	From string `json:"from"`
	To   string `json:"to"`
	Owed string `json:"owed"`
}

type boardJSON struct {
	Rows   []boardRowJSON `json:"rows"`
	Breaks []string       `json:"breaks"`
	Stands []string       `json:"stands"`
	Voids  []string       `json:"voids"`
	Asks   []string       `json:"asks"`
	Ways   []shop.WayOut  `json:"ways"`
	Left   []leftJSON     `json:"left"`
	Passes []passJSON     `json:"passes"`
	On     map[string]int `json:"on"`
}

// apiBoard lays out all units, with moves tried.
func (s *server) apiBoard(v *visit) error {
	moves, err := movesOf(v.r.URL.Query()["move"])
	if err != nil {
		return err
	}
	b, err := s.sh.Board(v.r.Context(), moves)
	if err != nil {
		return err
	}
	v.json(http.StatusOK, "application/json", boardOut(b))
	return nil
}

func boardOut(b *shop.Board) boardJSON {
	out := boardJSON{Rows: []boardRowJSON{}, Breaks: some(b.Breaks), Stands: some(b.Stands), Voids: some(b.Voids), Asks: some(b.Asks), Ways: some(b.Ways),
		Left: []leftJSON{}, Passes: []passJSON{}, On: map[string]int{}}
	for _, d := range b.Desks {
		out.On[d.Book] = d.Seq
	}
	for _, c := range b.Carriers {
		for _, r := range b.Rows[c.ID] {
			row := boardRowJSON{Position: r.Position.ID, Label: r.Position.Label(), Carrier: c.ID, Pool: r.Pool, Squares: []squareJSON{}}
			for _, q := range r.Squares {
				row.Squares = append(row.Squares, squareJSON{q.Book, q.Moved, thingOf(q.Is)})
			}
			out.Rows = append(out.Rows, row)
		}
	}
	for _, o := range b.Left {
		out.Left = append(out.Left, leftJSON{o.Tag, o.Position, o.From, o.Owner, o.Worth, o.Out})
	}
	for _, p := range b.Pass {
		out.Passes = append(out.Passes, passJSON{p.Tag, p.Label, p.From, p.To, p.Worth})
	}
	return out
}

// some is a list that is never null.
func some[T any](list []T) []T {
	if list == nil {
		return []T{}
	}
	return list
}

type tryJSON struct {
	Move   string    `json:"move"`
	Here   bool      `json:"here,omitempty"`
	Breaks []string  `json:"breaks"`
	Is     thingJSON `json:"is"`
}

type triesJSON struct {
	Tries []tryJSON `json:"tries"`
}

// apiTries lists what could go to a place, and what each would break.
func (s *server) apiTries(v *visit) error {
	moves, err := movesOf(v.r.URL.Query()["move"])
	if err != nil {
		return err
	}
	b, err := s.sh.Board(v.r.Context(), moves)
	if err != nil {
		return err
	}
	out := triesJSON{[]tryJSON{}}
	for _, t := range b.Tries(v.r.FormValue("book"), v.r.FormValue("position")) {
		out.Tries = append(out.Tries, tryJSON{t.Move.String(), t.Here, some(t.Breaks), thingOf(t.Could)})
	}
	if len(out.Tries) == 0 {
		return missing("there is no place %s.%s to choose for", v.r.FormValue("book"), v.r.FormValue("position"))
	}
	v.json(http.StatusOK, "application/json", out)
	return nil
}

type assignJSON struct {
	Moves []string       `json:"moves"`
	On    map[string]int `json:"on"`
	Why   string         `json:"why,omitempty"`
	byJSON
}

// apiAssign decides what moves put where, in the books of all units at once.
func (s *server) apiAssign(v *visit) error {
	var in assignJSON
	if err := v.asked(&in); err != nil {
		return err
	}
	moves, err := movesOf(in.Moves)
	if err != nil {
		return err
	}
	says, err := s.sh.Assign(v.r.Context(), v.byWhom(in.byJSON), moves, in.On, in.Why)
	if err != nil {
		return err
	}
	v.json(http.StatusOK, "application/json", decidedJSON{says})
	return nil
}

type toOrderJSON struct {
	Book     string `json:"book"`
	Position string `json:"position"`
	Label    string `json:"label"`
	Variant  string `json:"variant,omitempty"`
	Count    int    `json:"count"`
	Supplier string `json:"supplier,omitempty"`
	Price    string `json:"price,omitempty"`
	Days     int    `json:"days,omitempty"`
}

type comingJSON struct {
	Book      string   `json:"book"`
	Tag       string   `json:"tag"`
	Position  string   `json:"position"`
	Label     string   `json:"label"`
	Variant   string   `json:"variant,omitempty"`
	Count     int      `json:"count,omitempty"`
	Supplier  string   `json:"supplier"`
	Reference string   `json:"reference,omitempty"`
	Price     string   `json:"price,omitempty"`
	Expected  string   `json:"expected,omitempty"`
	Stands    string   `json:"stands"`
	Late      bool     `json:"late,omitempty"`
	Wrong     []string `json:"wrong,omitempty"`
	Until     string   `json:"until,omitempty"`
}

type ordersJSON struct {
	To     []toOrderJSON `json:"to_order"`
	Coming []comingJSON  `json:"coming"`
}

// apiOrders lists what all units need and wait for.
func (s *server) apiOrders(v *visit) error {
	os, err := s.sh.Orders(v.r.Context())
	if err != nil {
		return err
	}
	out := ordersJSON{[]toOrderJSON{}, []comingJSON{}}
	for _, t := range os.To {
		out.To = append(out.To, toOrderJSON{t.Book, t.Position, t.Label, t.Variant, t.Count, t.Supplier, t.Price, t.Days})
	}
	for _, c := range os.Coming {
		j := comingJSON{Book: c.Book, Tag: c.Tag, Position: c.Position, Label: c.Label, Variant: c.Variant, Count: c.Count, Supplier: c.Supplier,
			Reference: c.Reference, Price: c.Price, Expected: c.Expected, Stands: c.Stands(), Late: c.Late}
		if c.Arrived != nil {
			j.Until = c.Arrived.Is.Until
		}
		if c.Wrong() {
			j.Wrong = c.Arrived.Is.Says
		}
		out.Coming = append(out.Coming, j)
	}
	v.json(http.StatusOK, "application/json", out)
	return nil
}

type orderJSON struct {
	Supplier  string   `json:"supplier"`
	Reference string   `json:"reference,omitempty"`
	Expected  string   `json:"expected,omitempty"`
	Positions []string `json:"positions,omitempty"`
	byJSON
}

// apiOrder orders what a unit needs of one supplier.
func (s *server) apiOrder(v *visit) error {
	var in orderJSON
	if err := v.asked(&in); err != nil {
		return err
	}
	d, err := s.sh.Place(v.r.Context(), v.byWhom(in.byJSON), v.r.PathValue("book"), shop.Ordering{Supplier: in.Supplier, Reference: in.Reference, Expected: in.Expected, Positions: in.Positions})
	if err != nil {
		return err
	}
	v.json(http.StatusOK, "application/json", stateOf(d))
	return nil
}

type lookForJSON struct {
	Key     string   `json:"key"`
	Wanted  string   `json:"wanted,omitempty"`
	From    string   `json:"from,omitempty"`
	Choices []string `json:"choices,omitempty"`
}

type goodsJSON struct {
	Tag      string        `json:"tag"`
	Position string        `json:"position"`
	Looks    []lookForJSON `json:"looks"`
	Fits     []string      `json:"must_fit"`
}

// apiGoods says what to look at on a part as it comes in.
func (s *server) apiGoods(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	g, err := d.GoodsIn(v.r.FormValue("tag"))
	if err != nil {
		return err
	}
	out := goodsJSON{Tag: g.Order.Tag, Position: g.Pos.ID, Looks: []lookForJSON{}, Fits: some(g.Mates)}
	for _, l := range g.Looks {
		out.Looks = append(out.Looks, lookForJSON(l))
	}
	v.json(http.StatusOK, "application/json", out)
	return nil
}

type stageJSON struct {
	Stage string  `json:"stage"`
	Hours float64 `json:"hours"`
	Money float64 `json:"money"`
}

type levelJSON struct {
	Name      string  `json:"name"`
	Says      string  `json:"says"`
	Parts     int     `json:"parts"`
	NotPriced int     `json:"not_priced,omitempty"`
	Hours     float64 `json:"hours"`
	Sum       float64 `json:"sum"`
}

type costsJSON struct {
	Sum         float64     `json:"sum"`
	Currency    string      `json:"currency,omitempty"`
	Parts       float64     `json:"parts"`
	Hours       float64     `json:"hours"`
	Rate        float64     `json:"rate"`
	Consumables float64     `json:"consumables"`
	Contingency float64     `json:"contingency"`
	Formula     string      `json:"formula"`
	Stands      string      `json:"stands"`
	Stages      []stageJSON `json:"stages"`
	NotRead     []string    `json:"not_read,omitempty"`
	Levels      []levelJSON `json:"levels"`
}

// apiCosts tells what a job has cost, and what three ways to do it come to.
func (s *server) apiCosts(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	a, err := s.sh.Account(v.r.Context(), d)
	if err != nil {
		return err
	}
	var levels []report.Level
	if d.Box != nil && !d.Opened.Donor {
		if levels, err = s.sh.Levels(v.r.Context(), d); err != nil {
			return err
		}
	}
	out := costsJSON{Sum: a.Sum, Currency: a.Unit, Parts: a.Parts, Hours: a.Hours, Rate: a.Rate, Consumables: a.Consumables, Contingency: a.Contingency,
		Formula: a.Formula(), Stands: a.Stands(), Stages: []stageJSON{}, NotRead: a.Unread, Levels: []levelJSON{}}
	for _, st := range a.Stages {
		out.Stages = append(out.Stages, stageJSON{st.Name, st.Hours, st.Money})
	}
	for _, l := range levels {
		out.Levels = append(out.Levels, levelJSON{l.Name, l.Says, len(l.Parts), l.Unknown, l.Hours, l.Sum})
	}
	v.json(http.StatusOK, "application/json", out)
	return nil
}

type waysJSON struct {
	Key  string        `json:"key"`
	Says string        `json:"says"`
	Mend string        `json:"mend"`
	Ways []shop.WayOut `json:"ways"`
}

type brokenJSON struct {
	Broken []waysJSON `json:"broken"`
}

// apiWays lists the rules that a unit breaks, each with its ways out.
func (s *server) apiWays(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	out := brokenJSON{[]waysJSON{}}
	for _, f := range d.Findings {
		if _, ok := d.RuleOf(f); !ok || f.Kind != plan.Broken || f.Allowed != "" || asksOnly(f) {
			continue
		}
		ways, err := s.sh.RuleWays(v.r.Context(), d, f)
		if err != nil {
			return err
		}
		out.Broken = append(out.Broken, waysJSON{f.Key, f.Says, f.Mend, some(ways)})
	}
	v.json(http.StatusOK, "application/json", out)
	return nil
}

type offersJSON struct {
	Offers []job.Offered `json:"offers"`
}

// apiOffers lists what can be bought.
func (s *server) apiOffers(v *visit) error {
	stores, err := s.sh.Open(v.r.Context(), shop.StoresBook)
	if err != nil {
		return err
	}
	v.json(http.StatusOK, "application/json", offersJSON{some(stores.Offers)})
	return nil
}

// chooseOperation describes the routes of this file; nil for any other.
func chooseOperation(pattern string) object {
	op := chooseAnswer(pattern)
	query := func(name, says string, many bool) object {
		schema := text()
		if many {
			schema = list(text())
		}
		return object{"name": name, "in": "query", "description": says, "schema": schema}
	}
	move := query("move", "A move tried, such as linnet.P08=P-P08; may stand several times.", true)
	switch pattern {
	case "POST /api/choose":
		op["requestBody"] = body(schemaOf(reflect.TypeFor[shop.Asking]()))
	case "POST /api/choose/accept":
		op["requestBody"] = body(schemaOf(reflect.TypeFor[acceptJSON]()))
	case "GET /api/board":
		op["parameters"] = []object{move}
	case "GET /api/board/place":
		op["parameters"] = []object{query("book", "of the unit", false), query("position", "its id", false), move}
	case "POST /api/board":
		op["requestBody"] = body(schemaOf(reflect.TypeFor[assignJSON]()))
	case "POST /api/job/{book}/order":
		op["requestBody"] = body(schemaOf(reflect.TypeFor[orderJSON]()))
	case "GET /api/job/{book}/goods":
		op["parameters"] = []object{query("tag", "under which it was ordered", false)}
	}
	return op
}

func chooseAnswer(pattern string) object {
	switch pattern {
	case "POST /api/choose":
		return operation("choose", "Which piece goes where, over several units: the best of all, proven, and the next best; or a smallest set of wishes, rules and facts that clash, in words, with ways out. Without units all in hand are meant, and what their books decide stands.", schemaOf(reflect.TypeFor[shop.Choice]()))
	case "POST /api/choose/accept":
		return operation("accept", "Decide an answer in the books of its units, all in one transaction; on is what the answer gave under on.", schemaOf(reflect.TypeFor[decidedJSON]()))
	case "GET /api/board":
		return operation("board", "All units side by side: what each has at every position, what moves break and void, what is left over, and what money moves.", schemaOf(reflect.TypeFor[boardJSON]()))
	case "GET /api/board/place":
		return operation("place", "What could go to one place of the board, and what each would break.", schemaOf(reflect.TypeFor[triesJSON]()))
	case "POST /api/board":
		return operation("assign", "Decide moves in the books of their units, all in one transaction. Moves that break something need a reason, which stays in the book.", schemaOf(reflect.TypeFor[decidedJSON]()))
	case "GET /api/orders":
		return operation("orders", "What is to be ordered and what is on its way, over all units.", schemaOf(reflect.TypeFor[ordersJSON]()))
	case "GET /api/offers":
		return operation("offers", "What can be bought. An offer is written with an entry of the kind offered in the book stores.", schemaOf(reflect.TypeFor[offersJSON]()))
	case "POST /api/job/{book}/order":
		return operation("order", "Order what a unit needs of one supplier: the positions named, or all that this supplier offers. What comes is checked in with entries of the kinds arrived and sent back.", ref("Job"))
	case "GET /api/job/{book}/goods":
		return operation("goods", "What to measure, count and see on a part as it comes in, and the mates it must fit. The values go into an entry of the kind arrived.", schemaOf(reflect.TypeFor[goodsJSON]()))
	case "GET /api/job/{book}/costs":
		return operation("costs", "What a job has cost so far, hours by stage, against its estimate; and three levels of price.", schemaOf(reflect.TypeFor[costsJSON]()))
	case "GET /api/job/{book}/ways":
		return operation("ways", "The rules of the gearbox file that a unit breaks, each with ways out from all that there is.", schemaOf(reflect.TypeFor[brokenJSON]()))
	}
	return nil
}
