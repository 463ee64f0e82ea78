//go:build cgo

package video

import (
	"image"
	"math"

	"gocv.io/x/gocv"
	"gonum.org/v1/gonum/spatial/r2"

	"steadfall/kinematics"
	"steadfall/video/mat"
)

// poseSide is the side of the square the landmark net looks at, and of its heat maps.
const (
	poseSide = 256
	heatSide = 64
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

// proposal is one landmark as the net sees it.
type proposal struct {
	at      r2.Vec
	visible float64 // 0 to 1; it stays high on limbs that are hidden by others
}

// pose is one person as the net sees them on one picture.
type pose struct {
	sure   float64 // that a person is there, 0 to 1
	points map[kinematics.Landmark]proposal
	head   r2.Vec // between the ears
	next   region // where to look on the next picture
}

type poser struct {
	net     gocv.Net
	outputs []string
}

func newPoser(n Nets) (poser, error) {
	net, err := gocv.ReadNetFromONNXBytes(n.Landmarks)
	return poser{net, n.LandmarkOutputs}, err
}

func (p poser) close() { p.net.Close() }

// see places the points of the person in that region of a colour picture. mirrored
// shows the net its mirror image: the net errs sideways a little, always the same way,
// which cancels over picture and mirror image.
func (p poser) see(picture gocv.Mat, r region, mirrored bool) pose {
	k := r.side / poseSide
	c, s := k*math.Cos(r.angle), k*math.Sin(r.angle)
	// From the net's square, with its middle at half its side, to the picture.
	toPicture := func(u, v float64) r2.Vec {
		u, v = u-poseSide/2, v-poseSide/2
		return r2.Vec{X: r.mid.X + c*u - s*v, Y: r.mid.Y + s*u + c*v}
	}
	square := p.cut(picture, r, c, s)
	defer square.Close()
	if mirrored {
		gocv.Flip(square, &square, 1)
	}
	blob := gocv.BlobFromImage(square, 1/255.0, image.Pt(poseSide, poseSide), gocv.NewScalar(0, 0, 0, 0), true, false)
	defer blob.Close()
	p.net.SetInput(blob, "")
	out := p.net.ForwardLayers(p.outputs)
	defer mat.CloseAll(out)
	nums, err1 := out[0].DataPtrFloat32()
	sure, err2 := out[1].DataPtrFloat32()
	heat, err3 := out[2].DataPtrFloat32()
	if err1 != nil || err2 != nil || err3 != nil || len(nums) < posePoints*poseNumbers || len(heat) < posePoints*heatSide*heatSide {
		return pose{}
	}
	at := func(i int) r2.Vec {
		u, v := refined(heat[i*heatSide*heatSide:(i+1)*heatSide*heatSide], float64(nums[i*poseNumbers]), float64(nums[i*poseNumbers+1]))
		if mirrored {
			u = poseSide - 1 - u
		}
		return toPicture(u, v)
	}
	res := pose{sure: float64(sure[0]), points: map[kinematics.Landmark]proposal{}, next: regionOf(at(hipsMiddle), at(circleTop))}
	res.head = r2.Scale(0.5, r2.Add(at(ears[0]), at(ears[1])))
	for part, i := range poseIndex {
		for j, side := range []kinematics.Side{kinematics.Left, kinematics.Right} {
			if mirrored {
				side = side.Other()
			}
			visible := logistic(float64(nums[(i+j)*poseNumbers+3]))
			res.points[kinematics.On(side, part)] = proposal{at(i + j), visible}
		}
	}
	return res
}

// cut warps a region of the picture to the net's square; c and s are the scaled cosine
// and sine of its turn. The picture is softened before it is shrunk, so that fine
// texture does not turn into false points.
func (p poser) cut(picture gocv.Mat, r region, c, s float64) gocv.Mat {
	half := r.side/2*(math.Abs(math.Cos(r.angle))+math.Abs(math.Sin(r.angle))) + 8
	box := image.Rect(int(r.mid.X-half), int(r.mid.Y-half), int(r.mid.X+half)+1, int(r.mid.Y+half)+1).
		Intersect(image.Rect(0, 0, picture.Cols(), picture.Rows()))
	square := gocv.NewMat()
	if box.Dx() < 8 || box.Dy() < 8 {
		square.Close()
		return gocv.NewMatWithSize(poseSide, poseSide, gocv.MatTypeCV8UC3)
	}
	part := picture.Region(box)
	defer part.Close()
	soft := gocv.NewMat()
	defer soft.Close()
	if k := r.side / poseSide; k > 1 {
		gocv.GaussianBlur(part, &soft, image.Point{}, 0.5*k, 0.5*k, gocv.BorderReplicate)
	} else {
		part.CopyTo(&soft)
	}
	m := affine(
		c, -s, r.mid.X-float64(box.Min.X)-poseSide/2*(c-s),
		s, c, r.mid.Y-float64(box.Min.Y)-poseSide/2*(s+c))
	defer m.Close()
	const inverse = 16 // cv::WARP_INVERSE_MAP
	gocv.WarpAffineWithParams(soft, &square, m, image.Pt(poseSide, poseSide), gocv.InterpolationLinear+inverse, gocv.BorderReplicate, black)
	return square
}

// refined moves a point to the weighted middle of the heat map about it, where that
// map has a clear peak.
func refined(heat []float32, u, v float64) (float64, float64) {
	const cell, reach, peak = poseSide / heatSide, 3, 0.5
	cu, cv := int(u/cell), int(v/cell)
	if u < 0 || v < 0 || cu >= heatSide || cv >= heatSide {
		return u, v
	}
	var su, sv, sum, most float64
	for y := max(0, cv-reach); y <= min(heatSide-1, cv+reach); y++ {
		for x := max(0, cu-reach); x <= min(heatSide-1, cu+reach); x++ {
			w := logistic(float64(heat[y*heatSide+x]))
			su, sv, sum, most = su+w*float64(x), sv+w*float64(y), sum+w, math.Max(most, w)
		}
	}
	if most < peak {
		return u, v
	}
	return cell * su / sum, cell * sv / sum
}
