package desk

import (
	"bytes"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"steadfall/internal/archive"
)

// answered asks the desk without a network between; a panic in it ends the test.
func answered(t *testing.T, s *served, h http.Handler, q *http.Request) (status int, body string) {
	t.Helper()
	q.Host = strings.TrimPrefix(s.URL, "http://")
	w := httptest.NewRecorder()
	h.ServeHTTP(w, q)
	if w.Code >= 500 || strings.Contains(w.Body.String(), "goroutine") {
		t.Errorf("%d: %s", w.Code, w.Body)
	}
	return w.Code, w.Body.String()
}

// Whatever stands where a link's token should, it opens nothing but that link's own athlete.
func FuzzShareToken(f *testing.F) {
	s := serve(f)
	h := s.desk.Handler()
	for _, path := range []string{s.links["Ash"], s.links["Ash expired"], s.links["Ash"] + "/trial/1", s.links["Ash"] + "/trial/2", "../staff", "%2e%2e/athlete/Birch", "' OR 1=1 --", "\x00", strings.Repeat("A", 43)} {
		f.Add(path)
	}
	f.Fuzz(func(t *testing.T, path string) {
		q, err := http.NewRequest(http.MethodGet, s.URL+"/shared/"+(&url.URL{Path: path}).EscapedPath(), nil)
		if err != nil {
			t.Skip("no address")
		}
		status, body := answered(t, s, h, q)
		own := strings.HasPrefix(path, s.links["Ash"]) || strings.HasPrefix(path, s.links["Birch"])
		if status == http.StatusOK && strings.HasPrefix(q.URL.Path, "/shared/") && !own {
			t.Errorf("%q opens a page", path)
		}
		// A detour repeats its address, whatever stands in it.
		if status == http.StatusOK && strings.Contains(body, "Birch") && !strings.HasPrefix(path, s.links["Birch"]) {
			t.Errorf("%q shows another athlete", path)
		}
	})
}

// Whatever a phone says in the headers of an upload, the desk answers in a sentence and
// writes nothing outside of its folder for what is coming.
func FuzzUploadHeaders(f *testing.F) {
	s := serve(f)
	coach := s.visitor(f, archive.Coach)
	h := s.desk.Handler()
	base, err := url.Parse(s.URL)
	if err != nil {
		f.Fatal(err)
	}
	outside := func(t testing.TB) int {
		all, err := filepath.Glob(filepath.Join(s.archive.Incoming(), "..", "*"))
		if err != nil {
			t.Fatal(err)
		}
		return len(all)
	}
	had := outside(f)
	f.Add("POST", "", "9", about(), "0", piece, "1.0.0", "", []byte("123456789"))
	f.Add("POST", "", "-1", about("key", "../../x"), "", "", "1.0.0", "", []byte(nil))
	f.Add("POST", "", "9", "session !!!,athlete", "", "", "1.0.0", "partial", []byte(nil))
	f.Add("POST", "", "9", about(), "", "", "1.0.0", "final;/upload/a /upload/b", []byte(nil))
	f.Add("PATCH", strings.Repeat("0", 32), "", "", "99999999999999999999", piece, "1.0.0", "", []byte("x"))
	f.Add("HEAD", "../squad.db", "", "", "", "", "0.2", "", []byte(nil))
	f.Add("DELETE", "x", "", "", "", "", "1.0.0", "", []byte(nil))
	f.Fuzz(func(t *testing.T, method, id, length, said, offset, kind, version, concat string, body []byte) {
		q, err := http.NewRequest(method, s.URL+"/upload/"+(&url.URL{Path: id}).EscapedPath(), bytes.NewReader(body))
		if err != nil {
			t.Skip("no call")
		}
		for name, value := range map[string]string{"Upload-Length": length, "Upload-Metadata": said, "Upload-Offset": offset, "Content-Type": kind, "Tus-Resumable": version, "Upload-Concat": concat, "X-Csrf": coach.csrf} {
			if value != "" {
				q.Header.Set(name, value)
			}
		}
		for _, c := range coach.c.Jar.Cookies(base) {
			q.AddCookie(c)
		}
		answered(t, s, h, q)
		if n := outside(t); n != had {
			t.Errorf("the archive's folder has %d entries, had %d", n, had)
		}
		// Files would add up over millions of calls.
		coming, err := filepath.Glob(filepath.Join(s.archive.Incoming(), "*"))
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range coming {
			if err := os.RemoveAll(c); err != nil {
				t.Fatal(err)
			}
		}
	})
}
