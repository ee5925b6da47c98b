package air

import (
	"fmt"
	"math"
)

// Drying is the evaporation of bleed water from a cement-bound leveller, in
// kg/m² an hour, by Uno, ACI Materials Journal 95 (1998) 365–375 (from memory):
//
//	E = 5·((Tc + 18)^2.5 − rh·(Ta + 18)^2.5)·(V + 4)·1e−6
//
// for a surface at surfaceC and air at airC (°C), humidity rh (0 to 1) and wind
// windKmh (km/h). It is a caution for hot, dry, windy rooms and not a forecast:
// measured drying differs from it by as much as 40 %. It says nothing about
// resins. A negative result, water settling, is given as 0.
//
// It refuses temperatures outside −15 to 80 °C, humidity outside 0 to 1 and wind
// outside 0 to 150 km/h, far beyond anything a floor is laid in.
func Drying(surfaceC, airC, rh, windKmh float64) (kgM2H float64, err error) {
	for _, t := range []struct {
		name string
		v    float64
	}{{"surface", surfaceC}, {"air", airC}} {
		if !(t.v >= -15 && t.v <= 80) {
			return 0, fmt.Errorf("%s temperature %.4g °C: must lie between -15 and 80 °C; read the thermometer again", t.name, t.v)
		}
	}
	if !(rh >= 0 && rh <= 1) {
		return 0, fmt.Errorf("relative humidity %.4g %%: must lie between 0 and 100 %%; read the hygrometer again", rh*100)
	}
	if !(windKmh >= 0 && windKmh <= 150) {
		return 0, fmt.Errorf("wind %.4g km/h: must lie between 0 and 150 km/h; read the wind gauge again", windKmh)
	}
	e := 5 * (math.Pow(surfaceC+18, 2.5) - rh*math.Pow(airC+18, 2.5)) * (windKmh + 4) * 1e-6
	return math.Max(0, e), nil
}
