package job

import (
	"fmt"
	"slices"
	"strings"
)

// Order is one line of an order, with what became of it.
type Order struct {
	OrderLine
	Supplier, Reference, Expected string
	Return                        int
	Made                          Entry
	Arrived                       *Done[Arrived]  // the last goods-in check
	Back                          *Done[SentBack] // the last return
}

// Wrong reports a part that came, is not what was ordered, and is still here.
func (o *Order) Wrong() bool { return o.Arrived != nil && !o.Arrived.Is.Good && !o.Sent() }

// Sent reports a part that went back and has not come again.
func (o *Order) Sent() bool {
	return o.Back != nil && (o.Arrived == nil || o.Back.Seq > o.Arrived.Seq)
}

// Here reports a part that came and is right.
func (o *Order) Here() bool { return o.Arrived != nil && o.Arrived.Is.Good && !o.Sent() }

// Order finds an ordered piece by its tag; of two, the later.
func (s *State) Order(tag string) (*Order, bool) {
	for i := len(s.Orders) - 1; i >= 0; i-- {
		if s.Orders[i].Tag == tag {
			return s.Orders[i], true
		}
	}
	return nil, false
}

// trade is what has to do with buying: offers, orders, what came of them, and
// what it is reckoned with.
func (s *State) trade(e Entry) {
	switch e.Kind {
	case "offered":
		if b, ok := body[Offered](s, e); ok {
			s.offered(b)
		}
	case "ordered":
		if b, ok := body[Ordered](s, e); ok {
			for _, l := range b.Lines {
				s.known(e, l.Position)
				s.Orders = append(s.Orders, &Order{OrderLine: l, Supplier: b.Supplier, Reference: b.Reference, Expected: b.Expected, Return: b.Return, Made: e})
			}
		}
	case "arrived":
		if b, ok := body[Arrived](s, e); ok {
			if o, ok := s.Order(b.Tag); ok {
				o.Arrived = &Done[Arrived]{e, b}
			} else {
				s.stray(e, "brings in %s, which was not ordered", b.Tag)
			}
			if b.Good && b.Piece != nil {
				s.arrive(e, *b.Piece, b.Place)
			}
		}
	case "sent back":
		if b, ok := body[SentBack](s, e); ok {
			if o, ok := s.Order(b.Tag); ok {
				o.Back = &Done[SentBack]{e, b}
				if b.Expected != "" {
					o.Expected = b.Expected
				}
			} else {
				s.stray(e, "sends back %s, which was not ordered", b.Tag)
			}
			if s.Pieces[b.Tag] != nil {
				s.leave(e, b.Tag)
				delete(s.gone, b.Tag) // it may come again
			}
		}
	case "terms":
		if b, ok := body[Terms](s, e); ok {
			s.Terms = &b
		}
	}
}

func (s *State) offered(b Offered) {
	for i, o := range s.Offers {
		if o.Type == b.Type && o.Position == b.Position && o.Variant == b.Variant && o.Supplier == b.Supplier {
			s.Offers = append(s.Offers[:i:i], s.Offers[i+1:]...)
			break
		}
	}
	if !b.Gone {
		s.Offers = append(s.Offers, b)
	}
}

// TradeWords puts an entry about offers, orders and estimates into words, the
// same on screen, on paper and on the command line; "" for any other.
func TradeWords(e Entry) string {
	s := &State{}
	join := func(parts ...string) string {
		return strings.Join(slices.DeleteFunc(parts, func(p string) bool { return p == "" }), ", ")
	}
	after := func(word, said string) string {
		if said == "" {
			return ""
		}
		return word + said
	}
	switch e.Kind {
	case "offered":
		if b, ok := body[Offered](s, e); ok {
			if b.Gone {
				return fmt.Sprintf("%s no longer offers %s", b.Supplier, strings.TrimSpace(b.Position+" "+b.Variant))
			}
			return join(fmt.Sprintf("%s offers %s of %s", b.Supplier, strings.TrimSpace(b.Position+" "+b.Variant), b.Type), b.Price, days(b.Days))
		}
	case "ordered":
		if b, ok := body[Ordered](s, e); ok {
			var tags []string
			for _, l := range b.Lines {
				tags = append(tags, l.Tag)
			}
			return join("ordered from "+b.Supplier+": "+strings.Join(tags, " "), after("reference ", b.Reference), after("expected ", b.Expected))
		}
	case "arrived":
		if b, ok := body[Arrived](s, e); ok {
			is := b.Tag + " came in, right"
			if !b.Good {
				is = b.Tag + " came in, WRONG"
			}
			var seen []string
			for k, v := range b.Values {
				seen = append(seen, k+" "+v)
			}
			slices.Sort(seen)
			return join(is, strings.Join(seen, ", "), strings.Join(b.Says, "; "), after("may go back until ", b.Until))
		}
	case "sent back":
		if b, ok := body[SentBack](s, e); ok {
			return join(b.Tag+" sent back", b.Why, after("the right one expected ", b.Expected))
		}
	case "terms":
		if b, ok := body[Terms](s, e); ok {
			return join(after("an hour at ", b.Hour), after("margin on parts ", b.Margin), after("consumables ", b.Consumables), after("contingency ", b.Contingency), after("hours in all ", b.Hours))
		}
	}
	return ""
}

func days(n int) string {
	switch n {
	case 0:
		return ""
	case 1:
		return "in 1 day"
	}
	return fmt.Sprintf("in %d days", n)
}
