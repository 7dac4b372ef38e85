//! Readings after the stop: by whoever watches the lane, with the seconds since the stop.

use axum::http::StatusCode;
use plimsoll_judge::{StopReason, What};
use serde_json::json;

use crate::support::{Site, batch, event_of};

/// A guest on the first assessor's lanes, and a wave in which lane 1 stopped 90 s ago.
async fn stopped() -> (Site, String) {
    let site = Site::new();
    let guest = site.join(0, None, "Rin").await;
    let zero_ms = 1_795_000_000_000i64;
    let reason = StopReason::Exhaustion;
    let events = [
        event_of("lead", 1, 2, None, What::Anchored { zero_ms, pm_ms: 5 }),
        event_of(
            "lead",
            2,
            3,
            Some(0),
            What::Started {
                lanes: (1..=6).collect(),
            },
        ),
        event_of("lead", 3, 4, Some(100_000), What::Stop { lane: 1, reason }),
        event_of("lead", 4, 5, Some(100_000), What::Stop { lane: 6, reason }),
    ];
    let sent = site
        .post_json(&site.wave(0, "/events"), None, &batch(&events))
        .await;
    assert_eq!(sent.json()["refused"], json!([]), "{}", sent.text);
    site.clock.pass(190_000);
    (site, guest)
}

#[tokio::test]
async fn an_assessor_reads_their_own_lanes() {
    let (site, guest) = stopped().await;
    let path = format!("/after/{}", site.waves[0]);
    let page = site.get(&path, Some(&guest)).await;
    assert!(page.text.contains("1:30</time> ago"), "{}", page.text);
    assert!(
        !page.text.contains("id=\"lane-6\""),
        "another assessor's lane"
    );
    let form = format!(
        "seal={}&lane=1&heart_rate=171&at_s=60&exertion=8.5&note=walks",
        page.seal()
    );
    let kept = site.post_form(&path, Some(&guest), &form).await;
    assert_eq!(kept.status, StatusCode::SEE_OTHER, "{}", kept.text);
    let view = site.get(&site.wave(0, ""), None).await.json();
    let readings = &view["state"]["lanes"][0]["readings"];
    assert_eq!(readings[0]["what"], "heart_rate");
    assert_eq!(
        (
            readings[0]["value"].as_u64(),
            readings[0]["after_s"].as_u64()
        ),
        (Some(171), Some(60))
    );
    assert_eq!(
        (
            readings[1]["value"].as_u64(),
            readings[1]["after_s"].as_u64()
        ),
        (Some(85), Some(90))
    );
    assert_eq!(view["state"]["notes"][0]["text"], "walks");
    let page = site.get(&path, Some(&guest)).await;
    assert!(
        page.text.contains("171 beats a minute at 60 s"),
        "{}",
        page.text
    );
}

#[tokio::test]
async fn what_cannot_be_is_refused_and_nothing_is_recorded() {
    let (site, guest) = stopped().await;
    let path = format!("/after/{}", site.waves[0]);
    let seal = site.get(&path, Some(&guest)).await.seal();
    let before = site.get(&site.wave(0, ""), None).await.json()["version"].clone();
    for bad in [
        "lane=6&heart_rate=150",
        "lane=2&heart_rate=150",
        "lane=1&heart_rate=400",
        "lane=1&exertion=11",
        "lane=1",
        "heart_rate=150",
    ] {
        let refused = site
            .post_form(&path, Some(&guest), &format!("seal={seal}&{bad}"))
            .await;
        assert_eq!(
            refused.status,
            StatusCode::UNPROCESSABLE_ENTITY,
            "{bad}: {}",
            refused.text
        );
    }
    let other = format!("/after/{}", site.waves[1]);
    assert_eq!(
        site.get(&other, Some(&guest)).await.status,
        StatusCode::FORBIDDEN
    );
    assert_eq!(
        site.get(&site.wave(0, ""), None).await.json()["version"],
        before
    );
}
