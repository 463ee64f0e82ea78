package scoring

import (
	"slices"
	"strconv"

	"steadfall/kinematics"
)

// Attempt is one scored trial as the ladder sees it.
type Attempt struct {
	Limb     kinematics.Side // Both on two feet
	Findings []AttemptItem
	Measures []kinematics.Measure // those that the step's rules need
	AsAsked  Verdict              // whether it was done as asked; empty where nothing is known of it
}

// AttemptItem is one finding of an attempt.
type AttemptItem struct {
	ID          string
	Finding     Verdict
	Probability *float64 // of an error; nil where it was not seen
}

// PainTold is pain, of 10, that an athlete told of at some session, whatever was done there.
type PainTold struct {
	Date string
	Pain int
}

// Day is what an athlete did of one task in one session.
type Day struct {
	Date     string
	Pain     *int // as told when asked, 0 to 10; nil: not asked
	Attempts []Attempt
}

// Progression says whether somebody may go on from a step of the ladder.
type Progression string

// The verdicts on a step. A person decides; these are what the rules say.
const (
	Ready     Progression = "ready"
	NotYet    Progression = "not_yet"
	CannotSay Progression = "cannot_say"
)

// Standing is what the rules say of an athlete on a step, with the reasons, each a plain
// sentence part, and what the physio should hear of.
type Standing struct {
	Step    string      `json:"step"`
	Title   string      `json:"title"`
	Verdict Progression `json:"verdict"`
	Because Sentences   `json:"because"`
	Physio  Sentences   `json:"physio,omitempty"`
}

// judgement gathers what keeps an athlete back and what cannot be told.
type judgement struct{ short, unsure Sentences }

func (j *judgement) notYet(words string, a ...any) { j.short = append(j.short, say(words, a...)) }
func (j *judgement) cannot(words string, a ...any) { j.unsure = append(j.unsure, say(words, a...)) }

// Stand evaluates a step on the days on which the athlete did its task on as many feet,
// oldest first. pain is what nobody has noted to be over yet; nil for none.
func (l Ladder) Stand(s Step, days []Day, pain *PainTold) Standing {
	var j judgement
	if pain != nil {
		j.notYet("pain %d of 10 on %s, until somebody notes that it is over", pain.Pain, pain.Date)
	}
	all := days
	days = all[max(0, len(all)-s.Sessions):]
	if len(days) < s.Sessions {
		j.notYet("done in %d of %s", len(days), counted(s.Sessions, "session"))
	}
	for _, d := range days {
		for _, limb := range s.limbs() {
			s.judgeTrials(&j, d, limb)
		}
		s.judgePain(&j, d)
	}
	s.judgeNever(&j, days)
	s.judgeSymmetry(&j, days)
	out := Standing{Step: s.ID, Title: s.Title, Verdict: Ready, Physio: slices.Concat(pain.sends(), l.Physio.sends(s, all))}
	switch {
	case len(j.short) > 0:
		out.Verdict, out.Because = NotYet, j.short
	case len(j.unsure) > 0:
		out.Verdict, out.Because = CannotSay, j.unsure
	default:
		out.Because = Sentences{say("every rule of the step is met in the last %s", counted(s.Sessions, "session"))}
	}
	return out
}

func (s Step) limbs() []kinematics.Side {
	if s.Feet == OneFoot {
		return []kinematics.Side{kinematics.Left, kinematics.Right}
	}
	return []kinematics.Side{kinematics.Both}
}

// onLeg is a number of trials, and the leg they were done on.
func onLeg(trials int, limb kinematics.Side) Sentence {
	if limb == kinematics.Both {
		return counted(trials, "trial")
	}
	return say("%s on the "+string(limb)+" leg", counted(trials, "trial"))
}

