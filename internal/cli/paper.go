package cli

import (
	"context"
	"errors"

	"endfloat/internal/shop"

	"github.com/spf13/cobra"
)

func (a *app) bookCmd() *cobra.Command { return &cobra.Command{Use: "book"} }
func (a *app) card() *cobra.Command    { return &cobra.Command{Use: "card"} }
func (a *app) pdf(sh *shop.Shop) func(context.Context, *shop.Desk) ([]byte, error) {
	return func(context.Context, *shop.Desk) ([]byte, error) { return nil, errors.New("none") }
}
