// Package desk serves a squad's archive to the browsers of its staff, phones first, and
// single pages to athletes by links that expire. Pages are made on the server and work
// without scripts, but for filming and for looking at a trial frame by frame.
package desk

import (
	"bytes"
	"context"
	"crypto/rand"
	"crypto/subtle"
	"database/sql"
	"embed"
	"encoding/base64"
	"errors"
	"fmt"
	"html/template"
	"log/slog"
	"net"
	"net/http"
	"path"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/riverqueue/river"
	tus "github.com/tus/tusd/v2/pkg/handler"
	"golang.org/x/time/rate"

	"steadfall/internal/archive"
	"steadfall/internal/worker"
	"steadfall/kinematics"
	"steadfall/report"
	"steadfall/report/locale"
	"steadfall/scoring"
)

//go:embed pages/*.html
var pages embed.FS

//go:embed static
var static embed.FS

//go:embed static/desk.css
var deskStyle string

// Options are what a desk is made of.
type Options struct {
	Archive *archive.Archive
	Ladder  scoring.Ladder
	Tool    string
	Hosts   []string // names and addresses, with ports, by which browsers may call it
	Secure  bool     // it is served over TLS
	Inches  bool     // lengths on its pages are in inches
	Worker  worker.Worker
	Log     *slog.Logger
}

// Desk is the web application.
type Desk struct {
	Options
	first string // token of the link that makes the first account; empty when used
	lock  sync.Mutex
	tries map[string]*rate.Limiter // of signing in, by address
	pages *template.Template

	queue    *river.Client[*sql.Tx]
	queueing sync.Mutex // held while jobs go from the archive into it
	uploads  *tus.UnroutedHandler
	news     news
	frames   frames
	shares   map[int64]int // of each take's points, placed so far, per cent
	closed   chan struct{} // when the desk closes its streams

	invented bool // nobody in the squad is real
}

// How long a login and a shared link last.
const (
	loginLasts = 12 * time.Hour
	shareLasts = 30 * 24 * time.Hour
)

// mostBody is how large the body of a form may be.
const mostBody = 64 << 10

// New makes a desk.
func New(ctx context.Context, o Options) (*Desk, error) {
	d := &Desk{
		Options: o, tries: map[string]*rate.Limiter{}, shares: map[int64]int{}, closed: make(chan struct{}),
		news: news{hears: map[string]map[chan struct{}]bool{}}, frames: frames{worker: o.Worker, clips: map[string]*clipFrames{}},
	}
	var err error
	if d.uploads, err = d.newUploads(); err != nil {
		return nil, err
	}
	if d.pages, err = template.New("desk").Funcs(words).ParseFS(pages, "pages/*.html"); err != nil {
		return nil, err
	}
	squad, err := o.Archive.Squad(ctx)
	if err != nil {
		return nil, err
	}
	d.invented = squad.Invented
	staff, err := o.Archive.Staff(ctx)
	if err != nil {
		return nil, err
	}
	if len(staff) == 0 {
		b := make([]byte, 24)
		_, _ = rand.Read(b) // never fails, says its documentation
		d.first = base64.RawURLEncoding.EncodeToString(b)
	}
	return d, nil
}

// words are what templates may call.
var words = template.FuncMap{
	"verdict": locale.VerdictWords,
	"number":  locale.Locale{}.Finding,
	"task":    locale.TaskWords,
	"either":  func() kinematics.Side { return kinematics.Both },
	"dict": func(pairs ...any) map[string]any {
		m := map[string]any{}
		for i := 0; i+1 < len(pairs); i += 2 {
			m[pairs[i].(string)] = pairs[i+1]
		}
		return m
	},
}

// FirstPath is the path of the one-time link that makes the first account, or "" when
// there is one.
func (d *Desk) FirstPath() string {
	d.lock.Lock()
	defer d.lock.Unlock()
	if d.first == "" {
		return ""
	}
	return "/first?token=" + d.first
}

// CloseStreams ends the streams of events, so that the server can stop.
func (d *Desk) CloseStreams() { close(d.closed) }

// request is one call with who makes it.
type request struct {
	*http.Request
	w     http.ResponseWriter
	login archive.Login // of the staff; empty for others
}

// route is one path and who may use it.
type route struct {
	pattern string
	roles   []archive.Role // empty: anybody
	handle  func(r request) error
	raw     bool // its body is no form; the word against forgery comes in a header
}

var (
	everyone = []archive.Role{archive.Coach, archive.Physio, archive.Admin}
	deciders = []archive.Role{archive.Coach, archive.Admin}
	admins   = []archive.Role{archive.Admin}
)

// guard refuses calls by other names, sets the headers of every answer, and keeps a
// mistake of ours from taking the desk down.
func (d *Desk) guard(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, q *http.Request) {
		defer func() {
			if p := recover(); p != nil {
				d.Log.Error("a page failed", "path", q.URL.Path, "why", fmt.Sprint(p))
				d.refuse(w, http.StatusInternalServerError, "Something went wrong here. Nothing was changed; try again.")
			}
		}()
		h := w.Header()
		h.Set("Content-Security-Policy", "default-src 'none'; style-src 'unsafe-inline'; script-src 'self' 'unsafe-inline'; connect-src 'self'; img-src 'self' data: blob:; media-src data:; form-action 'self'; frame-ancestors 'none'; base-uri 'none'")
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Cache-Control", "no-store")
		if d.Secure {
			h.Set("Strict-Transport-Security", "max-age=31536000")
		}
		if !slices.Contains(d.Hosts, q.Host) {
			d.refuse(w, http.StatusMisdirectedRequest, "The desk is not known by this name. Use the address that steadfall serve printed.")
			return
		}
		if !strings.HasPrefix(q.URL.Path, "/upload/") { // whose sizes the upload library limits
			q.Body = http.MaxBytesReader(w, q.Body, mostBody)
		}
		next.ServeHTTP(w, q)
	})
}

