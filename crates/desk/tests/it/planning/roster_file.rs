//! The roster file: bouts, metres or labels; every fault with row and column.

use plimsoll_desk::planning::csv_roster;
use plimsoll_interpret::Sex;

use super::catalogue;

fn read(text: &str) -> Result<plimsoll_desk::planning::Roster, String> {
    let test = catalogue().get("ir1").expect("shipped");
    csv_roster("r.csv", text, test).map_err(|e| e.to_string())
}

fn bouts(text: &str) -> Vec<Option<u32>> {
    let roster = read(text).expect("fine");
    roster
        .athletes
        .iter()
        .map(|a| a.earlier.first().map(|e| e.bouts))
        .collect()
}

#[test]
fn bouts_metres_and_labels_say_the_same() {
    let text = "Name,Bouts,Metres,Level,Sex,Age\nA,14,,,F,20\nB,,560,,,\nC,,,14.3,m,\nD,,,,,\n";
    assert_eq!(bouts(text), [Some(14), Some(14), Some(14), None]);
    let roster = read(text).expect("fine");
    assert_eq!(
        (roster.athletes[0].sex, roster.athletes[0].age),
        (Some(Sex::Female), Some(20.0))
    );
    assert_eq!(bouts("\u{feff}player,distance (m)\nA,579\n"), [Some(14)]);
}

#[test]
fn each_fault_says_where_what_and_what_next() {
    for (text, says) in [
        ("", "row 1"),
        ("who,bouts\nA,1\n", "a column `name`"),
        ("name,bouts\n", "a row for each runner"),
        ("name,bouts\nA,12.5\n", "row 2, column bouts: found 12.5"),
        ("name,bouts\nA,92\n", "a number from 0 to 91"),
        ("name,bouts\nA,inf\n", "found `inf`"),
        (
            "name,level\nA,99.9\n",
            "found `99.9`; allowed is a label of `ir1`",
        ),
        ("name,metres\nA,-1\n", "found `-1`"),
        (
            "name,bouts,metres\nA,1,40\n",
            "a value beside the one in bouts",
        ),
        (
            "name,bouts\nA,1\na,2\n",
            "row 3, column name: found `a`, which is in row 2 too",
        ),
        ("name,bouts\n,1\n", "row 2, column name"),
        ("name,bouts\nA,1,2\n", "row 2"),
        ("name,sex\nA,x\n", "F, M or nothing"),
    ] {
        let fault = read(text).expect_err(text);
        assert!(fault.contains(says), "{text:?}: {fault}");
    }
}
