package locale

import (
	"bytes"
	"encoding/json"
	"flag"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"golang.org/x/text/language"

	"steadfall/internal/notes"
	"steadfall/kinematics"
	"steadfall/scoring"
)

var update = flag.Bool("update", false, "write the English messages anew")

// Every sentence that a page can say stands in the file of English messages and has its words
// in every other language, with the same places for what is put in, and no message is left
// over. go test ./report/locale -run Words -update writes the English file anew.
func TestEverySentenceHasItsWords(t *testing.T) {
	said := sayings(t)
	english := map[string]string{}
	for s := range said {
		english[s] = s
	}
	if *update {
		var b bytes.Buffer
		e := json.NewEncoder(&b)
		e.SetEscapeHTML(false)
		e.SetIndent("", "  ")
		if err := e.Encode(english); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile("messages/en.json", b.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	files, err := filepath.Glob("messages/*.json")
	if err != nil || len(files) < 2 {
		t.Fatalf("files of messages: %v, %v", files, err)
	}
	places := regexp.MustCompile(`%(\[\d\])?(\.\d)?[a-z]|%%`)
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		var words map[string]string
		if err := json.Unmarshal(data, &words); err != nil {
			t.Fatal(err)
		}
		for s := range said {
			if words[s] == "" {
				t.Errorf("%s has no words for %q", file, s)
			}
		}
		for key, text := range words {
			if !said[key] {
				t.Errorf("nobody says %q of %s", key, file)
			}
			if a, b := len(places.FindAllString(key, -1)), len(places.FindAllString(text, -1)); a != b {
				t.Errorf("%q and %q differ in their places", key, text)
			}
		}
	}
}

// sayings are all sentences that pages say: those that the templates and the code name, and
// those of the lists that are said by value.
func sayings(t *testing.T) map[string]bool {
	t.Helper()
	said := map[string]bool{}
	add := func(words ...string) {
		for _, w := range words {
			said[w] = true
		}
	}
	read := func(pattern string, files ...string) {
		for _, file := range files {
			data, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			for _, m := range regexp.MustCompile(pattern).FindAllStringSubmatch(string(data), -1) {
				words, err := strconv.Unquote(`"` + m[1] + `"`)
				if err != nil {
					t.Fatal(err)
				}
				add(words)
			}
		}
	}
	const text = `"((?:[^"\\]|\\.)*)"`
	err := filepath.WalkDir("..", func(file string, _ os.DirEntry, err error) error {
		switch {
		case strings.HasSuffix(file, "_test.go"):
		case strings.HasSuffix(file, ".go"), strings.HasSuffix(file, ".html"):
			read(`\b(?:[sS]ay|locale\.Message)[( ]`+text+`[ ,)}]`, file)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	read(`(?:say|notYet|cannot)\(`+text+`[,)]`, "../../scoring/standing.go")
	for _, m := range kinematics.Measures() {
		add(m.Words)
	}
	read(`HoldEnding = `+text, "../../kinematics/hold.go")
	read(`"((?:the landing was on|whether the)[^"]*)"`, "../../scoring/feet.go")
	read(`"((?:fast enough|large enough|the feet stay|the feet come|the athlete is small)[^"]*)"`, "../../video/capture.go") // of a clip
	read(`return "(the [^"]* one|the one [^"]*)"`, "../../internal/pipeline/view.go")                                        // which leg is taken for the left
	read(`Sentence{Words: `+text+`, Args`, "../../internal/archive/trials.go")
	for _, things := range []string{"trial", "session", "athlete", "item", "sure error"} {
		add("1 "+things, "%d "+things+"s")
	}
	add(notes.Messages()...)
	add("the time from contact to the deepest point")
	for v, words := range verdictWords {
		add(words, VerdictWords(v))
	}
	for _, words := range progressionWords {
		add(words)
	}
	for _, words := range captureWords {
		add(words)
	}
	for _, v := range []kinematics.View{kinematics.Front, kinematics.SideLeft, kinematics.SideRight} {
		add(viewWords(v), strings.ToLower(viewWords(v)))
	}
	for _, f := range []kinematics.ScaleFrom{kinematics.FromLength, kinematics.FromHeight, kinematics.FromGravity} {
		add(scaleFrom(f))
	}
	for _, v := range []scoring.ChangeVerdict{scoring.RealChange, scoring.WithinNoise, scoring.TooFew} {
		add(v.Words())
	}
	for _, e := range []kinematics.EventName{kinematics.DropStart, kinematics.Takeoff, kinematics.InitialContact, kinematics.Lowest, kinematics.StillFrom, kinematics.HoldEnd, kinematics.LandingAgain} {
		add(eventWords(e))
	}
	for _, task := range kinematics.Tasks {
		add(TaskWords(task, kinematics.Both))
		for feet := 1; feet <= 2; feet++ {
			for _, p := range scoring.Published(task, feet, 0) {
				add(p.Range, p.Who, p.Task)
			}
		}
	}
	for _, name := range scoring.Names() {
		c, err := scoring.Load(name)
		if err != nil {
			t.Fatal(err)
		}
		add(c.Title)
		for _, it := range c.Items {
			add(it.Text, it.Cue, it.Well)
		}
	}
	ladder, err := scoring.LoadLadder(scoring.DefaultLadder)
	if err != nil {
		t.Fatal(err)
	}
	add(ladder.Title, ladder.About, ladder.Source)
	for _, s := range ladder.Steps {
		add(s.Title)
	}
	add(kinematics.HoldLimits, scoring.TrialsRule)
	add( // by value, and said where the page is gathered
		"hold",
		"Talk to your physio before you go on.", "You have what %s asks for. Your coach decides about the next step.", "You are working on: %s. Your coach decides when you go on.",
		"Back", "Back to the result", "All my sessions", "All the numbers", "Every number of a day, for the physio", "All steps are done", "all done", "needs a clip from the front", "needs a clip from the side", "%s, %s.", "%s. Task: %s.", "Landing %d of %d in the clip, contact at %.2f s.",
		"left", "right", "body", "left leg", "right leg", "left leg, mean", "right leg, mean", "from the side",
		"%s on the left leg", "%s on the right leg", "error above %s", "error below %s", "agrees", "differs", "good", "fair", "poor",
	)
	delete(said, "")
	delete(said, "1 ") // the beginning of what is counted
	return said
}

func TestLocale(t *testing.T) {
	de, inches := Locale{Language: language.German}, Locale{Imperial: true}
	for _, c := range []struct{ got, want string }{
		{de.Say("You jumped %s high.", de.Amount(31.24, 1.2, "cm")), "Du bist 31\u00a0±\u00a01\u00a0cm hoch gesprungen."},
		{de.Amount(0.912, 0.09, "s"), "0,91 ± 0,09\u00a0s"},
		{Locale{}.Amount(0.912, 0.09, "s"), "0.91 ± 0.09\u00a0s"},
		// 1 inch is 2.54 cm exactly (international yard and pound agreement, 1959).
		{Locale{Imperial: true}.Measure(&kinematics.Measure{Value: inches.In("cm", 25.4), SD: inches.In("cm", 2.54)}), "10.0 ± 1.0"},
		{inches.UnitOf("cm²"), "in²"},
		// 1 pound is 0.45359237 kg exactly (the same agreement).
		{inches.Fixed(3, inches.In("kg", 0.45359237)), "1.000"},
		{de.Say("Bend 100 % more"), "Bend 100 % more"}, // of somebody's own checklist
		{Preferred("de-AT,de;q=0.9,en;q=0.5").String(), "de"},
		{Preferred("fr-CH, fr;q=0.9").String(), "en"},
		{Preferred("nonsense;;;").String(), "en"},
	} {
		if strings.ReplaceAll(c.got, "\u00a0", " ") != strings.ReplaceAll(c.want, "\u00a0", " ") {
			t.Errorf("%q, want %q", c.got, c.want)
		}
	}
	if _, err := Parse("xx"); err == nil || !strings.Contains(err.Error(), "choose one of en, de") {
		t.Errorf("an unknown language: %v", err)
	}
}

// A note about one view begins with where it was seen from, not with the view's short name.
func TestNotesNameTheView(t *testing.T) {
	german := Locale{Language: language.German}
	for _, c := range []struct {
		locale     Locale
		note, want string
	}{
		{Locale{}, "side_left: look twice", "From the athlete&#39;s left: look twice"},
		{Locale{}, "front: look twice", "From the front: look twice"},
		{Locale{}, "the views differ: film again", "the views differ: film again"},
		{german, "front: look twice", `Von vorn: <span lang="en">look twice</span>`},
		{
			german, "front: the athlete leans by 4° in the picture while standing; if the phone was tilted, give an upright line of the picture with --front-plumb, such as a door frame, and score again",
			"Von vorn: Die Person ist im Bild beim Stehen um 4° geneigt; wenn das Telefon schief stand, gib mit --front-plumb eine senkrechte Linie des Bildes an, etwa einen Türrahmen, und werte noch einmal aus",
		},
		{
			german, "side_right: the feet were in the air for 0.31 ± 0.05 s, but a fall from a box of 30 cm takes 0.25 s; was it stepped down from, or is the clip in slow motion?",
			"Von rechts: Die Füße waren 0,31 ± 0,05 s in der Luft, aber ein Fall von einem Kasten von 30 cm dauert 0,25 s; wurde herabgestiegen, oder ist der Clip in Zeitlupe?",
		},
		{
			german, "the two views differ in knee bend, most: 71.2 ± 3.1 deg from the front, 60.0 ± 2.0 deg from the side; are both clips of the same landing, with the same height or length given?",
			"Die beiden Ansichten unterscheiden sich in „Kniebeugung, größte“: 71,2 ± 3,1 deg von vorn, 60,0 ± 2,0 deg von der Seite; zeigen beide Clips dieselbe Landung, und wurde dieselbe Größe oder Länge angegeben?",
		},
	} {
		if got := string(c.locale.Note(notes.Read(c.note, kinematics.Warning))); got != c.want {
			t.Errorf("%q reads %q, want %q", c.note, got, c.want)
		}
	}
}
