//! `plimsoll ladder ID`: every bout of a test, with its instants.

use plimsoll_ladder::{Bout, Test};
use serde_json::{Value, json};

use crate::failure::{Failure, Found};
use crate::print::{self, Align, clock, number, short};

/// Prints the ladder of a paced test, or the marks of an unpaced one.
pub fn run(test: &Test, as_json: bool) -> Result<Found, Failure> {
    if as_json {
        print::json(&document(test))?;
    } else {
        print::text(words(test))?;
    }
    Ok(Found::Nothing)
}

fn document(test: &Test) -> Value {
    let bouts: Vec<Value> = test
        .ladder()
        .map(|l| l.bouts().iter().map(bout).collect())
        .unwrap_or_default();
    json!({
        "id": test.id(),
        "bouts": bouts,
        "max_distance_m": test.max_distance().map(|d| number(d.as_m_f64())),
        "duration_s": test.duration().map(|d| number(d.as_secs_f64())),
        "marks_s": test.ladder().is_none().then(|| {
            test.marks().iter().map(|m| number(m.as_secs_f64())).collect::<Vec<_>>()
        }),
        "fingerprint": test.ladder().map(|_| test.fingerprint()),
        "status": test.status().as_str(),
    })
}

fn bout(bout: &Bout) -> Value {
    json!({
        "bout": bout.number,
        "label": bout.label,
        "speed_kmh": number(bout.speed.as_kmh_f64()),
        "start_s": number(bout.start.as_secs_f64()),
        "turns_s": bout.signals.iter().map(|s| number(s.at.as_secs_f64())).collect::<Vec<_>>(),
        "finish_s": number(bout.finish.as_secs_f64()),
        "distance_m": number(bout.distance.as_m_f64()),
    })
}

fn words(test: &Test) -> String {
    let mut out = format!("{} ({})\n", test.name(), test.id());
    out.push_str(&format!("How well known: {}\n", test.status()));
    if let Some(ladder) = test.ladder() {
        let head = [
            ("bout", Align::Right),
            ("label", Align::Right),
            ("km/h", Align::Right),
            ("start", Align::Right),
            ("turn or line", Align::Left),
            ("finish", Align::Right),
            ("metres", Align::Right),
        ];
        let rows: Vec<Vec<String>> = ladder
            .bouts()
            .iter()
            .map(|b| {
                let signals: Vec<String> = b
                    .signals
                    .iter()
                    .map(|s| clock(s.at.as_secs_f64()))
                    .collect();
                vec![
                    b.number.to_string(),
                    b.label.clone(),
                    short(b.speed.as_kmh_f64(), 4),
                    clock(b.start.as_secs_f64()),
                    signals.join(" "),
                    clock(b.finish.as_secs_f64()),
                    short(b.distance.as_m_f64(), 1),
                ]
            })
            .collect();
        out.push_str(&format!("\n{}\n", print::table(&head, &rows)));
    } else {
        let marks: Vec<String> = test
            .marks()
            .iter()
            .map(|m| clock(m.as_secs_f64()))
            .collect();
        out.push_str(&format!(
            "Not paced by cues. Instants to call or record: {}\n",
            marks.join(", ")
        ));
    }
    out.push('\n');
    for note in test
        .definition()
        .rule_notes
        .iter()
        .chain(&test.definition().notes)
    {
        out.push_str(&format!(
            "· {} [{}]\n",
            note.text,
            tag(note.confidence.as_str(), &note.sources)
        ));
    }
    out.push_str(&effort(test));
    out
}

/// Returns a tag with the keys of its sources.
fn tag(confidence: &str, sources: &[String]) -> String {
    if sources.is_empty() {
        confidence.to_owned()
    } else {
        format!("{confidence}: {}", sources.join(", "))
    }
}

/// Returns the caution that belongs wherever a maximal test is looked up to be run.
fn effort(test: &Test) -> String {
    if !test.definition().maximal {
        return "\nA submaximal form: it ends before anyone has to give their utmost.\n".to_owned();
    }
    let easier = test.definition().easier.as_ref().map_or_else(
        || "offer an easier form to anyone who should not".to_owned(),
        |id| format!("offer the easier form `{id}` to anyone who should not"),
    );
    format!(
        "\nAsks for a maximal effort. Read `plimsoll cautions` before it is run, and {easier}; \
         medical staff and local rules decide.\n"
    )
}
