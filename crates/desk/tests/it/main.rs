//! Integration tests of the desk: from an archive to the report of a day.

mod bench;
mod level;
mod planning;
mod sound_check;
mod test_day;
