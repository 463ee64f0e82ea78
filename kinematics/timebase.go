package kinematics

// lastOfFlightS are the last parts of a flight that may be free fall where the whole is not, s:
// who lets go of a bar, or keeps a foot on the box, has nothing under the feet before that.
var lastOfFlightS = []float64{0.3, 0.2}

// falls are the flight before contact, whole and its last parts, as bodies would fall in it.
func (s *analysis) falls() []fall {
	out := []fall{s.fallOf(s.airFrom, s.when.first)}
	for _, last := range lastOfFlightS {
		if !s.opt.Task.traits().fromBox {
			break // a jump's flight begins at take-off
		}
		if from := s.when.first - last; from > s.airFrom {
			out = append(out, s.fallOf(from, s.when.first))
		}
	}
	if s.view == Front {
		for i := range out {
			out[i] = out[i].nearing(s.grow)
		}
	}
	return out
}

// timeBase is whether a clip's times and lengths can be trusted.
type timeBase struct {
	gravity GravityCheck
	doubt   *Note  // why they cannot; nil where nothing speaks against them
	notes   []Note // of lengths that disagree
}

// timeBase gives the analysis its scale, told from the fall where nothing else tells it, and tells
// whether bodies fall under it as they do.
func (s *analysis) timeBase() timeBase {
	var out timeBase
	falls := s.falls()
	s.sc, out.notes = s.standing.scale(s.opt.Length, s.opt.StatureCM)
	if !s.sc.Known() {
		s.sc, out.doubt = falls[0].scale(s.body, s.fs)
	}
	out.gravity = check(falls, s.sc, s.fs)
	if out.gravity.Verdict == GravityDiffers {
		out.doubt = out.gravity.Why
	}
	if d := out.doubt; d != nil {
		out.doubt = &Note{Code: d.Code, Severity: Doubt, Args: d.Args, Hint: d.Hint}
	}
	return out
}
