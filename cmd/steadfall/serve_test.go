package main

import (
	"bufio"
	"context"
	"crypto/tls"
	"crypto/x509"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"steadfall/internal/archive"
)

// The desk starts, says where it is, answers there, encrypted with the certificate it made
// or not, and stops when asked.
func TestServe(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "squad")
	a, err := archive.Create(t.Context(), dir, archive.Squad{Name: "Lanterns"})
	if err != nil {
		t.Fatal(err)
	}
	a.Close()
	home := t.TempDir()
	t.Setenv("XDG_CONFIG_HOME", home)
	for _, extra := range [][]string{nil, {"--self-made-tls"}, {"--self-made-tls"}} { // made, then found again
		ctx, stop := context.WithCancel(t.Context())
		said, out := io.Pipe()
		root := newRoot()
		root.SetArgs(append([]string{"serve", "--archive", dir, "--listen", "127.0.0.1:0"}, extra...))
		root.SetOut(out)
		root.SetErr(io.Discard)
		ended := make(chan error, 1)
		go func() {
			err := root.ExecuteContext(ctx)
			out.Close()
			ended <- err
		}()
		lines := bufio.NewScanner(said)
		address := ""
		for lines.Scan() {
			if _, at, ok := strings.Cut(lines.Text(), "The desk is at "); ok {
				address = at
			}
			if strings.HasPrefix(lines.Text(), "Stop it") {
				break
			}
		}
		go func() { _, _ = io.Copy(io.Discard, said) }()
		client := &http.Client{}
		if extra != nil {
			pem, err := os.ReadFile(filepath.Join(home, "steadfall", "desk.crt"))
			if err != nil {
				t.Fatal(err)
			}
			pool := x509.NewCertPool()
			pool.AppendCertsFromPEM(pem)
			client.Transport = &http.Transport{TLSClientConfig: &tls.Config{RootCAs: pool}}
		}
		res, err := client.Get(address + "/signin")
		if err != nil {
			t.Fatal(err)
		}
		res.Body.Close()
		if res.StatusCode != http.StatusOK {
			t.Errorf("%s answers %d", address, res.StatusCode)
		}
		client.CloseIdleConnections()
		stop()
		if err := <-ended; err != nil {
			t.Errorf("stopped with %v", err)
		}
	}
	st, err := os.Stat(filepath.Join(home, "steadfall", "desk.key"))
	if err != nil || st.Mode().Perm() != 0o600 {
		t.Errorf("the key is open to others: %v, %v", st.Mode(), err)
	}
}
