package kinematics

// Measure is one number of a landing with one standard deviation.
type Measure struct {
	Name  string  `json:"name"`
	Side  Side    `json:"side"`
	Value float64 `json:"value"`
	SD    float64 `json:"sd"`
	Unit  string  `json:"unit"`
	View  View    `json:"view"`
	Frame int     `json:"frame"` // the clip's frame the value is from
	TimeS float64 `json:"time_s"`
	// AtLeast says that the true value may be larger: the clip ended first.
	AtLeast bool `json:"at_least,omitempty"`

	// Draws are the values under the seeded disturbances that made SD, in the
	// same order for all measures of a landing, so that totals can be formed
	// draw by draw.
	Draws []float64 `json:"-"`
}

// Missing is a measure that could not be taken, and why.
type Missing struct {
	Name string
	Side Side
	View View
	Why  Note
}

// The units of measures.
const (
	unitDeg   = "deg"
	unitCM    = "cm"
	unitCM2   = "cm²"
	unitMS    = "ms"
	unitS     = "s"
	unitG     = "× g"
	unitPart  = "%"
	unitPlain = "–"
	unitRSI   = "m/s"
)
