//! Integration tests of the desk: from an archive to the report of a day.

mod bench;
mod change;
mod club;
mod conditions;
mod level;
mod link;
mod planning;
mod sound_check;
mod squad;
mod test_day;
