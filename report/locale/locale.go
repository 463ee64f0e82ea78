// Package locale says what pages say in a reader's language and units: sentences, numbers
// with their ±, dates, and the words for what is measured and scored.
package locale

import (
	"embed"
	"encoding/json"
	"fmt"
	"path"
	"strings"
	"sync"

	"golang.org/x/text/language"
	"golang.org/x/text/message"
	"golang.org/x/text/message/catalog"

	"steadfall/internal/notes"
)

// Locale is the language and the units of a page. The zero Locale is English and metric.
type Locale struct {
	Language language.Tag
	Imperial bool        // lengths in inches
	At       notes.Place // where what to do is to be done
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
		for key, text := range readMessages(f.Name()) {
			put(b, tag, key, text)
		}
		if tag != language.English {
			tags = append(tags, tag)
		}
	}
	return b, tags
}

// readMessages are the messages of a file, which is embedded at build time.
func readMessages(name string) (all map[string]string) {
	data, err := messageFiles.ReadFile(path.Join("messages", name))
	if err == nil {
		err = json.Unmarshal(data, &all)
	}
	if err != nil {
		panic(name + ": " + err.Error())
	}
	return all
}

// Parse is the language of that name, such as de, of those that the pages speak.
func Parse(name string) (language.Tag, error) {
	var known []string
	for _, t := range languages {
		if t.String() == name {
			return t, nil
		}
		known = append(known, t.String())
	}
	return language.English, fmt.Errorf("there are no words of the language %q; choose one of %s", name, strings.Join(known, ", "))
}

// Preferred is the one of the languages that fits an Accept-Language header best.
func Preferred(header string) language.Tag {
	_, i := language.MatchStrings(language.NewMatcher(languages), header)
	return languages[i]
}

// put adds a message. Only where something is put in is a % more than itself.
func put(b *catalog.Builder, tag language.Tag, key, text string) {
	if !strings.Contains(key, "%s") && !strings.Contains(key, "%d") {
		key, text = literal(key), literal(text)
	}
	if err := b.SetString(tag, key, text); err != nil {
		panic(fmt.Sprintf("the message %q of %s: %v", key, tag, err))
	}
}

// literal is a message without places for arguments.
func literal(text string) string { return strings.ReplaceAll(text, "%", "%%") }

// Message marks an English sentence that is said later, by value, so that it is known as one of
// the messages.
func Message(english string) string { return english }

// Pseudo is a pseudo-locale for tests: every message of the files stands between brackets, so
// that words which are in no file can be told from those that are.
var Pseudo = sync.OnceValue(func() Locale {
	tag := language.MustParse("eo") // has no file
	for key := range readMessages("en.json") {
		put(messages, tag, key, "⟦"+key+"⟧")
	}
	return Locale{Language: tag}
})

// Tag is the language as a page names it, BCP 47.
func (l Locale) Tag() string {
	if l.Language == language.Und {
		return language.English.String()
	}
	return l.Language.String()
}

// Say is a sentence in the language, its English otherwise: that of a checklist of somebody's
// own has no other.
func (l Locale) Say(key string, args ...any) string {
	if len(args) == 0 {
		key = literal(key)
	}
	return message.NewPrinter(l.Language, message.Catalog(messages)).Sprintf(key, args...)
}

// Count is a number of things; what they are is one of the messages with "1 " before it, and
// with "%d " before it and "s" behind.
func (l Locale) Count(n int, what string) string {
	if n == 1 {
		return l.Say("1 " + what)
	}
	return l.Say("%d "+what+"s", n)
}

// foreign says whether the language is another than English.
func (l Locale) foreign() bool {
	base, _ := l.Language.Base()
	return l.Language != language.Und && base.String() != "en"
}

func (l Locale) german() bool {
	base, _ := l.Language.Base()
	return base.String() == "de"
}
