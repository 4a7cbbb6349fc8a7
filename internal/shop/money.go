package shop

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"endfloat/internal/choose"
)

// figureOf reads an amount as people type it, "286.00 EUR", "EUR 1'250", "48,50",
// and the word beside it. Points and commas both part the cents; a mark with
// three digits after it, followed by another, parts thousands.
func figureOf(text string) (v float64, unit string, err error) {
	text = strings.TrimSpace(text)
	start := strings.IndexAny(text, "0123456789")
	end := strings.LastIndexAny(text, "0123456789") + 1
	if start < 0 {
		return 0, "", fmt.Errorf("%q was read, an amount such as 286.00 is expected", text)
	}
	digits := strings.NewReplacer("'", "", "’", "", " ", "", "\u00a0", "", "\u202f", "").Replace(text[start:end])
	if i := strings.LastIndexAny(digits, ".,"); i >= 0 {
		whole := strings.NewReplacer(".", "", ",", "").Replace(digits[:i])
		digits = whole + "." + digits[i+1:]
	}
	before := strings.TrimSpace(text[:start])
	if v, err = strconv.ParseFloat(digits, 64); err != nil || math.IsInf(v, 0) || v > 1e9 {
		return 0, "", fmt.Errorf("%q was read, an amount such as 286.00 is expected", text)
	}
	if strings.HasSuffix(before, "-") || strings.HasSuffix(before, "−") {
		return 0, "", fmt.Errorf("%q was read; an amount is not below zero", text)
	}
	return v, strings.TrimSpace(before + " " + strings.TrimSpace(text[end:])), nil
}

// moneyOf reads an amount of money; nothing is 0.
func moneyOf(what, text string) (choose.Money, error) {
	if strings.TrimSpace(text) == "" {
		return 0, nil
	}
	v, _, err := figureOf(text)
	if err != nil {
		return 0, wrap(ErrInvalid, "%s: %v", what, err)
	}
	return choose.Money(math.Round(v * 100)), nil
}

// dayOf reads a day, 2026-03-14.
func dayOf(text string) (time.Time, error) {
	t, err := time.Parse(time.DateOnly, strings.TrimSpace(text))
	if err != nil {
		return t, fmt.Errorf("%q was read, a day such as 2026-03-14 is expected", text)
	}
	return t, nil
}
