package kinematics

import (
	"bufio"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
)

var trackHeader = []string{"frame", "time_s", "landmark", "x_px", "y_px", "sd_px", "source"}

// WriteTrack writes the track as tidy CSV, one row a seen point. A point that
// was not seen has no row.
func WriteTrack(w io.Writer, t Track) error {
	b := bufio.NewWriter(w)
	cw := csv.NewWriter(b)
	if err := cw.Write(trackHeader); err != nil {
		return err
	}
	num := func(v float64, digits int) string { return strconv.FormatFloat(v, 'f', digits, 64) }
	for i := range t.Frame {
		for _, l := range Landmarks() {
			p := t.Points[l][i]
			if !p.Seen() {
				continue
			}
			row := []string{strconv.Itoa(t.Frame[i]), num(t.TimeS[i], 6), string(l), num(p.X, 3), num(p.Y, 3), num(p.SD, 3), string(p.Source)}
			if err := cw.Write(row); err != nil {
				return err
			}
		}
	}
	cw.Flush()
	if err := cw.Error(); err != nil {
		return err
	}
	return b.Flush()
}

// row is one line of a track file.
type row struct {
	frame int
	timeS float64
	mark  Landmark
	point Point
}

// ReadTrack reads what WriteTrack wrote. The view is the caller's to say: the
// file does not hold it. Errors name the line and what to do.
func ReadTrack(r io.Reader, view View) (Track, error) {
	rows, err := readRows(r)
	if err != nil {
		return Track{}, err
	}
	times := map[int]float64{}
	for _, w := range rows {
		if t, ok := times[w.frame]; ok && t != w.timeS {
			return Track{}, fmt.Errorf("frame %d has two times, %v s and %v s; write the track again", w.frame, t, w.timeS)
		}
		times[w.frame] = w.timeS
	}
	var frames []int
	for f := range times {
		frames = append(frames, f)
	}
	slices.Sort(frames)
	timeS := make([]float64, len(frames))
	place := map[int]int{}
	for i, f := range frames {
		timeS[i], place[f] = times[f], i
	}
	t := NewTrack(view, 0, 0, frames, timeS)
	for _, w := range rows {
		at := &t.Points[w.mark][place[w.frame]]
		if at.Seen() {
			return Track{}, fmt.Errorf("%s stands twice on frame %d; keep one of the rows", w.mark, w.frame)
		}
		*at = w.point
	}
	return t, t.Check()
}

func readRows(r io.Reader) ([]row, error) {
	cr := csv.NewReader(bufio.NewReader(r))
	cr.FieldsPerRecord = len(trackHeader)
	head, err := cr.Read()
	if err != nil || !slices.Equal(head, trackHeader) {
		return nil, errors.New("not a track: the first line must be frame,time_s,landmark,x_px,y_px,sd_px,source")
	}
	var rows []row
	for {
		rec, err := cr.Read()
		if err == io.EOF {
			break
		}
		if err != nil {
			var pe *csv.ParseError
			if errors.As(err, &pe) {
				return nil, fmt.Errorf("line %d: %w", pe.Line, pe.Err)
			}
			return nil, err
		}
		w, err := parseRow(rec)
		if err != nil {
			line, _ := cr.FieldPos(0)
			return nil, fmt.Errorf("line %d: %w", line, err)
		}
		rows = append(rows, w)
	}
	if len(rows) == 0 {
		return nil, errors.New("the track holds no points")
	}
	return rows, nil
}

func parseRow(rec []string) (row, error) {
	var w row
	var err error
	if w.frame, err = strconv.Atoi(rec[0]); err != nil || w.frame < 0 {
		return w, fmt.Errorf("frame %q is not a whole number from 0", rec[0])
	}
	if w.mark, err = ParseLandmark(rec[2]); err != nil {
		return w, err
	}
	for i, dst := range map[int]*float64{1: &w.timeS, 3: &w.point.X, 4: &w.point.Y, 5: &w.point.SD} {
		if *dst, err = strconv.ParseFloat(rec[i], 64); err != nil || math.IsNaN(*dst) || math.IsInf(*dst, 0) {
			return w, fmt.Errorf("%s %q is not a number", trackHeader[i], rec[i])
		}
	}
	switch w.point.Source = Source(rec[6]); w.point.Source {
	case Placed, Tracked, Model:
		return w, nil
	}
	return w, fmt.Errorf("source %q is not placed, tracked or model", rec[6])
}
