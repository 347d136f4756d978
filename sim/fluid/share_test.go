package fluid

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// TestMassShare: 30 and 50 % by volume, computed independently in double
// precision from densities of 1113.5, 1036.3 and 998.2 kg/m³.
func TestMassShare(t *testing.T) {
	for _, r := range []struct {
		kind         Kind
		volume, mass float64
	}{
		{KindEthyleneGlycol, 0.30, 0.3234}, {KindEthyleneGlycol, 0.50, 0.5273},
		{KindPropyleneGlycol, 0.30, 0.3079}, {KindPropyleneGlycol, 0.50, 0.5094},
	} {
		got, err := MassShare(r.kind, r.volume)
		if err != nil {
			t.Fatal(err)
		}
		within(t, fmt.Sprintf("mass share of %s, %g by volume", r.kind, r.volume), got, r.mass, 0.5e-4)
	}
}

// TestVolumeShareAgainstHandbook: volume shares at 20, 30, 40 and 50 % by mass in
// the ASHRAE Handbook, Fundamentals, secondary coolants. They are printed to
// 0.1 %; the Handbook does not say at which density they are taken.
func TestVolumeShareAgainstHandbook(t *testing.T) {
	for kind, volumes := range map[Kind][4]float64{
		KindEthyleneGlycol:  {0.181, 0.277, 0.375, 0.476},
		KindPropyleneGlycol: {0.194, 0.294, 0.396, 0.499},
	} {
		for i, want := range volumes {
			mass := 0.1 * float64(i+2)
			got, err := VolumeShare(kind, mass)
			if err != nil {
				t.Fatal(err)
			}
			within(t, fmt.Sprintf("volume share of %s, %g by mass", kind, mass), got, want, 0.0085)
		}
	}
}

func TestShareRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		kind := rapid.SampledFrom([]Kind{KindEthyleneGlycol, KindPropyleneGlycol}).Draw(t, "kind")
		mass := rapid.Float64Range(0, 0.6).Draw(t, "mass share")
		volume, err := VolumeShare(kind, mass)
		if err != nil {
			t.Fatal(err)
		}
		if mass > 0 && volume >= mass {
			t.Errorf("volume share %g of mass share %g: glycol is denser than water", volume, mass)
		}
		back, err := MassShare(kind, volume)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(back-mass) > 1e-15 {
			t.Errorf("mass share %v came back as %v", mass, back)
		}
		if _, err := New(kind, back); err != nil {
			t.Errorf("share refused after a round trip: %v", err)
		}
	})
}

// TestShareLimits: the volume share of the largest mass share is allowed, the
// next number is not.
func TestShareLimits(t *testing.T) {
	for _, kind := range []Kind{KindEthyleneGlycol, KindPropyleneGlycol} {
		high, err := VolumeShare(kind, maxGlycol)
		if err != nil {
			t.Fatal(err)
		}
		mass, err := MassShare(kind, high)
		if err != nil || mass > maxGlycol {
			t.Errorf("%s: mass share of the largest volume share is %v, %v", kind, mass, err)
		}
		if _, err := MassShare(kind, math.Nextafter(high, 1)); err == nil {
			t.Errorf("%s: volume share above %v accepted", kind, high)
		}
	}
}

func TestShareErrors(t *testing.T) {
	_, tooMuchMass := EthyleneGlycol(0.65)
	_, negative := PropyleneGlycol(-0.1)
	_, tooMuchVolume := MassShare(KindEthyleneGlycol, 0.6)
	_, percentForShare := VolumeShare(KindPropyleneGlycol, 30)
	_, ofWater := MassShare(KindWater, 0.2)
	_, waterShare := New(KindWater, 0.1)
	for _, r := range []struct {
		err  error
		want string
	}{
		{tooMuchMass, "fluid: ethylene glycol mass share of 65 %: allowed is 0 to 60 %"},
		{negative, "fluid: propylene glycol mass share of -10 %: allowed is 0 to 60 %"},
		{tooMuchVolume, "fluid: ethylene glycol volume share of 60 %: allowed is 0 to 57.35 %"},
		{percentForShare, "fluid: propylene glycol mass share of 3000 %: allowed is 0 to 60 %"},
		{ofWater, "fluid: water volume share of 20 %: allowed is 0 to 0 %"},
		{waterShare, "fluid: water mass share of 10 %: allowed is 0 to 0 %"},
	} {
		var share *ShareError
		if !errors.As(r.err, &share) {
			t.Errorf("%v is not a ShareError, want %q", r.err, r.want)
		} else if r.err.Error() != r.want {
			t.Errorf("got  %q\nwant %q", r.err, r.want)
		}
	}
}

// TestShareOfOtherKinds: 0 converts to 0 for coolants that are no mixtures.
func TestShareOfOtherKinds(t *testing.T) {
	for _, kind := range []Kind{KindWater, KindConstant} {
		for name, convert := range map[string]func(Kind, float64) (float64, error){
			"MassShare": MassShare, "VolumeShare": VolumeShare,
		} {
			if got, err := convert(kind, 0); got != 0 || err != nil {
				t.Errorf("%s(%s, 0) = %v, %v", name, kind, got, err)
			}
			if _, err := convert(kind, math.NaN()); err == nil {
				t.Errorf("%s(%s, NaN): no error", name, kind)
			}
		}
	}
}

func TestKindString(t *testing.T) {
	for kind, want := range map[Kind]string{
		KindWater: "water", KindEthyleneGlycol: "ethylene glycol",
		KindPropyleneGlycol: "propylene glycol", KindConstant: "constant properties", 9: "kind 9",
	} {
		if got := kind.String(); got != want {
			t.Errorf("Kind %d is %q, want %q", int(kind), got, want)
		}
	}
}
