package desk

import (
	"bytes"
	"context"
	"encoding/base64"
	"net/http"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"steadfall/internal/archive"
)

// upload makes one call of the tus protocol.
func (v *visitor) upload(method, path string, body []byte, header map[string]string) (int, string, http.Header) {
	v.t.Helper()
	if !strings.HasPrefix(path, "http") {
		path = v.s.URL + path
	}
	q, err := http.NewRequest(method, path, bytes.NewReader(body))
	if err != nil {
		v.t.Fatal(err)
	}
	q.Header.Set("Tus-Resumable", "1.0.0")
	q.Header.Set("X-Csrf", v.csrf)
	for k, x := range header {
		q.Header.Set(k, x)
	}
	return v.do(q)
}

// about is what a phone says of a clip of Ash, with something changed.
func about(change ...string) string {
	m := map[string]string{"session": "1", "athlete": "Ash", "key": "a-key-of-a-phone", "task": "drop-landing", "limb": "both", "view": "front", "wants": "front"}
	for i := 0; i < len(change); i += 2 {
		m[change[i]] = change[i+1]
	}
	var pairs []string
	for k, x := range m {
		pairs = append(pairs, k+" "+base64.StdEncoding.EncodeToString([]byte(x)))
	}
	return strings.Join(pairs, ",")
}

func (v *visitor) begin(size int, said string) (int, string, http.Header) {
	v.t.Helper()
	return v.upload(http.MethodPost, "/upload/", nil, map[string]string{"Upload-Length": strconv.Itoa(size), "Upload-Metadata": said})
}

const piece = "application/offset+octet-stream"

// What is said of a clip is checked before any of it comes, and refused in a plain
// sentence.
func TestUploadsThatAreRefused(t *testing.T) {
	s := serve(t)
	ctx := context.Background()
	if _, err := s.archive.Put(ctx, archive.Athlete{Code: "Cedar"}); err != nil {
		t.Fatal(err)
	}
	coach := s.visitor(t, archive.Coach)
	for _, c := range []struct {
		name, said, words string
		size, want        int
	}{
		{"nobody agreed", about("athlete", "Cedar"), "No consent", 9, 403},
		{"no such athlete", about("athlete", "<script>"), "there is no athlete", 9, 400},
		{"no such session", about("session", "99"), "no such session", 9, 400},
		{"no such task", about("task", "handstand"), "unknown task", 9, 400},
		{"no such foot", about("limb", "third"), "does not fit", 9, 400},
		{"a path for a view", about("view", "../../etc", "wants", "../../etc"), "does not fit", 9, 400},
		{"a path for a key", about("key", "../../../etc/passwd"), "does not fit", 9, 400},
		{"a view that is not wanted", about("wants", "side"), "does not fit", 9, 400},
		{"a box to the moon", about("box_cm", "NaN"), "5 to 150", 9, 400},
		{"two gigabytes", about(), "maximum size exceeded", 2 << 30, 413},
	} {
		status, body, _ := coach.begin(c.size, c.said)
		if status != c.want || !strings.Contains(strings.ToLower(body), strings.ToLower(c.words)) {
			t.Errorf("%s: %d %q, want %d", c.name, status, body, c.want)
		}
	}
	if status, _, _ := coach.upload(http.MethodPost, "/upload/", nil, map[string]string{"X-Csrf": "guess", "Upload-Length": "9", "Upload-Metadata": about()}); status != http.StatusForbidden {
		t.Errorf("a guessed word against forgery: %d", status)
	}
	for _, path := range []string{"/upload/..%2f..%2fsquad.db", "/upload/" + strings.Repeat("0", 32), "/upload/squad.db", "/upload/%00"} {
		for _, method := range []string{http.MethodHead, http.MethodPatch} {
			status, _, _ := coach.upload(method, path, []byte("x"), map[string]string{"Upload-Offset": "0", "Content-Type": piece})
			if status != http.StatusNotFound && status != http.StatusBadRequest {
				t.Errorf("%s %s: %d", method, path, status)
			}
		}
	}
	if left, err := filepath.Glob(filepath.Join(s.archive.Incoming(), "*")); err != nil || len(left) != 0 {
		t.Errorf("something was written: %v, %v", left, err)
	}
}

// finished waits until the newest clip of session 1 is worked on, and returns it.
func (s *served) finished(t *testing.T) archive.Take {
	t.Helper()
	heard, stop := s.desk.news.hear(sessionTopic(1))
	defer stop()
	for {
		takes, err := s.archive.Takes(context.Background(), 1)
		if err != nil {
			t.Fatal(err)
		}
		if len(takes) > 0 && (takes[0].State == archive.Refused || len(takes[0].Trials) > 0) {
			return takes[0]
		}
		select {
		case <-heard:
		case <-time.After(3 * time.Minute): // something is broken: the job never ends
			t.Fatalf("the clip was not worked on: %+v", takes)
		}
	}
}

