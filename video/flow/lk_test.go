//go:build cgo

package flow

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"steadfall/kinematics"
	"steadfall/video/clip"
	"steadfall/video/mat"
)

// firstFrame and lastFrame of the bundled clip are before the athlete steps off and after the deepest point.
const firstFrame, lastFrame = 60, 100

// pictures are those frames, half the size.
func pictures(t testing.TB) (out []*Grey) {
	t.Helper()
	film, err := clip.Open("../../testdata/clips/two_foot_knee_in_front.mp4")
	if err != nil {
		t.Fatal(err)
	}
	defer film.Close()
	for i := 0; i <= lastFrame; i++ {
		p, err := film.Next()
		if err != nil {
			t.Fatal(err)
		}
		if i >= firstFrame {
			g := NewGrey(p, mat.Divisible(film.Width, film.Height, 2), 2)
			t.Cleanup(g.Close)
			out = append(out, g)
		}
	}
	return out
}

// onTheBody are points on the grids that are followed for the athlete's landmarks, and where the search
// for them sets out from: half of their way, which the truth tells.
func onTheBody(t testing.TB, frame int) (from, seed []r2.Vec) {
	t.Helper()
	text, err := os.ReadFile("../../testdata/clips/two_foot_knee_in_front.truth.json")
	if err != nil {
		t.Fatal(err)
	}
	var truth struct {
		Frames []struct {
			Points map[kinematics.Landmark][2]float64 `json:"points"`
		} `json:"frames"`
	}
	if err := json.Unmarshal(text, &truth); err != nil {
		t.Fatal(err)
	}
	at := func(i int, l kinematics.Landmark) r2.Vec {
		p := truth.Frames[i].Points[l]
		return r2.Vec{X: p[0] / 2, Y: p[1] / 2}
	}
	f := FromClicks(360, kinematics.Front)
	for _, l := range kinematics.Landmarks() {
		here := at(frame, l)
		way := r2.Scale(0.5, r2.Sub(at(frame+1, l), here))
		for _, q := range f.grid(f.Mover(l, here, here, func(o kinematics.Landmark) (r2.Vec, bool) { return at(frame, o), true })) {
			from, seed = append(from, q), append(seed, r2.Add(q, way))
		}
	}
	return from, seed
}

// Ours finds what OpenCV's does, which is the reference, where the way there and back agree: other
// points are not used.
func TestFollowAsOpenCVDoes(t *testing.T) {
	if !ownLucasKanade {
		t.Skip("this processor has no AVX2")
	}
	all := pictures(t)
	for _, c := range []struct {
		window, levels int
		most           float64 // px that 99 of 100 are within
	}{{11, 3, 0.025}, {13, 0, 0.02}, {13, 3, 0.02}, {31, 2, 0.02}, {45, 3, 0.02}} {
		var off, tex []float64
		differ := 0
		for i := range all[1:] {
			a, b := all[i], all[i+1]
			from, seed := onTheBody(t, firstFrame+i)
			to, ok, texture := a.Follow(b, from, seed, c.window, c.levels)
			back, okBack, _ := b.Follow(a, to, from, c.window, c.levels)
			wantTo, wantOK, wantTexture := followCV(a.mat, b.mat, from, seed, c.window, c.levels)
			wantBack, wantOKBack, _ := followCV(b.mat, a.mat, wantTo, from, c.window, c.levels)
			for i := range from {
				used := ok[i] && okBack[i] && agree(from[i], to[i], back[i])
				wantUsed := wantOK[i] && wantOKBack[i] && agree(from[i], wantTo[i], wantBack[i])
				if used != wantUsed {
					differ++
				}
				if used && wantUsed {
					off = append(off, r2.Norm(r2.Sub(to[i], wantTo[i])))
					tex = append(tex, math.Abs(texture[i]-wantTexture[i])/wantTexture[i])
				}
			}
		}
		slices.Sort(off)
		slices.Sort(tex)
		n := len(off)
		says := fmt.Sprintf("window %d, levels %d: of %d points half within %.5f px, 99 %% within %.4f; texture half within %.5f; %d used by one only", c.window, c.levels, n, off[n/2], off[n*99/100], tex[n/2], differ)
		t.Log(says)
		if n < 5000 || off[n/2] > 0.001 || off[n*99/100] > c.most || tex[n/2] > 0.001 || differ > n/100 {
			t.Error(says)
		}
	}
}

// What no picture holds is lost.
func TestFollowNowhere(t *testing.T) {
	all := pictures(t)
	a, b := all[0], all[1]
	far := 1e9
	from := []r2.Vec{{X: -far, Y: 0}, {X: 0, Y: far}, {X: math.NaN(), Y: 1}, {X: 10, Y: 10}, {X: float64(a.mat.Cols() - 1), Y: float64(a.mat.Rows() - 1)}}
	seed := slices.Clone(from)
	seed[3] = r2.Vec{X: math.Inf(1), Y: math.NaN()}
	for _, window := range []int{11, 45} {
		_, ok, _ := a.Follow(b, from, seed, window, 3)
		if slices.Contains(ok[:4], true) {
			t.Errorf("window %d: found %v", window, ok)
		}
	}
}

func BenchmarkFollow(bm *testing.B) {
	all := pictures(bm)
	a, b := all[14], all[15] // in the fall
	from, seed := onTheBody(bm, firstFrame+14)
	bm.Run("own", func(bm *testing.B) {
		for bm.Loop() {
			a.pyramid.close()
			a.pyramid = pyramid{}
			a.Follow(b, from, seed, 13, 3)
		}
	})
	bm.Run("opencv", func(bm *testing.B) {
		for bm.Loop() {
			followCV(a.mat, b.mat, from, seed, 13, 3)
		}
	})
}
