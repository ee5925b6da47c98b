// Package path puts a zone into the order in which it is covered and gives, for
// every place, the volume laid when its turn comes and how much more is laid
// before its edges are joined.
//
// # Cells, stations, rows
//
// The zone is cut by rows square to the pull, each one rake-reach deep (the
// last before a wall or a stop line that runs along the rows may be shallower),
// and across the rows into narrow columns. The cells of one row that stand in
// one column make a station: the rake lays them together. Stations follow each
// other along the row, rows follow each other as the Pattern says.
//
// Cells are cut from the exact shape (floor.Zone.EachStrip), so a cell at a
// slanted wall or a column has the area that is really floor; the areas and
// volumes of rows and of the whole are exact, only the split of one strip among
// the cells under a slanted wall is by its middle. The whole is then scaled to
// the exact volume, which takes out what is left of rounding; Path.AreaError
// says how much that was.
//
// # Path volume and span
//
// Path volume is litres laid since the start, depth-weighted:
//
//	volume of a cell = 1000 · area · (depth of its bay or zone + allowance)
//
// A station is laid from its start volume S to its end volume E = S + volume,
// and VolAt of its cells is the middle, ½(S+E): the volume at which the centre
// of the cell is laid. For two cells that share an edge, u laid first, v later,
//
//	span = path(v) − path(u)  [L]
//
// is laid while the edge of u waits. Inside the pair of stations the wait may
// differ from point to point; the span given is that of the point that waits
// longest:
//
//	same row              ½(S+E) of v − ½(S+E) of u
//	rows laid the same way   max(S_v − S_u, E_v − E_u)
//	rows laid opposite ways  E_v − S_u
//
// so that a rectangle of width W, row depth d, layer h gives 1000·W·d·h for rows
// from the same side and 1000·2·W·d·h to and fro, without a cell's error. Cells
// that meet only in a corner share no edge; counting them would add one station
// to a span. Pairs whose centres lie on two sides of a stop line need no wet
// edge.
//
// Putting cells in an order with a small largest span is the bandwidth problem
// of graph ordering; for an m × n grid the best is min(m, n) (Chvátalová,
// Discrete Mathematics 11, 1975, 249–253, from memory), which rows from the
// same side across the shorter way reach; to and fro gives 2n − 1.
//
// # Lanes
//
// Path.Narrow lays what is ahead of the front in lanes across the pull, one after
// the other, and leaves what is behind it as it was. The line between two lanes
// is a straight taped edge; so is the front where a later lane begins. Both need
// no wet edge and are counted in Path.TapeM.
//
// # Slowest safe rate
//
//	q_min = max over pairs of span / (edge life − margin − turn · row ends between)  [L/s]
//
// # Limits
//
// A wall thinner than two cells does not part the cells beside it, so the pace
// asked for there is on the safe side. A row is laid without a break across
// the whole zone, over columns and recesses. Edge lives are those at the place
// of the edge that waits.
package path
