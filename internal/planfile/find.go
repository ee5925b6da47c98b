package planfile

import (
	"strings"

	"floorpace/internal/plan"
)

// alias notes that the plan's check calls what stands under written by the key
// checked.
func (r *reading) alias(checked, written string) { r.aliases[checked] = written }

// under reports whether something at or below key could not be read.
func (r *reading) under(key string) bool {
	for _, w := range r.wrong {
		if w == key || strings.HasPrefix(w, key+".") {
			return true
		}
	}
	return false
}

// take adds what the plan's own check found, each at its place, but for what
// only follows from a value that could not be read.
func (r *reading) take(ps []plan.Problem) {
	for _, q := range ps {
		if r.follows(q.Key) {
			continue
		}
		d, off := r.locate(q.Key)
		r.add(d, off, q.What, q.Mend)
	}
}

// follows reports whether a problem at key only repeats one already found.
func (r *reading) follows(key string) bool {
	for _, w := range r.wrong {
		if key == w || strings.HasPrefix(key, w+".") {
			return true
		}
	}
	parts := strings.Split(key, ".")
	switch last := parts[len(parts)-1]; {
	case parts[0] == "kits" && (last == "blend" || isIn(parts, "parts")), parts[0] == "zone" && last == "blend":
		return r.illegible("sheet", "blend")
	case parts[0] == "readings" && isIn(parts, "spot"):
		return r.illegible("zone", "spot")
	case parts[0] == "room", last == "room", last == "station_room":
		return r.illegible("room", "room")
	}
	return false
}

// illegible reports whether a name under the key top may be there, only not
// legible: top or a list in it, or a name, could not be read.
func (r *reading) illegible(top, list string) bool {
	for _, w := range r.wrong {
		parts := strings.Split(w, ".")
		last := parts[len(parts)-1]
		if parts[0] == top && (len(parts) == 1 || last == "name" || last == list) {
			return true
		}
	}
	return false
}

// locate finds the place of a key of the plan: that of the value, or of the
// nearest table above it when there is none.
func (r *reading) locate(key string) (*document, int) {
	d, at, rest := r.find(key)
	if rest == "" {
		return d, at.value
	}
	return d, at.key
}

// stands reports whether there is something at key itself.
func (r *reading) stands(key string) bool {
	_, _, rest := r.find(key)
	return rest == ""
}

// find follows a key of the plan as far as it goes; rest is what is not there.
func (r *reading) find(key string) (d *document, at *place, rest string) {
	for checked, written := range r.aliases {
		if key == checked || strings.HasPrefix(key, checked+".") {
			key = written + key[len(checked):]
			break
		}
	}
	if key == "crew.reset" && r.cycle {
		key = "crew.cycle"
	}
	d = r.plan
	if r.crew != r.plan && isCrews(key) {
		if at, rest = r.crew.root.find(key); rest == "" && !holds(d, key) {
			return r.crew, at, rest
		}
	}
	if below, ok := strings.CutPrefix(key, "sheet"); ok && r.sheet != r.plan {
		d, key = r.sheet, strings.TrimPrefix(below, ".")
	}
	at, rest = d.root.find(key)
	return d, at, rest
}
