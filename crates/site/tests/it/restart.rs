//! The server ends at any moment: what was acknowledged is there again, and so are the devices.

use crate::support::{LEAD, Site, batch, event_of};
use plimsoll_judge::{StopReason, What};

#[tokio::test(flavor = "multi_thread")]
async fn acknowledged_events_and_devices_outlive_the_server() {
    let site = Site::guarded();
    let lead = site.enter(LEAD).await;
    let guest = site.join(0, Some(&lead), "Rin").await;
    let events = [
        event_of(
            "tab",
            1,
            2,
            Some(0),
            What::Started {
                lanes: vec![1, 2, 3],
            },
        ),
        event_of(
            "tab",
            2,
            3,
            Some(300_000),
            What::Stop {
                lane: 2,
                reason: StopReason::Injury,
            },
        ),
    ];
    let path = site.wave(0, "/events");
    site.post_json(&path, Some(&guest), &batch(&events)).await;
    let before = site.get(&site.wave(0, ""), Some(&guest)).await.json();
    let site = site.restarted(true);
    let after = site.get(&site.wave(0, ""), Some(&guest)).await.json();
    assert_eq!(before["state"], after["state"]);
    assert_eq!(after["me"]["name"], "Rin");
    // The phone that saw no answer sends again: nothing is doubled.
    let again = site
        .post_json(&path, Some(&guest), &batch(&events))
        .await
        .json();
    assert_eq!(again["acknowledged"].as_array().map(Vec::len), Some(2));
    assert_eq!(again["version"], 3);
    // And nobody can take its name over because the server forgot.
    let other = site.join(0, Some(&lead), "Sol").await;
    let forged = batch(&[event_of(
        "tab",
        3,
        4,
        Some(310_000),
        What::EarlyStart { lane: 1 },
    )]);
    let answer = site.post_json(&path, Some(&other), &forged).await.json();
    assert_eq!(answer["acknowledged"].as_array().map(Vec::len), Some(0));
}
