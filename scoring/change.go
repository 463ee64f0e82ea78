package scoring

import (
	"math"

	"steadfall/kinematics"
)

// ChangeVerdict says whether a measure of one person changed between two sessions.
type ChangeVerdict string

// The verdicts on a change.
const (
	RealChange  ChangeVerdict = "real"
	WithinNoise ChangeVerdict = "within_noise"
	TooFew      ChangeVerdict = "too_few"
)

// Words are the verdict in plain words.
func (v ChangeVerdict) Words() string {
	switch v {
	case RealChange:
		return "real"
	case WithinNoise:
		return "within noise"
	}
	return "too few trials"
}

// Change is a measure now minus then, each the mean of a session's trials, with its
// standard deviation and the smallest change that is not noise (DetectableChange).
type Change struct {
	Value      float64       `json:"value"`
	SD         float64       `json:"sd"`
	Detectable float64       `json:"detectable"`
	Verdict    ChangeVerdict `json:"verdict"`
}

// leastTrials is how many trials a session needs for its person's own spread to be known.
const leastTrials = 2

// NewChange compares the same measure in two sessions, now minus then in its unit and with its
// sign. Each session is its mean x̄ ± √(own² + s²/n), of n trials whose stated standard
// deviations have the mean own and whose values the sample's s: what each trial states of
// itself repeats over a session. SD is √(σ²_then + σ²_now), and the change is real beyond
// DetectableChange(SD/√2). Under two trials in either session the person's own spread is not
// known and the change is too_few; without any it is 0.
func NewChange(then, now []kinematics.Measure) Change {
	if len(then) == 0 || len(now) == 0 {
		return Change{Verdict: TooFew}
	}
	a, sdA := sessionMean(then)
	b, sdB := sessionMean(now)
	c := Change{Value: b - a, SD: math.Hypot(sdA, sdB), Verdict: TooFew}
	// The standard error of one session, for the formula: √2 of it makes a difference.
	c.Detectable = DetectableChange(c.SD / math.Sqrt2)
	switch {
	case len(then) < leastTrials || len(now) < leastTrials:
	case math.Abs(c.Value) > c.Detectable:
		c.Verdict = RealChange
	default:
		c.Verdict = WithinNoise
	}
	return c
}

// sessionMean is the mean of a session's trials and its standard deviation. What each
// trial states of itself (camera, points) repeats over a session and does not shrink with
// their number; the person's own spread does.
func sessionMean(ms []kinematics.Measure) (mean, sd float64) {
	n := float64(len(ms))
	var own, spread float64
	for _, m := range ms {
		mean += m.Value / n
		own += m.SD / n
	}
	for _, m := range ms {
		spread += sq(m.Value - mean)
	}
	if n > 1 {
		spread = math.Sqrt(spread / (n - 1) / n)
	}
	return mean, math.Hypot(own, spread)
}
