package track

import (
	"gonum.org/v1/gonum/spatial/r2"

	"steadfall/kinematics"
	"steadfall/video/pose"
)

// lostShare of the body height is the largest standard deviation a point may
// have and still be given: beyond, it is lost. lostStep of it is what a frame
// without flow may hide.
const (
	lostShare = 0.045
	lostStep  = 0.015
)

// track is the body's paths, taken as that view of a person of that height, px of the frame, with
// nothing on the frozen frames. What the net put is first freed of how it errs.
func (b *body) track(s scene, view kinematics.View, heightPx float64, frozen []bool) kinematics.Track {
	t := kinematics.NewTrack(view, s.width, s.height, s.frames, s.times)
	tall := heightPx * s.to.K
	bends, blind := b.bends(), lostStep*tall
	frameS := (s.times[len(s.times)-1] - s.times[0]) / float64(len(s.times)-1)
	for l, p := range b.paths {
		e, bent := pose.ErrorOf(l, view)
		net := straightened(p.net, bends, r2.Scale(tall, bent))
		switch {
		case view.IsSide() && l.Part() == kinematics.Hip:
			net = b.onTrunk(l, view, net, bends, tall)
		case view.IsSide() && l.Part() == kinematics.Ankle:
			net = b.onFoot(s, l, view, net, bends, tall)
		}
		fit := smoother{net: e.Scaled(tall, frameS), lostVar: blind * blind, alone: b.alone}
		pos, sd := fit.path(len(s.times), &p.steps, net, p.hand)
		for i := range pos {
			at, source := s.to.ToFrame(pos[i]), p.source(i)
			if sd[i] > lostShare*tall || source != kinematics.Placed && !s.inside(at) {
				continue
			}
			t.Points[l][i] = kinematics.Point{X: at.X, Y: at.Y, SD: sd[i] / s.to.K, Source: source}
		}
	}
	if !b.alone {
		doubtHanging(t, heightPx)
		hideFarLeg(t, heightPx)
	}
	unseen(t, frozen)
	return t
}

// unseen takes all points off the frozen pictures of a track.
func unseen(t kinematics.Track, frozen []bool) {
	for _, points := range t.Points {
		for i := range points {
			if frozen[i] {
				points[i] = kinematics.Unseen()
			}
		}
	}
}
