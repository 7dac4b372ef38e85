//! Whom to watch, and which test: what the lead and assessors may ask, and what nobody is told.

use axum::http::StatusCode;
use plimsoll_archive::WaveId;
use plimsoll_judge::{StopReason, What};

use crate::support::{LEAD, Site, batch, event_of};

/// Runs both waves on the first day, so that a later day has results to go by.
async fn started(site: &Site, wave: usize) {
    let lanes = (1..=6).collect();
    let events = [
        event_of("a", 1, 2, Some(0), What::Started { lanes }),
        event_of(
            "a",
            2,
            3,
            Some(60_000),
            What::Stop {
                lane: 2,
                reason: StopReason::Exhaustion,
            },
        ),
    ];
    let sent = site
        .post_json(&site.wave(wave, "/events"), None, &batch(&events))
        .await;
    assert_eq!(sent.status, StatusCode::OK, "{}", sent.text);
}

#[tokio::test]
async fn running_lanes_are_listed_and_what_is_unknown_is_null() {
    let site = Site::new();
    let before = site.get(&site.wave(0, "/watch"), None).await.json();
    assert_eq!(
        (&before["bout"], before["lanes"].as_array().map(Vec::len)),
        (&0.into(), Some(0))
    );
    started(&site, 0).await;
    let list = site.get(&site.wave(0, "/watch?bout=3"), None).await.json();
    assert_eq!(list["bout"], 3);
    let lanes = list["lanes"].as_array().expect("lanes");
    assert_eq!(lanes.len(), 5, "lane 2 has stopped: {list}");
    assert!(
        lanes
            .iter()
            .all(|l| l["probability"].is_null() && l["lane"] != 2)
    );
    assert!(
        list["basis"]
            .as_str()
            .expect("words")
            .starts_with("no predictions")
    );
}

#[tokio::test]
async fn a_bad_bout_and_another_wave_are_refused() {
    let site = Site::guarded();
    let lead = site.enter(LEAD).await;
    let guest = site.join(0, Some(&lead), "Rin").await;
    let own = site.get(&site.wave(0, "/watch"), Some(&guest)).await;
    assert_eq!(own.status, StatusCode::OK, "{}", own.text);
    let other = site.get(&site.wave(1, "/watch"), Some(&guest)).await;
    assert_eq!(other.status, StatusCode::FORBIDDEN);
    let nobody = site.get(&site.wave(0, "/watch"), None).await;
    assert_eq!(nobody.status, StatusCode::UNAUTHORIZED);
    for (bout, status, words) in [
        ("92", StatusCode::NOT_FOUND, "92, beyond the 91 bouts"),
        ("99999999999", StatusCode::NOT_FOUND, "beyond the 91 bouts"),
        ("-1", StatusCode::BAD_REQUEST, "a whole number"),
        ("x", StatusCode::BAD_REQUEST, "a whole number"),
        ("1.5", StatusCode::BAD_REQUEST, "a whole number"),
        ("", StatusCode::BAD_REQUEST, "a whole number"),
        ("3&bout=x", StatusCode::BAD_REQUEST, "a whole number"),
    ] {
        let path = site.wave(0, &format!("/watch?bout={bout}"));
        let bad = site.get(&path, Some(&lead)).await;
        assert_eq!(bad.status, status, "{bout}: {}", bad.text);
        assert!(bad.text.contains(words), "{bout}: {}", bad.text);
    }
    let lost: WaveId = "00000000-0000-7000-8000-000000000000"
        .parse()
        .expect("an id");
    let gone = site
        .get(&format!("/api/waves/{lost}/watch"), Some(&lead))
        .await;
    assert_eq!(gone.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn the_chooser_is_the_leads_and_works_on_an_archive_without_results() {
    let site = Site::guarded();
    let lead = site.enter(LEAD).await;
    let guest = site.join(0, Some(&lead), "Rin").await;
    let refused = site.get("/choose", Some(&guest)).await;
    assert_eq!(refused.status, StatusCode::FORBIDDEN);
    let today = site.get("/", Some(&lead)).await;
    assert!(today.text.contains("href=\"/choose\""));
    let page = site.get("/choose", Some(&lead)).await;
    assert_eq!(page.status, StatusCode::OK, "{}", page.text);
    assert!(
        page.text
            .contains("nobody on this roster has an earlier result")
    );
    let men = "/choose?squad=&sex=M&age=26&standard=elite&runners=20";
    let page = site.get(men, Some(&lead)).await;
    assert!(
        page.text
            .contains("20 of a population: male, 26 years, elite"),
        "{}",
        page.text
    );
    assert!(page.text.contains("<svg") && page.text.contains("in nine waves of ten"));
    assert!(page.text.contains("Easier version: "));
    for bad in ["sex=X", "sex=M", "sex=M&age=NaN", "sex=M&age=20&runners=0"] {
        let answer = site.get(&format!("/choose?{bad}"), Some(&lead)).await;
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY, "{bad}");
    }
    let squad = site.get("/choose?squad=%3Cb%3E", Some(&lead)).await;
    assert_eq!(squad.status, StatusCode::OK);
    assert!(
        squad.text.contains("nobody in the squad `&lt;b&gt;`"),
        "{}",
        squad.text
    );
}
