//! The keys of a definition file and what each shape needs.

use std::ops::Range;

use toml::de::DeTable;

use super::reader::{Faults, Table, Value, table, tables};
use super::size;
use super::values::{
    METRES, RUN_METRES, count, flag, length, list, place, provenance, sourced, span, speed, text,
    word,
};
use crate::definition::{
    Advance, Course, Definition, LadderSource, Note, Pace, Rules, Shape, Stage, Work,
};
use crate::error::DefinitionErrors;
use crate::sources::built_in_sources;

/// The one version of the format so far.
const FORMAT: u32 = 1;
/// More bouts than this in a stage, or stages in a ladder, is a slip of the finger.
const MOST: u32 = 1_000;
/// Largest file that is read, in bytes.
const LARGEST: usize = 1 << 20;

const ADVANCES: [(Advance, &str); 3] = [
    (Advance::ExactTime, "exact_time"),
    (Advance::WholeLegs, "whole_legs"),
    (Advance::EveryLeg, "every_leg"),
];

/// Reads one definition.
///
/// # Errors
///
/// Every fault of the file, in order, each with line, column and hint.
pub(crate) fn definition(file: &str, input: &str) -> Result<Definition, DefinitionErrors> {
    let mut f = Faults::new(file, input);
    if input.len() > LARGEST {
        f.add(
            &(0..0),
            format!("the file has {} bytes; allowed are {LARGEST}", input.len()),
            "a definition is a few kilobytes: is this the right file?".to_owned(),
        );
        return Err(f.into_errors());
    }
    let parsed = match DeTable::parse(input) {
        Ok(table) => table,
        Err(e) => {
            let at = e.span().unwrap_or(0..0);
            f.add(
                &at,
                format!("this is not TOML: {}", e.message()),
                "correct the syntax here; a text needs quotes".to_owned(),
            );
            return Err(f.into_errors());
        }
    };
    let root = Table::new(parsed.into_inner(), "the definition", 0..0);
    match read(root, &mut f) {
        Some(definition) if f.is_empty() => Ok(definition),
        _ => Err(f.into_errors()),
    }
}

