package report

import (
	"cmp"
	"slices"

	"steadfall/report/locale"
	"steadfall/scoring"
)

// Group is the findings of one verdict.
type Group struct {
	Verdict scoring.Verdict
	Word    string
	Items   []ShownFinding
}

// ShownFinding is a finding with the anchor of the picture nearest to its frame; empty where
// there is none.
type ShownFinding struct {
	scoring.Finding
	Still string
}

// Grouped puts what needs the reader's eye first.
func Grouped(loc locale.Locale, of scoring.Score, pictures []Album) []Group {
	var out []Group
	for _, v := range locale.Verdicts {
		g := Group{Verdict: v, Word: loc.Verdict(v)}
		for _, f := range of.Items {
			if f.Finding == v {
				g.Items = append(g.Items, ShownFinding{f, nearestStill(f, pictures)})
			}
		}
		if len(g.Items) > 0 {
			out = append(out, g)
		}
	}
	return out
}

// Worst are the errors an athlete is told of: at most two, the surest first, each cue once.
func Worst(s scoring.Score) []scoring.Finding {
	bad := slices.DeleteFunc(slices.Clone(s.Items), func(f scoring.Finding) bool { return f.Finding != scoring.Error || f.Cue == "" })
	// A person's word is surer than any number.
	chance := func(f scoring.Finding) float64 {
		if f.Override != nil || f.Probability == nil {
			return 1
		}
		return *f.Probability
	}
	slices.SortStableFunc(bad, func(a, b scoring.Finding) int {
		return cmp.Or(cmp.Compare(chance(b), chance(a)), cmp.Compare(b.Worth, a.Worth))
	})
	var out []scoring.Finding
	for _, f := range bad {
		if len(out) < 2 && !slices.ContainsFunc(out, func(o scoring.Finding) bool { return o.Cue == f.Cue }) {
			out = append(out, f)
		}
	}
	return out
}
