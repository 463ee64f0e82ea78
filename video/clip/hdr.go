package clip

import (
	"math"
	"sync"
)

// Phones film in a high dynamic range by default: ten bits, the wide colours of BT.2020, and
// one of the two transfer functions of BT.2100. Nets and pages know the ordinary picture, so
// light is brought to that: 203 cd/m², which is what white paper has (ITU-R BT.2408-7 §2.1),
// becomes the ordinary picture's white, and what is brighter is pressed together under it by
// the electrical mapping of ITU-R BT.2390-11 §5.4.1, which leaves skin and shade as they are.
const (
	paperWhite = 203.0  // cd/m²
	brightest  = 1000.0 // cd/m², of the display that phones grade for
	ordinary   = 2.4    // exponent of the ordinary display, ITU-R BT.1886
)

// hlgLight is the light in cd/m² that a display of 1000 cd/m² shows for three HLG signals of
// 0 to 1, red, green and blue (ITU-R BT.2100-2, table 5).
func hlgLight(signal [3]float64) [3]float64 {
	const a, gamma = 0.17883277, 1.2
	b, c := 1-4*a, 0.5-a*math.Log(4*a)
	var scene [3]float64
	for i, e := range signal {
		if e <= 0.5 {
			scene[i] = e * e / 3
		} else {
			scene[i] = (math.Exp((e-c)/a) + b) / 12
		}
	}
	y := 0.2627*scene[0] + 0.6780*scene[1] + 0.0593*scene[2]
	for i := range scene {
		scene[i] *= brightest * math.Pow(y, gamma-1)
	}
	return scene
}

// The constants of the PQ function (ITU-R BT.2100-2, table 4).
const (
	pqM1, pqM2       = 2610.0 / 16384, 2523.0 / 4096 * 128
	pqC1, pqC2, pqC3 = 3424.0 / 4096, 2413.0 / 4096 * 32, 2392.0 / 4096 * 32
)

// pqLight is the light in cd/m² of a PQ signal of 0 to 1, and pqSignal the other way round.
func pqLight(signal float64) float64 {
	p := math.Pow(signal, 1/pqM2)
	return 10000 * math.Pow(math.Max(p-pqC1, 0)/(pqC2-pqC3*p), 1/pqM1)
}

func pqSignal(light float64) float64 {
	p := math.Pow(light/10000, pqM1)
	return math.Pow((pqC1+pqC2*p)/(1+pqC3*p), pqM2)
}

// pressed is the light that an ordinary display of paperWhite shows for light of up to
// brightest (ITU-R BT.2390-11 §5.4.1; both displays' black is 0).
func pressed(light float64) float64 {
	top := pqSignal(brightest)
	most := pqSignal(paperWhite) / top
	knee := 1.5*most - 0.5
	e := pqSignal(math.Min(light, brightest)) / top
	if e > knee {
		t := (e - knee) / (1 - knee)
		t2, t3 := t*t, t*t*t
		e = (2*t3-3*t2+1)*knee + (t3-2*t2+t)*(1-knee) + (3*t2-2*t3)*most
	}
	return pqLight(e * top)
}

// narrowed takes light in the wide primaries of BT.2020 to those of BT.709 (ITU-R BT.2087-0,
// table A1 gives the way back); colours outside are cut at none.
func narrowed(c [3]float64) [3]float64 {
	r, g, b := c[0], c[1], c[2]
	return [3]float64{
		math.Max(1.660491*r-0.587641*g-0.072850*b, 0),
		math.Max(-0.124550*r+1.132900*g-0.008349*b, 0),
		math.Max(-0.018151*r-0.100579*g+1.118730*b, 0),
	}
}

// shownAs is the ordinary picture's red, green and blue, 0 to 255, for the signals of a clip
// in HLG, or else PQ.
func shownAs(signal [3]float64, hlg bool) [3]uint8 {
	light := [3]float64{pqLight(signal[0]), pqLight(signal[1]), pqLight(signal[2])}
	if hlg {
		light = hlgLight(signal)
	}
	var out [3]uint8
	for i, v := range narrowed(light) {
		out[i] = uint8(math.Round(255 * math.Pow(math.Min(pressed(v)/paperWhite, 1), 1/ordinary)))
	}
	return out
}

// tableSide is how many steps a table of colours has each way.
const tableSide = 33

// colourTable is shownAs for signals in even steps of red, green and blue, red slowest; three
// bytes an entry, blue first.
func colourTable(hlg bool) []uint8 {
	out := make([]uint8, 0, 3*tableSide*tableSide*tableSide)
	step := func(i int) float64 { return float64(i) / (tableSide - 1) }
	for r := range tableSide {
		for g := range tableSide {
			for b := range tableSide {
				c := shownAs([3]float64{step(r), step(g), step(b)}, hlg)
				out = append(out, c[2], c[1], c[0])
			}
		}
	}
	return out
}

// The tables are the same for every clip.
var (
	hlgTable = sync.OnceValue(func() []uint8 { return colourTable(true) })
	pqTable  = sync.OnceValue(func() []uint8 { return colourTable(false) })
)

// greyCurve is shownAs for each luma of so many bits, without colour; black and white are the
// luma's ends.
func greyCurve(bits int, black, white float64, hlg bool) []uint8 {
	out := make([]uint8, 1<<bits)
	for i := range out {
		e := math.Min(math.Max((float64(i)-black)/(white-black), 0), 1)
		out[i] = shownAs([3]float64{e, e, e}, hlg)[1]
	}
	return out
}
