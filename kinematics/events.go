package kinematics

import "math"

// EventName names a moment of a landing.
type EventName string

// The events.
const (
	DropStart      EventName = "drop_start"      // the hips start to fall for good; in a snap-down, the tallest instant
	Takeoff        EventName = "takeoff"         // the last foot leaves the floor
	InitialContact EventName = "initial_contact" // the foot first touches
	Lowest         EventName = "lowest"          // the hips are lowest after contact
	StillFrom      EventName = "still_from"      // the athlete has stopped moving
	HoldEnd        EventName = "hold_end"        // the hold is over
	LandingAgain   EventName = "landing"         // a later contact, of the jump after this landing
)

// Event is a moment with one standard deviation. Frame is the clip's frame
// nearest to it.
type Event struct {
	Name  EventName `json:"name"`
	Side  Side      `json:"side"`
	TimeS float64   `json:"time_s"`
	Frame int       `json:"frame"`
	SDS   float64   `json:"sd_s"`
}

// eventTimes are the times of the events in seconds; NaN where there is none.
type eventTimes struct {
	start       float64          // of the fall, or the tallest instant
	contact     map[Side]float64 // of each landing foot
	first       float64          // of the first foot
	lowest      float64
	still       float64
	holdEnd     float64
	liftOff     float64 // take-off of the jump before this landing
	rebound     float64 // take-off after this landing's contact
	nextContact float64 // contact after the rebound
	toe         map[Side]float64
	heel        map[Side]float64
}

// from is where the landing begins for measures that look on from contact; in a
// snap-down without contact it is the start.
func (w eventTimes) from() float64 {
	if math.IsNaN(w.first) {
		return w.start
	}
	return w.first
}

// settled is the end of the stretch in which the athlete comes to rest: still, or
// 1 s after the lowest point where never still.
func (w eventTimes) settled() float64 {
	end := w.lowest + 1
	if !math.IsNaN(w.still) {
		end = w.still
	}
	if !math.IsNaN(w.rebound) {
		end = math.Min(end, w.rebound)
	}
	return end
}

// eventSDs are the standard deviations of the events, s.
type eventSDs struct {
	contact, toe, heel map[Side]float64
	jump               float64 // take-off, rebound and second contact
	still, holdEnd     float64
}

// jumpSDFrames is how well take-offs, and the landing between two jumps, are known, in
// frames: from simulated jumps.
const jumpSDFrames = 0.38

// holdSDS is how well the start and the end of a hold are known apart from noise, s:
// from the clips with exact truth, 0.06 to 0.10.
const holdSDS = 0.085
