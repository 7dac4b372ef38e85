//! The checks of a day: the course in bouts, the heat with policies, the decision and the card on record.

use axum::http::StatusCode;

use crate::support::{Answer, Site};

async fn send(site: &Site, part: &str, fields: &str) -> Answer {
    let path = format!("/checks/{}", site.day);
    let seal = site.get(&path, None).await.seal();
    let body = format!("seal={seal}&{fields}");
    let answer = site.post_form(&format!("{path}/{part}"), None, &body).await;
    if answer.status != StatusCode::SEE_OTHER {
        return answer;
    }
    site.get(&path, None).await
}

/// Source: the job analysis, 2.8: 19.86 m is 0.7 % short, worth about two bouts, and line B moves 14 cm.
#[tokio::test]
async fn a_short_course_is_told_in_bouts_and_how_to_mend_it() {
    let site = Site::new();
    let page = send(&site, "course", "left_m=19.86&right_m=19,86").await;
    let text = &page.text;
    assert!(
        text.contains("19.860 m (-0.70 %): everyone is favoured by about"),
        "{text}"
    );
    let at = text.find("favoured by about ").expect("told") + "favoured by about ".len();
    let bouts: f64 = text[at..at + 3].parse().expect("a number");
    assert!((1.2..=2.9).contains(&bouts), "{bouts}");
    assert!(
        text.contains("move the left end of the far line 14 cm out"),
        "{text}"
    );
    let wrong = send(
        &site,
        "course",
        "left_m=20&right_m=20&diagonal_a_m=32.24&diagonal_b_m=31.24&near_m=24&far_m=24",
    )
    .await;
    assert!(
        wrong
            .text
            .contains("the diagonal from near left reads 32.24 m"),
        "{}",
        wrong.text
    );
    let none = send(&site, "course", "left_m=long&right_m=20").await;
    assert_eq!(none.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        none.text
            .contains("left_m: found `long`; allowed: a number from 0.1 to 500"),
        "{}",
        none.text
    );
}

#[tokio::test]
async fn a_hot_reading_brings_advice_and_the_leads_decision_stands_beside_it() {
    let site = Site::new();
    let page = send(&site, "conditions", "temperature_c=30&humidity_percent=60&wind_m_s=2&globe_c=45.37&wind_from_deg=0&lanes_deg=180").await;
    let text = &page.text;
    assert!(
        text.contains("WBGT 30.") && !text.contains("no globe reading"),
        "{text}"
    );
    assert!(text.contains("Wind along the lanes 2.0 m/s"), "{text}");
    assert!(
        text.contains("plimsoll_default") && text.contains("aap_2000"),
        "{text}"
    );
    let estimate = send(
        &site,
        "conditions",
        "temperature_c=20&humidity_percent=60&wind_m_s=2&solar_w_m2=150",
    )
    .await;
    assert!(
        estimate.text.contains("(estimate, no globe reading)"),
        "{}",
        estimate.text
    );
    let decided = send(&site, "decision", "verdict=easier&words=minors").await;
    assert!(decided.text.contains("the easier form"), "{}", decided.text);
    let refused = send(&site, "decision", "verdict=never").await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
}

#[tokio::test]
async fn the_emergency_card_is_kept_as_entered() {
    let site = Site::new();
    let page = send(
        &site,
        "emergency",
        "leads=Rin&aed_place=Hall+%3Cdoor%3E&aed_walk_s=95",
    )
    .await;
    assert!(
        page.text.contains("value=\"Rin\"") && page.text.contains("value=\"95\""),
        "{}",
        page.text
    );
    assert!(
        page.text.contains("Hall &lt;door&gt;"),
        "typed text is shown as text"
    );
}
