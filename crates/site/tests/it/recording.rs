//! Events from phones: once on disk, refused with a reason, never for another wave.

use axum::http::StatusCode;
use plimsoll_judge::{Fold, Ruling, Side, StopReason, What};
use plimsoll_ladder::Catalogue;
use serde_json::json;

use crate::support::{Site, batch, event_of};

fn stop(lane: u16) -> What {
    What::Stop {
        lane,
        reason: StopReason::Exhaustion,
    }
}

#[tokio::test]
async fn an_event_sent_twice_is_acknowledged_twice_and_kept_once() {
    let site = Site::new();
    let events = [
        event_of(
            "phone-a",
            1,
            2,
            Some(0),
            What::Started { lanes: vec![1, 2] },
        ),
        event_of("phone-a", 2, 3, Some(300_000), stop(1)),
    ];
    let path = site.wave(0, "/events");
    let first = site.post_json(&path, None, &batch(&events)).await;
    assert_eq!(first.status, StatusCode::OK, "{}", first.text);
    let again = site.post_json(&path, None, &batch(&events)).await;
    for answer in [&first, &again] {
        let json = answer.json();
        assert_eq!(json["acknowledged"].as_array().map(Vec::len), Some(2));
        assert_eq!(json["version"], 3);
    }
    let view = site.get(&site.wave(0, ""), None).await.json();
    assert_eq!(view["version"], 3);
    let lane = &view["state"]["lanes"][0];
    assert_eq!(lane["status"], "stopped");
}

#[tokio::test]
async fn the_view_is_the_fold_of_what_was_sent_whatever_the_order() {
    let site = Site::new();
    let opened = site.get(&site.wave(0, ""), None).await.json();
    let plan = serde_json::from_value(opened["state"]["opening"].clone()).expect("an opening");
    let mut events = vec![
        event_of(
            "phone-a",
            1,
            2,
            Some(0),
            What::Started {
                lanes: (1..=6).collect(),
            },
        ),
        event_of("phone-a", 2, 3, Some(300_000), stop(1)),
        event_of("phone-b", 1, 3, Some(290_000), stop(2)),
        event_of("phone-b", 2, 5, Some(420_000), stop(3)),
    ];
    events.reverse();
    for event in &events {
        site.post_json(
            &site.wave(0, "/events"),
            None,
            &batch(std::slice::from_ref(event)),
        )
        .await;
    }
    let view = site.get(&site.wave(0, ""), None).await.json();
    let catalogue = Catalogue::built_in();
    let fold = Fold::new(catalogue.get("ir1").expect("shipped")).expect("paced");
    events.push(event_of("server", 1, 1, None, What::Opened { plan }));
    for event in &mut events {
        // On a server without passphrases whoever sends is the lead.
        event.role = plimsoll_judge::Role::Lead;
    }
    let state = fold.state(&events);
    // The opening was stored under an id of the server's, so only what follows is compared.
    assert_eq!(view["state"]["lanes"], json!(state.lanes));
    assert_eq!(view["results"], json!(state.results()));
    assert_eq!(view["read_back"]["words"], state.read_back().in_words());
}

#[tokio::test]
async fn a_guest_cannot_say_what_only_the_lead_may() {
    let site = Site::guarded();
    let lead = site.enter(crate::support::LEAD).await;
    let guest = site.join(0, Some(&lead), "Rin").await;
    let ruling = Ruling {
        lane: 1,
        about: "stop".to_owned(),
        stands: Side::None,
    };
    let events = [
        event_of("tab", 1, 2, Some(0), What::Started { lanes: vec![1] }),
        event_of("tab", 2, 3, None, What::Ruled { ruling }),
        event_of("tab", 3, 4, None, What::Closed {}),
    ];
    let answer = site
        .post_json(&site.wave(0, "/events"), Some(&guest), &batch(&events))
        .await;
    let json = answer.json();
    assert_eq!(json["acknowledged"].as_array().map(Vec::len), Some(1));
    assert_eq!(
        json["refused"][0]["why"],
        "only the lead may record `ruled`"
    );
    assert_eq!(
        json["refused"][1]["why"],
        "only the lead may record `closed`"
    );
    // The role is the token's, whatever the event says; so is the name.
    let log = site.get(&site.wave(0, ""), Some(&lead)).await.json();
    assert_eq!(log["state"]["started"], true);
    assert_eq!(log["state"]["closed"], false);
}

