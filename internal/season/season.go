// Package season invents a squad's season as tracks: who comes, how they land, how that
// changes over the sessions. Nobody in it is real. For the demo, benches and tests.
package season

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"time"

	"steadfall/internal/archive"
	"steadfall/internal/simulated"
	"steadfall/kinematics"
)

// codes are the squad's code names: trees.
var codes = []string{
	"Ash", "Birch", "Cedar", "Dogwood", "Elm", "Fir", "Ginkgo", "Hazel", "Ironwood", "Juniper",
	"Kauri", "Larch", "Maple", "Nutmeg", "Oak", "Pine", "Quince", "Rowan", "Spruce", "Tamarack",
	"Upas", "Viburnum", "Willow", "Xylosma", "Yew", "Zelkova", "Alder", "Beech", "Cypress", "Damson",
	"Ebony", "Fig", "Gum", "Holly", "Inga", "Jarrah", "Katsura", "Laurel", "Myrtle", "Neem",
}

// Season is a season to be invented. The same season is always the same.
type Season struct {
	Athletes int       // at most 40
	First    time.Time // day of the first session; they are two weeks apart
	FPS      float64
}

// Task is one thing an athlete does in a session, Trials times.
type Task struct {
	Task   kinematics.Task
	Limb   kinematics.Side
	Trials int
}

// Picture is the size of the invented pictures, px.
var Picture = [2]int{1080, 1920}

// SquareDeg is how squarely the invented camera is set.
const SquareDeg = 1.0

// Fixed is what everybody does in every session of a large season: four tasks, three
// trials each.
var Fixed = []Task{
	{kinematics.DropLanding, kinematics.Both, 3},
	{kinematics.DropLanding, kinematics.Left, 3},
	{kinematics.DropLanding, kinematics.Right, 3},
	{kinematics.CountermovementJump, kinematics.Both, 3},
}

// Date is the day of a session, counted from 0.
func (s Season) Date(session int) string {
	return s.First.AddDate(0, 0, 14*session).Format(time.DateOnly)
}

// People are the athletes, each with consent.
func (s Season) People() []archive.Athlete {
	var out []archive.Athlete
	for i := range s.Athletes {
		rng := s.rng(i, 0)
		p := archive.Athlete{
			Code: codes[i], Sex: []string{"female", "male"}[i%2], BirthYear: s.First.Year() - 17 - rng.IntN(12),
			Leg:      []kinematics.Side{kinematics.Right, kinematics.Left}[rng.IntN(5)/4],
			HeightCM: math.Round(162 + 14*float64(i%2) + 6*rng.NormFloat64()), MassKG: math.Round(60 + 12*float64(i%2) + 6*rng.NormFloat64()),
			Consent: &archive.Consent{Given: true, Date: s.First.AddDate(0, 0, -7).Format(time.DateOnly), By: "a parent and the athlete (invented)"},
		}
		out = append(out, p)
	}
	return out
}

// rng is the randomness of one athlete in one session.
func (s Season) rng(athlete, session int) *rand.Rand {
	return rand.New(rand.NewPCG(uint64(athlete)+1, uint64(session)+77))
}

// ability is how an athlete lands in a session.
type ability struct {
	kneeIn  map[kinematics.Side]float64 // mean FPPA, degrees
	spread  float64                     // of it from trial to trial
	depth   float64                     // cm
	sway    float64                     // cm
	flightS float64
}

// able is an athlete's ability: a start of their own, and a way of getting better.
func (s Season) able(athlete, session int) ability {
	rng := s.rng(athlete, 0)
	start := 14*rng.Float64() - 2
	better := 0.4 + 2*rng.Float64() // degrees a session
	level := math.Max(start-better*float64(session), -4)
	uneven := 2 * rng.NormFloat64()
	return ability{
		kneeIn: map[kinematics.Side]float64{kinematics.Left: level + uneven, kinematics.Right: level - uneven},
		spread: 1.5, depth: 16 + 8*rng.Float64() + 0.4*float64(session), sway: 0.3 + 0.8*rng.Float64()*math.Exp(-float64(session)/4),
		flightS: 0.4 + 0.12*rng.Float64() + 0.004*float64(session),
	}
}

