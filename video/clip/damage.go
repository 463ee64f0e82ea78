package clip

import "math"

// damage keeps what of a clip is not whole. A picture is made from those before it, so from
// where the decoder complains, everything is doubtful until a picture that stands alone and
// that the decoder was given after the complaint.
type damage struct {
	open    bool
	through int64   // number of the last packet the decoder had when it complained
	wholeS  float64 // time of the last whole picture
	losses  []Loss
}

// seen notes a complaint, when so many packets had been given to the decoder.
func (d *damage) seen(packets int64) {
	d.open, d.through = true, packets
}

// doubts reports whether the next picture is doubtful: which packet it came from, whether it
// stands alone, and when it is shown.
func (d *damage) doubts(packet int64, alone bool, timeS float64) bool {
	if d.open && !(alone && packet > d.through) {
		return true
	}
	if d.open && !math.IsInf(d.wholeS, -1) {
		d.losses = append(d.losses, Loss{FromS: d.wholeS, ToS: timeS})
	}
	d.open, d.wholeS = false, timeS
	return false
}

// end closes a stretch that lasts to the end of the clip, which was cut off or not.
func (d *damage) end(timeS float64, cutOff bool) {
	if d.open || cutOff {
		d.losses = append(d.losses, Loss{FromS: d.wholeS, ToS: math.Max(timeS, d.wholeS), CutOff: cutOff})
	}
	d.open = false
}