/// Reads the whole file; faults go to `f`.
fn read(mut root: Table<'_>, f: &mut Faults<'_>) -> Option<Definition> {
    if let Some(v) = root.need("format", "the version of the format, 1", f) {
        let at = v.span();
        if count(&v, "format", u32::MAX, f).is_some_and(|n| n != FORMAT) {
            f.add(
                &at,
                format!("format is not {FORMAT}"),
                "this program reads format 1; a newer file needs a newer program".to_owned(),
            );
        }
    }
    let id = root
        .need("id", "a short name of lower-case letters, digits and _", f)
        .and_then(|v| identifier(&v, f));
    let name = root
        .need("name", "a descriptive name", f)
        .and_then(|v| text(&v, "name", f));
    let maximal = root
        .need("maximal", "true when the test asks for a maximal effort", f)
        .and_then(|v| flag(&v, "maximal", f));
    let easier = root.take("easier").and_then(|v| text(&v, "easier", f));
    let base = root.take("base").and_then(|v| text(&v, "base", f));
    let own_keys = own_sources(root.take("source"), f);
    let keys: Vec<String> = built_in_sources()
        .iter()
        .map(|s| s.key.clone())
        .chain(own_keys)
        .collect();
    let stop_after = sourced(&mut root, "stop_after", &keys, f, |v, f| {
        text(v, "stop_after", f)
    });
    let shape_value = root.take("shape");
    let shape_at = shape_value.as_ref().map_or(0..0, |v| v.span());
    let shape = shape_value.and_then(|v| word(&v, "shape", &Shape::ALL, f));
    let labels = [(true, "stage"), (false, "stage.bout")];
    let stage_is_label = root
        .take("labels")
        .and_then(|v| word(&v, "labels", &labels, f))
        .unwrap_or(false);

    let course = root
        .take("course")
        .and_then(|v| table(v, "course", f))
        .map(|t| course(t, &keys, f))
        .unwrap_or_default();
    let pace = root
        .take("pace")
        .and_then(|v| table(v, "pace", f))
        .map(|t| pace(t, &keys, f))
        .unwrap_or_default();
    let rules = root
        .take("rules")
        .and_then(|v| table(v, "rules", f))
        .map(|t| rules(t, &keys, f))
        .unwrap_or_default();
    let stages: Vec<(Range<usize>, Option<Stage>)> = tables(root.take("stage"), "stage", f)
        .into_iter()
        .map(|t| (t.span.clone(), stage(t, &keys, f)))
        .collect();
    let rule_notes = notes(root.take("rule"), "rule", &keys, f);
    let remarks = notes(root.take("note"), "note", &keys, f);
    root.finish(f);

    let ladder = match base {
        Some(base) => LadderSource::Base { base, stop_after },
        None => LadderSource::Own,
    };
    let shape = match (&ladder, shape) {
        (_, Some(shape)) => shape,
        // Replaced by the base's own shape when the catalogue is put together.
        (LadderSource::Base { .. }, None) => Shape::Bouts,
        (LadderSource::Own, None) => {
            let words: Vec<&str> = Shape::ALL.iter().map(|(_, w)| *w).collect();
            f.add(
                &shape_at,
                "the definition has no usable `shape`".to_owned(),
                format!("add shape = one of {}", words.join(", ")),
            );
            return None;
        }
    };
    if ladder == LadderSource::Own {
        if f.is_empty() {
            needs(shape, &course, &pace, f);
        }
        check_stages(shape, &pace, stage_is_label, &stages, f);
        if f.is_empty() {
            let cues = size::cues(
                shape,
                &course,
                &pace,
                stages.iter().filter_map(|(_, s)| s.as_ref()),
            );
            if cues > size::MOST_CUES {
                f.add(
                    &(0..0),
                    format!(
                        "the ladder would have about {cues} cues; allowed are {}",
                        size::MOST_CUES
                    ),
                    "look for a leg, a time or a number of bouts in the wrong unit".to_owned(),
                );
            }
        }
    } else if let Some((at, _)) = stages.first() {
        f.add(
            at,
            "a definition with `base` has stages of its own".to_owned(),
            "take out either `base` or the stages".to_owned(),
        );
    }
    let stages = stages.into_iter().filter_map(|(_, s)| s).collect();
    Some(Definition {
        id: id?,
        name: name?,
        shape,
        maximal: maximal?,
        easier,
        stage_is_label,
        ladder,
        course,
        pace,
        stages,
        rules,
        rule_notes,
        notes: remarks,
    })
}

/// Reads an id.
fn identifier(v: &Value<'_>, f: &mut Faults<'_>) -> Option<String> {
    let id = text(v, "id", f)?;
    let fine = id.len() <= 40
        && id
            .bytes()
            .all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'_');
    if !fine {
        f.add(
            &v.span(),
            format!("the id \"{id}\" is not made of at most 40 lower-case letters, digits and _"),
            "choose an id such as \"club_ir1\"".to_owned(),
        );
    }
    fine.then_some(id)
}

/// Reads the keys of `[[source]]` entries.
fn own_sources(value: Option<Value<'_>>, f: &mut Faults<'_>) -> Vec<String> {
    tables(value, "source", f)
        .into_iter()
        .filter_map(|mut t| {
            let key = t
                .need("key", "the key by which values name it", f)
                .and_then(|v| text(&v, "key", f));
            for (name, why) in [
                ("cite", "authors, journal, year, volume, pages"),
                ("seen", "what of it was seen"),
            ] {
                if let Some(v) = t.need(name, why, f) {
                    text(&v, name, f);
                }
            }
            t.finish(f);
            key
        })
        .collect()
}