// serve lets a call through to its page when its maker may use it.
func (d *Desk) serve(w http.ResponseWriter, q *http.Request, r route) {
	req := request{Request: q, w: w}
	if c, err := q.Cookie(cookieName); err == nil {
		if login, err := d.Archive.SignedIn(q.Context(), c.Value); err == nil {
			req.login = login
		}
	}
	if len(r.roles) > 0 {
		switch {
		case req.login.Staff.ID == 0 && q.Method == http.MethodGet:
			http.Redirect(w, q, "/signin", http.StatusSeeOther)
			return
		case req.login.Staff.ID == 0:
			d.refuse(w, http.StatusUnauthorized, "Sign in first.")
			return
		case !slices.Contains(r.roles, req.login.Staff.Role):
			d.refuse(w, http.StatusForbidden, "Your role may not do this. Ask an admin.")
			return
		}
	}
	if q.Method != http.MethodGet && q.Method != http.MethodHead {
		word := q.Header.Get("X-Csrf")
		if !r.raw {
			if err := q.ParseForm(); err != nil {
				d.refuse(w, http.StatusRequestEntityTooLarge, "This was too large or not a form, and was not taken.")
				return
			}
			word = q.PostForm.Get("csrf")
		}
		if len(r.roles) > 0 && subtle.ConstantTimeCompare([]byte(word), []byte(req.login.CSRF)) != 1 {
			d.refuse(w, http.StatusForbidden, "This form is too old or not from here, and nothing was changed. Open the page again.")
			return
		}
	}
	d.answer(w, q, r.handle(req))
}

// refusal is an error with what the browser is told.
type refusal struct {
	status int
	words  string
}

func (r *refusal) Error() string { return r.words }

func (d *Desk) answer(w http.ResponseWriter, q *http.Request, err error) {
	var no *refusal
	switch {
	case err == nil:
	case errors.As(err, &no):
		d.refuse(w, no.status, no.words)
	default:
		d.Log.Error("a page failed", "path", q.URL.Path, "why", err.Error())
		d.refuse(w, http.StatusInternalServerError, "Something went wrong here. Nothing was changed; try again.")
	}
}

// refuse answers with a plain page.
func (d *Desk) refuse(w http.ResponseWriter, status int, words string) {
	var b bytes.Buffer
	if err := d.pages.ExecuteTemplate(&b, "refused.html", d.page("Not done", request{}, words)); err != nil {
		http.Error(w, words, status)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(status)
	_, _ = w.Write(b.Bytes()) // the browser may be gone
}

// deskPage is what the desk's own pages are made from.
type deskPage struct {
	Title    string
	Style    template.CSS
	Login    archive.Login
	Invented bool
	Data     any
}

func (d *Desk) page(title string, r request, data any) deskPage {
	return deskPage{title, report.Style() + template.CSS(deskStyle), r.login, d.invented, data}
}

// show answers with one of the desk's own pages.
func (d *Desk) show(r request, name, title string, data any) error {
	var b bytes.Buffer
	if err := d.pages.ExecuteTemplate(&b, name, d.page(title, r, data)); err != nil {
		return err
	}
	return send(r.w, b.Bytes())
}

func send(w http.ResponseWriter, html []byte) error {
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	_, _ = w.Write(html) // the browser may be gone
	return nil
}

// file answers with a script or a licence of the desk.
func (d *Desk) file(r request) error {
	name := r.PathValue("file")
	data, err := static.ReadFile("static/" + name)
	if err != nil {
		return &refusal{http.StatusNotFound, "There is no such file."}
	}
	r.w.Header().Set("Cache-Control", "no-cache")
	kind := "text/plain; charset=utf-8"
	if path.Ext(name) == ".js" {
		kind = "text/javascript; charset=utf-8"
	}
	r.w.Header().Set("Content-Type", kind)
	_, _ = r.w.Write(data) // the browser may be gone
	return nil
}

// part is a piece of a page, for a report's frame.
func (d *Desk) part(name string, r request, data any) (template.HTML, error) {
	var b bytes.Buffer
	err := d.pages.ExecuteTemplate(&b, name, d.page("", r, data))
	return template.HTML(b.String()), err
}

// addressOf is where a call comes from, without its port.
func addressOf(q *http.Request) string {
	host, _, err := net.SplitHostPort(q.RemoteAddr)
	if err != nil {
		return q.RemoteAddr
	}
	return host
}

// mayTry reports whether an address may try to sign in once more: five at once, then one
// every twelve seconds.
func (d *Desk) mayTry(address string) bool {
	d.lock.Lock()
	defer d.lock.Unlock()
	if len(d.tries) > 10_000 { // addresses that stopped trying are forgotten
		clear(d.tries)
	}
	if d.tries[address] == nil {
		d.tries[address] = rate.NewLimiter(rate.Every(12*time.Second), 5)
	}
	return d.tries[address].Allow()
}

// see sends the browser on to a page after a change.
func see(r request, path string) error {
	http.Redirect(r.w, r.Request, path, http.StatusSeeOther)
	return nil
}

func bad(format string, a ...any) error {
	words := fmt.Sprintf(format, a...)
	return &refusal{http.StatusBadRequest, strings.ToUpper(words[:1]) + words[1:] + "."}
}
