package scoring

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// ICC holds the six intraclass correlations of Shrout and Fleiss 1979 (Psychol Bull
// 86:420) for n targets that k raters each rated once. The first number is the model: 1,
// each target has raters of its own; 2, the raters are a sample of all raters; 3, they
// are the only ones. The second is 1 for a single rating and k for the mean of all.
type ICC struct {
	Targets, Raters                                                int
	OneSingle, TwoSingle, ThreeSingle, OneMean, TwoMean, ThreeMean float64
	TwoSingleLow, TwoSingleHigh                                    float64 // 95 % interval of (2,1)
	SEMAgreement                                                   float64 // √((JMS−EMS)/n + EMS), in the ratings' unit
	SEMConsistency                                                 float64 // √EMS
}

// NewICC computes the correlations of ratings[target][rater], n × k, from the mean squares of
// the two-way layout, BMS between targets, JMS between raters, WMS within targets and EMS the
// residual:
//
//	(1,1) = (BMS − WMS)/(BMS + (k−1)·WMS)      (1,k) = (BMS − WMS)/BMS
//	(2,1) = (BMS − EMS)/(BMS + (k−1)·EMS + k·(JMS − EMS)/n)
//	(2,k) = (BMS − EMS)/(BMS + (JMS − EMS)/n)
//	(3,1) = (BMS − EMS)/(BMS + (k−1)·EMS)      (3,k) = (BMS − EMS)/BMS
//
// They have no unit, are 1 at most and may be negative. It returns an error when there are
// under two targets or raters, when a rating is missing or no finite number, or when nothing
// varies. The interval of (2,1) is NaN where its degrees of freedom are not positive. The
// source is Shrout and Fleiss 1979.
func NewICC(ratings [][]float64) (ICC, error) {
	n := len(ratings)
	if n < 2 || len(ratings[0]) < 2 {
		return ICC{}, errors.New("agreement needs at least two trials rated by two raters each")
	}
	k := len(ratings[0])
	var all float64
	target, rater := make([]float64, n), make([]float64, k)
	for i, row := range ratings {
		if len(row) != k {
			return ICC{}, errors.New("every trial must be rated by every rater")
		}
		for j, v := range row {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				return ICC{}, errors.New("every rating must be a number")
			}
			target[i] += v / float64(k)
			rater[j] += v / float64(n)
			all += v / float64(n*k)
		}
	}
	N, K := float64(n), float64(k)
	var between, judges, within float64
	for i, row := range ratings {
		between += K * sq(target[i]-all)
		for _, v := range row {
			within += sq(v - target[i])
		}
	}
	for _, r := range rater {
		judges += N * sq(r-all)
	}
	bms, jms, wms := between/(N-1), judges/(K-1), within/(N*(K-1))
	ems := (within - judges) / ((N - 1) * (K - 1))
	if bms+wms == 0 {
		return ICC{}, errors.New("all ratings are the same, so agreement cannot be told from chance")
	}
	c := ICC{
		Targets: n, Raters: k,
		OneSingle:      (bms - wms) / (bms + (K-1)*wms),
		TwoSingle:      (bms - ems) / (bms + (K-1)*ems + K*(jms-ems)/N),
		ThreeSingle:    (bms - ems) / (bms + (K-1)*ems),
		OneMean:        (bms - wms) / bms,
		TwoMean:        (bms - ems) / (bms + (jms-ems)/N),
		ThreeMean:      (bms - ems) / bms,
		SEMAgreement:   math.Sqrt(math.Max((jms-ems)/N+ems, 0)),
		SEMConsistency: math.Sqrt(math.Max(ems, 0)),
	}
	c.TwoSingleLow, c.TwoSingleHigh = twoSingleInterval(N, K, bms, jms, ems, c.TwoSingle)
	return c, nil
}