/// Reads `[course]`.
fn course(mut t: Table<'_>, keys: &[String], f: &mut Faults<'_>) -> Course {
    let course = Course {
        leg: sourced(&mut t, "leg_m", keys, f, |v, f| {
            length(v, "leg_m", &METRES, f)
        }),
        recovery_leg: sourced(&mut t, "recovery_leg_m", keys, f, |v, f| {
            length(v, "recovery_leg_m", &METRES, f)
        }),
        lane_width: sourced(&mut t, "lane_width_m", keys, f, |v, f| {
            length(v, "lane_width_m", &METRES, f)
        }),
        lines: sourced(&mut t, "lines_m", keys, f, |v, f| {
            let lines = list(v, "lines_m", f, |v, f| place(v, "lines_m", f))?;
            let rising = lines.len() >= 2 && lines.is_sorted_by(|a, b| a < b);
            if !rising {
                f.add(
                    &v.span(),
                    "`lines_m` does not rise from line to line".to_owned(),
                    "write at least two positions, from the first line on, such as [0, 20, 40]"
                        .to_owned(),
                );
            }
            rising.then_some(lines)
        }),
        zone: sourced(&mut t, "zone_m", keys, f, |v, f| {
            length(v, "zone_m", &METRES, f)
        }),
        distances: sourced(&mut t, "distances_m", keys, f, |v, f| {
            list(v, "distances_m", f, |v, f| {
                length(v, "distances_m", &RUN_METRES, f)
            })
        }),
        is_loop: t
            .take("loop")
            .and_then(|v| flag(&v, "loop", f))
            .unwrap_or(false),
        description: sourced(&mut t, "description", keys, f, |v, f| {
            text(v, "description", f)
        }),
    };
    t.finish(f);
    course
}

/// Reads `[pace]`.
fn pace(mut t: Table<'_>, keys: &[String], f: &mut Faults<'_>) -> Pace {
    let pace = Pace {
        legs: sourced(&mut t, "legs", keys, f, |v, f| count(v, "legs", MOST, f)),
        recovery: sourced(&mut t, "recovery_s", keys, f, |v, f| {
            span(v, "recovery_s", f)
        }),
        run: sourced(&mut t, "run_s", keys, f, |v, f| span(v, "run_s", f)),
        turn_allowance: sourced(&mut t, "turn_allowance_s", keys, f, |v, f| {
            span(v, "turn_allowance_s", f)
        }),
        advance: sourced(&mut t, "advance", keys, f, |v, f| {
            word(v, "advance", &ADVANCES, f)
        }),
        start_speed: sourced(&mut t, "start_speed_kmh", keys, f, |v, f| {
            speed(v, "start_speed_kmh", f)
        }),
        increment: sourced(&mut t, "increment_kmh", keys, f, |v, f| {
            speed(v, "increment_kmh", f)
        }),
        max_legs: sourced(&mut t, "max_legs", keys, f, |v, f| {
            count(v, "max_legs", MOST, f)
        }),
        repeats: sourced(&mut t, "repeats", keys, f, |v, f| {
            count(v, "repeats", MOST, f)
        }),
        cycle: sourced(&mut t, "cycle_s", keys, f, |v, f| span(v, "cycle_s", f)),
        marks: sourced(&mut t, "marks_s", keys, f, |v, f| {
            list(v, "marks_s", f, |v, f| span(v, "marks_s", f))
        }),
    };
    t.finish(f);
    pace
}

