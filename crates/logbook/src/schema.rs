//! The tables of a restoration's file, as numbered steps from one format to the next.
//!
//! A step is left alone after its release. Facts, sheets, photographs and the ids of
//! what was sent are never changed or deleted: triggers refuse it, whoever asks, and a new fact has the next number. The
//! format of a file is its `user_version`, its kind its `application_id`.

/// Marks a file as a restoration: the letters FRST.
pub const APPLICATION_ID: i64 = 0x4652_5354;

/// Step `n` brings a file from format `n` to `n + 1`.
pub const STEPS: &[&str] = &[FORMAT_1, FORMAT_2, FORMAT_3, FORMAT_4, FORMAT_5];

/// The newest format known here.
pub const FORMAT: i64 = STEPS.len() as i64;

const FORMAT_1: &str = "
CREATE TABLE about (
    one INTEGER PRIMARY KEY CHECK (one = 1),
    name TEXT NOT NULL CHECK (name <> '')
) STRICT;

-- Versions of the set sheet, each whole; sheet is the SHA-256 of the text.
CREATE TABLE sheets (
    sheet TEXT NOT NULL PRIMARY KEY CHECK (length(sheet) = 64),
    text TEXT NOT NULL
) STRICT;

-- Photographs as the camera wrote them, each with a small upright one beside it.
CREATE TABLE photographs (
    photograph TEXT NOT NULL PRIMARY KEY CHECK (length(photograph) = 64),
    ending TEXT NOT NULL,
    original BLOB NOT NULL,
    upright BLOB NOT NULL
) STRICT;

-- Facts in the order in which they were entered; body is the plain form.
CREATE TABLE facts (
    number INTEGER PRIMARY KEY CHECK (number > 0),
    at TEXT NOT NULL CHECK (length(at) = 25),
    kind TEXT NOT NULL CHECK (kind <> ''),
    names INTEGER REFERENCES facts (number) CHECK (names < number),
    sheet TEXT REFERENCES sheets (sheet),
    photograph TEXT REFERENCES photographs (photograph),
    body TEXT NOT NULL CHECK (body <> '')
) STRICT;

CREATE TRIGGER facts_follow_each_other BEFORE INSERT ON facts
WHEN NEW.number IS NOT (SELECT coalesce(max(number), 0) + 1 FROM facts)
BEGIN SELECT RAISE(ABORT, 'a fact takes the next number'); END;

CREATE TRIGGER facts_stay_as_they_are BEFORE UPDATE ON facts
BEGIN SELECT RAISE(ABORT, 'facts are never changed; append a correction'); END;

CREATE TRIGGER facts_stay BEFORE DELETE ON facts
BEGIN SELECT RAISE(ABORT, 'facts are never deleted; append an undo'); END;

CREATE TRIGGER sheets_stay_as_they_are BEFORE UPDATE ON sheets
BEGIN SELECT RAISE(ABORT, 'sheets are never changed; take in a new one'); END;

CREATE TRIGGER sheets_stay BEFORE DELETE ON sheets
BEGIN SELECT RAISE(ABORT, 'sheets are never deleted'); END;

CREATE TRIGGER sheets_are_new BEFORE INSERT ON sheets
WHEN EXISTS (SELECT 1 FROM sheets WHERE sheet = NEW.sheet)
BEGIN SELECT RAISE(ABORT, 'this sheet is kept already'); END;

CREATE TRIGGER photographs_stay_as_they_are BEFORE UPDATE ON photographs
BEGIN SELECT RAISE(ABORT, 'photographs are never changed'); END;

CREATE TRIGGER photographs_stay BEFORE DELETE ON photographs
BEGIN SELECT RAISE(ABORT, 'photographs are never deleted'); END;

CREATE TRIGGER photographs_are_new BEFORE INSERT ON photographs
WHEN EXISTS (SELECT 1 FROM photographs WHERE photograph = NEW.photograph)
BEGIN SELECT RAISE(ABORT, 'this photograph is kept already'); END;

CREATE TRIGGER about_stays_as_it_is BEFORE UPDATE ON about
BEGIN SELECT RAISE(ABORT, 'the name of a restoration is never changed'); END;

CREATE TRIGGER about_stays BEFORE DELETE ON about
BEGIN SELECT RAISE(ABORT, 'the name of a restoration is never deleted'); END;
";

// Facts of the kind "picture tube" are new, which programs of format 1 cannot read; they are
// found again by their kind.
const FORMAT_2: &str = "
CREATE INDEX facts_by_kind ON facts (kind);
";

// Steps of the first power-up are kept from here on (facts of the kind "stepped"), and answers
// that took long to work out. Those are no facts: each can be worked out anew, may be thrown
// away at any time, and is found under a hash of everything that it rests on.
const FORMAT_3: &str = "
CREATE TABLE worked_out (
    key TEXT NOT NULL PRIMARY KEY CHECK (length(key) = 64),
    turn INTEGER NOT NULL UNIQUE,
    answer BLOB NOT NULL
) STRICT;
";

// Facts of the kinds "re-forming" and "proof" are new, which programs of format 3 cannot read. The
// tables stay as they are.
const FORMAT_4: &str = "";

// Facts of the kind "placed" are new, which programs of format 4 cannot read. What is sent under an
// id of its own is written once: the id stands here with the first and the last entry that it made.
const FORMAT_5: &str = "
CREATE TABLE sent (
    id TEXT NOT NULL PRIMARY KEY CHECK (length(id) BETWEEN 8 AND 64),
    first INTEGER NOT NULL REFERENCES facts (number),
    last INTEGER NOT NULL REFERENCES facts (number) CHECK (last >= first)
) STRICT;

CREATE TRIGGER sent_stays_as_it_is BEFORE UPDATE ON sent
BEGIN SELECT RAISE(ABORT, 'what was sent is never changed'); END;

CREATE TRIGGER sent_stays BEFORE DELETE ON sent
BEGIN SELECT RAISE(ABORT, 'what was sent is never deleted'); END;

CREATE TRIGGER sent_is_new BEFORE INSERT ON sent
WHEN EXISTS (SELECT 1 FROM sent WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'this was sent already'); END;
";
