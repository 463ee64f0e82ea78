// Package kinematics turns a Track (points in pixels with times) into a Landing:
// filtered trajectories, joint angles, events to a fraction of a frame, the
// steadiness of the hold and, for jumps, flight and contact times, each number
// with one standard deviation.
//
// The way through the package: Derive (landing.go) resamples and filters the
// track (motion.go, filter.go), finds the scale (scale.go) and the events
// (contact.go, events.go, hold.go), takes the measures (front.go, side.go,
// steadiness.go, jump.go), and repeats the taking under seeded disturbances to
// learn their standard deviations (draws.go).
//
// Inside, positions are pixels of the frame as shown, y down, and a missing
// sample is NaN. No NaN leaves the package: a value that could not be measured
// is in Landing.Missing with its reason, and a gap in a curve is a Sample that
// is not OK.
//
// The package is pure Go on gonum and reads no files.
package kinematics