/// Reads `[rules]`.
fn rules(mut t: Table<'_>, keys: &[String], f: &mut Faults<'_>) -> Rules {
    let one_of = |list: &'static [(&'static str, &'static str)]| {
        move |v: &Value<'_>, f: &mut Faults<'_>| word(v, "value", list, f).map(str::to_owned)
    };
    let rules = Rules {
        miss_limit: sourced(&mut t, "miss_limit", keys, f, |v, f| {
            count(v, "miss_limit", 20, f)
        }),
        miss_counting: sourced(
            &mut t,
            "miss_counting",
            keys,
            f,
            one_of(&[("cumulative", "cumulative"), ("consecutive", "consecutive")]),
        ),
        last_incomplete_counts: sourced(&mut t, "last_incomplete_counts", keys, f, |v, f| {
            flag(v, "last_incomplete_counts", f)
        }),
        scored_stage: sourced(
            &mut t,
            "scored_stage",
            keys,
            f,
            one_of(&[("completed", "completed"), ("announced", "announced")]),
        ),
        countdown: sourced(&mut t, "countdown_s", keys, f, |v, f| {
            span(v, "countdown_s", f)
        }),
        announcements: sourced(
            &mut t,
            "announcements",
            keys,
            f,
            one_of(&[
                ("stage_and_bout", "stage_and_bout"),
                ("stage", "stage"),
                ("none", "none"),
            ]),
        ),
    };
    t.finish(f);
    rules
}

/// Reads one `[[stage]]`.
fn stage(mut t: Table<'_>, keys: &[String], f: &mut Faults<'_>) -> Option<Stage> {
    let label = t
        .need("label", "the stage's label, in quotes", f)
        .and_then(|v| text(&v, "label", f));
    let pace = t
        .need("speed_kmh", "the speed of the stage", f)
        .and_then(|v| speed(&v, "speed_kmh", f));
    let mut works = Vec::new();
    if let Some(v) = t.take("bouts") {
        works.push(count(&v, "bouts", MOST, f).map(Work::Bouts));
    }
    if let Some(v) = t.take("legs") {
        works.push(count(&v, "legs", MOST, f).map(Work::Legs));
    }
    if let Some(v) = t.take("duration_s") {
        works.push(span(&v, "duration_s", f).map(Work::Time));
    }
    if works.len() != 1 {
        f.add(
            &t.span,
            format!("{} says {} times how much is run", t.name, works.len()),
            "give exactly one of `bouts`, `legs` and `duration_s`".to_owned(),
        );
    }
    let leg = t
        .take("leg_m")
        .and_then(|v| length(&v, "leg_m", &METRES, f));
    let tags = provenance(&mut t, keys, f);
    t.finish(f);
    let (confidence, sources) = tags?;
    let work = works.into_iter().next().flatten()?;
    Some(Stage {
        label: label?,
        speed: pace?,
        work,
        leg,
        confidence,
        sources,
    })
}

/// Reads `[[rule]]` and `[[note]]` entries.
fn notes(value: Option<Value<'_>>, name: &str, keys: &[String], f: &mut Faults<'_>) -> Vec<Note> {
    tables(value, name, f)
        .into_iter()
        .filter_map(|mut t| {
            let sentence = t
                .need("text", "the rule or remark, in words", f)
                .and_then(|v| text(&v, "text", f));
            let tags = provenance(&mut t, keys, f);
            t.finish(f);
            let (confidence, sources) = tags?;
            Some(Note {
                text: sentence?,
                confidence,
                sources,
            })
        })
        .collect()
}

