// Package floor holds the shape of a zone: its outline, columns and drains,
// bays of their own depth, stop lines, doors and the places where readings are
// taken; its exact areas and volumes; and the order in which rooms can be
// poured without trapping anyone.
//
// # Units and axes
//
// Every length is in metres, every area in m², every volume in litres. The
// axes are those of the drawing, x to the right and y up. Angles are degrees
// anticlockwise from +x.
//
// # Areas
//
// A polygon's own area is the shoelace sum
//
//	A = ½ |Σ (x_i·y_{i+1} − x_{i+1}·y_i)|
//
// (Meister 1769, Gauss; in every surveying handbook; from memory). What is
// left of a zone after its holes are taken out, and what falls in each bay, is
// found by cutting the zone into strips at every corner and at every crossing
// of two edges. Inside one strip no two edges cross, so each piece is a
// trapezium whose area is its width at half height times its height, exactly.
// Holes and bays that stick out over the outline count only with the part
// inside; holes that overlap count once; where bays overlap the one listed
// first counts (and Problems refuses the overlap). No cell or grid is involved,
// so the only error is that of float64, some 1e-12 of the figure.
//
// # Volume
//
//	V = 1000 · Σ area · (depth + allowance)   [L; area m², depths m]
//
// summed over the bays with their own depth and the rest of the zone with the
// zone's. The allowance is the mean extra depth that the profile of the slab
// swallows and applies everywhere.
//
// # Limits
//
// Corners closer than a micrometre are taken as one. Curves are drawn as short
// straight edges.
package floor
