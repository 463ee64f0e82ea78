// Package kinematics turns a Track (points in pixels with times) into a Landing:
// filtered trajectories, joint angles, events to a fraction of a frame, the
// steadiness of the hold and, for jumps, flight and contact times, each number
// with one standard deviation.
//
// Derive (landing.go) is five stages, each a type that takes the one before:
//
//	prepared  (prepare.go)     one grid, one filter, how tall the athlete stands
//	analysis  (detect.go)      when what happens, or why there is no landing
//	timeBase  (timebase.go)    the scale, and whether bodies fall under it as they do
//	takings   (taking.go)      the measures, by the registry (registry.go), a family a file:
//	                           front, stance, trunk, side, depth, steadiness, pull, jump, jumps
//	drawn     (montecarlo.go)  the same under seeded disturbances: their standard deviations
//
// and Trials (trials.go) begins with the first of them too. A remark, and why
// something is not measured, is a Note (note.go); its words are made elsewhere.
//
// No file refers to one that stands after it here, which a test holds:
// landmark, task, note, filter, signal, noise, geometry, freefall, body, track, csv,
// options, plausible, motion, standing, scale, prepare, contact, footfalls,
// stride, gravity, hold, events, analysis, timebase, detect, measure, taking,
// front, stance, trunk, side, depth, steadiness, pull, jump, jumps, registry,
// camera, montecarlo, curves, landing, feet, trials.
//
// Inside, positions are pixels of the frame as shown, y down, and a missing
// sample is NaN. No NaN leaves the package: a value that could not be measured
// is in Landing.Missing with its reason, and a gap in a curve is a Sample that
// is not OK.
//
// The package is pure Go on gonum and reads no files.
package kinematics
