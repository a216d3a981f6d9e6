// Package scenario draws the invented pictures that Ionoscribe is shown and tested with.
//
//	random smooth field → contour lines ─┐
//	coasts, fronts, station plots ───────┼→ canvas (two-level pen) → *image.Gray
//	lettering in the Go fonts ───────────┘
//
// Every picture is white (255) with black ink (0), is a function of its arguments alone, and has a white margin
// of [Margin] of the width on both sides and a rectangular frame inside it, as charts have (a [Page] may do without).
// Sizes and coordinates are in pixels, x to the right and y down; pixel (i, j) covers [i, i+1) × [j, j+1).
// A stroke inks the pixels whose centre is within half its width: no anti-aliasing, so a picture is pure black
// and white (apart from [Satellite], [Clouds] and [Page]). Offices, places and weather are invented.
package scenario

// Margin is the white margin left and right of the frame, as a share of the picture's width: half of the dead
// sector of 4.5 % of a radiofax line (WMO-No. 386 part III-5, from memory), rounded up.
const Margin = 0.0228

// Width is the usual width of a picture: the elements of a line of index of cooperation 576, π·576 = 1809.56.
const Width = 1810
