-- What is searched: sections of 16 lines each, whose id is transmission << 20 | section; see index.go. Contents are in the
-- tables line and transmission.
CREATE VIRTUAL TABLE word_index USING fts5 (
	text,
	garbled, -- readings of words with doubtful characters
	content = '', contentless_delete = 1, tokenize = 'unicode61 remove_diacritics 2'
);

-- The id is that of the transmission.
CREATE VIRTUAL TABLE about_index USING fts5 (
	title, -- that of the transmission and those of its charts
	notes,
	content = '', contentless_delete = 1, tokenize = 'unicode61 remove_diacritics 2'
);
