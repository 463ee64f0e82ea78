//go:build cgo

package pose

import (
	"image"
	"math"

	"gocv.io/x/gocv"
	"gonum.org/v1/gonum/spatial/r2"

	"steadfall/kinematics"
)

// posePoints is how many points the net gives and poseNumbers what it says of each:
// x, y, depth, visibility, presence. The last points are not of the body: hipsMiddle
// and circleTop say where to look next.
const (
	posePoints  = 39
	poseNumbers = 5
	hipsMiddle  = 33
	circleTop   = 34
)

// poseIndex is the net's number of the left landmark of a part; the right one is the
// next.
var poseIndex = map[kinematics.Part]int{
	kinematics.Shoulder: 11, kinematics.Hip: 23, kinematics.Knee: 25, kinematics.Ankle: 27, kinematics.Heel: 29, kinematics.Toe: 31,
}

// ears are the net's numbers of the left and the right ear.
var ears = [2]int{7, 8}

// See asks the landmark net.
func (p *picture) See(r Region, mirrored bool) Pose {
	k := r.Side / poseSide
	c, s := k*math.Cos(r.Angle), k*math.Sin(r.Angle)
	// From the net's square, with its middle at half its side, to the picture.
	toPicture := func(u, v float64) r2.Vec {
		u, v = u-poseSide/2, v-poseSide/2
		return r2.Vec{X: r.Mid.X + c*u - s*v, Y: r.Mid.Y + s*u + c*v}
	}
	square := p.cut(r, c, s)
	defer square.Close()
	if mirrored {
		gocv.Flip(square, &square, 1)
	}
	blob := gocv.BlobFromImage(square, 1/255.0, image.Pt(poseSide, poseSide), gocv.NewScalar(0, 0, 0, 0), true, false)
	defer blob.Close()
	out := p.nets.landmarks.run(blob)
	if len(out) < 3 || len(out[0]) < posePoints*poseNumbers || len(out[2]) < posePoints*heatSide*heatSide {
		return Pose{}
	}
	nums, sure, heat := out[0], out[1], out[2]
	at := func(i int) r2.Vec {
		u, v := refined(heat[i*heatSide*heatSide:(i+1)*heatSide*heatSide], float64(nums[i*poseNumbers]), float64(nums[i*poseNumbers+1]))
		if mirrored {
			u = poseSide - 1 - u
		}
		return toPicture(u, v)
	}
	res := Pose{Sure: float64(sure[0]), Points: map[kinematics.Landmark]Proposal{}, Next: regionOf(at(hipsMiddle), at(circleTop))}
	res.Head = r2.Scale(0.5, r2.Add(at(ears[0]), at(ears[1])))
	for part, i := range poseIndex {
		for j, side := range []kinematics.Side{kinematics.Left, kinematics.Right} {
			if mirrored {
				side = side.Other()
			}
			visible := logistic(float64(nums[(i+j)*poseNumbers+3]))
			res.Points[kinematics.On(side, part)] = Proposal{at(i + j), visible}
		}
	}
	return res
}

// cut warps a region of the picture to the net's square; c and s are the scaled cosine
// and sine of its turn. The picture is softened before it is shrunk, so that fine
// texture does not turn into false points.
func (p *picture) cut(r Region, c, s float64) gocv.Mat {
	half := r.Side/2*(math.Abs(math.Cos(r.Angle))+math.Abs(math.Sin(r.Angle))) + 8
	box := image.Rect(int(r.Mid.X-half), int(r.Mid.Y-half), int(r.Mid.X+half)+1, int(r.Mid.Y+half)+1).
		Intersect(image.Rect(0, 0, p.mat.Cols(), p.mat.Rows()))
	square := gocv.NewMat()
	if box.Dx() < 8 || box.Dy() < 8 {
		square.Close()
		return gocv.NewMatWithSize(poseSide, poseSide, gocv.MatTypeCV8UC3)
	}
	part := p.mat.Region(box)
	defer part.Close()
	soft := gocv.NewMat()
	defer soft.Close()
	if k := r.Side / poseSide; k > 1 {
		gocv.GaussianBlur(part, &soft, image.Point{}, 0.5*k, 0.5*k, gocv.BorderReplicate)
	} else {
		part.CopyTo(&soft)
	}
	m := affine(
		c, -s, r.Mid.X-float64(box.Min.X)-poseSide/2*(c-s),
		s, c, r.Mid.Y-float64(box.Min.Y)-poseSide/2*(s+c))
	defer m.Close()
	const inverse = 16 // cv::WARP_INVERSE_MAP
	gocv.WarpAffineWithParams(soft, &square, m, image.Pt(poseSide, poseSide), gocv.InterpolationLinear+inverse, gocv.BorderReplicate, black)
	return square
}
