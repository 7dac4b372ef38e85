//! The pages: a day from plan to results, and no health answer outside the medic's page.

use axum::http::StatusCode;

use crate::support::{LEAD, MEDIC, Site, batch, event_of};
use plimsoll_judge::{StopReason, What};

#[tokio::test]
async fn every_page_answers_with_its_headers() {
    let site = Site::new();
    let day = site.day;
    let wave = site.waves[0];
    for path in [
        "/".to_owned(),
        "/people".to_owned(),
        "/choose".to_owned(),
        "/library".to_owned(),
        "/library/ir1".to_owned(),
        "/study".to_owned(),
        "/study?test=ir1&weeks=4".to_owned(),
        "/mixed".to_owned(),
        "/mixed?test=ir1".to_owned(),
        "/reference".to_owned(),
        "/reference/ruiz2016".to_owned(),
        "/archive".to_owned(),
        "/join".to_owned(),
        format!("/plan/{day}"),
        format!("/arrival/{day}"),
        format!("/checks/{day}"),
        format!("/medic/{day}"),
        format!("/person/{}", site.people[0]),
        format!("/person/{}/change", site.people[0]),
        "/change".to_owned(),
        format!("/wave/{wave}"),
        format!("/close/{wave}"),
        format!("/typed/{wave}"),
        format!("/after/{wave}"),
        format!("/line/{wave}"),
        "/assets/style/base.css".to_owned(),
    ] {
        let answer = site.get(&path, None).await;
        assert_eq!(answer.status, StatusCode::OK, "{path}: {}", answer.text);
        for name in [
            "content-security-policy",
            "x-content-type-options",
            "x-frame-options",
        ] {
            assert!(answer.headers.contains_key(name), "{path}: {name}");
        }
    }
    for path in [
        "/assets/tests/mock.mjs",
        "/assets/../Cargo.toml",
        "/line/none",
        "/nowhere",
    ] {
        let answer = site.get(path, None).await;
        assert_eq!(answer.status, StatusCode::NOT_FOUND, "{path}");
    }
}

#[tokio::test]
async fn closing_writes_results_and_closing_again_corrects_them() {
    let site = Site::new();
    let stop = |lane| What::Stop {
        lane,
        reason: StopReason::Exhaustion,
    };
    let mut events = vec![event_of(
        "a",
        1,
        2,
        Some(0),
        What::Started {
            lanes: (1..=6).collect(),
        },
    )];
    for lane in 1..=5u16 {
        let n = u64::from(lane) + 1;
        events.push(event_of(
            "a",
            n,
            n + 1,
            Some(250_000 + i64::from(lane) * 30_000),
            stop(lane),
        ));
    }
    site.post_json(&site.wave(0, "/events"), None, &batch(&events))
        .await;
    let path = format!("/close/{}", site.waves[0]);
    let page = site.get(&path, None).await;
    assert!(
        page.text
            .contains("6 started, 5 scored, 0 lower bounds, 0 not started, 1 still open")
    );
    let body = format!("seal={}&by=Rin", page.seal());
    let closed = site.post_form(&path, None, &body).await;
    assert_eq!(closed.status, StatusCode::SEE_OTHER, "{}", closed.text);
    let results = site.get(&format!("/results/{}", site.day), None).await;
    assert_eq!(results.status, StatusCode::OK, "{}", results.text);
    assert!(results.text.contains("5 athletes ran"), "{}", results.text);
    let page = site.get(&path, None).await;
    let body = format!("seal={}&why=lane+6+was+missed", page.seal());
    site.post_form(&format!("{path}/again"), None, &body).await;
    let right = format!("seal={}&lane=6&completed=20&reason=misses", page.seal());
    let put = site
        .post_form(&format!("{path}/correct"), None, &right)
        .await;
    assert_eq!(put.status, StatusCode::SEE_OTHER, "{}", put.text);
    site.post_form(&path, None, &format!("seal={}&by=Rin", page.seal()))
        .await;
    let results = site.get(&format!("/results/{}", site.day), None).await;
    assert!(results.text.contains("6 athletes ran"), "{}", results.text);
    training_of(&site).await;
}

/// The day is of `ir1`: refused until the lead enters a factor, and first trials stay apart.
async fn training_of(site: &Site) {
    let path = format!("/train/{}", site.day);
    let page = site.get(&path, None).await;
    assert_eq!(page.status, StatusCode::OK, "{}", page.text);
    assert!(page.text.contains("No training is set."), "{}", page.text);
    assert!(
        page.text.contains("is reached after rests"),
        "{}",
        page.text
    );
    let page = site.get(&format!("{path}?factor=0.95"), None).await;
    assert!(page.text.contains("6 first trials"), "{}", page.text);
    let asked = format!("{path}?factor=0.95&first=yes&lane=20&format=15%3A15&percent=100");
    let page = site.get(&asked, None).await;
    assert!(
        page.text.contains("Group 1") && page.text.contains("<svg"),
        "{}",
        page.text
    );
    assert!(page.text.contains("first trial") && page.text.contains("0.7 s for each turn"));
    let page = site.get(&format!("{path}?lane=%3Cb%3E"), None).await;
    assert!(
        page.text.contains("the lane is \u{201C}&lt;b&gt;\u{201D}")
            || page.text.contains("The lane is \u{201C}&lt;b&gt;\u{201D}"),
        "{}",
        page.text
    );
    assert!(!page.text.contains("<b>"), "{}", page.text);
}

