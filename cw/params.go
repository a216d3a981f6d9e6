package cw

// Lengths in dots (ITU-R M.1677-1, part I, clause 2).
const (
	DashDots         = 3
	GapDots          = 1 // between the elements of a character
	CharacterGapDots = 3
	WordGapDots      = 7
)

// WordDots is the length of the word that speeds are counted in, PARIS and the gap after it (by the lengths above;
// that the word is PARIS is common practice). CODEX, which stands for groups, has 60 (from memory).
const WordDots = 50