// judgeTrials asks for enough clear trials on one day, on one leg or on both feet.
func (s Step) judgeTrials(j *judgement, d Day, limb kinematics.Side) {
	var clear, unsure, all int
	var why Sentences
	for _, a := range d.Attempts {
		if a.Limb != limb {
			continue
		}
		all++
		finding, because := s.counts(a)
		switch finding {
		case Clear:
			clear++
			continue
		case TooClose:
			unsure++
		}
		why = append(why, because)
	}
	switch {
	case clear >= s.ClearTrials:
	case all < s.ClearTrials:
		j.notYet("%s: %s, %d are asked", d.Date, onLeg(all, limb), s.ClearTrials)
	case clear+unsure >= s.ClearTrials:
		j.cannot("%s: %d of %s clear, %d asked, the others cannot be told (%s)", d.Date, clear, onLeg(all, limb), s.ClearTrials, commonest(why))
	default:
		j.notYet("%s: %d of %s clear, %d asked (%s)", d.Date, clear, onLeg(all, limb), s.ClearTrials, commonest(why))
	}
}

// commonest is the reason given most often; of equals, the first by alphabet.
func commonest(why Sentences) Sentence {
	var best Sentence
	times := map[string]int{}
	for _, w := range why {
		times[w.String()]++
	}
	for _, w := range why {
		n, most := times[w.String()], times[best.String()]
		if n > most || n == most && w.String() < best.String() {
			best = w
		}
	}
	return best
}

// AttemptOf is a result as the ladder sees it.
func AttemptOf(r Result) Attempt {
	a := Attempt{Limb: r.Limb, Measures: r.Measures, AsAsked: r.AsAsked()}
	for _, f := range r.Score.Items {
		a.Findings = append(a.Findings, AttemptItem{ID: f.ID, Finding: f.Finding, Probability: f.Probability})
	}
	return a
}

// Counts says whether a trial counts towards the step: Clear, Error, or TooClose where it cannot
// be told.
func (s Step) Counts(a Attempt) Verdict {
	v, _ := s.counts(a)
	return v
}

// counts says whether a trial counts: Clear, Error, or TooClose where it cannot be told;
// and for the last two why.
func (s Step) counts(a Attempt) (Verdict, Sentence) {
	var unsure Sentence
	switch a.AsAsked {
	case Error:
		return Error, say("not done as the task asks")
	case TooClose, NotSeen:
		unsure = say("whether it was done as asked cannot be told")
	}
	for _, id := range s.Clear {
		seen := false
		for _, f := range a.Findings {
			if f.ID != id {
				continue
			}
			seen = true
			if f.Probability == nil {
				unsure = say("%s: not seen", s.texts[id])
				continue
			}
			switch s.weigh(*f.Probability) {
			case Error:
				return Error, say(s.texts[id])
			case TooClose:
				unsure = say("%s: too close to call", s.texts[id])
			}
		}
		if !seen {
			unsure = say("%s: not scored", s.texts[id])
		}
	}
	if s.HoldS > 0 {
		switch f := s.held(a); f {
		case Error:
			return Error, say("held for under %s s", plain(s.HoldS))
		case TooClose:
			unsure = say("whether it was held for %s s is too close to call", plain(s.HoldS))
		case NotSeen:
			unsure = say("the hold was not seen")
		}
	}
	if unsure.Words != "" {
		return TooClose, unsure
	}
	return Clear, Sentence{}
}

// plain is a number as a rule of the ladder gives it.
func plain(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }

// held says whether the landing was held long enough.
func (s Step) held(a Attempt) Verdict {
	m, ok := surest(a.Measures, "hold_time")
	if !ok {
		return NotSeen
	}
	f := s.weigh(ErrorProbability(m.Value, m.SD, s.HoldS, false))
	if f != Clear && m.AtLeast { // the clip ended first
		return NotSeen
	}
	return f
}

// weigh says what the chance that a rule is not met comes to.
func (s Step) weigh(p float64) Verdict {
	switch {
	case p <= s.chance:
		return Clear
	case p >= 1-s.chance:
		return Error
	}
	return TooClose
}

func (s Step) judgePain(j *judgement, d Day) {
	switch {
	case s.PainAtMost == nil:
	case d.Pain == nil:
		j.cannot("%s: not asked about pain", d.Date)
	case *d.Pain > *s.PainAtMost:
		j.notYet("%s: pain %d of 10, at most %d asked", d.Date, *d.Pain, *s.PainAtMost)
	}
}

