package correlation

import "math"

// StripLaws is [ColburnStrip] and [FanningStrip] of one fin with what does not depend on
// the flow already worked out.
type StripLaws struct {
	heat, heatTurbulent float64 // factors of Re^-0.5403 and, in brackets, of Re^1.340
	loss, lossTurbulent float64 // of Re^-0.7422 and Re^4.429
}

// NewStripLaws returns the laws of a fin.
func NewStripLaws(s OffsetStripFin) StripLaws {
	a, d, g := s.Spacing, s.Thickness, s.Gap
	return StripLaws{
		heat:          0.6522 * math.Pow(a, -0.1541) * math.Pow(d, 0.1499) * math.Pow(g, -0.0678),
		heatTurbulent: 5.269e-5 * math.Pow(a, 0.504) * math.Pow(d, 0.456) * math.Pow(g, -1.055),
		loss:          9.6243 * math.Pow(a, -0.1856) * math.Pow(d, 0.3053) * math.Pow(g, -0.2659),
		lossTurbulent: 7.669e-8 * math.Pow(a, 0.920) * math.Pow(d, 3.767) * math.Pow(g, 0.236),
	}
}

// Colburn returns j at a Reynolds number on the hydraulic diameter.
func (s StripLaws) Colburn(re float64) float64 {
	return s.heat * math.Pow(re, -0.5403) * math.Pow(1+s.heatTurbulent*math.Pow(re, 1.340), 0.1)
}

// Fanning returns f at a Reynolds number on the hydraulic diameter, with the slope of its
// logarithm against ln Re.
func (s StripLaws) Fanning(re float64) (f, slope float64) {
	turbulent := s.lossTurbulent * math.Pow(re, 4.429)
	f = s.loss * math.Pow(re, -0.7422) * math.Pow(1+turbulent, 0.1)
	return f, -0.7422 + 0.4429*turbulent/(1+turbulent)
}
