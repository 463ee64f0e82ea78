package report

import (
	"encoding/json"
	"os"
	"regexp"
	"strings"
	"testing"

	"golang.org/x/text/language"

	"steadfall/kinematics"
	"steadfall/scoring"
)

// Every sentence that the athlete's page can say has its words in every language, with the
// same places for numbers, and no message is left over.
func TestEverySentenceHasItsWords(t *testing.T) {
	said := map[string]bool{}
	literal := regexp.MustCompile(`[sS]ay[( ]"([^"]+)"`)
	for _, name := range []string{"sheet.go", "assets/sheet.html"} {
		data, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range literal.FindAllStringSubmatch(string(data), -1) {
			said[m[1]] = true
		}
	}
	for _, m := range changesShown {
		said[m.words] = true
	}
	for _, p := range postureMoments {
		if p.word != "still" {
			said[p.word] = true // of the pictures
		}
	}
	for _, task := range kinematics.Tasks {
		said[TaskWords(task, kinematics.Both)] = true
	}
	for _, name := range scoring.Names() {
		c, err := scoring.Load(name)
		if err != nil {
			t.Fatal(err)
		}
		for _, it := range c.Items {
			said[it.Cue], said[it.Well] = true, true
		}
	}
	ladder, err := scoring.LoadLadder(scoring.DefaultLadder)
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range ladder.Steps {
		said[s.Title] = true
	}
	for _, s := range []string{ // by value, and said where the page is gathered
		"hold", "We could not see enough. Film it again.", "No mistake was seen for sure.", "One thing to work on.", "Two things to work on.",
		"That is a real change.", "That can be chance.", "Film two trials a day to know if that is real.",
		"Talk to your physio before you go on.", "You have what %s asks for. Your coach decides about the next step.", "You are working on: %s. Your coach decides when you go on.",
		"Back to the result", "All my sessions", "All the numbers",
	} {
		said[s] = true
	}
	delete(said, "")
	data, err := os.ReadFile("messages/de.json")
	if err != nil {
		t.Fatal(err)
	}
	var de map[string]string
	if err := json.Unmarshal(data, &de); err != nil {
		t.Fatal(err)
	}
	for s := range said {
		if de[s] == "" {
			t.Errorf("de has no words for %q", s)
		}
	}
	for key, text := range de {
		if !said[key] {
			t.Errorf("nobody says %q", key)
		}
		if strings.Count(key, "%s") != strings.Count(text, "%s") {
			t.Errorf("%q and %q differ in their places", key, text)
		}
	}
}

func TestSpeech(t *testing.T) {
	de := Speech{Language: language.German}
	for _, c := range []struct{ got, want string }{
		{de.Say("You jumped %s high.", de.amount(31.24, 1.2, "cm")), "Du bist 31\u00a0±\u00a01\u00a0cm hoch gesprungen."},
		{de.amount(0.912, 0.09, "s"), "0,91 ± 0,09\u00a0s"},
		{Speech{}.amount(0.912, 0.09, "s"), "0.91 ± 0.09\u00a0s"},
		// 1 inch is 2.54 cm exactly (international yard and pound agreement, 1959).
		{Speech{Imperial: true}.amount(25.4, 2.54, "cm"), "10 ± 1\u00a0in"},
		{de.Say("Bend 100 % more"), "Bend 100 % more"}, // of somebody's own checklist
		{PreferredLanguage("de-AT,de;q=0.9,en;q=0.5").String(), "de"},
		{PreferredLanguage("fr-CH, fr;q=0.9").String(), "en"},
		{PreferredLanguage("nonsense;;;").String(), "en"},
	} {
		if strings.ReplaceAll(c.got, "\u00a0", " ") != strings.ReplaceAll(c.want, "\u00a0", " ") {
			t.Errorf("%q, want %q", c.got, c.want)
		}
	}
	if _, err := ParseLanguage("xx"); err == nil || !strings.Contains(err.Error(), "choose one of en, de") {
		t.Errorf("an unknown language: %v", err)
	}
}
