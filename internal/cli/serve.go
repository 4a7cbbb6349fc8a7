package cli

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"time"

	"endfloat/internal/demo"
	"endfloat/internal/shop"
	"endfloat/internal/store/memory"
	"endfloat/internal/web"

	"github.com/spf13/cobra"
)

func (a *app) demo() *cobra.Command {
	var addr string
	var finished bool
	cmd := &cobra.Command{
		Use: "demo", Short: "Try it out: a demonstration workshop that is gone when you stop it", Args: takes(0, 0),
		Example: "  endfloat demo\n  endfloat demo --addr 127.0.0.1:0 --finished",
		RunE: run(func([]string) error {
			if err := atHome(addr); err != nil {
				return err
			}
			sh := shop.New(memory.New(), time.Now)
			if err := demo.Load(a.ctx, sh, finished); err != nil {
				return err
			}
			return a.listen(sh, addr, "endfloat demonstration")
		}),
	}
	cmd.Flags().StringVar(&addr, "addr", "127.0.0.1:8080", "`HOST:PORT` to listen on; port 0 takes any that is free")
	cmd.Flags().BoolVar(&finished, "finished", false, "with one unit handed over and its book complete")
	return cmd
}

func (a *app) serve() *cobra.Command {
	var addr string
	cmd := &cobra.Command{
		Use: "serve", Short: "Open the data file to a browser on this machine", Args: takes(0, 0),
		Example: "  endfloat serve --data bench.db",
		RunE: run(func([]string) error {
			if err := atHome(addr); err != nil {
				return err
			}
			return a.open(func(sh *shop.Shop) error { return a.listen(sh, addr, "endfloat") })
		}),
	}
	cmd.Flags().StringVar(&addr, "addr", "127.0.0.1:8080", "`HOST:PORT` to listen on; port 0 takes any that is free")
	return cmd
}

// atHome refuses an address that other machines could reach: whoever opened it
// could write to the books.
func atHome(addr string) error {
	host, _, err := net.SplitHostPort(addr)
	if err != nil {
		return fmt.Errorf("address %q: write it as 127.0.0.1:8080", addr)
	}
	if ip := net.ParseIP(host); host == "localhost" || ip != nil && ip.IsLoopback() {
		return nil
	}
	return fmt.Errorf("address %q: other devices could reach it and write to the books, and they cannot be paired yet; use 127.0.0.1", addr)
}

// patience is how long requests under way have when the program is stopped.
const patience = 2 * time.Second

// listen serves the workshop until the program is stopped.
func (a *app) listen(sh *shop.Shop, addr, says string) error {
	l, err := net.Listen("tcp", addr)
	if err != nil {
		return fmt.Errorf("cannot listen on %s; is it in use? --addr 127.0.0.1:0 takes any free port (%w)", addr, err)
	}
	fmt.Fprintf(a.out, "%s: http://%s\n", says, l.Addr())
	srv := &http.Server{
		Handler:           web.New(sh, web.Options{Version: Version, Book: a.pdf(sh)}),
		ReadHeaderTimeout: 10 * time.Second,
	}
	done := make(chan error, 1)
	go func() { done <- srv.Serve(l) }()
	select {
	case err := <-done:
		return fmt.Errorf("the server stopped: %w", err)
	case <-a.ctx.Done():
	}
	ctx, cancel := context.WithTimeout(context.WithoutCancel(a.ctx), patience)
	defer cancel()
	if err := srv.Shutdown(ctx); errors.Is(err, context.DeadlineExceeded) {
		return srv.Close() // open screens that only listen for changes
	} else if err != nil {
		return err
	}
	return nil
}