// twoSingleInterval is the 95 % interval of ICC(2,1) by Satterthwaite's degrees of
// freedom (Shrout and Fleiss 1979, p. 424).
func twoSingleInterval(n, k, bms, jms, ems, icc float64) (low, high float64) {
	fj := jms / ems
	top := k*icc*fj + n*(1+(k-1)*icc) - k*icc
	nu := (k - 1) * (n - 1) * sq(top) / ((n-1)*sq(k*icc*fj) + sq(n*(1+(k-1)*icc)-k*icc))
	if math.IsNaN(nu) || nu <= 0 {
		return math.NaN(), math.NaN()
	}
	upper := distuv.F{D1: n - 1, D2: nu}.Quantile(0.975)
	lower := distuv.F{D1: nu, D2: n - 1}.Quantile(0.975)
	side := k*jms + (k*n-k-n)*ems
	return n * (bms - upper*ems) / (upper*side + n*bms), n * (lower*bms - ems) / (side + n*lower*bms)
}

func sq(v float64) float64 { return v * v }

// Kappa is the agreement of two raters on yes or no: the share of equal answers, the
// share expected by chance, Cohen's kappa (1960, Educ Psychol Meas 20:37), and kappa
// adjusted for prevalence and bias (Byrt et al. 1993, J Clin Epidemiol 46:423), which is
// high where nearly all answers are the same and kappa is low.
type Kappa struct {
	N                                int
	Observed, Expected, Kappa, PABAK float64
}

// NewKappa compares two raters' answers to the same n questions, question by question:
//
//	Observed = same/n,   Expected = (yesA·yesB + noA·noB)/n²,
//	Kappa = (Observed − Expected)/(1 − Expected),   PABAK = 2·Observed − 1.
//
// The shares are 0 to 1, the kappas −1 to 1, 0 by chance; none has a unit. It returns an error
// when there are no answers or their numbers differ. Kappa is NaN when both gave one and the
// same answer only. The sources are Cohen 1960 and Byrt et al. 1993.
func NewKappa(a, b []bool) (Kappa, error) {
	if len(a) == 0 || len(a) != len(b) {
		return Kappa{}, errors.New("both raters must have answered the same questions, at least one")
	}
	n := float64(len(a))
	var same, yesA, yesB float64
	for i := range a {
		if a[i] == b[i] {
			same++
		}
		if a[i] {
			yesA++
		}
		if b[i] {
			yesB++
		}
	}
	k := Kappa{N: len(a), Observed: same / n}
	k.Expected = (yesA*yesB + (n-yesA)*(n-yesB)) / (n * n)
	k.Kappa = math.NaN()
	if k.Expected < 1 {
		k.Kappa = (k.Observed - k.Expected) / (1 - k.Expected)
	}
	k.PABAK = 2*k.Observed - 1
	return k, nil
}

// DetectableChange is the smallest change of one person between two sessions that is not
// noise at 95 %,
//
//	1.96 · √2 · SEM,
//
// without a sign, in the unit of sem, the standard error of one session. NaN gives NaN. The
// source is de Vet et al. 2006, Health Qual Life Outcomes 4:54.
func DetectableChange(sem float64) float64 { return 1.96 * math.Sqrt2 * sem }

// Limits are the limits of agreement of two methods, in the unit of their values: Bias is the
// mean difference, SD the sample standard deviation of the differences, and Low and High are
// Bias ∓ 1.96·SD (Bland and Altman 1986, Lancet 327:307).
type Limits struct{ Bias, SD, Low, High float64 }

// NewLimits compares paired values of two methods; a positive bias says that a is the
// greater. It returns an error when there are under three pairs or their numbers differ; NaN
// in gives NaN.
func NewLimits(a, b []float64) (Limits, error) {
	if len(a) != len(b) || len(a) < 3 {
		return Limits{}, errors.New("limits of agreement need at least three pairs of values")
	}
	var l Limits
	for i := range a {
		l.Bias += (a[i] - b[i]) / float64(len(a))
	}
	for i := range a {
		l.SD += sq(a[i] - b[i] - l.Bias)
	}
	l.SD = math.Sqrt(l.SD / float64(len(a)-1))
	l.Low, l.High = l.Bias-1.96*l.SD, l.Bias+1.96*l.SD
	return l, nil
}
