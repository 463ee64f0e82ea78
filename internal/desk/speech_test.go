package desk

import (
	"io"
	"net/http"
	"strconv"
	"strings"
	"testing"
)

// A link speaks the language that the phone asks for, on all its pages, and gives lengths in
// the units of the desk.
func TestALinkSpeaksAsThePhoneAsks(t *testing.T) {
	s := serve(t)
	s.desk.Inches = true
	link := s.URL + "/shared/" + s.links["Ash"]
	trial := link + "/trial/" + strconv.FormatInt(s.trials["Ash"], 10)
	for path, want := range map[string]string{link: "deine Landung", link + "/all": "Was sich wirklich geändert hat", trial: "deine Landung", trial + "/numbers": "Hüfte sinkt vom Kontakt zum tiefsten Punkt, in"} {
		q, err := http.NewRequestWithContext(t.Context(), http.MethodGet, path, nil)
		if err != nil {
			t.Fatal(err)
		}
		q.Header.Set("Accept-Language", "de-CH,de;q=0.9")
		answer, err := http.DefaultClient.Do(q)
		if err != nil {
			t.Fatal(err)
		}
		page, err := io.ReadAll(answer.Body)
		answer.Body.Close()
		if err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(string(page), `<html lang="de">`) || !strings.Contains(string(page), want) {
			t.Errorf("%s says %.300s", path, page)
		}
	}
}
