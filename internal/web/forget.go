package web

import (
	"net/http"
	"reflect"

	"endfloat/internal/shop"
)

// forgetPerson deletes a name on request.
func (s *server) forgetPerson(v *visit) error {
	err := v.form()
	if err == nil && v.r.FormValue("sure") == "" {
		err = invalid("nothing was deleted: there is no way back from this, so tick that it is meant")
	}
	if err == nil {
		_, err = s.sh.ForgetPerson(v.r.Context(), v.by(), v.r.FormValue("name"))
	}
	if err == nil {
		return v.go303("/people")
	}
	if err := v.refused("forget", err); err != nil {
		return err
	}
	return s.people(v)
}

// forgetPhoto deletes a photo on request.
func (s *server) forgetPhoto(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	key := v.r.PathValue("key")
	if _, err := d.Photo(key); err != nil {
		return err
	}
	err = v.form()
	if err == nil && v.r.FormValue("sure") == "" {
		err = invalid("nothing was deleted: there is no way back from this, so tick that it is meant")
	}
	if err == nil {
		err = s.sh.ForgetPhoto(v.r.Context(), v.by(), key)
	}
	if err == nil {
		return v.go303(photoHref(d.Book, key))
	}
	if err := v.refused("forget", err); err != nil {
		return err
	}
	return s.showPhoto(v, d)
}

// forgetJSON says what to delete: one of the two.
type forgetJSON struct {
	Person string `json:"person,omitempty"`
	Photo  string `json:"photo,omitempty"`
}

type forgottenJSON struct {
	Deleted  int       `json:"deleted"`
	Mentions []hitJSON `json:"mentions"`
}

// apiForget deletes a name or a photo for good.
func (s *server) apiForget(v *visit) error {
	var ask forgetJSON
	err := v.asked(&ask)
	if err != nil {
		return err
	}
	by := v.byOf(sent{By: v.whoName(), Device: v.deviceName()})
	out := forgottenJSON{1, []hitJSON{}}
	switch {
	case (ask.Person == "") == (ask.Photo == ""):
		return invalid("name either a person or the key of a photo")
	case ask.Photo != "":
		err = s.sh.ForgetPhoto(v.r.Context(), by, ask.Photo)
	default:
		var f *shop.Forgotten
		if f, err = s.sh.ForgetPerson(v.r.Context(), by, ask.Person); err == nil {
			out.Deleted = f.Names
			for _, h := range f.Mentions {
				out.Mentions = append(out.Mentions, hitOf(h))
			}
		}
	}
	if err != nil {
		return err
	}
	v.json(http.StatusOK, "application/json", out)
	return nil
}

func forgetOperation() object {
	op := operation("forget", "Delete a person's name and how to reach them, or a photo, for good. Books stay whole; entries in whose own words the name stands are listed. For the owner only.", schemaOf(reflect.TypeFor[forgottenJSON]()))
	op["requestBody"] = body(schemaOf(reflect.TypeFor[forgetJSON]()))
	return op
}