/// Adds a fault for each value that a shape needs and the file lacks.
fn needs(shape: Shape, course: &Course, pace: &Pace, f: &mut Faults<'_>) {
    let advance = pace.advance.as_ref().map(|a| a.value);
    let list: Vec<(&str, bool)> = match shape {
        Shape::Bouts => vec![
            ("[course] leg_m", course.leg.is_some()),
            ("[pace] legs", pace.legs.is_some()),
            ("[pace] recovery_s", pace.recovery.is_some()),
        ],
        Shape::TimedRuns => vec![
            ("[course] lines_m", course.lines.is_some()),
            ("[pace] run_s", pace.run.is_some()),
            ("[pace] recovery_s", pace.recovery.is_some()),
        ],
        Shape::Continuous if advance == Some(Advance::EveryLeg) => vec![
            ("[course] leg_m", course.leg.is_some()),
            ("[pace] start_speed_kmh", pace.start_speed.is_some()),
            ("[pace] increment_kmh", pace.increment.is_some()),
            ("[pace] max_legs", pace.max_legs.is_some()),
        ],
        Shape::Continuous => vec![
            ("[course] leg_m", course.leg.is_some()),
            ("[pace] advance", pace.advance.is_some()),
        ],
        Shape::DistanceInTime => vec![("[pace] run_s", pace.run.is_some())],
        Shape::TimeForDistance | Shape::Trials => {
            vec![("[course] distances_m", course.distances.is_some())]
        }
        Shape::Sprints => vec![
            ("[pace] repeats", pace.repeats.is_some()),
            (
                "[course] distances_m or [pace] run_s",
                course.distances.is_some() || pace.run.is_some(),
            ),
        ],
    };
    for (what, there) in list {
        if !there {
            f.add(
                &(0..0),
                format!("a test of shape `{}` needs {what}", shape.as_str()),
                format!("add {what} with value, confidence and sources"),
            );
        }
    }
}

/// Adds a fault for each stage that does not fit the shape.
fn check_stages(
    shape: Shape,
    pace: &Pace,
    stage_is_label: bool,
    stages: &[(Range<usize>, Option<Stage>)],
    f: &mut Faults<'_>,
) {
    let advance = pace.advance.as_ref().map(|a| a.value);
    let wants: Option<&str> = match (shape, advance) {
        (Shape::Bouts | Shape::TimedRuns, _) => Some("bouts"),
        (Shape::Continuous, Some(Advance::ExactTime)) => Some("duration_s"),
        (Shape::Continuous, Some(Advance::WholeLegs)) => Some("legs"),
        _ => None,
    };
    if wants.is_some() && stages.is_empty() {
        f.add(
            &(0..0),
            "the ladder has no stages".to_owned(),
            "add [[stage]] entries in running order".to_owned(),
        );
    }
    if stages.len() > MOST as usize {
        f.add(
            &(0..0),
            format!("the ladder has {} stages; allowed are {MOST}", stages.len()),
            "is this the right file?".to_owned(),
        );
    }
    let mut before: Option<&Stage> = None;
    for (at, stage) in stages {
        let Some(stage) = stage else { continue };
        let has = match stage.work {
            Work::Bouts(_) => "bouts",
            Work::Legs(_) => "legs",
            Work::Time(_) => "duration_s",
        };
        match wants {
            Some(wants) if wants != has => {
                f.add(
                    at,
                    format!("stage `{}` gives `{has}`", stage.label),
                    format!("a test of this shape and advance needs `{wants}`"),
                );
            }
            None => f.add(
                at,
                "a test of this shape has no stages".to_owned(),
                "take the [[stage]] entries out".to_owned(),
            ),
            Some(_) => {}
        }
        if stage_is_label && stage.work != Work::Bouts(1) {
            f.add(
                at,
                format!(
                    "stage `{}` has more than one bout, so its label alone names none",
                    stage.label
                ),
                "write labels = \"stage.bout\"".to_owned(),
            );
        }
        if let Some(earlier) = before
            && stage.speed < earlier.speed
        {
            f.add(
                at,
                format!(
                    "stage `{}` ({}) is slower than the stage before it (`{}`, {})",
                    stage.label, stage.speed, earlier.label, earlier.speed
                ),
                "put the stages in running order".to_owned(),
            );
        }
        if stages
            .iter()
            .filter(|(_, s)| s.as_ref().is_some_and(|s| s.label == stage.label))
            .count()
            > 1
        {
            f.add(
                at,
                format!("two stages have the label `{}`", stage.label),
                "give every stage a label of its own".to_owned(),
            );
        }
        before = Some(stage);
    }
}