// Attendance is what an athlete said at a session: most have no pain; a few were away.
func (s Season) Attendance(athlete, session int) archive.Attendance {
	rng := s.rng(athlete, session+500)
	pain := 0
	switch {
	case rng.IntN(14) == 0:
		return archive.Attendance{Absent: []string{"away with school", "ill", "on holiday"}[rng.IntN(3)]}
	case rng.IntN(16) == 0:
		pain = 2 + rng.IntN(4)
	}
	return archive.Attendance{Pain: &pain}
}

// Write writes the tracks of one athlete in one session into a folder, named for
// steadfall session import, and returns how many trials they are.
func (s Season) Write(dir string, athlete, session int, tasks []Task) (trials int, err error) {
	who := s.People()[athlete]
	rng := s.rng(athlete, session+1000)
	is := s.able(athlete, session)
	for _, t := range tasks {
		for n := range t.Trials {
			track := s.track(who, is, t, rng)
			limb := ""
			if t.Limb != kinematics.Both {
				limb = string(t.Limb) + "_"
			}
			name := fmt.Sprintf("%s_%s_%s%d_front.csv", who.Code, t.Task, limb, n+1)
			if err := write(filepath.Join(dir, name), track); err != nil {
				return trials, err
			}
			trials++
		}
	}
	return trials, nil
}

func write(name string, t kinematics.Track) error {
	f, err := os.Create(name)
	if err != nil {
		return err
	}
	if err := kinematics.WriteTrack(f, t); err != nil {
		f.Close()
		return err
	}
	return f.Close()
}

// track is one trial from the front, with points that err as points do.
func (s Season) track(who archive.Athlete, is ability, t Task, rng *rand.Rand) kinematics.Track {
	knees := map[kinematics.Side]float64{}
	for _, side := range []kinematics.Side{kinematics.Left, kinematics.Right} {
		knees[side] = is.kneeIn[side] + is.spread*rng.NormFloat64()
	}
	yaw := math.Hypot(SquareDeg, 2) * rng.NormFloat64() // the camera's, and how people stand to the line
	const pxPerCM = 5
	sd := 0.006 * who.HeightCM * pxPerCM
	depth := is.depth + 1.2*rng.NormFloat64()
	var track kinematics.Track
	switch t.Task {
	case kinematics.SquatJump, kinematics.CountermovementJump, kinematics.RepeatedJumps:
		flight := is.flightS + 0.008*rng.NormFloat64()
		j := simulated.Jumps{
			View: kinematics.Front, FPS: s.FPS, StatureCM: who.HeightCM, PxPerCM: pxPerCM, SquatCM: 28, FlightS: []float64{flight}, DepthCM: depth, FPPADeg: knees, SD: sd,
		}
		switch t.Task {
		case kinematics.SquatJump:
			j.SquatS, j.FlightS[0] = 1.5, flight-0.02
		case kinematics.RepeatedJumps:
			j.ContactS, j.FlightS = []float64{0.22, 0.23, 0.24}, []float64{flight, flight, flight - 0.01, flight - 0.02}
		}
		track = j.Track()
	default:
		l := simulated.Landing{
			View: kinematics.Front, Limb: t.Limb, FPS: s.FPS, StatureCM: who.HeightCM, PxPerCM: pxPerCM, BoxCM: 30, DepthCM: depth,
			FPPADeg: knees, KneesMove: true, LeanDeg: 2 * rng.NormFloat64(), SwayCM: is.sway, HoldS: 4, YawDeg: yaw, SD: sd,
		}
		if t.Limb != kinematics.Both { // one leg sinks less and falls from less
			l.BoxCM, l.DepthCM = 20, 0.7*depth
		}
		track, _ = l.Track()
	}
	simulated.Blur(track, who.HeightCM*pxPerCM, rng)
	return track
}
