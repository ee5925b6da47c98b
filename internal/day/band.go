package day

import "floorpace/internal/pace"

// band is the pace band of a zone from its front on, kept until a fact that it
// rests on changes.
func (s *State) band(zone int) pace.Band {
	if s.bands == nil {
		s.bands = map[int]bandKept{}
	}
	z := &s.Zones[zone]
	key := bandKey{z.Floor, z.PosL, z.endL(), s.Hands(), len(s.Readings), s.blend(zone).Name}
	if k, ok := s.bands[zone]; ok && k.key == key {
		return k.band
	}
	b := z.Floor.BandTo(s.blend(zone), key.hands, s.ground(zone), z.PosL, z.endL())
	s.bands[zone] = bandKept{key, b}
	return b
}

type bandKey struct {
	floor    *pace.Zone
	posL     float64
	endL     float64
	hands    pace.Hands
	readings int
	blend    string
}

type bandKept struct {
	key  bandKey
	band pace.Band
}
