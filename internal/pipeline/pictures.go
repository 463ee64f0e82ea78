package pipeline

import (
	"context"
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strings"

	"steadfall/kinematics"
	"steadfall/report"
	"steadfall/video"
)

// A looping clip shows so many frames of a second at half the speed, from before contact
// until the athlete is still, and is kept small: a page may hold two.
const (
	reelPerSecond = 30.0
	reelSlow      = 2.0
	reelBeforeS   = 0.4
	reelJumpS     = 0.6 // before a take-off
	reelAfterS    = 2.0 // at most
	reelStillS    = 0.6
	reelBytes     = 600 << 10
)

// Finish makes the looping clips of all landings from their frames; of several it says how many are
// done.
func Finish(ctx context.Context, all []Outcome, tell func(stage string, done, total int)) error {
	for i := range all {
		if ctx.Err() != nil {
			return ctx.Err()
		}
		if tell != nil && len(all) > 1 {
			tell("making the moving pictures of the landings", i+1, len(all))
		}
		if err := all[i].finish(); err != nil {
			return err
		}
	}
	return nil
}

func (o *Outcome) finish() error {
	for _, r := range o.Reels {
		data, err := video.PreviewLoop(r.Frames, reelPerSecond/reelSlow, reelBytes)
		if err != nil {
			return err
		}
		r.Picture.Data = data
		o.Pictures = append(o.Pictures, r.Picture)
	}
	o.Reels = nil
	return nil
}

// moments are the three stills of a report.
var moments = []struct {
	word  string
	event kinematics.EventName
}{
	{"contact", kinematics.InitialContact},
	{"deepest", kinematics.Lowest},
	{"hold", kinematics.StillFrom},
}

// A strip shows the athlete so long before contact, and in so many steps from contact to the
// deepest point and from there to standing still.
const (
	stripBeforeS = 0.12
	stripSteps   = 2
)

// drawAll takes the pictures of all landings; of several it says how many are done.
func (r Request) drawAll(ctx context.Context, views []seen, told [][]kinematics.Landing, out []Outcome) error {
	say := func(int) {}
	if tell, n := r.Tell, len(out); tell != nil && n > 1 {
		say = func(done int) { tell("drawing the pictures of the landings", done, n) }
		r.Tell = nil
	}
	for i := range out {
		say(i)
		if err := r.draw(ctx, views, told[i], &out[i]); err != nil {
			return err
		}
	}
	say(len(out))
	return nil
}

// draw takes the pictures of every view of a landing that is scored.
func (r Request) draw(ctx context.Context, views []seen, told []kinematics.Landing, out *Outcome) error {
	for i, v := range views {
		if err := r.shoot(ctx, v.source, out.Views[i].Track, told[i], out); err != nil {
			return err
		}
	}
	return nil
}

// shoot takes the pictures of one view.
func (r Request) shoot(ctx context.Context, s Source, t kinematics.Track, l kinematics.Landing, out *Outcome) error {
	if s.Clip == "" {
		return nil
	}
	var want video.Shots
	var pics []report.Picture
	for _, m := range moments {
		e, ok := l.Event(m.event)
		if !ok {
			continue
		}
		frame := e.Frame
		if m.word == "hold" { // some way into the hold
			if end, ok := l.Event(kinematics.HoldEnd); ok {
				frame = (e.Frame + end.Frame) / 2
			}
		}
		text, caption := labels(l, m.word)
		want.Stills = append(want.Stills, video.Mark{Frame: frame, Text: text})
		pics = append(pics, report.Picture{View: t.View, Moment: m.word, Frame: frame, TimeS: timeOf(t, frame), Caption: caption})
	}
	if len(want.Stills) == 0 {
		return nil
	}
	contact, landed := l.Event(kinematics.InitialContact)
	if landed {
		want.Strip = strip(t, l, contact.TimeS)
		want.Loop = reel(t, l, contact.TimeS)
		if deepest, ok := l.Event(kinematics.Lowest); ok && len(want.Loop) > 0 {
			want.Path = video.Mark{Frame: deepest.Frame}
			want.Along = [2]int{want.Loop[0], want.Loop[len(want.Loop)-1]}
		}
	}
	if r.Tell != nil {
		r.Tell("drawing pictures of "+filepath.Base(s.Clip), 0, 0)
	}
	shown, err := video.Shoot(ctx, s.Clip, t, want)
	if err != nil {
		return err
	}
	for _, p := range pics {
		if p.Data = shown.Stills[p.Frame]; p.Data != nil {
			out.Pictures = append(out.Pictures, p)
		}
	}
	more := func(moment string, frame int, caption string) report.Picture {
		return report.Picture{View: t.View, Moment: moment, Frame: frame, TimeS: timeOf(t, frame), Caption: caption}
	}
	if len(shown.Strip) > 0 {
		p := more(report.Strip, want.Strip[0], stripCaption(t, want.Strip, contact.TimeS))
		p.Data = shown.Strip
		out.Pictures = append(out.Pictures, p)
	}
	if len(shown.Path) > 0 {
		p := more(report.Path, want.Path.Frame, "The ways of hips and knees from before contact until still, drawn on the deepest point.")
		p.Data = shown.Path
		out.Pictures = append(out.Pictures, p)
	}
	if len(shown.Loop) > 1 {
		out.Reels = append(out.Reels, Reel{more(report.Loop, want.Loop[0], "The landing at half speed."), shown.Loop})
	}
	return nil
}

