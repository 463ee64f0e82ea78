package desk

import (
	"context"
	"io"
	"log/slog"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"sync/atomic"
	"testing"
	"testing/iotest"
	"time"

	"steadfall/internal/archive"
	"steadfall/internal/simulated"
	"steadfall/internal/testkit/scored"
	"steadfall/internal/worker"
	"steadfall/kinematics"
	"steadfall/scoring"
)

// served is a desk over an archive of the invented athletes Ash and Birch, one trial each,
// with an account of every role, whose passwords are "password of " and the role.
type served struct {
	*httptest.Server
	desk    *Desk
	archive *archive.Archive
	trials  map[string]int64 // by athlete
	links   map[string]string

	cutAfter   atomic.Int64 // bytes of the next upload; 0 for not at all
	wentOnFrom atomic.Value // the offset of the last piece of an upload that came
}

func serve(t testing.TB) *served {
	t.Helper()
	ctx := context.Background()
	a, err := archive.Create(ctx, filepath.Join(t.TempDir(), "squad"), archive.Squad{Name: "Larkfield Lanterns", Invented: true})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { a.Close() })
	consent := &archive.Consent{Given: true, Date: "2026-08-01", By: "the athlete"}
	if _, err := a.Put(ctx, archive.Athlete{Code: "Ash", HeightCM: 172, Consent: consent}, archive.Athlete{Code: "Birch", Name: `<script>alert(1)</script>`, Consent: consent}); err != nil {
		t.Fatal(err)
	}
	for _, role := range everyone {
		hash, err := hashPassword("password of " + string(role))
		if err != nil {
			t.Fatal(err)
		}
		if err := a.AddStaff(ctx, archive.Staff{Name: string(role), Role: role, Password: hash}); err != nil {
			t.Fatal(err)
		}
	}
	s := &served{archive: a, trials: map[string]int64{}, links: map[string]string{}}
	session, err := a.EnsureSession(ctx, archive.Session{Date: "2026-09-01"})
	if err != nil {
		t.Fatal(err)
	}
	rec := recording(t)
	for i, code := range []string{"Ash", "Birch"} {
		rec.Trial.Athlete, rec.Trial.Session, rec.Trial.Number = code, session, i+1
		ids, err := a.Add(ctx, rec)
		if err != nil {
			t.Fatal(err)
		}
		s.trials[code] = ids[0]
		for kind, lasts := range map[string]time.Duration{"": time.Hour, " expired": -time.Hour} {
			token, err := a.NewShare(ctx, code, "coach", time.Now().Add(lasts))
			if err != nil {
				t.Fatal(err)
			}
			s.links[code+kind] = token
		}
	}
	l, err := scoring.LoadLadder(scoring.DefaultLadder)
	if err != nil {
		t.Fatal(err)
	}
	s.open(t, l)
	return s
}

// open serves a desk over an archive, with workers that are this test program.
func (s *served) open(t testing.TB, l scoring.Ladder) {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	s.desk, err = New(context.Background(), Options{
		Archive: s.archive, Ladder: l, Tool: "steadfall test", Log: slog.New(slog.NewTextHandler(t.Output(), nil)),
		Worker: worker.Worker{Command: []string{self, "worker"}},
	})
	if err != nil {
		t.Fatal(err)
	}
	stop, err := s.desk.Start(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	s.Server = httptest.NewServer(s.cut(s.desk.Handler()))
	t.Cleanup(func() {
		s.desk.CloseStreams()
		s.Close()
		stop()
	})
	s.desk.Hosts = []string{strings.TrimPrefix(s.URL, "http://")}
}

// TestMain lets the test program be the desk's worker as well.
func TestMain(m *testing.M) {
	if len(os.Args) < 2 || os.Args[1] != "worker" {
		os.Exit(m.Run())
	}
	if err := worker.Child(context.Background(), os.Stdin, os.Stdout); err != nil {
		os.Exit(1)
	}
	os.Exit(0)
}

// cut breaks the connection of the next upload after so many bytes, when asked to, as a
// phone that loses its network does.
func (s *served) cut(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, q *http.Request) {
		after := s.cutAfter.Load()
		if q.Method != http.MethodPatch || after == 0 || !s.cutAfter.CompareAndSwap(after, 0) {
			if q.Method == http.MethodPatch {
				s.wentOnFrom.Store(q.Header.Get("Upload-Offset"))
			}
			next.ServeHTTP(w, q)
			return
		}
		q.Body = struct {
			io.Reader
			io.Closer
		}{io.MultiReader(io.LimitReader(q.Body, after), iotest.ErrReader(io.ErrUnexpectedEOF)), q.Body}
		next.ServeHTTP(httptest.NewRecorder(), q)
		panic(http.ErrAbortHandler)
	})
}

