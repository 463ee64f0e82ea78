package scoring

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"steadfall/kinematics"
)

// What makes a squat jump one: held at the bottom for a two-count, and pushed from there
// without sinking first (common practice, no source; a two-count takes one to two
// seconds).
const (
	leastSquatHoldS = 1.0
	mostSquatDipCM  = 1.5
)

// CheckJump checks that a jump was done as its task asks; nil for tasks that ask for nothing.
func CheckJump(r Result) *JumpCheck {
	if check := tasks[r.Task].check; check != nil {
		return check(r)
	}
	return nil
}

// checkSquatJump asks for a hold at the bottom and no dip after it.
func checkSquatJump(r Result) *JumpCheck {
	hold, okH := r.Surest("squat_hold")
	dip, okD := r.Surest("squat_dip")
	switch {
	case okH && hold.Value == 0:
		return &JumpCheck{Error, 1, "the squat was not held before the push: this was a countermovement jump"}
	case !okH || !okD:
		return &JumpCheck{Finding: NotSeen, Why: "needs the hips before take-off, and a scale"}
	}
	short := ErrorProbability(hold.Value, math.Max(hold.SD, 0.1), leastSquatHoldS, false)
	sank := ErrorProbability(dip.Value, dip.SD, mostSquatDipCM, true)
	c := &JumpCheck{Probability: math.Max(short, sank)}
	c.Why = fmt.Sprintf("sank %.1f ± %.1f cm before the push (at most %.1f cm), after a hold of %.1f s (at least %.1f s)", dip.Value, dip.SD, mostSquatDipCM, hold.Value, leastSquatHoldS)
	switch {
	case c.Probability >= sureError:
		c.Finding = Error
	case c.Probability <= sureClear:
		c.Finding = Clear
	default:
		c.Finding = TooClose
	}
	return c
}

// JumpSummary is the jumps of one task over several trials: the best and the mean of those
// that count, each with its standard deviation.
type JumpSummary struct {
	Task    kinematics.Task `json:"task"`
	Trials  int             `json:"trials"`
	Invalid int             `json:"invalid"` // surely not the task; left out
	BestCM  float64         `json:"best_cm"`
	BestSD  float64         `json:"best_sd"`
	MeanCM  float64         `json:"mean_cm"`
	MeanSD  float64         `json:"mean_sd"`
}

// SummariseJumps sums up the jump heights, cm, of results by task, in the tasks' order: the
// best with its own standard deviation, and the mean with that of a session's mean, √(own² +
// s²/n) of the mean stated deviation and the sample's. Results of other tasks, and jumps that
// were not seen, are left out.
func SummariseJumps(results []Result) []JumpSummary {
	heights := map[kinematics.Task][]kinematics.Measure{}
	invalid := map[kinematics.Task]int{}
	for _, r := range results {
		if !r.Task.Jumps() {
			continue
		}
		if r.Jump != nil && r.Jump.Finding == Error {
			invalid[r.Task]++
			continue
		}
		if m, ok := r.Surest("jump_height"); ok {
			heights[r.Task] = append(heights[r.Task], m)
		}
	}
	var out []JumpSummary
	for _, task := range kinematics.Tasks {
		ms := heights[task]
		if len(ms) == 0 && invalid[task] == 0 {
			continue
		}
		s := JumpSummary{Task: task, Trials: len(ms), Invalid: invalid[task]}
		if len(ms) > 0 {
			top := slices.MaxFunc(ms, func(a, b kinematics.Measure) int { return cmp.Compare(a.Value, b.Value) })
			s.BestCM, s.BestSD = top.Value, top.SD
			s.MeanCM, s.MeanSD = sessionMean(ms)
		}
		out = append(out, s)
	}
	return out
}

// StretchGain is what the countermovement adds, the mean height of countermovement jumps over
// that of squat jumps, with its standard deviation:
//
//	ratio = CMJ/SJ,   sd = ratio · √((σ_CMJ/CMJ)² + (σ_SJ/SJ)²)
//
// It has no unit; over 1 the countermovement helped. ok is false without a trial of either
// that counts. The ratio is that of McGuigan et al. 2006.
func StretchGain(all []JumpSummary) (ratio, sd float64, ok bool) {
	at := func(task kinematics.Task) (JumpSummary, bool) {
		i := slices.IndexFunc(all, func(s JumpSummary) bool { return s.Task == task && s.Trials > 0 })
		if i < 0 {
			return JumpSummary{}, false
		}
		return all[i], true
	}
	squat, okS := at(kinematics.SquatJump)
	counter, okC := at(kinematics.CountermovementJump)
	if !okS || !okC || !(squat.MeanCM > 0) {
		return 0, 0, false
	}
	ratio = counter.MeanCM / squat.MeanCM
	return ratio, ratio * math.Hypot(counter.MeanSD/counter.MeanCM, squat.MeanSD/squat.MeanCM), true
}
