//! The sentences about assessors.
//! Must not call anybody right or wrong: strictness is against the middle of those who shared a lane.

use plimsoll_report::format::{count, number, percent};

use super::Part;
use super::assessors::{AgreementOf, Assessors, SETTLE, SeverityOf};

/// The answer in words.
pub(super) fn part(
    shared: usize,
    pairs: Vec<AgreementOf>,
    severity: Vec<SeverityOf>,
) -> Part<Assessors> {
    let mut says: Vec<String> = pairs.iter().map(agreement).collect();
    if severity.is_empty() {
        says.push(
            "Who is stricter cannot be said: no call differs from another, or there are too many to weigh here.".to_owned(),
        );
    }
    says.extend(severity.iter().map(strictness));
    Part {
        says,
        basis: format!(
            "{} judged by two or more devices, every cue up to the runner's stop; a device counts as judging a lane \
             once it recorded anything there, so a partner who saw nothing to call is not seen. Cues of one lane are \
             taken as independent. Kappa is low when misses are rare. Strictness is pulled towards the middle, the \
             more so the fewer calls there are.",
            count(shared, "lane was", "lanes were")
        ),
        settle: SETTLE.to_owned(),
        answer: Some(Assessors {
            shared_lanes: shared,
            pairs,
            severity,
        }),
    }
}

fn agreement(pair: &AgreementOf) -> String {
    let value = match (pair.kappa, pair.low90, pair.high90) {
        (Some(k), Some(low), Some(high)) => format!(
            "kappa {} ({} to {}, 90 %)",
            number(k, 2),
            number(low, 2),
            number(high, 2)
        ),
        (Some(k), ..) => format!(
            "kappa {}, without an interval since all calls agree",
            number(k, 2)
        ),
        (None, ..) => "no kappa, since neither called a miss".to_owned(),
    };
    let stops = match pair.stops.both {
        0 => String::new(),
        n => format!(
            "; of {} both recorded, {} to the same bout",
            count(n, "stop", "stops"),
            pair.stops.same
        ),
    };
    format!(
        "{} and {}: {} and {} judged by both, {} with a miss called; they agree on {} of them, {value}{stops}.",
        pair.first,
        pair.second,
        count(pair.lanes, "lane", "lanes"),
        count(pair.cues, "cue", "cues"),
        pair.called,
        percent(pair.agreed)
    )
}

fn strictness(one: &SeverityOf) -> String {
    let prior = if one.mostly_prior {
        "; this is more assumption than data"
    } else {
        ""
    };
    format!(
        "{} calls a miss at {} times the odds of the middle assessor ({} to {}, 90 %), shrunk to the middle: the \
         calls make up {} of it{prior}.",
        one.assessor,
        number(one.odds, 2),
        number(one.low90, 2),
        number(one.high90, 2),
        percent(one.weight_of_data)
    )
}
