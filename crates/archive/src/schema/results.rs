//! The table of results. Must agree with `migrations/0004_days_and_results.sql`.
//! Ranges are what can be stored, wide on purpose; what is plausible is another crate's business.

use plimsoll_judge::StopReason;

use super::{CHANGE_SEQ, Kind, SOURCE_ID, Table, column, id, int, real, reference, text, word};
use crate::model::{AMOUNT_UNITS, CENSORING_WORDS, Encouragement, Familiarity, Illness, RpeScale};
use crate::words::Word;

const REASONS: [&str; StopReason::ALL.len()] = {
    let mut words = [""; StopReason::ALL.len()];
    let mut at = 0;
    while at < words.len() {
        words[at] = StopReason::ALL[at].as_str();
        at += 1;
    }
    words
};

/// Beats a minute.
const HEART: (i64, i64) = (1, 400);
/// A month, in hours.
const HOURS: (f64, f64) = (0.0, 744.0);
/// Counting numbers.
const ORDINAL: (i64, i64) = (1, 100_000);

/// Results.
pub(crate) const RESULT: Table = Table {
    name: "result",
    meaning: "One version of what one person did in one test on one day.",
    columns: &[
        id("The version."),
        reference("person_id", "person", "The person."),
        reference("day_id", "test_day", "The test day."),
        text("bib", "The bib worn.").optional(),
        text("ladder_id", "The test definition whose ladder was run."),
        word("amount_unit", &AMOUNT_UNITS, "The unit of `amount`."),
        int(
            "amount",
            (0, u32::MAX as i64),
            "see `amount_unit`",
            "How much was completed.",
        ),
        word("reason", &REASONS, "Why the runner stopped."),
        word(
            "censoring",
            &CENSORING_WORDS,
            "What the amount says; always follows from `reason`, kept for other programs.",
        ),
        int(
            "trial_number",
            ORDINAL,
            "",
            "Which time in life at this test, 1 for the first.",
        )
        .optional(),
        int("attempt", ORDINAL, "", "Which attempt of the day.").optional(),
        real("sleep_h", (0.0, 48.0), "h", "Sleep in the night before.").optional(),
        column("wake_time", Kind::Time, "", "Local time of waking.").optional(),
        real("hours_since_meal", HOURS, "h", "Time since the last meal.").optional(),
        column(
            "caffeine",
            Kind::Flag,
            "",
            "Whether caffeine was taken that day.",
        )
        .optional(),
        real(
            "caffeine_mg",
            (0.0, 20_000.0),
            "mg",
            "Caffeine taken that day.",
        )
        .optional(),
        real(
            "hours_since_hard_training",
            HOURS,
            "h",
            "Time since hard training.",
        )
        .optional(),
        column(
            "time_of_day",
            Kind::Time,
            "",
            "Local time of the runner's own start.",
        )
        .optional(),
        text("footwear", "Shoes.").optional(),
        word(
            "familiarity",
            Familiarity::WORDS,
            "How well the runner knew the test.",
        )
        .optional(),
        int(
            "motivation",
            (1, 10),
            "1 to 10",
            "The runner's own rating, 10 the highest.",
        )
        .optional(),
        word("illness", Illness::WORDS, "Whether ill; never a diagnosis.").optional(),
        word(
            "encouragement",
            Encouragement::WORDS,
            "Shouting from the side.",
        )
        .optional(),
        int("wave_size", ORDINAL, "runners", "How many ran together.").optional(),
        real("mass_kg", (1.0, 1_000.0), "kg", "Body mass.").optional(),
        int("peak_hr_bpm", HEART, "1/min", "Highest heart rate.").optional(),
        int(
            "hr_60s_bpm",
            HEART,
            "1/min",
            "Heart rate 60 s after the stop.",
        )
        .optional(),
        int(
            "hr_120s_bpm",
            HEART,
            "1/min",
            "Heart rate 120 s after the stop.",
        )
        .optional(),
        real(
            "rpe",
            (0.0, 100.0),
            "see `rpe_scale`",
            "Rating of perceived exertion.",
        )
        .optional(),
        word("rpe_scale", RpeScale::WORDS, "The scale of `rpe`.").optional(),
        real(
            "rpe_minutes_after",
            (0.0, 44_640.0),
            "min",
            "From the stop to the rating.",
        )
        .optional(),
        text("deviation", "What was not per definition for this runner.").optional(),
        text("notes", "Remarks; no health reasons.").optional(),
        column(
            "withdrawn",
            Kind::Flag,
            "",
            "1 when the version says that there is no result.",
        ),
        reference("supersedes", "result", "The version it takes the place of.").optional(),
        CHANGE_SEQ,
        SOURCE_ID,
    ],
};
