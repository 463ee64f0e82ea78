package present

import (
	"context"
	"fmt"
	"slices"

	"steadfall/internal/archive"
	"steadfall/report/raters"
	"steadfall/scoring"
)

// Raters gathers the page on how well raters agree by a checklist, with one another and with the
// tool.
func Raters(ctx context.Context, a *archive.Archive, checklist, tool string) (raters.Page, error) {
	answers, err := answersOf(ctx, a, checklist)
	if err != nil {
		return raters.Page{}, err
	}
	g, err := scoring.NewRaterAgreement(answers)
	if err != nil {
		return raters.Page{}, fmt.Errorf("%w; give back two raters' sheets with steadfall raters take", err)
	}
	squad, err := a.Squad(ctx)
	return raters.Page{About: about(squad, tool), Checklist: checklist, Agreement: g}, err
}

// answersOf are what people and the tool found by a checklist.
func answersOf(ctx context.Context, a *archive.Archive, checklist string) ([]scoring.Answer, error) {
	people, err := a.Ratings(ctx, checklist)
	if err != nil {
		return nil, err
	}
	found, err := a.ToolRatings(ctx, checklist)
	if err != nil {
		return nil, err
	}
	var out []scoring.Answer
	for _, r := range slices.Concat(people, found) {
		out = append(out, scoring.Answer{Trial: r.Blind, Rater: r.Rater, Item: r.Item, Side: r.Side, Error: r.Error})
	}
	return out, nil
}
