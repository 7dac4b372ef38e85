//! Reads a cut as a person writes it: a label of the ladder, or metres.
//! Must not take a label of another test for metres.

use super::gather::Squad;

/// Why a cut cannot be used.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("the cut is `{found}`; allowed is {allowed}")]
pub struct WrongCut {
    /// What was written.
    pub found: String,
    /// What may be written.
    pub allowed: String,
}

/// Reads a cut: a label of the ladder, or metres.
pub(super) fn read(
    squad: &Squad<'_>,
    written: &str,
) -> Result<(f64, Option<String>, String), WrongCut> {
    let written = written.trim();
    let steps = &squad.steps;
    let wrong = || WrongCut {
        found: written.to_owned(),
        allowed: match (steps.list().first(), steps.list().last()) {
            (Some(first), Some(last)) => format!(
                "a label of `{}` from {} to {}, or metres up to {} m, such as 1200m",
                squad.test.id(),
                first.label,
                last.label,
                last.distance_m.unwrap_or(last.value)
            ),
            _ => format!("metres above 0, since `{}` has no labels", squad.test.id()),
        },
    };
    let usable = |value: f64| value.is_finite() && value > 0.0;
    if let Some(step) = steps.by_label(written).filter(|s| usable(s.value)) {
        let words = format!("the label {written}");
        return Ok((step.value, Some(step.label.clone()), words));
    }
    let text = written.strip_suffix('m').unwrap_or(written).trim();
    let metres: f64 = text.parse().map_err(|_| wrong())?;
    // 14.10 is a label of other tests, and never 14.1 m.
    let like_a_label = text == written && text.contains('.') && !steps.list().is_empty();
    if !usable(metres) || like_a_label {
        return Err(wrong());
    }
    if steps.list().is_empty() {
        return match squad.unit {
            plimsoll_interpret::Unit::Metres => Ok((metres, None, format!("{metres} m"))),
            _ => Err(wrong()),
        };
    }
    let step = steps
        .reaching(metres)
        .filter(|s| usable(s.value))
        .ok_or_else(wrong)?;
    let exact = step.distance_m.is_some_and(|m| (m - metres).abs() < 1e-6);
    let words = if exact {
        format!("{metres} m")
    } else {
        format!("{metres} m, so the first bout that reaches it")
    };
    Ok((step.value, Some(step.label.clone()), words))
}
