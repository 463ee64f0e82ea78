package ratings

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"steadfall/internal/archive"
	"steadfall/internal/bounded"
	"steadfall/kinematics"
	"steadfall/scoring"
)

var sheetHeader = []string{"trial", "checklist", "item", "side", "the error", "answer"}

// WriteSheet writes a sheet (CSV) that asks for each error of a checklist in each trial.
func WriteSheet(w io.Writer, trials []archive.Blind, list scoring.Checklist) error {
	rows := [][]string{sheetHeader}
	for _, b := range trials {
		for _, it := range list.Items {
			for _, side := range sidesOf(it, b.Trial.Limb) {
				rows = append(rows, []string{b.Trial.Blind, list.Name, it.ID, string(side), it.Text, ""})
			}
		}
	}
	return csv.NewWriter(w).WriteAll(rows)
}

// sidesOf are the legs that an item is asked of.
func sidesOf(it scoring.Item, limb kinematics.Side) []kinematics.Side {
	switch {
	case it.Side != "each" && it.Side != "either":
		return []kinematics.Side{kinematics.Both}
	case limb != kinematics.Both:
		return []kinematics.Side{limb}
	}
	return []kinematics.Side{kinematics.Left, kinematics.Right}
}

// ReadSheet reads the answers of a sheet and how many were left open.
func ReadSheet(in io.Reader, rater string) (answers []archive.Rating, open int, err error) {
	rows, err := csv.NewReader(bounded.Table(in)).ReadAll()
	if err != nil || len(rows) < 2 || !slices.Equal(rows[0], sheetHeader) {
		return nil, 0, errors.New("this is not a sheet made by steadfall raters sheet; keep its first line and its columns as they are")
	}
	yes, no := true, false
	for n, row := range rows[1:] {
		r := archive.Rating{Blind: row[0], Rater: rater, Checklist: row[1], Item: row[2], Side: kinematics.Side(row[3])}
		switch strings.ToLower(strings.TrimSpace(row[5])) {
		case "":
			open++
			continue
		case "yes":
			r.Error = &yes
		case "no":
			r.Error = &no
		case "unseen":
		default:
			return nil, 0, fmt.Errorf("line %d: the answer must be yes, no, unseen or left empty, not %q", n+2, row[5])
		}
		answers = append(answers, r)
	}
	if len(answers) == 0 {
		return nil, open, errors.New("the sheet has no answer yet")
	}
	return answers, open, nil
}
