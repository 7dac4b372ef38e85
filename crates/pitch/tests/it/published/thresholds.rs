//! Source: Armstrong et al. (2007), ACSM, as reprinted (read); AAP (2000), Table 1 (excerpt read); rules of
//! the federation of football (news and union page read); Japan guideline as quoted in the job analysis.

use plimsoll_pitch::{Circumstances, Verdict, advice, policies};

fn of(policy: &str, wbgt: f64, who: Circumstances) -> plimsoll_pitch::Advice {
    let found = advice(wbgt, &who).into_iter().find(|a| a.policy == policy);
    found.expect("a policy")
}

const NEW: Circumstances = Circumstances {
    minors: false,
    acclimatised: false,
    lowered: false,
};
const CHILD: Circumstances = Circumstances {
    minors: true,
    ..NEW
};
const USED: Circumstances = Circumstances {
    acclimatised: true,
    ..NEW
};

#[test]
fn acsm_bands_change_where_the_table_says() {
    let data: serde_json::Value =
        serde_json::from_str(include_str!("../../data/thresholds.json")).expect("JSON");
    let edges = data["acsm_2007"]["band_upper_C"].as_array().expect("edges");
    // The two lowest edges part bands with the same advice: "normal".
    for edge in edges.iter().skip(1) {
        let edge = edge.as_f64().expect("a number");
        let (at, above) = (
            of("acsm_2007", edge, NEW),
            of("acsm_2007", edge + 0.01, NEW),
        );
        assert_ne!(at.band, above.band, "{edge}");
        let below = of("acsm_2007", edge - 0.01, NEW);
        assert_eq!(at.band, below.band, "{edge}");
    }
    let words = data["acsm_2007"]["training_non_acclimatised"]
        .as_array()
        .expect("words");
    assert_eq!(words[6], "cancel or stop");
    assert_eq!(of("acsm_2007", 31.0, NEW).text, "Cancel or stop.");
    assert_eq!(of("acsm_2007", 31.0, USED).verdict, Verdict::Easier);
    assert_eq!(of("acsm_2007", 33.0, USED).verdict, Verdict::NoTest);
}

#[test]
fn the_childrens_table_and_the_football_rule_have_their_edges() {
    let bands: Vec<String> = [23.9, 24.0, 25.9, 26.0, 29.0, 29.1]
        .iter()
        .map(|t| of("aap_2000", *t, CHILD).band)
        .collect();
    assert_eq!(
        bands,
        [
            "below 24",
            "24 to 25.9",
            "24 to 25.9",
            "26 to 29",
            "26 to 29",
            "above 29"
        ]
    );
    assert_eq!(of("fifa", 32.0, NEW).band, "28 to 32");
    assert_eq!(of("fifa", 32.1, NEW).band, "above 32");
    assert_eq!(of("japan", 28.0, NEW).verdict, Verdict::Easier);
    assert_eq!(of("japan", 31.0, NEW).verdict, Verdict::NoTest);
}

#[test]
fn the_default_is_strict_with_minors_and_newcomers() {
    let minors = Circumstances {
        minors: true,
        ..USED
    };
    assert_eq!(of("plimsoll_default", 27.1, USED).verdict, Verdict::Care);
    assert_eq!(
        of("plimsoll_default", 27.1, minors).verdict,
        Verdict::Easier
    );
    assert_eq!(of("plimsoll_default", 27.1, NEW).verdict, Verdict::Easier);
    assert_eq!(of("plimsoll_default", 29.0, USED).verdict, Verdict::Easier);
    assert_eq!(of("plimsoll_default", 30.1, USED).verdict, Verdict::NoTest);
    let lowered = Circumstances {
        lowered: true,
        ..USED
    };
    assert_eq!(
        of("plimsoll_default", 27.1, lowered).verdict,
        Verdict::Easier
    );
}

#[test]
fn every_policy_covers_every_temperature_and_says_where_it_is_from() {
    for policy in policies() {
        assert!(!policy.source.is_empty() && !policy.confidence.is_empty());
        let mut last = Verdict::Run;
        for tenth in -300..500 {
            let verdict = of(&policy.id, f64::from(tenth) / 10.0, CHILD).verdict;
            assert!(verdict >= last, "{}: hotter is never milder", policy.id);
            last = verdict;
        }
    }
}
