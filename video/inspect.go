//go:build cgo

package video

import (
	"context"
	"io"
	"slices"

	"steadfall/kinematics"
	"steadfall/video/clip"
	"steadfall/video/flow"
	"steadfall/video/plane"
)

// Inspect reads the whole clip and says what it is and whether it can be
// measured. The athlete is taken for what moves most; with points placed, Capture
// says more.
func Inspect(ctx context.Context, path string, task kinematics.Task, tell Progress) (Report, error) {
	film, err := clip.Open(path)
	if err != nil {
		return Report{}, err
	}
	defer film.Close()
	s := flow.NewSurvey(film.Width, film.Height)
	defer s.Close()
	c := flow.NewChanges(flow.SurveyBlock)
	defer c.Close()
	var times []float64
	var by changes
	for {
		if err := ctx.Err(); err != nil {
			return Report{}, err
		}
		p, err := film.Next()
		if err == io.EOF {
			break
		}
		if err != nil {
			return Report{}, err
		}
		times = append(times, p.TimeS)
		if p.Damaged {
			by = append(by, c.To(nil))
		} else {
			small := flow.NewGrey(p, s.Area, s.Shrink)
			by = append(by, c.To(small))
			s.Next(p, small)
			small.Close()
		}
		if tell != nil {
			tell(len(times), film.Frames)
		}
	}
	if err := enough(path, s.Frames); err != nil {
		return Report{}, err
	}
	r := Report{Info: film.Info, Losses: film.Losses(), Freezes: freezes(by.frozen(), times), Timing: newTiming(times)}
	r.Checks = append(r.Checks, rateCheck(r.Timing.filmedAt(film.CaptureFPS), task))
	r.Checks = append(r.Checks, seen(s, film.Height)...)
	return r, nil
}

// seen are the checks of what a survey of a clip of that height found.
func seen(s *flow.Survey, height int) []Check {
	moves := s.Moves()
	var out []Check
	if moves.Empty() {
		return append(out, Check{"moving_height_px", 0, "px", "poor", "nothing moves in this clip; is it the right one?"})
	}
	out = append(out, graded("moving_height_px", float64(moves.Dy()), "px", 650, 380, true,
		"what moves is large enough in the picture", "what moves is small in the picture; step closer, or hold the phone upright"))
	out = append(out, graded("moving_to_lower_edge_px", float64(height-moves.Max.Y), "px", 20, 4, true,
		"the feet seem to stay in the picture", "movement reaches the lower edge, so the feet may leave the picture; aim lower or step back"))
	out = append(out, graded("light", plane.Median(s.Light), "of 255", 60, 30, true,
		"light enough", "the picture is dark, which blurs fast feet; switch on lights or turn the athlete to the window"))
	out = append(out, graded("sharpness", plane.Median(s.Sharp), "", 8, 4, true,
		"sharp enough", "the picture is soft; clean the lens, tap the athlete to focus, and use more light"))
	slices.Sort(s.Shake)
	shake := s.Shake[len(s.Shake)*9/10]
	out = append(out, graded("shake_px", shake, "px", 2, 6, false,
		"the camera stands still", "the camera moves; stand the phone on a tripod or against something"))
	return out
}
