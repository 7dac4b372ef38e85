//! Source: Haydar et al. 2011, J Sports Sci Med 10:346-354 (abstract read): 93.2, 103.1 and
//! 99.7 % of the final speed on 40 m.

use super::near;
use plimsoll_interpret::speeds::{Layout, layout_speed};

/// Double rounding only.
const EXACT: f64 = 1e-9;

#[test]
fn ratios_between_layouts() {
    let at = |layout| layout_speed(19.0, layout).expect("a speed");
    near(at(Layout::Continuous), 17.708, EXACT);
    near(at(Layout::StraightLine), 19.589, EXACT);
    near(at(Layout::Shuttle28), 18.943, EXACT);
    let effects = crate::catalogue().effects;
    for printed in ["93.2", "103.1", "99.7"] {
        assert!(
            effects.iter().any(|e| e.effect.starts_with(printed)),
            "{printed}"
        );
    }
}