#[tokio::test]
async fn a_phone_cannot_send_under_the_name_of_another() {
    let site = Site::guarded();
    let lead = site.enter(crate::support::LEAD).await;
    let (one, two) = (
        site.join(0, Some(&lead), "Rin").await,
        site.join(0, Some(&lead), "Sol").await,
    );
    let path = site.wave(0, "/events");
    let own = batch(&[event_of("tab-1", 1, 2, Some(200_000), stop(1))]);
    assert_eq!(
        site.post_json(&path, Some(&one), &own).await.json()["acknowledged"]
            .as_array()
            .map(Vec::len),
        Some(1)
    );
    let forged = batch(&[event_of("tab-1", 2, 3, Some(210_000), stop(2))]);
    let answer = site.post_json(&path, Some(&two), &forged).await.json();
    assert_eq!(answer["acknowledged"], json!([]));
    assert_eq!(
        answer["refused"][0]["why"],
        "`device` is in use by another phone; events of others cannot be sent"
    );
}

#[tokio::test]
async fn what_is_no_event_is_refused_and_the_rest_is_kept() {
    let site = Site::new();
    let good =
        serde_json::to_value(event_of("phone-a", 1, 2, Some(300_000), stop(1))).expect("JSON");
    let mut bad = good.clone();
    bad["what"]["lane"] = json!(9_999);
    bad["seq"] = json!(2);
    let body = json!({ "events": [bad, good, "text"] }).to_string();
    let answer = site
        .post_json(&site.wave(0, "/events"), None, &body)
        .await
        .json();
    assert_eq!(answer["acknowledged"].as_array().map(Vec::len), Some(1));
    assert_eq!(
        answer["refused"][0]["why"],
        "event field `lane`: found 9999, allowed is 1 to 200"
    );
    let malformed = site.post_json(&site.wave(0, "/events"), None, "{").await;
    assert_eq!(malformed.status, StatusCode::BAD_REQUEST);
    assert_eq!(malformed.json()["error"]["where"], "body");
    let large = site
        .post_json(&site.wave(0, "/events"), None, &" ".repeat(1_100_000))
        .await;
    assert_eq!(large.status, StatusCode::PAYLOAD_TOO_LARGE);
    assert_eq!(large.json()["error"]["allowed"], "at most 1048576 bytes");
}

#[tokio::test]
async fn a_replayed_event_of_another_wave_is_refused() {
    let site = Site::new();
    let body = batch(&[event_of("phone-a", 1, 2, Some(300_000), stop(1))]);
    assert_eq!(
        site.post_json(&site.wave(0, "/events"), None, &body)
            .await
            .json()["version"],
        2
    );
    let answer = site
        .post_json(&site.wave(1, "/events"), None, &body)
        .await
        .json();
    assert_eq!(answer["acknowledged"], json!([]));
    assert_eq!(answer["version"], 1);
}

#[tokio::test]
async fn too_many_requests_are_told_to_wait() {
    let site = Site::new();
    let path = site.wave(0, "/events");
    let mut statuses = Vec::new();
    for _ in 0..260 {
        statuses.push(site.post_json(&path, None, r#"{"events":[]}"#).await.status);
    }
    let slowed = site.post_json(&path, None, r#"{"events":[]}"#).await;
    assert_eq!(slowed.status, StatusCode::TOO_MANY_REQUESTS);
    assert!(slowed.headers.contains_key("retry-after"));
    assert_eq!(
        statuses.iter().filter(|s| **s == StatusCode::OK).count(),
        200
    );
    site.clock.pass(1_000);
    assert_eq!(
        site.post_json(&path, None, r#"{"events":[]}"#).await.status,
        StatusCode::OK
    );
}

#[tokio::test]
async fn news_comes_at_once_to_who_waits() {
    let site = Site::new();
    let path = site.wave(0, "/wait?after=1");
    let body = batch(&[event_of("phone-a", 1, 2, Some(300_000), stop(1))]);
    let events = site.wave(0, "/events");
    let send = async {
        tokio::time::sleep(std::time::Duration::from_millis(50)).await;
        site.post_json(&events, None, &body).await
    };
    let (news, _) = tokio::join!(site.get(&path, None), send);
    assert_eq!(news.json()["version"], 2);
    let past = site.get(&site.wave(0, "/wait?after=0"), None).await;
    assert_eq!(past.json()["version"], 2);
}
