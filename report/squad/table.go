package squad

import (
	"encoding/csv"
	"io"
	"strconv"

	"steadfall/report/export"
)

// WriteTable writes the rows as CSV.
func WriteTable(w io.Writer, rows []Row) error {
	c := csv.NewWriter(w)
	all := [][]string{{"athlete", "name", "group", "step", "verdict", "because", "physio", "last_seen", "missing", "absent", "trials", "commonest_error", "error_trials", "of_trials"}}
	for _, r := range rows {
		all = append(all, []string{
			r.Code, export.Cell(r.Name), r.Group(), r.Standing.Step, string(r.Standing.Verdict), r.Standing.Because.String(), r.Standing.Physio.String(),
			r.LastSeen, strconv.FormatBool(r.Missing), export.Cell(r.Absent), strconv.Itoa(r.Trials), r.Error, strconv.Itoa(r.ErrorIn), strconv.Itoa(r.ErrorOf),
		})
	}
	return c.WriteAll(all)
}