// A file that is no clip is refused in plain words by the queue, and the desk serves on; it
// can be thrown away, and nothing of it stays.
func TestAFileThatIsNoClip(t *testing.T) {
	s := serve(t)
	coach := s.visitor(t, archive.Coach)
	random := bytes.Repeat([]byte("\x00\x00\x00\x18ftypmp42 not a clip \xff\xfe"), 4000)
	status, body, h := coach.begin(len(random), about("athlete", "Birch"))
	if status != http.StatusCreated {
		t.Fatalf("%d %s", status, body)
	}
	where := h.Get("Location")
	if status, body, _ := coach.upload(http.MethodPatch, where, random[:1000], map[string]string{"Upload-Offset": "0", "Content-Type": piece}); status != http.StatusNoContent {
		t.Fatalf("%d %s", status, body)
	}
	if _, _, h := coach.upload(http.MethodHead, where, nil, nil); h.Get("Upload-Offset") != "1000" {
		t.Fatalf("after a thousand bytes the desk has %s", h.Get("Upload-Offset"))
	}
	if status, body, _ := coach.upload(http.MethodPatch, where, random[1000:], map[string]string{"Upload-Offset": "1000", "Content-Type": piece}); status != http.StatusNoContent {
		t.Fatalf("%d %s", status, body)
	}
	take := s.finished(t)
	if take.State != archive.Refused || !strings.Contains(take.Why, "the clip from the front is cut off") {
		t.Errorf("%s: %q", take.State, take.Why)
	}
	_, page, _ := coach.get("/session/1")
	if !strings.Contains(page, "not scored") || !strings.Contains(page, "Try again") || strings.Contains(page, "<script>alert(1)") {
		t.Error("the page does not say so, or a name became a script")
	}
	if status, _, _ := coach.post("/take/"+strconv.FormatInt(take.ID, 10)+"/drop", nil); status != http.StatusSeeOther {
		t.Errorf("throwing it away: %d", status)
	}
	if left, err := filepath.Glob(filepath.Join(s.archive.Incoming(), "*")); err != nil || len(left) != 0 {
		t.Errorf("files are left: %v, %v", left, err)
	}
}

// A desk that was cut off after the last byte and before it noted the clip notes it when
// the phone asks, or when it starts.
func TestAClipThatCameWholeIsNoted(t *testing.T) {
	s := serve(t)
	ctx := context.Background()
	file := strings.Repeat("a", 32)
	begin := func(key, file string) {
		t.Helper()
		take := archive.Take{Key: key, Session: archive.Session{ID: 1}, Athlete: "Ash", Task: "drop-landing", Limb: "both", Wants: "front", By: "coach"}
		if err := s.archive.BeginUpload(ctx, take, archive.TakeFile{View: "front", File: file}); err != nil {
			t.Fatal(err)
		}
		info := `{"ID":"` + file + `","Size":5,"SizeIsDeferred":false,"Offset":0,"MetaData":{},"Storage":{"Type":"filestore","Path":"` + filepath.Join(s.archive.Incoming(), file) + `"}}`
		for name, text := range map[string]string{file: "bytes", file + ".info": info} {
			if err := os.WriteFile(filepath.Join(s.archive.Incoming(), name), []byte(text), 0o600); err != nil {
				t.Fatal(err)
			}
		}
	}
	begin("key-of-a-phone", file)
	coach := s.visitor(t, archive.Coach)
	if status, _, h := coach.upload(http.MethodHead, "/upload/"+file, nil, nil); status != http.StatusOK || h.Get("Upload-Offset") != "5" {
		t.Errorf("%d, offset %s", status, h.Get("Upload-Offset"))
	}
	if whole, err := s.archive.Whole(ctx, file); err != nil || !whole {
		t.Errorf("asked for, the clip is not noted: %v", err)
	}
	other := strings.Repeat("b", 32)
	begin("key-of-another", other)
	if err := s.desk.clearUploads(ctx); err != nil {
		t.Fatal(err)
	}
	if whole, err := s.archive.Whole(ctx, other); err != nil || !whole {
		t.Errorf("at the start the clip is not noted: %v", err)
	}
}

// One desk works on an archive at a time.
func TestASecondDeskIsRefused(t *testing.T) {
	s := serve(t)
	d, err := New(context.Background(), s.desk.Options)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := d.Start(context.Background()); err == nil || !strings.Contains(err.Error(), "served by another steadfall") {
		t.Errorf("a second desk starts: %v", err)
	}
}
