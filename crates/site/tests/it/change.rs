//! The pages about a change: what they say, what they refuse, and who may not see them.

use axum::http::StatusCode;

use crate::support::{LEAD, Site};

#[tokio::test]
async fn two_results_are_answered_with_chances_and_a_picture() {
    let site = Site::new();
    let page = site
        .get(
            "/change?test=ir1&from=1480&to=1640&error=4.9%25&swc=&sex=&age=&age_from=",
            None,
        )
        .await;
    assert_eq!(page.status, StatusCode::OK);
    // The same numbers as `plimsoll change`: 80 %, 19 %, 1 %.
    for words in [
        "likely better (80 %)",
        "Chance of a rise that matters 80\u{202f}%",
        "would rule chance out (95 %)",
        "<svg",
        "typical error 4.9 % set by hand",
        "Caution.",
        "value=\"1480\"",
    ] {
        assert!(page.text.contains(words), "{words}: {}", page.text);
    }
    assert!(!page.text.contains("Growth"), "no age was given");
    let young = site
        .get(
            "/change?test=ir1&from=1000&to=1100&sex=M&age_from=13,5&age=14.5",
            None,
        )
        .await;
    assert!(
        young
            .text
            .contains("expected growth between the two ages is not taken off")
    );
}

#[tokio::test]
async fn what_cannot_be_used_is_refused_in_words() {
    let site = Site::new();
    for (query, words) in [
        ("test=ir1&from=much&to=3", "first result"),
        ("test=ir1&from=NaN&to=3", "first result"),
        ("test=ir1&from=3&to=4&error=-2", "typical error"),
        ("test=ir1&from=3&to=4&sex=x", "sex"),
        ("test=none&from=3&to=4", "none"),
    ] {
        let page = site.get(&format!("/change?{query}"), None).await;
        assert!(page.status.is_client_error(), "{query}");
        assert!(page.text.contains(words), "{query}: {}", page.text);
    }
    for query in [
        "test=ir1&from=0&to=4",
        "test=ir1&from=3&to=4&age=15&age_from=16",
    ] {
        let page = site.get(&format!("/change?{query}"), None).await;
        assert_eq!(page.status, StatusCode::OK);
        assert!(page.text.contains("No answer."), "{query}: {}", page.text);
    }
    let none = site.get("/person/none/change", None).await;
    assert_eq!(none.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn a_persons_change_shows_the_level_first_and_says_where_growth_is_not_known() {
    let past = [("2026-03-01", 26), ("2026-06-01", 28), ("2026-11-01", 34)];
    let site = Site::new().with_past("Wren <Osier>", "2011-04-02", &past);
    let id = &site.people[0];
    let page = site.get(&format!("/person/{id}/change"), None).await;
    assert_eq!(page.status, StatusCode::OK, "{}", page.text);
    assert!(!page.text.contains("<Osier>"));
    let at = |words: &str| {
        page.text
            .find(words)
            .unwrap_or_else(|| panic!("{words}: {}", page.text))
    };
    assert!(at("Level from all results") < at("The two tests alone"));
    for words in [
        "1 Mar 2026",
        "1 Jun 2026",
        "level since 1 Jun 2026",
        "<svg",
        "Growth: ",
    ] {
        at(words);
    }
    let person = site.get(&format!("/person/{id}"), None).await;
    assert!(
        person
            .text
            .contains(&format!("/person/{id}/change?test=ir1"))
    );
    assert!(
        person
            .text
            .contains("expected growth between the two ages is not taken off")
    );
    let other = site
        .get(&format!("/person/{}/change", site.people[1]), None)
        .await;
    assert!(other.text.contains("No result yet."));
}

#[tokio::test]
async fn only_the_lead_sees_them() {
    let site = Site::guarded();
    for path in [
        "/change".to_owned(),
        format!("/person/{}/change", site.people[0]),
    ] {
        let without = site.get(&path, None).await;
        assert_ne!(without.status, StatusCode::OK, "{path}");
        let lead = site.enter(LEAD).await;
        assert_eq!(
            site.get(&path, Some(&lead)).await.status,
            StatusCode::OK,
            "{path}"
        );
    }
}
