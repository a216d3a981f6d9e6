// Package filing tells of what is copied: it puts texts and charts into a folder, and tells a screen and other programs of
// it.
//
//	copydesk.Stream → Folder → files
//	                     └→ Report → Console, JSON
//
// What a full disk does not take is kept, within bounds, and tried again; Trouble tells of that at once, and when it is over.
package filing
