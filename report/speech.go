package report

import (
	"embed"
	"encoding/json"
	"fmt"
	"path"
	"strings"
	"time"

	"golang.org/x/text/language"
	"golang.org/x/text/message"
	"golang.org/x/text/message/catalog"
)

// Speech is the language and the units of a page. The zero Speech is English and metric.
type Speech struct {
	Language language.Tag
	Imperial bool // lengths in inches
}

// The messages of a language are a file each, by the English sentence.
//
//go:embed messages/*.json
var messageFiles embed.FS

var messages, languages = loadMessages()

func loadMessages() (*catalog.Builder, []language.Tag) {
	b, tags := catalog.NewBuilder(catalog.Fallback(language.English)), []language.Tag{language.English}
	files, err := messageFiles.ReadDir("messages")
	if err != nil {
		panic(err) // embedded at build time
	}
	for _, f := range files {
		tag := language.MustParse(strings.TrimSuffix(f.Name(), ".json"))
		data, err := messageFiles.ReadFile(path.Join("messages", f.Name()))
		if err != nil {
			panic(err)
		}
		var all map[string]string
		if err := json.Unmarshal(data, &all); err != nil {
			panic(f.Name() + ": " + err.Error())
		}
		for key, text := range all {
			if err := put(b, tag, key, text); err != nil {
				panic(f.Name() + ": " + err.Error())
			}
		}
		if tag != language.English {
			tags = append(tags, tag)
		}
	}
	return b, tags
}

// ParseLanguage is the language of that name, such as de, of those that the pages speak.
func ParseLanguage(name string) (language.Tag, error) {
	var known []string
	for _, t := range languages {
		if t.String() == name {
			return t, nil
		}
		known = append(known, t.String())
	}
	return language.English, fmt.Errorf("there are no words of the language %q; choose one of %s", name, strings.Join(known, ", "))
}

// PreferredLanguage is the one of the languages that fits an Accept-Language header best.
func PreferredLanguage(header string) language.Tag {
	_, i := language.MatchStrings(language.NewMatcher(languages), header)
	return languages[i]
}

// put adds a message. Only where something is put in is a % more than itself.
func put(b *catalog.Builder, tag language.Tag, key, text string) error {
	if !strings.Contains(key, "%s") && !strings.Contains(key, "%d") {
		key, text = literal(key), literal(text)
	}
	return b.SetString(tag, key, text)
}

// literal is a message without places for arguments.
func literal(text string) string { return strings.ReplaceAll(text, "%", "%%") }

// Say is a sentence in the language, its English otherwise: that of a checklist of somebody's
// own has no other.
func (s Speech) Say(key string, args ...any) string {
	if len(args) == 0 {
		key = literal(key)
	}
	return message.NewPrinter(s.Language, message.Catalog(messages)).Sprintf(key, args...)
}

// amount is a value with its standard deviation and unit, to one digit of the deviation.
func (s Speech) amount(v, sd float64, of string) string {
	return s.number(roughly(v, sd)) + unit(of)
}

// foreign says whether the language is another than English.
func (s Speech) foreign() bool {
	base, _ := s.Language.Base()
	return s.Language != language.Und && base.String() != "en"
}

func (s Speech) german() bool {
	base, _ := s.Language.Base()
	return base.String() == "de"
}

// number writes a number as the language does.
func (s Speech) number(text string) string {
	if s.german() {
		return strings.ReplaceAll(text, ".", ",")
	}
	return text
}

// day is a date in words.
func (s Speech) day(t time.Time) string {
	if s.german() {
		return t.Format("2.1.2006")
	}
	return t.Format("2 January 2006")
}
