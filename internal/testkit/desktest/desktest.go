// Package desktest plays a browser to a desk that runs as a program of its own: for
// benchmarks, soaks and tests.
package desktest

import (
	"bufio"
	"bytes"
	"context"
	"encoding/base64"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"

	"steadfall/internal/archive"
	"steadfall/internal/beside"
)

// Server is a running desk.
type Server struct {
	URL   string
	First string // the link that makes the first account, or ""
	cmd   *exec.Cmd
}

// Build builds the steadfall of this module into a folder as make build does, with the
// program that reads clips beside it, and returns its name.
func Build(dir string) (program string, err error) {
	program = filepath.Join(dir, "steadfall")
	for _, b := range []struct{ out, cgo string }{{program, "0"}, {filepath.Join(dir, beside.Name), "1"}} {
		cmd := exec.Command("go", "build", "-trimpath", "-o", b.out, "steadfall/cmd/steadfall")
		cmd.Env = append(os.Environ(), "CGO_ENABLED="+b.cgo)
		if out, err := cmd.CombinedOutput(); err != nil {
			return "", fmt.Errorf("steadfall could not be built: %s", out)
		}
	}
	return program, nil
}

// WithProgram builds the steadfall of this module and runs something with it, in a folder
// that is gone afterwards.
func WithProgram(run func(program, dir string) error) error {
	dir, err := os.MkdirTemp("", "steadfall-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	program, err := Build(dir)
	if err != nil {
		return err
	}
	return run(program, dir)
}

// NewSquad makes an archive of invented athletes, all of whom agreed to be filmed, with one
// session.
func NewSquad(ctx context.Context, dir string, codes ...string) (*archive.Archive, archive.Session, error) {
	a, err := archive.Create(ctx, dir, archive.Squad{Name: "Larkfield Lanterns", Invented: true})
	if err != nil {
		return nil, archive.Session{}, err
	}
	for _, code := range codes {
		agreed := &archive.Consent{Given: true, Date: "2026-08-01", By: "the athlete"}
		if _, err := a.Put(ctx, archive.Athlete{Code: code, HeightCM: 172, Consent: agreed}); err != nil {
			return a, archive.Session{}, err
		}
	}
	s, err := a.EnsureSession(ctx, archive.Session{Date: "2026-09-01"})
	return a, s, err
}

// Serve starts a program that serves an archive, such as steadfall serve, on a free port of
// this machine, and waits until it listens.
func Serve(program string, args ...string) (*Server, error) {
	s := &Server{cmd: exec.Command(program, args...)}
	s.cmd.Stderr = os.Stderr
	out, err := s.cmd.StdoutPipe()
	if err != nil {
		return nil, err
	}
	if err := s.cmd.Start(); err != nil {
		return nil, err
	}
	lines := bufio.NewScanner(out)
	for lines.Scan() {
		line := lines.Text()
		if _, at, ok := strings.Cut(line, "The desk is at "); ok {
			s.URL = at
		}
		if _, at, ok := strings.Cut(line, "once: "); ok {
			s.First = at
		}
		if strings.HasPrefix(line, "Stop it") {
			go func() { _, _ = io.Copy(io.Discard, out) }()
			return s, nil
		}
	}
	return nil, fmt.Errorf("the desk did not start: %w", s.cmd.Wait())
}

// Pid is its process.
func (s *Server) Pid() int { return s.cmd.Process.Pid }

// Kill ends it as a power cut would.
func (s *Server) Kill() {
	_ = s.cmd.Process.Kill()
	_ = s.cmd.Wait()
}

// Children are the processes that a process has started, such as the desk's worker.
func (s *Server) Children() []int {
	text, err := exec.Command("pgrep", "-P", strconv.Itoa(s.Pid())).Output()
	if err != nil {
		return nil // none
	}
	var out []int
	for _, f := range strings.Fields(string(text)) {
		if n, err := strconv.Atoi(f); err == nil {
			out = append(out, n)
		}
	}
	return out
}

// Client is a browser that somebody has signed in with.
type Client struct {
	Base string
	CSRF string
	http *http.Client
}

// NewClient is a browser before anybody signs in.
func NewClient(base string) *Client {
	jar, _ := cookiejar.New(nil) // fails for wrong options only
	return &Client{Base: base, http: &http.Client{Jar: jar}}
}

// Do makes a call and returns status, headers and body.
func (c *Client) Do(ctx context.Context, method, path string, header map[string]string, body []byte) (int, http.Header, string, error) {
	if !strings.HasPrefix(path, "http") {
		path = c.Base + path
	}
	q, err := http.NewRequestWithContext(ctx, method, path, bytes.NewReader(body))
	if err != nil {
		return 0, nil, "", err
	}
	for k, v := range header {
		q.Header.Set(k, v)
	}
	res, err := c.http.Do(q)
	if err != nil {
		return 0, nil, "", err
	}
	defer res.Body.Close()
	data, err := io.ReadAll(res.Body)
	return res.StatusCode, res.Header, string(data), err
}

// Post sends a form, with the word against forgery.
func (c *Client) Post(ctx context.Context, path string, form url.Values) (int, string, error) {
	form.Set("csrf", c.CSRF)
	status, _, body, err := c.Do(ctx, http.MethodPost, path, map[string]string{"Content-Type": "application/x-www-form-urlencoded"}, []byte(form.Encode()))
	return status, body, err
}

var csrf = regexp.MustCompile(`name="csrf" value="([^"]+)"`)

// Enter signs in, with the link of the first account where there is one, and reads the
// word against forgery.
func (c *Client) Enter(ctx context.Context, first, name, password string) error {
	path, form := "/signin", url.Values{"name": {name}, "password": {password}}
	if first != "" {
		u, err := url.Parse(first)
		if err != nil {
			return err
		}
		path = "/first"
		form.Set("token", u.Query().Get("token"))
		form.Set("squad", "Larkfield Lanterns")
	}
	if _, _, err := c.Post(ctx, path, form); err != nil {
		return err
	}
	_, _, body, err := c.Do(ctx, http.MethodGet, "/sessions", nil, nil)
	if err != nil {
		return err
	}
	m := csrf.FindStringSubmatch(body)
	if m == nil {
		return errors.New("nobody is signed in")
	}
	c.CSRF = m[1]
	return nil
}

const tusVersion = "1.0.0"

// Begin tells the desk of a clip that is to come and returns where its pieces go.
func (c *Client) Begin(ctx context.Context, about map[string]string, size int) (where string, status int, words string, err error) {
	var pairs []string
	for k, v := range about {
		pairs = append(pairs, k+" "+base64.StdEncoding.EncodeToString([]byte(v)))
	}
	status, h, words, err := c.Do(ctx, http.MethodPost, "/upload/", map[string]string{
		"Tus-Resumable": tusVersion, "X-Csrf": c.CSRF, "Upload-Length": strconv.Itoa(size), "Upload-Metadata": strings.Join(pairs, ","),
	}, nil)
	return h.Get("Location"), status, words, err
}

// Piece sends a piece of a clip from an offset on.
func (c *Client) Piece(ctx context.Context, where string, offset int, data []byte) (status int, words string, err error) {
	status, _, words, err = c.Do(ctx, http.MethodPatch, where, map[string]string{
		"Tus-Resumable": tusVersion, "X-Csrf": c.CSRF, "Upload-Offset": strconv.Itoa(offset), "Content-Type": "application/offset+octet-stream",
	}, data)
	return status, words, err
}

// Offset asks how much of a clip has come.
func (c *Client) Offset(ctx context.Context, where string) (offset, status int, err error) {
	status, h, _, err := c.Do(ctx, http.MethodHead, where, map[string]string{"Tus-Resumable": tusVersion, "X-Csrf": c.CSRF}, nil)
	if err == nil {
		offset, _ = strconv.Atoi(h.Get("Upload-Offset"))
	}
	return offset, status, err
}

// Upload sends a whole clip. When it returns nil the desk has said that it is kept.
func (c *Client) Upload(ctx context.Context, about map[string]string, clip []byte) error {
	where, status, words, err := c.Begin(ctx, about, len(clip))
	if err != nil {
		return err
	}
	if status != http.StatusCreated {
		return fmt.Errorf("the upload was not begun: %d %s", status, words)
	}
	status, words, err = c.Piece(ctx, where, 0, clip)
	if err == nil && status != http.StatusNoContent {
		err = fmt.Errorf("the clip was not taken: %d %s", status, words)
	}
	return err
}

// Another is a clip with the same pictures and another content: an empty box that says so
// stands at its end (ISO 14496-12, type free).
func Another(clip []byte, n int) []byte {
	text := fmt.Sprintf("copy %08d", n)
	box := append([]byte{0, 0, 0, byte(8 + len(text))}, "free"+text...)
	return append(bytes.Clone(clip), box...)
}
