//! Numbers in words: percentages, sizes, bands.
//! Rounds for reading only; nothing here goes back into a calculation.

/// Returns a chance as a whole percentage that never says 0 % or 100 %.
pub(crate) fn chance(p: f64) -> String {
    let percent = (100.0 * p).round();
    if percent >= 100.0 {
        "more than 99 %".to_owned()
    } else if percent < 1.0 {
        "less than 1 %".to_owned()
    } else {
        format!("{percent:.0} %")
    }
}

/// Returns a number with at most `digits` decimals and no trailing zeros.
pub(crate) fn number(value: f64, digits: usize) -> String {
    let text = format!("{value:.digits$}");
    let text = if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    };
    if text == "-0" { "0".to_owned() } else { text }
}

/// Returns an age band in words.
pub(crate) fn ages(min: Option<f64>, max: Option<f64>) -> String {
    match (min, max) {
        (Some(a), Some(b)) => format!("{} to under {} y", number(a, 1), number(b, 1)),
        (Some(a), None) => format!("{} y and older", number(a, 1)),
        (None, Some(b)) => format!("under {} y", number(b, 1)),
        (None, None) => "age not stated".to_owned(),
    }
}

/// Returns a size in percent or in a unit.
pub(crate) fn size(size: crate::Size, unit: &str) -> String {
    match size {
        crate::Size::InUnit(value) => format!("{} {unit}", number(value, 2)).trim_end().to_owned(),
        crate::Size::Percent(value) => format!("{} %", number(value, 2)),
    }
}
