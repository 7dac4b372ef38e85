//! The smallest change worth while: set by hand, from a squad's spread, or a named default.
//! A squad's spread is corrected for the error of the test.
//! Source: Hopkins 2009 (0.2 x between-person SD, from memory).

use plimsoll_measure::change::smallest_worthwhile;
use serde::Serialize;

use crate::data::TestScale;
use crate::{InterpretError, Size, words};

/// Share of the between-person SD. Source: Hopkins 2009, from memory.
const SHARE_OF_SD: f64 = 0.2;

/// A smallest worthwhile change and where it comes from.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WorthwhileChoice {
    /// The change; percent means percent of the earlier value.
    pub size: Size,
    /// Which one and why, in words.
    pub basis: String,
}

/// Returns the smallest worthwhile change, if one can be found.
///
/// `error_in_unit` is the typical error at the earlier value, in the unit of the test.
pub(crate) fn worthwhile(
    by_hand: Option<Size>,
    squad_sd: Option<f64>,
    scale: Option<&TestScale>,
    error_in_unit: f64,
) -> Result<Option<WorthwhileChoice>, InterpretError> {
    let unit = scale.map_or("", |s| s.unit.as_str());
    if let Some(size) = by_hand {
        let (Size::InUnit(value) | Size::Percent(value)) = size;
        if !value.is_finite() || value < 0.0 {
            return Err(InterpretError::Value {
                what: "smallest worthwhile change",
                found: value,
                allowed: "0 or a number above it",
            });
        }
        let basis = format!(
            "smallest worthwhile change {} set by hand",
            words::size(size, unit)
        );
        return Ok(Some(WorthwhileChoice { size, basis }));
    }
    let mut squad = String::new();
    if let Some(sd) = squad_sd {
        match smallest_worthwhile(sd, error_in_unit, SHARE_OF_SD) {
            Ok(value) => {
                let size = Size::InUnit(value);
                return Ok(Some(WorthwhileChoice {
                    size,
                    basis: format!(
                        "smallest worthwhile change {}: 0.2 x the squad's SD of {} {unit}, less \
                         the error of the test",
                        words::size(size, unit),
                        words::number(sd, 2)
                    ),
                }));
            }
            Err(reason) => squad = format!("; the squad's SD was not used: {reason}"),
        }
    }
    Ok(scale.and_then(|scale| default(scale, &squad)))
}

fn default(scale: &TestScale, squad: &str) -> Option<WorthwhileChoice> {
    let unit = scale.unit.as_str();
    let (size, basis) = if let Some(sd) = scale.worthwhile_sd {
        (
            Size::InUnit(SHARE_OF_SD * sd),
            format!("{} ({})", scale.basis, scale.confidence),
        )
    } else if let Some(percent) = scale.worthwhile_percent {
        (
            Size::Percent(percent),
            format!("{} ({})", scale.basis, scale.confidence),
        )
    } else {
        let step = scale.step?;
        let basis = format!(
            "one whole step, because {} ({})",
            scale.basis, scale.confidence
        );
        (Size::InUnit(step), basis)
    };
    Some(WorthwhileChoice {
        size,
        basis: format!(
            "default smallest worthwhile change {}: {basis}{squad}",
            words::size(size, unit)
        ),
    })
}
