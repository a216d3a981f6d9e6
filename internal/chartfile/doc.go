// Package chartfile keeps received charts on disk: the picture as PNG and, beside it, the video it was drawn
// from, so that it can be drawn again.
//
//	fax.Chart + start of the recording ─ New ─► Chart ─ Save ─► 20260304T121500Z-120-576.png    Info as text chunks
//	                                                         └► 20260304T121500Z-120-576.video  Info, Drawing, samples
//	.png ─ ReadInfo ─► Info      .video ─ ReadVideo ─► Chart ─ draw.Draw ─► another picture
//
// # Names
//
// A name is the instant of the chart's first line in UTC, its lines a minute and its index of cooperation, so
// that names sort by time. A second chart of the same name gets _2, a third _3. Files are written beside their
// place as .part and renamed when they are complete; the .part of the PNG also reserves the name, so several
// receivers may share a folder.
//
// # While a chart comes in
//
// Its video grows in a file arriving-….video: a line "ionoscribe arriving 1", a line of JSON (where it comes from, and
// what the decoder knows), then blocks of samples. arriving-….png shows how far it has come. When the chart is complete
// the file is renamed to the chart's name with .video.part, the chart's own files are written, and it is removed. The
// program holds a lock on it: a file that nobody holds was left by one that was killed, and Adopt makes the chart of it.
// So at any moment all but the last second is on disk, and each chart is saved once. (A machine that loses its power
// may lose what its system had not written yet, half a minute as a rule.)
//
// # The picture
//
// PNG, 8-bit grey, as wide as a line has picture elements. Info is in tEXt chunks (W3C PNG Specification, third
// edition, 11.3.3.3) with the keywords of the table in text.go.
//
// # The video file
//
// A line "ionoscribe video 1", a line of JSON (Info and fax.Drawing), then the samples as fax.Video.WriteTo
// writes them, some 7 kB a second. The Drawing's Origin counts from the first sample in the file.
package chartfile
