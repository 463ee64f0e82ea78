package main

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
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
)

func newServe() *cobra.Command {
	var listen, cert, key, ladder string
	var selfMade, inches bool
	var names []string
	cmd := &cobra.Command{
		Use: "serve [--listen ADDRESS:PORT]", Short: "serve the squad's archive to browsers, phones first", Args: noArgs,
		Long: `Serve the squad's archive to the browsers of its staff, and single pages to athletes by
links that expire. Where the folder is new or empty, the archive is made. It listens on this machine only unless told otherwise. To reach it from
a phone in the same network, say --listen with this machine's address and encrypt: with a
certificate you have (--tls-cert, --tls-key), or one it makes itself (--self-made-tls), of
which browsers warn once because nobody vouches for it; compare the fingerprint.`,
		Example: `  steadfall serve --archive squad
  steadfall serve --archive squad --listen 192.168.1.20:8443 --self-made-tls`,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if (cert == "") != (key == "") {
				return wrong(cmd, "--tls-cert and --tls-key belong together")
			}
			if err := beside.ReadClips(); err != nil {
				return err
			}
			l, err := loadLadder(ladder)
			if err != nil {
				return err
			}
			if err := makeWhereNone(cmd); err != nil {
				return err
			}
			return with(cmd, func(a *archive.Archive) error {
				ln, err := net.Listen("tcp", listen)
				if err != nil {
					return fmt.Errorf("%q cannot be listened on; check the address, and that nothing else uses the port", listen)
				}
				defer ln.Close()
				host, port, err := net.SplitHostPort(ln.Addr().String())
				if err != nil {
					return err
				}
				ip := net.ParseIP(host)
				secure := cert != "" || selfMade
				if !ip.IsLoopback() && !secure {
					return wrong(cmd, "others in the network could read along: add --self-made-tls, or --tls-cert and --tls-key")
				}
				hosts := hostsOf(ip, names)
				d, err := desk.New(cmd.Context(), desk.Options{
					Archive: a, Ladder: l, Tool: "steadfall " + version, Hosts: withPort(hosts, port, secure), Secure: secure, Inches: inches,
					Log: slog.New(slog.NewTextHandler(cmd.ErrOrStderr(), nil)),
				})
				if err != nil {
					return err
				}
				stop, err := d.Start(cmd.Context())
				if err != nil {
					return err
				}
				defer stop()
				server := &http.Server{
					Handler: d.Handler(), ReadHeaderTimeout: 10 * time.Second, ReadTimeout: time.Minute, WriteTimeout: 2 * time.Minute, IdleTimeout: 2 * time.Minute,
					ErrorLog: slog.NewLogLogger(slog.DiscardHandler, slog.LevelError),
				}
				server.RegisterOnShutdown(d.CloseStreams)
				if secure {
					c, err := certificate(cert, key, hosts)
					if err != nil {
						return err
					}
					server.TLSConfig = &tls.Config{MinVersion: tls.VersionTLS12, Certificates: []tls.Certificate{c}}
				}
				announce(cmd, d, hosts[0], port, secure, ip.IsLoopback())
				return serveUntilDone(cmd.Context(), server, ln)
			})
		},
	}
	archiveFlag(cmd)
	ladderFlag(cmd, &ladder)
	f := cmd.Flags()
	f.StringVar(&listen, "listen", "127.0.0.1:8480", "`ADDRESS:PORT` to listen on")
	f.StringSliceVar(&names, "name", nil, "another `NAME` of this machine that browsers may call it by")
	f.StringVar(&cert, "tls-cert", "", "certificate (`FILE.pem`)")
	f.StringVar(&key, "tls-key", "", "its key (`FILE.pem`)")
	f.BoolVar(&inches, "imperial", false, "lengths on the pages in inches")
	f.BoolVar(&selfMade, "self-made-tls", false, "encrypt with a certificate made here")
	return cmd
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

func withPort(hosts []string, port string, secure bool) []string {
	var out []string
	for _, h := range hosts {
		out = append(out, net.JoinHostPort(h, port))
		if secure && port == "443" || !secure && port == "80" { // browsers leave the usual one out
			out = append(out, h)
		}
	}
	return out
}

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
func announce(cmd *cobra.Command, d *desk.Desk, host, port string, secure, loopback bool) {
	out := cmd.OutOrStdout()
	scheme := "http"
	if secure {
		scheme = "https"
	}
	address := scheme + "://" + net.JoinHostPort(host, port)
	fmt.Fprintf(out, "The desk is at %s\n", address)
	open := address + d.FirstPath()
	if d.FirstPath() != "" {
		fmt.Fprintf(out, "Make the first account here, once: %s\n", open)
	}
	if !loopback {
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
