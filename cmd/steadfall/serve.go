package main

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"log/slog"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"time"

	"github.com/mdp/qrterminal/v3"
	"github.com/spf13/cobra"

	"steadfall/internal/archive"
	"steadfall/internal/beside"
	"steadfall/internal/desk"
	"steadfall/scoring"
)

// serveOptions are where and how the desk is served.
type serveOptions struct {
	ladder           string
	listen           string
	names            []string
	cert, key        string
	selfMade, inches bool
}

func newServe() *cobra.Command {
	var o serveOptions
	cmd := &cobra.Command{
		Use: "serve [--listen ADDRESS:PORT]", Short: "serve the squad's archive to browsers, phones first", Args: noArgs,
		Long: `Serve the squad's archive to the browsers of its staff, and single pages to athletes by
links that expire. Where the folder is new or empty, the archive is made. It listens on this machine only unless told otherwise. To reach it from
a phone in the same network, say --listen with this machine's address and encrypt: with a
certificate you have (--tls-cert, --tls-key), or one it makes itself (--self-made-tls), of
which browsers warn once because nobody vouches for it; compare the fingerprint.`,
		Example: `  steadfall serve --archive squad
  steadfall serve --archive squad --listen 192.168.1.20:8443 --self-made-tls`,
		RunE: func(cmd *cobra.Command, _ []string) error { return o.run(cmd) },
	}
	archiveFlag(cmd)
	ladderFlag(cmd, &o.ladder)
	f := cmd.Flags()
	f.StringVar(&o.listen, "listen", "127.0.0.1:8480", "`ADDRESS:PORT` to listen on")
	f.StringSliceVar(&o.names, "name", nil, "another `NAME` of this machine that browsers may call it by")
	f.StringVar(&o.cert, "tls-cert", "", "certificate (`FILE.pem`)")
	f.StringVar(&o.key, "tls-key", "", "its key (`FILE.pem`)")
	f.BoolVar(&o.inches, "imperial", false, "lengths on the pages in inches")
	f.BoolVar(&o.selfMade, "self-made-tls", false, "encrypt with a certificate made here")
	return cmd
}

// secure is whether what is served is encrypted.
func (o serveOptions) secure() bool { return o.cert != "" || o.selfMade }

func (o serveOptions) run(cmd *cobra.Command) error {
	if (o.cert == "") != (o.key == "") {
		return wrong(cmd, "--tls-cert and --tls-key belong together")
	}
	if err := beside.ReadClips(); err != nil {
		return err
	}
	l, err := loadLadder(o.ladder)
	if err != nil {
		return err
	}
	if err := makeWhereNone(cmd); err != nil {
		return err
	}
	return with(cmd, func(a *archive.Archive) error {
		ln, err := net.Listen("tcp", o.listen)
		if err != nil {
			return fmt.Errorf("%q cannot be listened on; check the address, and that nothing else uses the port", o.listen)
		}
		defer ln.Close()
		at, err := o.place(cmd, ln)
		if err != nil {
			return err
		}
		return o.serve(cmd, a, l, ln, at)
	})
}

// place is where browsers find the desk.
type place struct {
	hosts    []string // the names and addresses they may call it by, the best first
	port     string
	secure   bool
	loopback bool // from this machine only
}

// place is where browsers find what listens, and refuses that others in the network read along.
func (o serveOptions) place(cmd *cobra.Command, ln net.Listener) (place, error) {
	host, port, err := net.SplitHostPort(ln.Addr().String())
	if err != nil {
		return place{}, err
	}
	ip := net.ParseIP(host)
	if !ip.IsLoopback() && !o.secure() {
		return place{}, wrong(cmd, "others in the network could read along: add --self-made-tls, or --tls-cert and --tls-key")
	}
	return place{hosts: hostsOf(ip, o.names), port: port, secure: o.secure(), loopback: ip.IsLoopback()}, nil
}

// serve serves the desk until it is stopped.
func (o serveOptions) serve(cmd *cobra.Command, a *archive.Archive, l scoring.Ladder, ln net.Listener, at place) error {
	d, err := desk.New(cmd.Context(), desk.Options{
		Archive: a, Ladder: l, Tool: "steadfall " + version, Hosts: at.withPort(), Secure: at.secure, Inches: o.inches,
		Log: slog.New(slog.NewTextHandler(cmd.ErrOrStderr(), nil)),
	})
	if err != nil {
		return err
	}
	sayIfSlow(cmd, "")
	stop, err := d.Start(cmd.Context())
	if err != nil {
		return err
	}
	defer stop()
	server, err := o.server(d, at)
	if err != nil {
		return err
	}
	announce(cmd.OutOrStdout(), d.FirstPath(), at)
	return serveUntilDone(cmd.Context(), server, ln)
}

