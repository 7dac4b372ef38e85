//! The columns of the tidy tables, with type, unit and meaning.
//! Must list them in the order in which the rows are written; the row builders follow it.

/// One column of a table.
pub struct Column {
    /// Name in the header.
    pub name: &'static str,
    /// text, number, whole number, date, true/false or one of a list.
    pub kind: &'static str,
    /// Unit, or empty.
    pub unit: &'static str,
    /// What it says.
    pub meaning: &'static str,
}

const fn col(
    name: &'static str,
    kind: &'static str,
    unit: &'static str,
    meaning: &'static str,
) -> Column {
    Column {
        name,
        kind,
        unit,
        meaning,
    }
}

/// Columns of `results.csv`.
#[rustfmt::skip]
pub const RESULTS: [Column; 40] = [
    col("person_id", "text", "", "stable id of the person"),
    col("person_name", "text", "", "name as the person writes it"),
    col("date", "date", "", "day of the test, year-month-day"),
    col("venue", "text", "", "where it was run"),
    col("surface", "text", "", "what it was run on"),
    col("test_id", "text", "", "id of the test definition"),
    col("ladder_fingerprint", "text", "", "fingerprint of the ladder that was run"),
    col("label", "text", "", "label on the ladder; text, never a number: 14.10 is not 14.1"),
    col("bouts", "whole number", "bouts", "bouts completed within the rule"),
    col("distance_m", "number", "m", "distance of the completed bouts"),
    col("final_speed_kmh", "number", "km/h", "speed of the last completed bout"),
    col("result", "number", "see result_unit", "result; read with result_kind"),
    col("result_unit", "text", "", "unit of result"),
    col("result_kind", "score, ceiling, lower_bound or none", "", "lower_bound: known only as at least this much, keep out of means; ceiling: the ladder ended first"),
    col("stop_reason", "text", "", "why the run ended"),
    col("moved", "better, worse, same, unclear, cut_short or first", "", "which way the result moved; better, worse and same from a chance of 0.75 on"),
    col("moved_basis", "level or two_tests", "", "what says so: the level from all results, or the two tests alone where there is no level"),
    col("moved_chance", "number", "0 to 1", "chance of that way; empty where it is unclear, open or a first result"),
    col("level", "number", "see level_unit", "true level today, from all results"),
    col("level_low90", "number", "see level_unit", "lower end of its 90 % interval"),
    col("level_high90", "number", "see level_unit", "upper end of its 90 % interval"),
    col("level_unit", "text", "", "unit of level and its interval"),
    col("level_since", "date", "", "day of the test before, from which on the level's change is meant"),
    col("level_p_up", "number", "0 to 1", "probability that the level rose worth while"),
    col("level_p_trivial", "number", "0 to 1", "probability that the level changed by less than matters"),
    col("level_p_down", "number", "0 to 1", "probability that the level fell worth while"),
    col("level_verdict", "text", "", "verdict on the level in words"),
    col("change_against", "text", "", "the earlier result it is compared with"),
    col("change", "number", "see change_unit", "this result minus the earlier one"),
    col("change_unit", "text", "", "unit of change and its interval"),
    col("change_low90", "number", "see change_unit", "lower end of the 90 % interval"),
    col("change_high90", "number", "see change_unit", "upper end of the 90 % interval"),
    col("change_bound", "exact, at_least or at_most", "", "whether change is a number or a bound"),
    col("p_up", "number", "0 to 1", "probability that the true change is upward and matters"),
    col("p_trivial", "number", "0 to 1", "probability that the true change is smaller than matters"),
    col("p_down", "number", "0 to 1", "probability that the true change is downward and matters"),
    col("verdict", "text", "", "verdict of the two tests alone in words"),
    col("decided", "true or false", "", "whether chance alone is ruled out"),
    col("marks", "text", "", "what to read with the result, separated by semicolons"),
    col("how", "text", "", "where the numbers come from: ladder, equation, error, source"),
];

/// Columns of `history.csv`.
#[rustfmt::skip]
pub const HISTORY: [Column; 8] = [
    col("person_id", "text", "", "stable id of the person"),
    col("date", "date", "", "day of the test, year-month-day"),
    col("result", "number", "see result_unit", "result; read with result_kind"),
    col("result_unit", "text", "", "unit of result"),
    col("result_kind", "score or lower_bound", "", "lower_bound: known only as at least this much"),
    col("low", "number", "see result_unit", "lower end of the error bar"),
    col("high", "number", "see result_unit", "upper end of the error bar"),
    col("note", "text", "", "what was different on that day"),
];