func recording(t testing.TB) archive.Recording {
	t.Helper()
	l := scored.Simulate(t, simulated.Landing{View: kinematics.Front, FPS: 60, StatureCM: 172, PxPerCM: 5, BoxCM: 30, DepthCM: 20, HoldS: 3, SD: 1.5}, nil)
	return archive.Recording{
		Trial:  archive.Trial{Task: l.Options.Task, Limb: l.Options.Limb},
		Views:  []archive.View{{Hash: strings.Repeat("0", 64), Points: "simulated", Track: l.Track, Options: l.Options}},
		Result: l.Result, Checklist: l.Checklist,
	}
}

// visitor is a browser: nobody, or somebody of the staff.
type visitor struct {
	t    testing.TB
	s    *served
	c    *http.Client
	csrf string
}

func (s *served) visitor(t testing.TB, role archive.Role) *visitor {
	t.Helper()
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	v := &visitor{t: t, s: s, c: &http.Client{Jar: jar, CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}}
	if role != "" {
		if status, _, _ := v.post("/signin", url.Values{"name": {string(role)}, "password": {"password of " + string(role)}}); status != http.StatusSeeOther {
			t.Fatalf("%s cannot sign in: %d", role, status)
		}
		_, body, _ := v.get("/sessions")
		m := regexp.MustCompile(`name="csrf" value="([^"]+)"`).FindStringSubmatch(body)
		if m == nil {
			t.Fatalf("no form in the page of %s", role)
		}
		v.csrf = m[1]
	}
	return v
}

func (v *visitor) do(q *http.Request) (status int, body string, h http.Header) {
	v.t.Helper()
	res, err := v.c.Do(q)
	if err != nil {
		v.t.Fatal(err)
	}
	defer res.Body.Close()
	data, err := io.ReadAll(res.Body)
	if err != nil {
		v.t.Fatal(err)
	}
	return res.StatusCode, string(data), res.Header
}

func (v *visitor) get(path string) (int, string, http.Header) {
	v.t.Helper()
	q, err := http.NewRequest(http.MethodGet, v.s.URL+path, nil)
	if err != nil {
		v.t.Fatal(err)
	}
	return v.do(q)
}

func (v *visitor) post(path string, form url.Values) (int, string, http.Header) {
	v.t.Helper()
	if form == nil {
		form = url.Values{}
	}
	if v.csrf != "" && !form.Has("csrf") {
		form.Set("csrf", v.csrf)
	}
	q, err := http.NewRequest(http.MethodPost, v.s.URL+path, strings.NewReader(form.Encode()))
	if err != nil {
		v.t.Fatal(err)
	}
	q.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	return v.do(q)
}

// ask makes a call without content, but for the word against forgery; of a stream it waits
// for the beginning only.
func (v *visitor) ask(method, path string) (status int, body string) {
	v.t.Helper()
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	q, err := http.NewRequestWithContext(ctx, method, v.s.URL+path, strings.NewReader(url.Values{"csrf": {v.csrf}}.Encode()))
	if err != nil {
		v.t.Fatal(err)
	}
	q.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	q.Header.Set("X-Csrf", v.csrf)
	res, err := v.c.Do(q)
	if err != nil {
		v.t.Fatal(err)
	}
	defer res.Body.Close()
	if res.Header.Get("Content-Type") == "text/event-stream" {
		return res.StatusCode, ""
	}
	data, err := io.ReadAll(res.Body)
	if err != nil {
		v.t.Fatal(err)
	}
	return res.StatusCode, string(data)
}

