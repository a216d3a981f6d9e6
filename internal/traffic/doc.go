// Package traffic invents what teleprinters really send: markers, bulletins, groups, calls, lists of figures. Names and
// calls are made up; the forms are common practice but for the meteorological codes: FM 12 SYNOP, FM 13 SHIP (WMO-No. 306,
// volume I.1, from memory) and the frame of a bulletin, ZCZC to NNNN (WMO-No. 386, attachment II-5, from memory).
package traffic
