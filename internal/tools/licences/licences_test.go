package main

import (
	"maps"
	"slices"
	"strings"
	"testing"
)

// Words that stand in the text of a licence and of no other (the texts at spdx.org/licenses).
var words = map[string]string{
	"MIT":          "Permission is hereby granted, free of charge",
	"BSD-3-Clause": "may be used to endorse or promote products",
	"Apache-2.0":   "Apache License",
	"MPL-2.0":      "Mozilla Public License Version 2.0",
}

// Every module that is linked has its licence in the list, as its own text says it, and the
// list has no other.
func TestLicences(t *testing.T) {
	linked, err := modules()
	if err != nil {
		t.Fatal(err)
	}
	known := licences()
	for _, m := range linked {
		licence := known[m.Path]
		delete(known, m.Path)
		texts, err := textsOf(m)
		if err != nil {
			t.Error(err)
		}
		all := strings.Join(strings.Fields(strings.Join(texts, " ")), " ")
		if w := words[licence]; w == "" || !strings.Contains(all, w) {
			t.Errorf("%s: the list says %q, its text does not", m.Path, licence)
		}
	}
	if len(known) > 0 {
		t.Errorf("these are not linked: %v", slices.Sorted(maps.Keys(known)))
	}
}
