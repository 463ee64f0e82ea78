package scoring

import "steadfall/kinematics"

// Dated is one measure of one trial on a day.
type Dated struct {
	Date    string // YYYY-MM-DD
	Task    kinematics.Task
	Limb    kinematics.Side
	Measure kinematics.Measure
}

// SessionMean is a measure's mean over the trials of one session. SD is that of the mean.
type SessionMean struct {
	Date   string  `json:"date"`
	Trials int     `json:"trials"`
	Mean   float64 `json:"mean"`
	SD     float64 `json:"sd"`
}

// Progress is one measure of one athlete over the sessions, oldest first, with what
// changed since the first and since the one before.
type Progress struct {
	Task        kinematics.Task `json:"task"`
	Limb        kinematics.Side `json:"limb"`
	Name        string          `json:"name"`
	Side        kinematics.Side `json:"side"`
	View        kinematics.View `json:"view"`
	Unit        string          `json:"unit"`
	Sessions    []SessionMean   `json:"sessions"`
	SinceFirst  *Change         `json:"since_first,omitempty"`
	SinceBefore *Change         `json:"since_before,omitempty"`
}

// NewProgress follows each measure over the sessions, in the order in which measures first
// appear. The input is sorted by date. Lower bounds, and answers of yes or no, are left out.
func NewProgress(all []Dated) []Progress {
	type key struct {
		task       kinematics.Task
		limb, side kinematics.Side
		name       string
		view       kinematics.View
	}
	at := map[key]int{}
	var out []Progress
	var days [][][]kinematics.Measure // of each progress, by session
	for _, t := range all {
		m := t.Measure
		if m.AtLeast || m.YesNo() {
			continue
		}
		k := key{t.Task, t.Limb, m.Side, m.Name, m.View}
		i, ok := at[k]
		if !ok {
			i = len(out)
			at[k] = i
			out = append(out, Progress{Task: t.Task, Limb: t.Limb, Name: m.Name, Side: m.Side, View: m.View, Unit: m.Unit})
			days = append(days, nil)
		}
		p := &out[i]
		if n := len(p.Sessions); n == 0 || p.Sessions[n-1].Date != t.Date {
			p.Sessions = append(p.Sessions, SessionMean{Date: t.Date})
			days[i] = append(days[i], nil)
		}
		last := len(days[i]) - 1
		days[i][last] = append(days[i][last], m)
	}
	for i := range out {
		p, d := &out[i], days[i]
		for j, ms := range d {
			s := &p.Sessions[j]
			s.Trials = len(ms)
			s.Mean, s.SD = sessionMean(ms)
		}
		if n := len(d); n > 1 {
			first, before := NewChange(d[0], d[n-1]), NewChange(d[n-2], d[n-1])
			p.SinceFirst, p.SinceBefore = &first, &before
		}
	}
	return out
}
