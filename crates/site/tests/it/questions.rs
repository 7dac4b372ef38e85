//! The page of questions about a squad: for the lead, with answers, refusals and what would settle each.

use axum::http::StatusCode;
use plimsoll_judge::{MissPlace, StopReason, What};

use crate::support::{LEAD, MEDIC, Site, batch, event_of};

/// A closed wave of six; two devices judged lane 1, where one of them called a miss.
async fn closed() -> Site {
    let site = Site::new();
    let lanes = (1..=6).collect();
    let mut events = vec![event_of("a", 1, 2, Some(0), What::Started { lanes })];
    let miss = What::Miss {
        lane: 1,
        bout: Some(9),
        cue: Some(2),
        place: MissPlace::Zone,
    };
    events.push(event_of("b", 1, 3, Some(240_000), miss));
    for lane in 1..=6u16 {
        let n = u64::from(lane) + 1;
        let at = 250_000 + i64::from(lane) * 30_000;
        let reason = StopReason::Exhaustion;
        events.push(event_of(
            "a",
            n,
            n + 3,
            Some(at),
            What::Stop { lane, reason },
        ));
    }
    let sent = site
        .post_json(&site.wave(0, "/events"), None, &batch(&events))
        .await;
    assert_eq!(sent.status, StatusCode::OK, "{}", sent.text);
    let path = format!("/close/{}", site.waves[0]);
    let page = site.get(&path, None).await;
    let body = format!("seal={}&by=Rin", page.seal());
    let closed = site.post_form(&path, None, &body).await;
    assert_eq!(closed.status, StatusCode::SEE_OTHER, "{}", closed.text);
    site
}

#[tokio::test]
async fn a_cut_is_answered_and_drawn() {
    let site = closed().await;
    let path = format!("/questions/{}", site.day);
    let results = site.get(&format!("/results/{}", site.day), None).await;
    assert!(results.text.contains(&path), "linked from the results");
    let page = site.get(&path, None).await;
    assert_eq!(page.status, StatusCode::OK, "{}", page.text);
    assert!(!page.text.contains("At the cut"), "no cut was asked about");
    assert!(
        page.text.contains(&format!("/results/{}", site.day)),
        "and back"
    );
    let page = site.get(&format!("{path}?cut=400m&error=5"), None).await;
    assert!(
        page.text.contains("of 6 results reach it")
            && page.text.contains("<svg")
            && page
                .text
                .contains("Were the best of 2 trials to count, it would lie 2.8 %"),
        "{}",
        page.text
    );
    assert!(page.text.contains("What would settle it") && page.text.contains("Basis."));
}

#[tokio::test]
async fn the_page_says_what_cannot_be_told_and_who_judged_the_same_lane() {
    let site = closed().await;
    let page = site.get(&format!("/questions/{}", site.day), None).await;
    // First results of everybody: nothing to compare rows or effort with.
    assert!(
        page.text
            .contains("lanes have earlier results to compare with; 6 are needed")
    );
    assert!(
        page.text
            .contains("No peak heart rate of a full run is recorded")
    );
    assert!(
        page.text.contains("a and b: 1 lane") && page.text.contains("1 with a miss called"),
        "{}",
        page.text
    );
    assert!(page.text.contains("times the odds of the middle assessor"));
}

#[tokio::test]
async fn what_cannot_be_read_is_refused_and_only_the_lead_may_ask() {
    let site = closed().await;
    let path = format!("/questions/{}", site.day);
    for (asked, says) in [
        ("cut=99.9x", "metres up to 3640 m"),
        ("cut=99999m", "a label of `ir1` from"),
        ("cut=%3Cb%3E", "&lt;b&gt;"),
        ("best_of=0", "1 to 20"),
        ("best_of=x", "a whole number, or nothing"),
        ("lowest=7", "1 to 6, the people with a result"),
        ("error=-3", "percent above 0"),
        ("error=NaN", "percent above 0"),
    ] {
        let page = site.get(&format!("{path}?{asked}"), None).await;
        assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY, "{asked}");
        assert!(page.text.contains(says), "{asked}: {}", page.text);
    }
    let site = Site::guarded();
    let (lead, medic) = (site.enter(LEAD).await, site.enter(MEDIC).await);
    let path = format!("/questions/{}", site.day);
    let none = site.get(&path, Some(&lead)).await;
    assert_eq!(none.status, StatusCode::CONFLICT, "{}", none.text);
    let other = site.get(&path, Some(&medic)).await;
    assert_eq!(other.status, StatusCode::FORBIDDEN);
}
