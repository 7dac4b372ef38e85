//! The plan page: dealt by what is expected, dealt again without who is absent.

use crate::support::{Site, add_squad};

/// 24 men of ever more bouts, three days each.
fn squad() -> (Site, Vec<String>) {
    let mut people = Vec::new();
    let site = Site::filled_with(|writer| {
        add_squad(writer, 24, 3, |person, day| {
            Some(14 + person as u32 + (day % 2) as u32)
        });
        let all = writer.people().expect("read");
        people = all
            .into_iter()
            .filter(|p| p.facts.called_name.starts_with("Person "))
            .map(|p| p.id.to_string())
            .collect();
    });
    (site, people)
}

async fn made(site: &Site) -> String {
    let seal = site.get("/", None).await.seal();
    let body = format!("seal={seal}&date=2026-11-28&test=ir1");
    site.post_form("/days", None, &body)
        .await
        .to
        .expect("a day")
}

async fn dealt(site: &Site, plan: &str, people: &[String]) -> String {
    let seal = site.get(plan, None).await.seal();
    let here: String = people.iter().map(|p| format!("&here={p}")).collect();
    let body = format!("seal={seal}&lanes=12&assessors=3{here}");
    let done = site.post_form(&format!("{plan}/deal"), None, &body).await;
    assert!(done.status.is_redirection(), "{}", done.text);
    site.get(plan, None).await.text
}

#[tokio::test]
async fn a_deal_says_what_it_took_into_account_and_who_is_absent_is_dealt_out() {
    let (site, people) = squad();
    assert_eq!(people.len(), 24);
    let plan = made(&site).await;
    let text = dealt(&site, &plan, &people).await;
    for part in [
        "24 of 24 from their last results (at most 3 within a year)",
        "stops are expected after about",
        "expected pairs of stops within a bout of each other",
        "with one runner left on the course",
        "The range holds the next result nine times in ten",
    ] {
        assert!(text.contains(part), "{part}\n{text}");
    }
    // Two waves of twelve, three assessors each, and a row for everyone.
    assert_eq!(text.matches("<h3>Assessor ").count(), 6);
    assert_eq!(text.matches("<td>full</td>").count(), 24);
    assert_eq!(text.matches("name=\"here\"").count(), 36);
    assert_eq!(text.matches(" checked>").count(), 24, "those of the plan");
    // Two are absent: the tick is taken away, and the rest is dealt anew.
    let text = dealt(&site, &plan, &people[2..]).await;
    assert_eq!(text.matches("<td>full</td>").count(), 22);
    assert_eq!(text.matches(" checked>").count(), 22, "they stay away");
    assert!(!text.contains("<td>Person 0</td>") && !text.contains("<td>Person 1</td>"));
    let numbers = [
        "name=\"lanes\" min=\"1\" max=\"60\" value=\"11\"",
        "value=\"3\"",
    ];
    assert!(numbers.iter().all(|n| text.contains(n)), "{text}");
}

#[tokio::test]
async fn of_newcomers_nothing_is_claimed() {
    let site = Site::new();
    let plan = made(&site).await;
    let text = dealt(&site, &plan, &site.people).await;
    assert!(
        text.contains("nobody on this roster has an earlier result of a paced test"),
        "{text}"
    );
    assert!(text.contains("nothing is known of when runners will stop"));
    assert_eq!(
        text.matches("<td class=\"number\">not known</td>").count(),
        12
    );
}
