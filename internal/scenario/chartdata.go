package scenario

// The invented weather and geography of [Chart], in units (see sheet).

// centre is a high (rise > 0) or low of the pressure field: a bell of the given size in units and height in hPa.
type centre struct {
	at   point
	size float64
	rise float64
}

var centres = []centre{
	{point{350, 205}, 105, -44}, // the storm of the day
	{point{900, 150}, 90, -20},
	{point{655, 500}, 140, 22},
	{point{70, 480}, 130, 17},
	{point{650, 60}, 110, 13},
	{point{925, 540}, 75, -17},
}

type frontKind int

const (
	cold frontKind = iota
	warm
	occluded
	trough
)

// front runs through knots; its symbols stand to the left of that direction.
type front struct {
	kind   frontKind
	knots  []point
	trough float64 // hPa that the pressure dips along it
}

var fronts = []front{
	{occluded, []point{{362, 186}, {388, 164}, {430, 178}, {448, 232}}, 4},
	{warm, []point{{448, 232}, {510, 262}, {565, 300}, {610, 345}}, 5},
	{cold, []point{{448, 232}, {452, 310}, {420, 390}, {355, 460}, {262, 512}, {150, 560}}, 7},
	{cold, []point{{905, 165}, {925, 235}, {905, 310}, {850, 372}, {790, 405}}, 4},
	{trough, []point{{330, 225}, {285, 300}, {215, 355}}, 3},
}

// lands are blots whose sum makes a continent; rough edges come from noise.
var lands = []centre{
	{point{820, 250}, 62, 1}, {point{880, 330}, 66, 1}, {point{780, 320}, 40, 0.8}, {point{955, 300}, 70, 1},
	{point{1000, 400}, 70, 1}, {point{860, 190}, 30, 0.8}, {point{940, 210}, 40, 0.7},
	{point{150, 130}, 60, 1}, {point{60, 190}, 70, 1}, {point{70, 60}, 80, 1}, {point{190, 70}, 50, 0.8},
	{point{545, 440}, 34, 1}, {point{520, 475}, 26, 0.9}, {point{590, 150}, 30, 1}, {point{620, 125}, 22, 0.8},
	{point{270, 400}, 17, 1}, {point{700, 245}, 15, 1}, {point{690, 390}, 14, 0.9}, {point{455, 560}, 30, 0.9},
	{point{415, 585}, 30, 0.9},
}

type placeName struct {
	at    point
	name  string
	water bool // in spaced letters
}

var places = []placeName{
	{point{480, 78}, "OSTREL SEA", true},
	{point{255, 568}, "VANMOOR BASIN", true},
	{point{652, 252}, "BRATHEN BAY", true},
	{point{175, 292}, "ELLMARSH SOUND", true},
	{point{873, 285}, "Port Halvren", false},
	{point{930, 362}, "Isbrook", false},
	{point{90, 110}, "Cape Corvane", false},
	{point{70, 215}, "Dunmarrow", false},
	{point{545, 466}, "Pellwick Is.", false},
	{point{605, 128}, "Thornay", false},
}
