package shop

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/base64"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"endfloat/internal/job"

	"github.com/google/uuid"
)

// DevicesBook is the book of the phones and tablets that were let in. It is a
// book of its own because who may come in is nobody's stock: the book of the
// stores is printed and copied, and every change of it refreshes open screens.
// Like every other book it is append-only and pinned, so that a device let in
// or struck off at some time can still be told years later.
const DevicesBook = "devices"

// Paired lets a device in.
type Paired struct {
	Device string `json:"device"`
	Called string `json:"called"` // what the device is called
	Person string `json:"person"` // key of the blob with the name of who uses it
	Role   Role   `json:"role"`
	Token  string `json:"token"` // SHA-256 of what the device shows; the token itself is never kept
}

// StruckOff shuts a device out for good.
type StruckOff struct {
	Device string `json:"device"`
}

// Kind names the entry.
func (Paired) Kind() string { return "paired" }

// Kind names the entry.
func (StruckOff) Kind() string { return "struck off" }

// Device is a phone or tablet that was let in.
type Device struct {
	ID     string
	Called string
	Name   string // of who uses it
	Role   Role
	Since  time.Time
	Off    time.Time // when it was struck off, or its year was over; zero = it is in
	token  [sha256.Size]byte
}

// DeviceLife is how long a device stays in: after a year it is paired anew, so that
// one forgotten in a drawer does not open the workshop for ever.
const DeviceLife = 366 * 24 * time.Hour

// Devices lists all devices ever let in, in the order they came.
func (sh *Shop) Devices(ctx context.Context) ([]Device, error) {
	ds, _, err := sh.devices(ctx)
	return ds, err
}

// devices replays the book of devices. It is short: a workshop has a handful.
func (sh *Shop) devices(ctx context.Context) ([]Device, int, error) {
	lines, err := sh.store.Lines(ctx, DevicesBook, 0)
	if err != nil {
		return nil, 0, fmt.Errorf("devices: %w", err)
	}
	var ds []Device
	for _, e := range job.DecodeAll(lines) {
		switch e.Kind {
		case Paired{}.Kind():
			var b Paired
			if json.Unmarshal(e.Body, &b) != nil {
				continue
			}
			d := Device{ID: b.Device, Called: b.Called, Name: sh.Name(ctx, b.Person), Role: b.Role, Since: e.At}
			if raw, err := hex.DecodeString(b.Token); err == nil && len(raw) == len(d.token) {
				copy(d.token[:], raw)
				ds = append(ds, d)
			}
		case StruckOff{}.Kind():
			var b StruckOff
			if json.Unmarshal(e.Body, &b) != nil {
				continue
			}
			for i := range ds {
				if ds[i].ID == b.Device && ds[i].Off.IsZero() {
					ds[i].Off = e.At
				}
			}
		}
	}
	for i, d := range ds {
		if end := d.Since.Add(DeviceLife); d.Off.IsZero() && sh.now().After(end) {
			ds[i].Off = end
		}
	}
	return ds, len(lines), nil
}

// DeviceOf returns the device that shows a token, or ErrNotFound when no device
// that is still in does. It takes the same time whichever device it is.
func (sh *Shop) DeviceOf(ctx context.Context, token string) (Device, error) {
	ds, _, err := sh.devices(ctx)
	if err != nil {
		return Device{}, err
	}
	shown, found := sha256.Sum256([]byte(token)), -1
	for i, d := range ds {
		if subtle.ConstantTimeCompare(shown[:], d.token[:]) == 1 && d.Off.IsZero() {
			found = i
		}
	}
	if found < 0 {
		return Device{}, wrap(ErrNotFound, "this device is not paired, or was struck off")
	}
	return ds[found], nil
}

// Pair lets a device in and returns the token that it is to show from now on.
func (sh *Shop) Pair(ctx context.Context, by By, d Device) (token string, err error) {
	if err := by.role().lets(by.role() == Owner, "let devices in", Owner); err != nil {
		return "", err
	}
	if d.Called, d.Name = strings.TrimSpace(d.Called), strings.TrimSpace(d.Name); d.Name == "" || d.Called == "" {
		return "", wrap(ErrInvalid, "device: give the name of who uses it, and what the device is called")
	}
	if !slices.Contains(Roles, d.Role) {
		return "", wrap(ErrInvalid, "role: %q is none; it is owner, hand, witness or reader", d.Role)
	}
	if token, err = Secret(32); err != nil {
		return "", err
	}
	hash := sha256.Sum256([]byte(token))
	person, err := sh.person(ctx, d.Name)
	if err != nil {
		return "", err
	}
	id, err := uuid.NewV7()
	if err != nil {
		return "", fmt.Errorf("id: %w", err)
	}
	return token, sh.note(ctx, by, func([]Device) (job.Body, error) {
		return Paired{Device: id.String(), Called: d.Called, Person: person, Role: d.Role, Token: hex.EncodeToString(hash[:])}, nil
	})
}

// StrikeOff shuts a device out, by its id or what it is called.
func (sh *Shop) StrikeOff(ctx context.Context, by By, name string) error {
	if err := by.role().lets(by.role() == Owner, "strike devices off", Owner); err != nil {
		return err
	}
	return sh.note(ctx, by, func(ds []Device) (job.Body, error) {
		var in []string
		for _, match := range []func(Device) string{func(d Device) string { return d.ID }, func(d Device) string { return d.Called }} {
			for _, d := range ds {
				if d.Off.IsZero() && strings.EqualFold(match(d), name) {
					return StruckOff{Device: d.ID}, nil
				}
			}
		}
		for _, d := range ds {
			if d.Off.IsZero() {
				in = append(in, d.Called)
			}
		}
		if len(in) == 0 {
			return nil, wrap(ErrNotFound, "there is no device %q: none is paired", name)
		}
		return nil, wrap(ErrNotFound, "there is no device %q; there are %s", name, strings.Join(in, ", "))
	})
}

// note is the one loop on the book of devices.
func (sh *Shop) note(ctx context.Context, by By, decide func([]Device) (job.Body, error)) error {
	person, err := sh.person(ctx, by.Name)
	if err != nil {
		return err
	}
	for try := 0; ; try++ {
		ds, seq, err := sh.devices(ctx)
		if err != nil {
			return err
		}
		b, err := decide(ds)
		if err != nil {
			return err
		}
		id, err := uuid.NewV7()
		if err != nil {
			return fmt.Errorf("id: %w", err)
		}
		raw, err := job.Encode(job.Entry{ID: id.String(), At: sh.now(), By: person, On: by.Device}, b)
		if err != nil {
			return err
		}
		err = sh.store.Append(ctx, Add{Book: DevicesBook, After: seq, Lines: []job.Line{{Seq: seq + 1, ID: id.String(), Bytes: raw}}, Summary: []byte("{}")})
		if err == nil {
			sh.bell.ring(DevicesBook)
		}
		if !errors.Is(err, ErrConflict) || try == 8 {
			return err
		}
	}
}

// Secret is a text of n random bytes.
func Secret(n int) (string, error) {
	b := make([]byte, n)
	if _, err := rand.Read(b); err != nil {
		return "", fmt.Errorf("secret: %w", err)
	}
	return base64.RawURLEncoding.EncodeToString(b), nil
}
