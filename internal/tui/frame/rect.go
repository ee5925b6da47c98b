package frame

// Rect is a rectangle of cells: X, Y its upper left corner, W, H its size.
type Rect struct{ X, Y, W, H int }

// Empty tells whether no cell is inside.
func (r Rect) Empty() bool { return r.W <= 0 || r.H <= 0 }

// Intersect gives the part of r inside s; an empty Rect if there is none.
func (r Rect) Intersect(s Rect) Rect {
	x0, y0 := max(r.X, s.X), max(r.Y, s.Y)
	x1, y1 := min(r.X+r.W, s.X+s.W), min(r.Y+r.H, s.Y+s.H)
	return Rect{x0, y0, max(x1-x0, 0), max(y1-y0, 0)}
}

// Share divides length into parts by weight, gap cells apart. The parts and
// gaps add up to length exactly, if the gaps alone fit; what rounding leaves
// over goes to the first parts. Weights below 0 count as 0; with no weight at
// all the parts are equal.
func Share(length, gap int, weights ...int) []int {
	parts := make([]int, len(weights))
	if len(weights) == 0 {
		return parts
	}
	left := max(length-max(gap, 0)*(len(weights)-1), 0)
	total := 0
	for _, w := range weights {
		total += max(w, 0)
	}
	used := 0
	for i, w := range weights {
		if total == 0 {
			parts[i] = left / len(weights)
		} else {
			parts[i] = left * max(w, 0) / total
		}
		used += parts[i]
	}
	for i := 0; used < left; i = (i + 1) % len(parts) {
		if total == 0 || weights[i] > 0 {
			parts[i]++
			used++
		}
	}
	return parts
}
