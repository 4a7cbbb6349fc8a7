package cli

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"endfloat/internal/cert"
	"endfloat/internal/demo"
	"endfloat/internal/shop"
	"endfloat/internal/store/memory"
	"endfloat/internal/web"

	"github.com/spf13/cobra"
)

func (a *app) demo() *cobra.Command {
	var addr, into string
	var finished bool
	cmd := &cobra.Command{
		Use: "demo", Short: "Try it out: a demonstration workshop that is gone when you stop it", Args: takes(0, 0),
		Example: "  endfloat demo\n  endfloat demo --addr 127.0.0.1:0 --finished\n  endfloat demo --into demo.db",
		RunE: run(func([]string) error {
			if into != "" {
				return a.demoInto(into, finished)
			}
			if err := atHome(addr); err != nil {
				return err
			}
			sh := shop.New(memory.New(), time.Now)
			if err := demo.Load(a.ctx, sh, finished); err != nil {
				return err
			}
			return a.listen(sh, addr, "endfloat demonstration", web.Options{})
		}),
	}
	cmd.Flags().StringVar(&addr, "addr", home, "`HOST:PORT` to listen on; port 0 takes any that is free")
	cmd.Flags().BoolVar(&finished, "finished", false, "with one unit handed over and its book complete")
	cmd.Flags().StringVar(&into, "into", "", "write it to a new data `FILE`, for the command line, and stop")
	return cmd
}

// home is the usual address: this computer only.
const home = "127.0.0.1:8080"

func (a *app) serve() *cobra.Command {
	var addr string
	var n network
	var c upkeep
	cmd := &cobra.Command{
		Use: "serve", Short: "Open the data file to a browser: on this computer, or to paired phones", Args: takes(0, 0),
		Example: "  endfloat serve --data bench.db\n  endfloat serve --lan\n  endfloat serve --lan --https --name bench.local",
		RunE: run(func([]string) error {
			if n.https && !n.lan {
				return errors.New("--https goes with --lan: this computer alone needs no certificate")
			}
			if !n.lan {
				if err := atHome(addr); err != nil {
					return err
				}
				return a.served(c, func(sh *shop.Shop, o web.Options) error { return a.listen(sh, addr, "endfloat", o) })
			}
			if addr == home {
				addr = ":8080"
			}
			return a.served(c, func(sh *shop.Shop, o web.Options) error { return a.lan(sh, o, addr, n) })
		}),
	}
	f := cmd.Flags()
	f.StringVar(&addr, "addr", home, "`HOST:PORT` to listen on; port 0 takes any that is free")
	f.BoolVar(&n.lan, "lan", false, "also to phones and tablets of this network, each of them paired first")
	f.BoolVar(&n.https, "https", false, "over https, with a certificate of the workshop's own made on first use")
	f.StringArrayVar(&n.names, "name", nil, "further host `NAME` or address of this computer, such as bench.local; may be repeated")
	c.flags(f)
	return cmd
}

// network is how other devices reach the workshop.
type network struct {
	lan, https bool
	names      []string
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
	return fmt.Errorf("address %q: other devices could reach it and write to the books; use 127.0.0.1, or --lan, where each of them is paired first", addr)
}

// lan serves the workshop to this computer and to paired devices.
func (a *app) lan(sh *shop.Shop, o web.Options, addr string, n network) error {
	host, port, err := net.SplitHostPort(addr)
	if err != nil {
		return fmt.Errorf("address %q: write it as :8080, or as 192.168.1.20:8080", addr)
	}
	names := append([]string{}, n.names...)
	if ip := net.ParseIP(host); host != "" && (ip == nil || !ip.IsUnspecified()) {
		names = append(names, host)
	}
	if len(names) == 0 {
		names = addresses()
	}
	if len(names) == 0 {
		return errors.New("this computer has no address in a network; join one first, or name it with --name")
	}
	l, err := net.Listen("tcp", addr)
	if err != nil {
		return fmt.Errorf("cannot listen on %s; is it in use? (%w)", addr, err)
	}
	_, port, _ = net.SplitHostPort(l.Addr().String())
	o.LAN, o.Host = true, names
	if !n.https {
		o.Base = "http://" + net.JoinHostPort(names[0], port)
		return a.serveOn(sh, o, site{l, nil}, "http://"+net.JoinHostPort("127.0.0.1", port))
	}
	return a.secure(sh, o, l)
}