// server is the desk as a server, patient with slow phones but not without end.
func (o serveOptions) server(d *desk.Desk, at place) (*http.Server, error) {
	server := &http.Server{
		Handler: d.Handler(), ReadHeaderTimeout: 10 * time.Second, ReadTimeout: time.Minute, WriteTimeout: 2 * time.Minute, IdleTimeout: 2 * time.Minute,
		ErrorLog: slog.NewLogLogger(slog.DiscardHandler, slog.LevelError),
	}
	server.RegisterOnShutdown(d.CloseStreams)
	if at.secure {
		c, err := certificate(o.cert, o.key, at.hosts)
		if err != nil {
			return nil, err
		}
		server.TLSConfig = &tls.Config{MinVersion: tls.VersionTLS12, Certificates: []tls.Certificate{c}}
	}
	return server, nil
}

// makeWhereNone makes an archive where the folder is new or empty: the page of the first
// account asks what the squad is called.
func makeWhereNone(cmd *cobra.Command) error {
	dir, err := archiveDir(cmd)
	if err != nil {
		return err
	}
	entries, err := os.ReadDir(dir)
	if err != nil && !errors.Is(err, fs.ErrNotExist) || len(entries) > 0 {
		return nil // opening it says what is wrong, if anything is
	}
	a, err := archive.Create(cmd.Context(), dir, archive.Squad{Name: "New squad"})
	if err != nil {
		return err
	}
	fmt.Fprintf(cmd.OutOrStdout(), "Made a new archive in %s.\n", dir)
	return a.Close()
}

// hostsOf are the names and addresses that browsers may call the desk by, the best first.
func hostsOf(ip net.IP, names []string) []string {
	hosts := slices.Clone(names)
	switch {
	case ip.IsUnspecified():
		addrs, _ := net.InterfaceAddrs()
		for _, a := range addrs {
			if n, ok := a.(*net.IPNet); ok && !n.IP.IsLoopback() && !n.IP.IsLinkLocalUnicast() {
				hosts = append(hosts, n.IP.String())
			}
		}
	case !ip.IsLoopback():
		hosts = append(hosts, ip.String())
	}
	return append(hosts, "127.0.0.1", "localhost")
}

// withPort are the hosts as browsers write them.
func (p place) withPort() []string {
	var out []string
	for _, h := range p.hosts {
		out = append(out, net.JoinHostPort(h, p.port))
		if p.secure && p.port == "443" || !p.secure && p.port == "80" { // browsers leave the usual one out
			out = append(out, h)
		}
	}
	return out
}

// address is the best address of the desk.
func (p place) address() string {
	scheme := "http"
	if p.secure {
		scheme = "https"
	}
	return scheme + "://" + net.JoinHostPort(p.hosts[0], p.port)
}

// certificate is the one that was given, or one made here for these hosts.
func certificate(cert, key string, hosts []string) (tls.Certificate, error) {
	if cert != "" {
		c, err := tls.LoadX509KeyPair(cert, key)
		if err != nil {
			return c, fmt.Errorf("the certificate %q and its key cannot be read or do not belong together", cert)
		}
		return c, nil
	}
	dir, err := os.UserConfigDir()
	if err != nil {
		return tls.Certificate{}, errors.New("there is no folder for the certificate; set HOME")
	}
	return desk.SelfMade(filepath.Join(dir, "steadfall"), hosts)
}

// announce prints where the desk is, with a square code for a phone, and the link of the
// first account.
func announce(out io.Writer, firstPath string, at place) {
	fmt.Fprintf(out, "The desk is at %s\n", at.address())
	open := at.address() + firstPath
	if firstPath != "" {
		fmt.Fprintf(out, "Make the first account here, once: %s\n", open)
	}
	if !at.loopback {
		qrterminal.GenerateHalfBlock(open, qrterminal.L, out)
	}
	fmt.Fprintln(out, "Stop it with Ctrl-C.")
}

// serveUntilDone serves until the context ends, and lets pages under way finish.
func serveUntilDone(ctx context.Context, server *http.Server, ln net.Listener) error {
	failed := make(chan error, 1)
	go func() {
		if server.TLSConfig != nil {
			failed <- server.ServeTLS(ln, "", "")
			return
		}
		failed <- server.Serve(ln)
	}()
	select {
	case err := <-failed:
		return fmt.Errorf("the desk stopped: %w", err)
	case <-ctx.Done():
	}
	stop, cancel := context.WithTimeout(context.WithoutCancel(ctx), 10*time.Second)
	defer cancel()
	return server.Shutdown(stop)
}