// judgeNever looks for sure errors that keep back, whatever else is clear.
func (s Step) judgeNever(j *judgement, days []Day) {
	for _, id := range s.Never {
		n := 0
		for _, d := range days {
			for _, a := range d.Attempts {
				if slices.ContainsFunc(a.Findings, func(f AttemptItem) bool { return f.ID == id && f.Finding == Error }) {
					n++
				}
			}
		}
		if n > 0 {
			j.notYet("a sure error in %s: %s", counted(n, "trial"), s.texts[id])
		}
	}
}

// judgeSymmetry compares the legs over the days. What repeats in a session, camera and
// scale, is in both legs and cancels in their ratio, so each trial's standard deviation
// counts as its own.
func (s Step) judgeSymmetry(j *judgement, days []Day) {
	if s.Symmetry == nil {
		return
	}
	var legs [2]struct {
		mean, sd float64
		n        int
	}
	for i, limb := range s.limbs() {
		var vs, own []float64
		for _, d := range days {
			for _, a := range d.Attempts {
				if m, ok := surest(a.Measures, s.Symmetry.Measure); ok && a.Limb == limb {
					vs, own = append(vs, m.Value), append(own, m.SD)
				}
			}
		}
		l := &legs[i]
		l.n = len(vs)
		l.mean, l.sd = meanOf(vs, own)
	}
	if legs[0].n == 0 || legs[1].n == 0 || !(legs[0].mean > 0) || !(legs[1].mean > 0) {
		if len(days) > 0 {
			j.cannot("the legs' %s could not be compared", words(s.Symmetry.Measure))
		}
		return
	}
	index, sd := LimbIndex(legs[0].mean, legs[0].sd, legs[1].mean, legs[1].sd)
	least := 100 - s.Symmetry.Percent
	said := say("%s of the lesser leg %.0f ± %.0f %% of the other, at least %.0f %% asked", words(s.Symmetry.Measure), index, sd, least)
	switch s.weigh(ErrorProbability(index, sd, least, false)) {
	case Error:
		j.short = append(j.short, said)
	case TooClose:
		j.cannot("%s: too close to call", said)
	}
}

func words(measure string) string {
	about, _ := kinematics.Describe(measure)
	return about.Words
}

// sends is what the physio should hear of pain.
func (p *PainTold) sends() Sentences {
	if p == nil {
		return nil
	}
	return Sentences{say("pain %d of 10 on %s", p.Pain, p.Date)}
}

// Finished is where somebody stands who has done every step: what the physio should hear of
// does not end with the ladder.
func Finished(title string, pain *PainTold) Standing {
	return Standing{Title: title, Verdict: Ready, Physio: pain.sends()}
}

// sends is what the physio should hear of the findings.
func (p PhysioRule) sends(s Step, days []Day) Sentences {
	var out Sentences
	if p.Sessions < 1 || len(days) < p.Sessions {
		return out
	}
	for _, id := range p.Items {
		var dates []string
		for _, d := range days[len(days)-p.Sessions:] {
			if d.shows(id) {
				dates = append(dates, d.Date)
			}
		}
		if len(dates) == p.Sessions {
			on := say(dates[0])
			for _, d := range dates[1:] {
				on = say("%s and %s", on, d)
			}
			out = append(out, say("%s, on %s", s.texts[id], on))
		}
	}
	return out
}

// shows reports whether an item was a sure error in at least half of the day's trials that
// could tell.
func (d Day) shows(id string) bool {
	var bad, seen int
	for _, a := range d.Attempts {
		worst := Verdict("")
		for _, f := range a.Findings {
			if f.ID == id && (f.Finding == Error || worst == "" && (f.Finding == Clear || f.Finding == TooClose)) {
				worst = f.Finding
			}
		}
		if worst != "" {
			seen++
		}
		if worst == Error {
			bad++
		}
	}
	return bad > 0 && 2*bad >= seen
}
