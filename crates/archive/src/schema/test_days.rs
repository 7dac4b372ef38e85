//! Tables of test days. Must agree with `migrations/0004_days_and_results.sql`.
//! Ranges are what can be stored, wide on purpose; what is plausible is another crate's business.

use super::{CHANGE_SEQ, Kind, Table, column, id, int, real, reference, text};

/// Test days.
pub(crate) const TEST_DAY: Table = Table {
    name: "test_day",
    meaning: "One test day.",
    columns: &[id("The test day; never changes."), CHANGE_SEQ],
};

/// What is known of test days.
pub(crate) const TEST_DAY_VERSION: Table = Table {
    name: "test_day_version",
    meaning: "One version of what is known of a test day.",
    columns: &[
        id("The version."),
        reference("day_id", "test_day", "The test day."),
        column("on_date", Kind::Date, "", "The date."),
        text("name", "What the day is called.").optional(),
        text("squad", "The squad tested.").optional(),
        text("ladder_id", "The test definition planned for the day.").optional(),
        text(
            "ladder_fingerprint",
            "Digest of that definition's ladder as it was then.",
        )
        .optional(),
        column("settings", Kind::Json, "", "The rule settings used.").optional(),
        text("venue", "The place.").optional(),
        text("surface", "What was run on.").optional(),
        column("indoor", Kind::Flag, "", "Whether under a roof.").optional(),
        int(
            "course_length_mm",
            (1, 1_000_000_000),
            "mm",
            "The course as measured, line to line; empty when not measured.",
        )
        .optional(),
        column(
            "start_time",
            Kind::Time,
            "",
            "Local time of the first start.",
        )
        .optional(),
        real("temperature_c", (-60.0, 70.0), "°C", "Air temperature.").optional(),
        real("humidity_percent", (0.0, 100.0), "%", "Relative humidity.").optional(),
        real("wind_m_s", (0.0, 120.0), "m/s", "Wind speed.").optional(),
        real(
            "wind_along_lane_m_s",
            (-120.0, 120.0),
            "m/s",
            "Wind along the lanes, positive from the start line to the far line.",
        )
        .optional(),
        real("wbgt_c", (-60.0, 70.0), "°C", "Wet-bulb globe temperature.").optional(),
        text("deviation", "What was not per definition.").optional(),
        text("notes", "Remarks.").optional(),
        reference(
            "supersedes",
            "test_day_version",
            "The version it takes the place of.",
        )
        .optional(),
        CHANGE_SEQ,
    ],
};