// Every route for nobody, a coach, a physio, an admin, an expired link and another athlete's: what is open is written down here,
// so that a new route without a decision fails.
func TestEveryRouteForEverybody(t *testing.T) {
	s := serve(t)
	path := func(pattern, link string) string {
		return strings.NewReplacer("{$}", "", "{code}", "Ash", "{id}", "1", "{view}", "front", "{frame}", "0", "{file}", "htmx.min.js", "{token}", link).Replace(pattern)
	}
	// The statuses for nobody, coach, physio, admin. A form of no content is a 400 where it
	// may be sent at all.
	want := map[string][4]int{
		"GET /{$}":                               {303, 200, 200, 200},
		"GET /athlete/{code}":                    {303, 200, 200, 200},
		"GET /wall":                              {303, 200, 200, 200},
		"GET /athlete/{code}/physio":             {303, 200, 200, 200},
		"GET /trial/{id}":                        {303, 200, 200, 200},
		"POST /trial/{id}/override":              {401, 400, 400, 400},
		"POST /trial/{id}/sign":                  {401, 303, 303, 303},
		"GET /sessions":                          {303, 200, 200, 200},
		"POST /athletes":                         {401, 400, 403, 400},
		"POST /athlete/{code}/decide":            {401, 400, 403, 400},
		"POST /athlete/{code}/pain":              {401, 400, 400, 400},
		"POST /athlete/{code}/pain-over":         {401, 400, 400, 400},
		"POST /athlete/{code}/consent":           {401, 400, 403, 400},
		"POST /athlete/{code}/share":             {401, 303, 303, 303},
		"POST /athlete/{code}/revoke":            {401, 400, 400, 400},
		"GET /athlete/{code}/export":             {303, 403, 403, 200},
		"POST /athlete/{code}/delete":            {401, 403, 403, 400},
		"GET /staff":                             {303, 403, 403, 200},
		"POST /staff":                            {401, 403, 403, 400},
		"POST /staff/remove":                     {401, 403, 403, 303},
		"GET /audit":                             {303, 403, 403, 200},
		"POST /sessions":                         {401, 303, 303, 303},
		"GET /session/{id}":                      {303, 200, 200, 200},
		"GET /session/{id}/queue":                {303, 200, 200, 200},
		"GET /session/{id}/events":               {303, 200, 200, 200},
		"POST /upload/{$}":                       {401, 412, 412, 412}, // no version of the protocol is said
		"HEAD /upload/{id}":                      {401, 404, 404, 404},
		"PATCH /upload/{id}":                     {401, 404, 404, 404},
		"POST /take/{id}/start":                  {401, 404, 404, 404},
		"POST /take/{id}/drop":                   {401, 404, 404, 404},
		"GET /trial/{id}/look":                   {303, 200, 200, 200},
		"GET /trial/{id}/frame/{view}/{frame}":   {303, 404, 404, 404}, // no clip is kept
		"GET /trial/{id}/events":                 {303, 200, 200, 200},
		"GET /trial/{id}/again":                  {303, 200, 200, 200},
		"POST /trial/{id}/points":                {401, 400, 400, 400},
		"GET /static/{file}":                     {200, 200, 200, 200},
		"POST /signout":                          {401, 303, 303, 303},
		"GET /signin":                            {200, 200, 200, 200},
		"POST /signin":                           {303, 303, 303, 303},
		"GET /first":                             {403, 403, 403, 403},
		"POST /first":                            {403, 403, 403, 403},
		"GET /shared/{token}":                    {200, 200, 200, 200},
		"GET /shared/{token}/all":                {200, 200, 200, 200},
		"GET /shared/{token}/trial/{id}/numbers": {200, 200, 200, 200},
		"GET /trial/{id}/sheet":                  {303, 200, 200, 200},
		"GET /shared/{token}/trial/{id}":         {200, 200, 200, 200},
	}
	type caller struct {
		name string
		role archive.Role
		link string // in the place of a token
		at   int    // in the statuses above
	}
	callers := []caller{
		{"nobody", "", s.links["Ash"], 0},
		{"coach", archive.Coach, s.links["Ash"], 1},
		{"physio", archive.Physio, s.links["Ash"], 2},
		{"admin", archive.Admin, s.links["Ash"], 3},
		{"expired link", "", s.links["Ash expired"], 0},
		{"other athlete's link", "", s.links["Birch"], 0},
	}
	// Links are the only thing that a link changes; these ask for Ash's page and trial.
	withLink := map[string]int{
		"expired link GET /shared/{token}": 404, "expired link GET /shared/{token}/trial/{id}": 404,
		"expired link GET /shared/{token}/all": 404, "expired link GET /shared/{token}/trial/{id}/numbers": 404,
		"other athlete's link GET /shared/{token}/trial/{id}/numbers": 404,
		"other athlete's link GET /shared/{token}/trial/{id}":         404,
	}
	for _, c := range callers {
		var v *visitor
		for _, r := range s.desk.routes() {
			statuses, ok := want[r.pattern]
			if !ok {
				t.Fatalf("nobody has decided who may use %q", r.pattern)
			}
			w := statuses[c.at]
			if status, ok := withLink[c.name+" "+r.pattern]; ok {
				w = status
			}
			if v == nil {
				clear(s.desk.tries)
				v = s.visitor(t, c.role)
			}
			method, p, _ := strings.Cut(r.pattern, " ")
			status, body := v.ask(method, path(p, c.link))
			if strings.HasPrefix(p, "/sign") { // it may be somebody else now
				v = nil
			}
			if status != w {
				t.Errorf("%s as %s: %d, want %d", r.pattern, c.name, status, w)
			}
			if strings.Contains(body, "<script>alert(1)") {
				t.Errorf("%s as %s: a name became a script", r.pattern, c.name)
			}
			if c.name == "other athlete's link" && strings.Contains(body, "Ash") {
				t.Errorf("%s as %s: it shows Ash", r.pattern, c.name)
			}
		}
	}
}

