//! Cue tracks out of a timeline: what sounds when, with which voice, into which file.
//! Pure: no clock, no environment, no printing. The caller opens files.
