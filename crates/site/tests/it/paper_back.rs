//! Paper sheets typed back, and the arrival check on people's own phones.

use axum::http::StatusCode;
use plimsoll_ladder::Catalogue;

use crate::support::{LEAD, MEDIC, Site};

async fn typed(site: &Site, more: &str) -> crate::support::Answer {
    let path = format!("/typed/{}", site.waves[0]);
    let seal = site.get(&path, None).await.seal();
    site.post_form(&path, None, &format!("seal={seal}&{more}"))
        .await
}

async fn version(site: &Site) -> u64 {
    let view = site.get(&site.wave(0, ""), None).await.json();
    view["version"].as_u64().expect("a number")
}

#[tokio::test]
async fn a_sheet_is_taken_whole_and_only_with_labels_of_the_ladder() {
    let site = Site::new();
    let catalogue = Catalogue::built_in();
    let own = catalogue
        .get("ir1")
        .and_then(|t| t.ladder())
        .expect("a ladder");
    let other = catalogue
        .get("ir2")
        .and_then(|t| t.ladder())
        .expect("a ladder");
    let foreign = other
        .bouts()
        .iter()
        .find(|bout| own.by_label(&bout.label).is_none())
        .expect("a label of the other ladder alone");
    let before = version(&site).await;
    let wrong = typed(&site, &format!("label-1=14.3&label-2={}", foreign.label)).await;
    assert_eq!(wrong.status, StatusCode::OK);
    assert!(
        wrong.text.contains("Nothing was recorded"),
        "{}",
        wrong.text
    );
    assert!(
        wrong.text.contains("`ir2`"),
        "it says where the label exists"
    );
    assert!(
        wrong.text.contains("value=\"14.3\""),
        "what was right is kept"
    );
    assert_eq!(version(&site).await, before);

    let right = typed(
        &site,
        "label-1=14.3&label-2=absent&label-3=0&reason-3=injury",
    )
    .await;
    assert_eq!(right.status, StatusCode::SEE_OTHER, "{}", right.text);
    let view = site.get(&site.wave(0, ""), None).await.json();
    let settled = |n: usize| view["results"][n]["settlement"].clone();
    assert_eq!(
        settled(0)["outcome"]["amount"]["bouts"],
        own.by_label("14.3").expect("on it").number
    );
    assert_eq!(settled(1), "not_started");
    assert_eq!(settled(2)["outcome"]["amount"]["bouts"], 0);
    assert_eq!(view["state"]["lanes"][2]["stop"]["reason"], "injury");
    assert!(settled(3)["open"].is_string(), "an empty line stays open");
    let close = site.get(&format!("/close/{}", site.waves[0]), None).await;
    assert!(close.text.contains("14.3 (560 m)"), "{}", close.text);
}

#[tokio::test]
async fn typed_twice_what_differs_is_shown_and_nothing_is_recorded() {
    let site = Site::new();
    let before = version(&site).await;
    let first = typed(&site, "label-1=14.3&label-2=15.1&twice=yes").await;
    assert!(
        first.text.contains("a second time, from the paper"),
        "{}",
        first.text
    );
    assert_eq!(version(&site).await, before);
    let second = "second=yes&first-1=14.3&first-2=15.1&label-1=14.3";
    let differs = typed(&site, &format!("{second}&label-2=15.2")).await;
    assert!(
        differs.text.contains("first 15.1, then 15.2"),
        "{}",
        differs.text
    );
    assert_eq!(version(&site).await, before);
    let same = typed(&site, &format!("{second}&label-2=15.1")).await;
    assert_eq!(same.status, StatusCode::SEE_OTHER, "{}", same.text);
    assert!(version(&site).await > before);
}

#[tokio::test]
async fn people_answer_on_their_own_phones_and_health_goes_to_the_medic_alone() {
    let site = Site::guarded();
    let (lead, medic) = (site.enter(LEAD).await, site.enter(MEDIC).await);
    let arrival = format!("/arrival/{}", site.day);
    let page = site.get(&arrival, Some(&lead)).await;
    let at = page.text.find("/here/").expect("a code");
    let here = &page.text[at..at + "/here/".len() + 6];
    let form = site.get(here, None).await;
    assert_eq!(form.status, StatusCode::OK);
    assert!(form.text.contains("Runner 1"));
    let person = &site.people[0];
    let answers = format!("person={person}&sleep_h=6.5&caffeine=no&ill=yes");
    let sent = site.post_form(here, None, &answers).await;
    assert_eq!(sent.status, StatusCode::OK, "{}", sent.text);
    assert!(sent.text.contains("Thank you, Runner 1"));

    let medics = site
        .get(&format!("/medic/{}", site.day), Some(&medic))
        .await;
    assert!(medics.text.contains("ill"), "{}", medics.text);
    let asked = site.get(&arrival, Some(&lead)).await;
    assert!(asked.text.contains("1 of 12 asked"), "{}", asked.text);
    for cookie in [Some(lead.as_str()), None] {
        let again = site.get(here, cookie).await;
        assert!(!again.text.contains("6.5"), "no answer is shown again");
        assert!(!again.text.contains("selected"), "no answer is shown again");
    }
}

#[tokio::test]
async fn without_the_days_code_nobody_answers_and_nobody_is_named() {
    let site = Site::guarded();
    let lead = site.enter(LEAD).await;
    let wrong = site.get("/here/AAAAAA", None).await;
    assert_eq!(wrong.status, StatusCode::NOT_FOUND);
    assert!(!wrong.text.contains("Runner 1"));
    let page = site
        .get(&format!("/arrival/{}", site.day), Some(&lead))
        .await;
    let at = page.text.find("/here/").expect("a code");
    let here = page.text[at..at + "/here/".len() + 6].to_owned();
    for body in [
        "person=none",
        "sleep_h=7",
        "person=",
        &format!("person={}&sleep_h=99", site.people[0]),
    ] {
        let refused = site.post_form(&here, None, body).await;
        assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY, "{body}");
    }
    let large = format!("meal={}", "x".repeat(10_000));
    let refused = site.post_form(&here, None, &large).await;
    assert_eq!(refused.status, StatusCode::PAYLOAD_TOO_LARGE);
    site.clock.pass(25 * 3_600_000);
    let old = site.get(&here, None).await;
    assert_eq!(
        old.status,
        StatusCode::NOT_FOUND,
        "the code is good for a day"
    );
}
