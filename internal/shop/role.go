package shop

import (
	"encoding/json"
	"errors"
	"strings"

	"endfloat/internal/job"
)

// ErrMayNot is a refusal for the role of who asks, whatever the state of the job.
var ErrMayNot = errors.New("not for this role")

// Role is what somebody may do.
type Role string

// The roles. Who sits at the computer with the data file is its owner.
const (
	Owner   Role = "owner"
	Hand    Role = "hand"    // does the work; closes no lid and signs nothing
	Witness Role = "witness" // signs hold points by name, and notes what was seen
	Reader  Role = "reader"  // looks on
)

// Roles lists them, those that may do most first.
var Roles = []Role{Owner, Hand, Witness, Reader}

// role is that of who acts. Nobody's is the owner's: the command line acts at the
// data file itself, and whoever can open that file can write to it.
func (b By) role() Role {
	if b.Role == "" {
		return Owner
	}
	return b.Role
}

// Does says in a few words what a role may do.
func (r Role) Does() string {
	switch r {
	case Owner:
		return "everything"
	case Hand:
		return "all the work, but closes no lid, signs nothing and hands nothing over"
	case Witness:
		return "signs hold points by name, and notes what was seen"
	case Reader:
		return "looks on and changes nothing"
	}
	return "nothing"
}

// Writes reports whether a role may change anything at all.
func (r Role) Writes() bool { return r == Owner || r == Hand || r == Witness }

// lets turns an answer into a refusal that says what the role may not do and
// who may.
func (r Role) lets(may bool, what string, who ...Role) error {
	if may {
		return nil
	}
	names := make([]string, len(who))
	for i, w := range who {
		names[i] = "the " + string(w)
	}
	return wrap(ErrMayNot, "a %s may not %s; %s may", r, what, strings.Join(names, " or "))
}

// may refuses what the role of who acts does not let them do. It is the one
// place where that is decided.
func (o *order) may() error {
	r := o.by.role()
	switch b := o.body.(type) {
	case job.Noted:
		return r.lets(r.Writes(), "write notes", Owner, Hand, Witness)
	case job.Signed:
		if key, err := o.sh.person(o.ctx, o.by.Name); err != nil {
			return err
		} else if r == Witness && b.Name != key {
			return wrap(ErrMayNot, "a witness signs by their own name; the owner may sign for somebody")
		}
		return r.lets(r == Owner || r == Witness, "sign", Owner, Witness)
	case job.Allowed:
		return r.lets(r.Writes(), "pass a hold", Owner, Hand, Witness)
	case job.Closed:
		return r.lets(r == Owner, "hand a unit over", Owner)
	case job.Repinned:
		return r.lets(r == Owner, "change the gearbox file of a job", Owner)
	case job.Fitted:
		if o.lid(b.Position) && !b.Trial {
			return r.lets(r == Owner, "close a lid", Owner)
		}
	case job.Struck:
		return o.mayStrike(b)
	}
	return r.lets(r == Owner || r == Hand, "do this work", Owner, Hand)
}

// mayStrike lets somebody undo only what they might have done.
func (o *order) mayStrike(b job.Struck) error {
	for _, e := range o.desk.Entries {
		if e.ID != b.Entry {
			continue
		}
		own := *o
		switch e.Kind {
		case job.Signed{}.Kind():
			own.body = job.Signed{}
		case job.Closed{}.Kind():
			own.body = job.Closed{}
		case job.Noted{}.Kind():
			own.body = job.Noted{}
		case job.Fitted{}.Kind():
			var f job.Fitted
			if json.Unmarshal(e.Body, &f) != nil {
				f = job.Fitted{}
			}
			own.body = f
		default:
			own.body = job.Put{}
		}
		return own.may()
	}
	r := o.by.role()
	return r.lets(r == Owner || r == Hand, "strike entries", Owner, Hand)
}

func (o *order) lid(position string) bool {
	if o.desk.Box == nil {
		return false
	}
	p, ok := o.desk.Box.Position(position)
	return ok && p.Lid()
}
