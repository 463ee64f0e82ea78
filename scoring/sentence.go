package scoring

import (
	"encoding/json"
	"fmt"
	"strings"
)

// Sentence is part of a sentence with places for what differs, so that a page can say it in
// another language. Arguments are strings, numbers and sentences.
type Sentence struct {
	Words string // English, as of fmt; without arguments the words themselves
	Args  []any
}

// String is the sentence in English.
func (s Sentence) String() string {
	if len(s.Args) == 0 {
		return s.Words
	}
	return fmt.Sprintf(s.Words, s.Args...)
}

// MarshalJSON writes the English sentence.
func (s Sentence) MarshalJSON() ([]byte, error) { return json.Marshal(s.String()) }

// Sentences are several, such as the reasons of a verdict.
type Sentences []Sentence

// String is all of them in English.
func (all Sentences) String() string {
	var words []string
	for _, s := range all {
		words = append(words, s.String())
	}
	return strings.Join(words, "; ")
}

func say(words string, args ...any) Sentence { return Sentence{words, args} }

// counted is a number of trials or sessions.
func counted(n int, what string) Sentence {
	if n == 1 {
		return say("1 " + what)
	}
	return say("%d "+what+"s", n)
}
