package scoring_test

import (
	"fmt"

	"steadfall/scoring"
)

// The ratings are those of Shrout and Fleiss 1979, Psychol Bull 86:420, Table 2, and the
// coefficients those of its Table 4 (docs/sources.md).
func ExampleNewICC() {
	icc, err := scoring.NewICC([][]float64{{9, 2, 5, 8}, {6, 1, 3, 2}, {8, 4, 6, 8}, {7, 1, 2, 6}, {10, 5, 6, 9}, {6, 2, 4, 7}})
	fmt.Printf("%.2f %v\n", icc.TwoSingle, err)
	// Output: 0.29 <nil>
}

// A session's standard error of 2.72° (Munro, Herrington and Carolan 2012, docs/sources.md).
func ExampleDetectableChange() {
	fmt.Printf("%.2f°\n", scoring.DetectableChange(2.72))
	// Output: 7.54°
}

// Half a standard deviation under a limit of 30°, of which less is an error: Φ(0.5), as tables of the
// normal distribution print it.
func ExampleErrorProbability() {
	fmt.Printf("%.4f\n", scoring.ErrorProbability(29, 2, 30, false))
	// Output: 0.6915
}