// secure serves with the workshop's own certificate. Phones that do not trust it
// yet fetch it over plain http on the next port, where there is nothing else.
func (a *app) secure(sh *shop.Shop, o web.Options, l net.Listener) error {
	data, _, err := a.dataFile()
	if err != nil {
		return errors.Join(err, l.Close())
	}
	file := strings.TrimSuffix(data, filepath.Ext(data)) + "-certificate.pem"
	_, missing := os.Stat(file)
	ca, err := cert.Open(file, time.Now)
	if err != nil {
		return errors.Join(err, l.Close())
	}
	if missing != nil {
		fmt.Fprintf(a.err, "a certificate of the workshop's own was made: %s; keep it as safe as the data file\n", file)
	}
	conf, err := ca.TLS(append([]string{"127.0.0.1", "localhost", "::1"}, o.Host...))
	if err == nil && !ca.Serves(o.Host[0]) {
		err = fmt.Errorf("the workshop's certificate can vouch only for private addresses and names ending in .local; %s is none: give one with --name", o.Host[0])
	}
	if err != nil {
		return errors.Join(err, l.Close())
	}
	host, port, _ := net.SplitHostPort(l.Addr().String())
	number, _ := strconv.Atoi(port)
	plain, err := net.Listen("tcp", net.JoinHostPort(host, strconv.Itoa(number+1)))
	if err != nil {
		return errors.Join(fmt.Errorf("cannot listen on port %d, on which phones fetch the certificate (%w)", number+1, err), l.Close())
	}
	o.Base, o.CA, o.CAPrint = "https://"+net.JoinHostPort(o.Host[0], port), ca.DER(), ca.Print()
	door := &http.Server{Handler: web.Door(sh, o), ReadHeaderTimeout: 10 * time.Second}
	go door.Serve(plain) // its end is the program's
	defer door.Close()
	fmt.Fprintf(a.err, "phones fetch the certificate at http://%s/trust; its print is %s\n", net.JoinHostPort(o.Host[0], strconv.Itoa(number+1)), ca.Print())
	return a.serveOn(sh, o, site{l, conf}, "https://"+net.JoinHostPort("127.0.0.1", port))
}

// addresses are those that others of the network may reach this computer by.
func addresses() []string {
	var out, later []string
	list, err := net.InterfaceAddrs()
	if err != nil {
		return nil
	}
	for _, x := range list {
		n, ok := x.(*net.IPNet)
		switch {
		case !ok || n.IP.IsLoopback() || n.IP.IsLinkLocalUnicast():
		case n.IP.To4() != nil:
			out = append(out, n.IP.String())
		default:
			later = append(later, n.IP.String())
		}
	}
	out = append(out, later...)
	if name, err := os.Hostname(); err == nil && len(out) > 0 {
		name, _, _ = strings.Cut(strings.ToLower(name), ".")
		out = append(out, name+".local")
	}
	return out
}

// patience is how long requests under way have when the program is stopped.
const patience = 2 * time.Second

// listen serves the workshop to this computer until the program is stopped.
func (a *app) listen(sh *shop.Shop, addr, says string, o web.Options) error {
	l, err := net.Listen("tcp", addr)
	if err != nil {
		return fmt.Errorf("cannot listen on %s; is it in use? --addr 127.0.0.1:0 takes any free port (%w)", addr, err)
	}
	return a.serveOn(sh, o, site{l, nil}, "http://"+l.Addr().String(), says)
}

// site is where the workshop is served, with https where conf is not nil.
type site struct {
	net.Listener
	conf *tls.Config
}

func (a *app) serveOn(sh *shop.Shop, o web.Options, l site, own string, says ...string) error {
	if len(says) == 0 {
		says = []string{"endfloat"}
	}
	fmt.Fprintf(a.out, "%s: %s\n", says[0], own)
	if o.LAN {
		fmt.Fprintf(a.out, "phones and tablets, once paired at %s/devices: %s\n", own, o.Base)
	}
	o.Version, o.Book, o.Key = Version, a.pdf(sh), a.key
	srv := &http.Server{Handler: web.New(sh, o), TLSConfig: l.conf, ReadHeaderTimeout: 10 * time.Second,
		ReadTimeout: 5 * time.Minute, IdleTimeout: 2 * time.Minute, MaxHeaderBytes: 64 << 10}
	makeRoom()
	done := make(chan error, 1)
	go func() {
		if l.conf != nil {
			done <- srv.ServeTLS(l, "", "")
			return
		}
		done <- srv.Serve(l)
	}()
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
