//! What a person is told about a track: what it is, what differs, and how to use it on a field.

use std::collections::BTreeMap;

use plimsoll_report::Cautions;
use plimsoll_sound::voice::Form;
use plimsoll_sound::{Sound, travel};

use super::Track;
use super::files::Places;
use crate::cli::Cues;
use crate::print::{clock, hanging, short};

/// Widest line.
const WIDTH: usize = 88;
/// Air temperature of the worked example, °C.
const WARM_C: f64 = 20.0;

/// Returns the words.
pub fn words(track: &Track<'_>, args: &Cues, places: &Places) -> String {
    let mut lines = vec![made(track)];
    lines.extend(places.all().map(|p| format!("  {}", p.display())));
    lines.push(String::new());
    lines.push(counts(track));
    lines.extend(loudness(track));
    lines.extend(speech(track));
    lines.extend(identity(track));
    lines.extend(part(track, args));
    lines.extend(track.notes.iter().map(|note| format!("· note: {note}")));
    lines.push(String::new());
    lines.extend(advice(track));
    lines.extend(caution(track, args));
    let lines = lines.iter().map(|line| match line.chars().next() {
        Some('·') => hanging(line, WIDTH),
        _ => line.clone(),
    });
    lines.collect::<Vec<_>>().join("\n")
}

fn made(track: &Track<'_>) -> String {
    format!(
        "{}\n{}, {} Hz, {}, fingerprint {}",
        track.plan.name,
        clock(track.plan.duration_s()),
        track.spec.rate,
        match track.spec.channels {
            1 => "one channel",
            _ => "two channels, both the same",
        },
        track.plan.fingerprint,
    )
}

fn counts(track: &Track<'_>) -> String {
    let of = |sound: Sound| track.plan.cues.iter().filter(|c| c.sound == sound).count();
    let named: Vec<String> = Sound::ALL
        .into_iter()
        .filter(|sound| of(*sound) > 0)
        .map(|sound| format!("{} {}", of(sound), sound.as_str().replace('_', " ")))
        .collect();
    let coded = track.plan.cues.iter().filter(|c| c.word.is_some()).count();
    format!(
        "· {} cues: {}; {coded} with a tone code",
        track.plan.cues.len(),
        named.join(", ")
    )
}

fn loudness(track: &Track<'_>) -> Option<String> {
    let levels = &track.levels;
    if !levels.integrated_lufs.is_finite() {
        return None;
    }
    let reached = format!(
        "· loudness {} LUFS, true peak {} dBTP",
        short(levels.integrated_lufs, 1),
        short(levels.true_peak_dbtp, 1)
    );
    Some(if levels.held_by_ceiling {
        format!(
            "{reached}; {} LUFS was asked for, and the ceiling of {} dBTP held it there",
            short(track.plan.loudness.target_lufs, 1),
            short(track.plan.loudness.ceiling_dbtp, 1)
        )
    } else {
        reached
    })
}

fn speech(track: &Track<'_>) -> Vec<String> {
    let spoken = &track.plan.spoken;
    let Some(language) = track.language else {
        return vec!["· no speech".to_owned()];
    };
    let mut lines = vec![format!(
        "· {} announcements in `{}`; between the cues: {}",
        spoken.len(),
        language.code(),
        track.plan.script.as_str().replace('_', " ")
    )];
    let mut forms: BTreeMap<Form, Vec<&str>> = BTreeMap::new();
    for said in spoken.iter().filter(|s| s.shortened) {
        let texts = forms.entry(said.utterance.form).or_default();
        texts.push(&said.utterance.text);
    }
    for (form, texts) in forms.iter().rev() {
        let rule = match form {
            Form::Full => "in full",
            Form::Short => "to the labels without their nouns",
            Form::Shortest => "to the part that changes",
        };
        let first = texts.first().copied().unwrap_or_default();
        lines.push(format!(
            "· {} shortened {rule}, such as \"{first}\": the next cue leaves no room for more",
            texts.len()
        ));
    }
    lines
}

fn identity(track: &Track<'_>) -> Option<String> {
    let own = track.test.fingerprint();
    if own == track.plan.fingerprint {
        return None;
    }
    let rules = &track.test.definition().rules;
    let defined = rules
        .announcements
        .as_ref()
        .map_or("none", |a| a.value.as_str());
    Some(format!(
        "· announcements differ: {} here, {} in the definition. Announcements change when people \
         stop, so this is another ladder identity (the definition's is {own}): note with the \
         results which track was used",
        track.plan.script.as_str().replace('_', " "),
        defined.replace('_', " "),
    ))
}

fn part(track: &Track<'_>, args: &Cues) -> Option<String> {
    let part = &args.part;
    let stops = track.plan.cues.iter().any(|c| c.sound == Sound::Stop);
    if part.from.is_none() && part.until.is_none() && !stops {
        return part.minutes.as_ref().map(|minutes| {
            format!("· the ladder is over before {minutes} minutes: this is the whole test")
        });
    }
    let ends = if stops {
        "\"stop\" for everybody"
    } else {
        "a finish"
    };
    Some(format!(
        "· a part of the test, ending with {ends}: its results are not results of the whole test"
    ))
}

fn advice(track: &Track<'_>) -> Vec<String> {
    let course = &track.test.definition().course;
    let leg = course.leg.as_ref().map(|l| l.value.as_m_f64());
    let far = leg.unwrap_or(20.0);
    let ms = |distance| format!("{:.0} ms", travel::delay_ms(distance, WARM_C));
    vec![
        format!(
            "· on the field: sound takes {} for {} m ({:.0} °C) and loses {:.0} dB with each \
             doubling of the distance. Put the loudspeaker midway beside the lanes, so that both \
             lines hear it alike ({} late), and listen at the far lane before anybody runs",
            ms(far),
            short(far, 2),
            WARM_C,
            travel::loss_db(1.0, 2.0),
            ms(far / 2.0),
        ),
        "· set the player to do-not-disturb; to check what was really played, record it and give \
         the recording to `plimsoll listen`"
            .to_owned(),
    ]
}

fn caution(track: &Track<'_>, args: &Cues) -> Vec<String> {
    if !track.test.definition().maximal {
        return Vec::new();
    }
    let mut line = format!("· {}", Cautions::default().short);
    line.push_str(match args.part.minutes {
        Some(_) => " `plimsoll cautions` says more.",
        None => " `plimsoll cautions` says more; `--minutes 6` makes an easier form.",
    });
    vec![line]
}