// A day without a trial is said to be one.
func TestPhysioOfAnEmptyDay(t *testing.T) {
	coach := serve(t).visitor(t, archive.Coach)
	if status, body, _ := coach.get("/athlete/Ash/physio?date=1999-01-01"); status != http.StatusNotFound || !strings.Contains(body, "no trial of that day") {
		t.Errorf("%d, %.300s", status, body)
	}
}

// A link opens its athlete's page and trials and nothing else, until it expires or is
// withdrawn.
func TestSharedLinks(t *testing.T) {
	s := serve(t)
	nobody := s.visitor(t, "")
	for _, c := range []struct {
		path string
		want int
	}{
		{"/shared/" + s.links["Ash"], 200},
		{"/shared/" + s.links["Ash"] + "/trial/1", 200},
		{"/shared/" + s.links["Ash"] + "/trial/2", 404}, // Birch's
		{"/shared/" + s.links["Ash"] + "/trial/2/numbers", 404},
		{"/shared/" + s.links["Ash expired"], 404},
		{"/shared/" + s.links["Ash expired"] + "/trial/1", 404},
		{"/shared/nonsense", 404},
		{"/shared/../staff", 307}, // to /staff, which asks to sign in
		{"/athlete/Ash", 303},
	} {
		if status, body, _ := nobody.get(c.path); status != c.want || strings.Contains(body, "Birch") {
			t.Errorf("%s: %d, want %d", c.path, status, c.want)
		}
	}
	coach := s.visitor(t, archive.Coach)
	shares, err := s.archive.Shares(context.Background(), "Ash")
	if err != nil {
		t.Fatal(err)
	}
	for _, share := range shares {
		if status, _, _ := coach.post("/athlete/Ash/revoke", url.Values{"id": {strconv.FormatInt(share.ID, 10)}}); status != 303 {
			t.Errorf("withdrawing link %d: %d", share.ID, status)
		}
	}
	if status, _, _ := nobody.get("/shared/" + s.links["Ash"]); status != 404 {
		t.Errorf("a withdrawn link: %d", status)
	}
	if status, _, _ := nobody.get("/shared/" + s.links["Birch"]); status != 200 {
		t.Errorf("another athlete's link was withdrawn too: %d", status)
	}
}