// strip picks frames from just before contact until still.
func strip(t kinematics.Track, l kinematics.Landing, contactS float64) []int {
	times := []float64{contactS - stripBeforeS}
	at := contactS
	for _, name := range []kinematics.EventName{kinematics.Lowest, kinematics.StillFrom} {
		e, ok := l.Event(name)
		if !ok || e.TimeS <= at {
			continue
		}
		for k := range stripSteps {
			times = append(times, at+(e.TimeS-at)*float64(k)/stripSteps)
		}
		at = e.TimeS
	}
	return framesAt(t, append(times, at))
}

// reel picks the frames of a looping clip.
func reel(t kinematics.Track, l kinematics.Landing, contactS float64) []int {
	from, to := contactS-reelBeforeS, contactS+reelAfterS
	if e, ok := l.Event(kinematics.Takeoff); ok && e.TimeS < contactS {
		from = math.Min(from, e.TimeS-reelJumpS)
	}
	if e, ok := l.Event(kinematics.StillFrom); ok {
		to = math.Min(to, e.TimeS+reelStillS)
	}
	var times []float64
	for at := from; at <= to; at += 1 / reelPerSecond {
		times = append(times, at)
	}
	return framesAt(t, times)
}

// framesAt are the frames of the track nearest to some times, each once and in order.
func framesAt(t kinematics.Track, times []float64) (out []int) {
	for _, at := range times {
		best := -1
		for i, s := range t.TimeS {
			if best < 0 || math.Abs(s-at) < math.Abs(t.TimeS[best]-at) {
				best = i
			}
		}
		if best >= 0 && !slices.Contains(out, t.Frame[best]) {
			out = append(out, t.Frame[best])
		}
	}
	return out
}

// stripCaption tells when each picture was taken.
func stripCaption(t kinematics.Track, frames []int, contactS float64) string {
	words := "From left to right, in seconds from contact:"
	for i, f := range frames {
		if i > 0 {
			words += ","
		}
		after := timeOf(t, f) - contactS
		if math.Abs(after) < 0.005 {
			after = 0 // not −0.00
		}
		words += " " + strings.Replace(fmt.Sprintf("%.2f", after), "-", "−", 1)
	}
	return words + "."
}

func timeOf(t kinematics.Track, frame int) float64 {
	if i := slices.Index(t.Frame, frame); i >= 0 {
		return t.TimeS[i]
	}
	return 0
}

// labels are the angles written beside the joints on one picture, and the same in
// words for its caption.
func labels(l kinematics.Landing, moment string) (map[kinematics.Landmark]string, string) {
	name := map[string]string{"contact": "fppa_contact", "deepest": "fppa_lowest", "hold": "fppa_hold"}[moment]
	words := "Knee in (+) or out (−)"
	if l.View.IsSide() {
		words = "Knee bend"
		name = map[string]string{"contact": "knee_flexion_contact", "deepest": "knee_flexion_peak"}[moment]
	}
	text := map[kinematics.Landmark]string{}
	caption := ""
	for _, s := range []kinematics.Side{kinematics.Right, kinematics.Left} {
		m, ok := l.Measure(name, s)
		if !ok {
			continue
		}
		letter := "L"
		if s == kinematics.Right {
			letter = "R"
		}
		text[kinematics.On(s, kinematics.Knee)] = fmt.Sprintf("%s %+.0f deg", letter, m.Value)
		if l.View.IsSide() {
			text[kinematics.On(s, kinematics.Knee)] = fmt.Sprintf("%s %.0f deg", letter, m.Value)
		}
		caption += fmt.Sprintf(" %s %.0f ± %.0f°.", s, m.Value, m.SD)
	}
	if caption != "" {
		caption = words + ":" + caption
	}
	return text, caption
}
