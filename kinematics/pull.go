package kinematics

import "math"

// pullMeasures tell pulling down from falling in a snap-down.
var pullMeasures = []definition{
	{About: About{
		Name: "pull_down", Unit: unitG, Sides: WholeBody, Words: "greatest downward acceleration of the hips",
		Definition: "the greatest second derivative of the hips' height between the tallest and the lowest instant over 9.81 m/s²",
		Sign:       "above 1 the athlete pulls down, at or below it only falls", Source: common,
	}, when: Task.Grounded, body: pullDown},
	{About: About{
		Name: "pull_down_time", Unit: unitS, Sides: WholeBody, Words: "from tallest to deepest",
		Definition: "the lowest instant of the hips less the tallest",
		Source:     common,
	}, when: Task.Grounded, body: func(t *takings) value {
		out := value{v: t.when.lowest - t.when.start, t: t.when.start, why: WhyPullUnseen}
		if !t.sc.Known() {
			out.why = NoteNoScale
		}
		return out
	}},
}

func pullDown(t *takings) value {
	acc := derivative(derivative(t.hips.y, t.fs), t.fs)
	most, at := t.most(acc, t.when.start, t.when.lowest, nil)
	l := On(Left, Hip)
	if near := t.view.Near(); near == Right || !t.has(l) {
		l = On(Right, Hip)
	}
	fc, noise := t.cutoff[l][1], t.noise[l]
	// The standard deviation of the second derivative of white noise behind a
	// low-pass at fc: σ·√(2/fs·(2π)⁴·fc⁵/5).
	own := noise * math.Sqrt(2/t.fs*math.Pow(2*math.Pi, 4)*math.Pow(fc, 5)/5)
	return t.length(value{v: t.cm(most) / 100 / Gravity, t: at, why: WhyPullUnseen, own: t.cm(own) / 100 / Gravity})
}

// Why measures of this file may be missing.
const (
	WhyPullUnseen Code = "pull_unseen"
)
