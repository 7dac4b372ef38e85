//! What stands on the pages of a study and of references: numbers, refusals, cautions, the easier form.

use crate::support::{Site, add_squad};

/// Twelve men, two days four weeks apart, each a bout or two off the first: some up, some down.
fn twice(person: usize, day: i64) -> Option<u32> {
    let off = [0, 2, -1, 1, -2, 0, 1, -1, 2, 0, -1, 1];
    let first = 20 + 2 * person as i64;
    u32::try_from(if day == 0 {
        first
    } else {
        first + off[person % 12]
    })
    .ok()
}

#[tokio::test]
async fn a_study_shows_the_error_to_use_its_pictures_and_what_goes_with_a_repeat() {
    let site = Site::filled_with(|writer| {
        add_squad(writer, 12, 2, twice);
    });
    let page = site.get("/study?test=ir1&weeks=4", None).await.text;
    for part in [
        "Use a typical error of ",
        "your own, from 12 pairs",
        "12 rows, 2 trials",
        "typical error, all trials",
        "95 % limits of agreement",
        "from the archive: results of ir1 at most 4 weeks apart, 24 of 24 used",
        "A repeat of a maximal test is a maximal test",
        "<a href=\"/library/ir1_sub6\">",
        "<summary>All cautions</summary>",
        "Fit to start?",
    ] {
        assert!(page.contains(part), "{part}\n{page}");
    }
    assert!(page.matches("<svg").count() >= 2, "pairs and agreement");
}

#[tokio::test]
async fn without_repeats_the_page_says_why_and_shows_cautions_and_the_easier_form() {
    let site = Site::filled_with(|writer| {
        add_squad(writer, 12, 2, twice);
    });
    let page = site.get("/study?test=ir1&weeks=3", None).await.text;
    for part in [
        "<strong>No study. </strong>",
        "0 people have two results at most 3 weeks apart",
        "test the same people again within 3 weeks",
        "A repeat of a maximal test is a maximal test",
        "<a href=\"/library/ir1_sub6\">",
    ] {
        assert!(page.contains(part), "{part}\n{page}");
    }
    assert!(!page.contains("--"), "a page names no flag\n{page}");
    let bad = site.get("/study?test=ir1&weeks=0", None).await;
    assert_eq!(bad.status, 422, "{}", bad.text);
    assert!(
        bad.text.contains("a whole number from 1 to 520"),
        "{}",
        bad.text
    );
    let plain = site.get("/study", None).await.text;
    assert!(!plain.contains("No study."), "nothing was asked");
}

#[tokio::test]
async fn references_are_listed_with_their_tests_and_shown_with_rows_and_tags() {
    let site = Site::new();
    let list = site.get("/reference", None).await.text;
    for part in [
        "<a href=\"/reference/ruiz2016\">",
        "built in",
        "None is your own yet.",
    ] {
        assert!(list.contains(part), "{part}\n{list}");
    }
    let one = site.get("/reference/ruiz2016", None).await.text;
    let facts = plimsoll_interpret::Catalogue::built_in().expect("shipped");
    let ruiz = facts
        .populations
        .iter()
        .find(|p| p.provenance.id == "ruiz2016")
        .expect("shipped");
    for part in [
        "<strong>Source. </strong>",
        "<strong>Licence. </strong>",
        "<th scope=\"col\">Known from</th>",
    ] {
        assert!(one.contains(part), "{part}\n{one}");
    }
    let doi = ruiz.provenance.doi.as_ref().expect("a doi");
    assert!(one.contains(doi.as_str()), "{doi}");
    let rows = one.matches("<tr>").count() - 1;
    assert!(rows > 0 && rows <= ruiz.rows.len(), "{rows}");
    let none = site.get("/reference/nobody", None).await;
    assert_eq!(none.status, 404);
}