func TestForgedCalls(t *testing.T) {
	s := serve(t)
	coach := s.visitor(t, archive.Coach)
	decide := url.Values{"step": {"one-foot-drop"}, "reason": {"forged"}}
	forged := url.Values{"csrf": {"guess"}, "step": decide["step"], "reason": decide["reason"]}
	if status, _, _ := coach.post("/athlete/Ash/decide", forged); status != http.StatusForbidden {
		t.Errorf("a guessed CSRF token: %d", status)
	}
	request := func(change func(q *http.Request)) int {
		form := url.Values{"csrf": {coach.csrf}, "step": decide["step"], "reason": decide["reason"]}
		q, err := http.NewRequest(http.MethodPost, s.URL+"/athlete/Ash/decide", strings.NewReader(form.Encode()))
		if err != nil {
			t.Fatal(err)
		}
		q.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		change(q)
		status, _, _ := coach.do(q)
		return status
	}
	if got := request(func(q *http.Request) {
		q.Header.Set("Origin", "https://elsewhere.example")
		q.Header.Set("Sec-Fetch-Site", "cross-site")
	}); got != http.StatusForbidden {
		t.Errorf("from another site: %d", got)
	}
	if got := request(func(q *http.Request) { q.Host = "elsewhere.example" }); got != http.StatusMisdirectedRequest {
		t.Errorf("by another host: %d", got)
	}
	if got := request(func(q *http.Request) {
		q.Body = io.NopCloser(strings.NewReader("reason=" + strings.Repeat("x", 1<<20)))
		q.ContentLength = -1
	}); got != http.StatusRequestEntityTooLarge {
		t.Errorf("a megabyte of form: %d", got)
	}
	if all, err := s.archive.Decisions(context.Background(), "Ash"); err != nil || len(all) != 0 {
		t.Errorf("something was decided: %v, %v", all, err)
	}
	if got := request(func(*http.Request) {}); got != http.StatusSeeOther {
		t.Errorf("the true form: %d", got)
	}
	for _, path := range []string{"/athlete/..%2f..%2fetc", "/trial/9999999999999999999999", "/trial/-1", "/athlete/%00", "/no-such-page"} {
		if status, body, _ := coach.get(path); status != http.StatusNotFound && status != http.StatusBadRequest || strings.Contains(body, "goroutine") {
			t.Errorf("%s: %d", path, status)
		}
	}
}

func TestSigningInIsLimited(t *testing.T) {
	s := serve(t)
	nobody := s.visitor(t, "")
	tries := map[int]int{}
	for range 8 {
		status, _, h := nobody.post("/signin", url.Values{"name": {"coach"}, "password": {"guess"}})
		tries[status]++
		if status == http.StatusSeeOther && h.Get("Location") != "/signin?wrong" {
			t.Error("a guess came in")
		}
	}
	if tries[http.StatusTooManyRequests] != 3 {
		t.Errorf("of eight guesses %v, want three refused", tries)
	}
}

func TestFirstAccount(t *testing.T) {
	s := serve(t)
	ctx := context.Background()
	for _, role := range everyone {
		if err := s.archive.RemoveStaff(ctx, string(role)); err != nil {
			t.Fatal(err)
		}
	}
	d, err := New(ctx, s.desk.Options)
	if err != nil {
		t.Fatal(err)
	}
	s.desk.first = d.first
	nobody := s.visitor(t, "")
	if status, body, _ := nobody.get(s.desk.FirstPath()); status != 200 || !strings.Contains(body, "works once") {
		t.Errorf("the first page: %d", status)
	}
	form := url.Values{"token": {d.first}, "squad": {"Marsh Lanterns"}, "name": {"Reed"}, "password": {"short"}}
	if status, body, _ := nobody.post("/first", form); status != 400 || !strings.Contains(body, "at least 10 characters") {
		t.Errorf("a short password: %d", status)
	}
	form.Set("password", "long enough now")
	form.Del("squad")
	if status, body, _ := nobody.post("/first", form); status != 400 || !strings.Contains(body, "squad needs a name") {
		t.Errorf("a squad without a name: %d", status)
	}
	form.Set("squad", "Marsh Lanterns")
	if status, _, h := nobody.post("/first", form); status != 303 || h.Get("Location") != "/" {
		t.Errorf("the first account: %d", status)
	}
	if squad, err := s.archive.Squad(ctx); err != nil || squad.Name != "Marsh Lanterns" {
		t.Errorf("the squad is called %q, %v", squad.Name, err)
	}
	if status, _, _ := nobody.get("/staff"); status != 200 {
		t.Errorf("the first account is no admin: %d", status)
	}
	if status, _, _ := s.visitor(t, "").post("/first", form); status != 403 {
		t.Errorf("the link worked twice: %d", status)
	}
}

func TestMinorsNeedAGuardian(t *testing.T) {
	s := serve(t)
	coach := s.visitor(t, archive.Coach)
	form := url.Values{"code": {"Cedar"}, "birth_year": {"2012"}, "consent_by": {"the athlete"}, "consent_on": {"2026-09-01"}}
	if status, body, _ := coach.post("/athletes", form); status != 400 || !strings.Contains(body, "guardian") {
		t.Errorf("a minor alone: %d", status)
	}
	form.Set("consent_by", "Orla Reed, mother")
	if status, _, _ := coach.post("/athletes", form); status != 303 {
		t.Errorf("with a guardian: %d", status)
	}
}
