//! The page of whose the scatter is: what it says of results, and when it says nothing.

use axum::http::StatusCode;

use crate::support::{LEAD, Site};

/// Text with its narrow and fixed spaces as plain ones.
fn plain(text: &str) -> String {
    text.replace(['\u{202f}', '\u{a0}'], " ")
}

#[tokio::test]
async fn people_far_apart_have_the_scatter() {
    // Ladders of one person lie within 2 bouts, those of the next one 3 bouts off.
    let site = Site::with_results(6, |person, day| {
        20 + 3 * person as u32 + (person * 5 + day * 7) as u32 % 3
    });
    let page = site.get("/mixed?test=ir1", None).await;
    assert_eq!(page.status, StatusCode::OK);
    let text = plain(&page.text);
    assert!(
        text.contains("nearly all (9") && text.contains("is from one athlete to another"),
        "{text}"
    );
    assert!(
        text.contains("Typical error, the SD of what is left over"),
        "{text}"
    );
    assert!(
        text.contains("72 rows, 12 levels of athlete and 6 levels of day; fitted by REML"),
        "{text}"
    );
    assert!(text.contains("72 of 72 used"), "{text}");
    // Days four weeks apart: weeks add nothing to the trial number.
    assert!(text.contains("weeks left out, since"), "{text}");
    assert!(
        page.text.contains("<svg") && page.text.contains("Runner 12"),
        "{text}"
    );
    assert!(
        text.contains("Do not select, exclude, diagnose or clear anyone"),
        "{text}"
    );
    assert!(
        !page.text.contains("NaN") && !page.text.contains('`'),
        "{text}"
    );
}

#[tokio::test]
async fn too_little_gives_a_reason_and_no_number() {
    let page = Site::new().get("/mixed?test=ir1", None).await;
    assert_eq!(page.status, StatusCode::OK);
    let text = plain(&page.text);
    assert!(text.contains("No answer."), "{text}");
    assert!(
        text.contains("0 results, 0 athletes with two or more"),
        "{text}"
    );
    assert!(!text.contains("Typical error"), "{text}");
    // More testing is advised, so the caution stands beside it.
    assert!(
        text.contains("with an easier form open to anyone"),
        "{text}"
    );
    let equal = Site::with_results(3, |person, _| 20 + person as u32);
    let text = plain(&equal.get("/mixed?test=ir1", None).await.text);
    assert!(
        text.contains("No answer.") && text.contains("fits them exactly"),
        "{text}"
    );
}

#[tokio::test]
async fn only_the_lead_asks_and_only_of_known_tests() {
    let site = Site::guarded();
    assert_ne!(
        site.get("/mixed?test=ir1", None).await.status,
        StatusCode::OK
    );
    let lead = site.enter(LEAD).await;
    assert_eq!(site.get("/mixed", Some(&lead)).await.status, StatusCode::OK);
    let unknown = site.get("/mixed?test=none", Some(&lead)).await;
    assert_eq!(unknown.status, StatusCode::NOT_FOUND);
}