#[tokio::test]
async fn training_is_for_the_lead_and_needs_results() {
    let site = Site::guarded();
    let (lead, medic) = (site.enter(LEAD).await, site.enter(MEDIC).await);
    let path = format!("/train/{}", site.day);
    let none = site.get(&path, Some(&lead)).await;
    assert_eq!(none.status, StatusCode::CONFLICT, "{}", none.text);
    assert!(
        none.text.contains("has no results in force"),
        "{}",
        none.text
    );
    let other = site.get(&path, Some(&medic)).await;
    assert_eq!(other.status, StatusCode::FORBIDDEN);
    let nowhere = site.get("/train/none", Some(&lead)).await;
    assert_eq!(nowhere.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn a_health_answer_is_on_the_medics_page_and_on_no_other() {
    const SECRET: &str = "wheezes-since-monday";
    let site = Site::guarded();
    let (lead, medic) = (site.enter(LEAD).await, site.enter(MEDIC).await);
    let guest = site.join(0, Some(&lead), "Rin").await;
    let medics = format!("/medic/{}", site.day);
    let page = site.get(&medics, Some(&medic)).await;
    let body = format!(
        "seal={}&person={}&code=submaximal&words={SECRET}",
        page.seal(),
        site.people[0]
    );
    let set = site.post_form(&medics, Some(&medic), &body).await;
    assert_eq!(set.status, StatusCode::SEE_OTHER, "{}", set.text);
    let page = site.get(&medics, Some(&medic)).await;
    assert!(page.text.contains(SECRET));
    let (day, wave) = (site.day, site.waves[0]);
    let paths = [
        "/".to_owned(),
        "/people".to_owned(),
        "/archive".to_owned(),
        format!("/plan/{day}"),
        format!("/arrival/{day}"),
        format!("/person/{}", site.people[0]),
        format!("/person/{}/change", site.people[0]),
        format!("/wave/{wave}"),
        format!("/close/{wave}"),
        format!("/typed/{wave}"),
        format!("/after/{wave}"),
        format!("/briefing/{day}"),
        format!("/sheets/{day}"),
        format!("/results/{day}"),
        format!("/train/{day}"),
        format!("/questions/{day}"),
        "/choose".to_owned(),
        "/study".to_owned(),
        "/mixed?test=ir1".to_owned(),
        "/reference".to_owned(),
        format!("/line/{wave}"),
        medics.clone(),
        site.wave(0, ""),
        site.wave(0, "/timeline"),
        site.wave(1, ""),
    ];
    for path in &paths {
        for cookie in [Some(&lead), Some(&guest), None] {
            let answer = site.get(path, cookie.map(String::as_str)).await;
            assert!(!answer.text.contains(SECRET), "{path}");
        }
    }
    let plan = site.get(&format!("/plan/{day}"), Some(&lead)).await;
    assert_eq!(plan.status, StatusCode::OK);
}

/// Paper is the real backup: the booklet has every runner once a wave sheet and no reason of a code.
#[tokio::test]
async fn the_plan_prints_as_a_pdf() {
    let site = Site::new();
    let none = site.get(&format!("/sheets/{}", site.day), None).await;
    assert_eq!(none.status, StatusCode::NOT_FOUND, "no plan was dealt here");
    let page = site.get("/", None).await;
    let body = format!("seal={}&date=2026-12-01&test=ir1&name=Next", page.seal());
    let made = site.post_form("/days", None, &body).await;
    let plan = made.to.expect("on to the plan");
    let here: String = site.people.iter().map(|p| format!("&here={p}")).collect();
    let seal = site.get(&plan, None).await.seal();
    let body = format!("seal={seal}&lanes=12&assessors=2{here}");
    let dealt = site.post_form(&format!("{plan}/deal"), None, &body).await;
    assert_eq!(dealt.status, StatusCode::SEE_OTHER, "{}", dealt.text);
    let sheets = site.get(&plan.replace("/plan/", "/sheets/"), None).await;
    assert_eq!(sheets.status, StatusCode::OK, "{}", sheets.text);
    assert!(sheets.text.starts_with("%PDF-"));
    let briefing = site.get(&plan.replace("/plan/", "/briefing/"), None).await;
    assert_eq!(briefing.status, StatusCode::OK, "{}", briefing.text);
    for words in ["Rules of", "easier form", "<dt>misses", "Caution."] {
        assert!(briefing.text.contains(words), "{words}: {}", briefing.text);
    }
}
