//! `plimsoll day`: the state of a wave at any moment, from its log.

use serde_json::{Value, json};

use crate::support::Bench;

/// A small wave of `ir1` as a log: two runners, a miss, two stops, a close.
fn log(fingerprint: &str) -> String {
    let lane = |n: u32, name: &str| json!({"lane": n, "person": format!("p{n}"), "name": name});
    let settings = json!({
        "miss_limit": 2, "counting": "cumulative", "zone_mm": 0, "line_limit": 0,
        "last_incomplete_counts": false, "scored_stage": "completed",
    });
    let whats = [
        (
            None,
            json!({"kind": "opened", "plan": {
                "test": "ir1", "fingerprint": fingerprint, "settings": settings,
                "lanes": [lane(1, "Ilo"), lane(2, "Bea")],
                "assessors": [{"name": "A", "lanes": [1, 2]}],
            }}),
        ),
        (Some(0), json!({"kind": "started", "lanes": [1, 2]})),
        (Some(242_000), json!({"kind": "miss", "lane": 1})),
        (
            Some(266_000),
            json!({"kind": "stop", "lane": 1, "reason": "exhaustion"}),
        ),
        (
            Some(300_000),
            json!({"kind": "stop", "lane": 2, "reason": "injury"}),
        ),
        (None, json!({"kind": "closed"})),
    ];
    let mut lines = String::new();
    for ((cue, what), n) in whats.iter().zip(1..) {
        let mut event = json!({
            "v": 1, "id": format!("01930000-0000-7000-8000-{n:012}"), "device": "lead", "seq": n,
            "order": n, "at_ms": 1_795_000_000_000_i64, "role": "lead", "what": what,
        });
        if let Some(cue) = cue {
            event["cue_ms"] = json!(cue);
        }
        lines += &format!("{event}\n");
    }
    lines
}

/// Returns the fingerprint that a refusal names.
fn fingerprint(bench: &Bench) -> String {
    bench.put("wrong.jsonl", &log("0000000000000000"));
    let refused = bench.run(&["day", "replay", "wrong.jsonl"]);
    assert_eq!(refused.status, 2);
    let words = refused.err;
    assert!(
        words.contains("the wave ran `ir1` with fingerprint 0000000000000000"),
        "{words}"
    );
    let at = words.find("definition here has ").expect("named") + "definition here has ".len();
    words[at..at + 16].to_owned()
}

#[test]
fn a_log_replays_to_its_end_and_to_any_moment() {
    let bench = Bench::new();
    bench.put("wave.jsonl", &log(&fingerprint(&bench)));
    let whole = bench.run(&["day", "replay", "wave.jsonl", "--json"]);
    assert_eq!(whole.status, 0, "{}", whole.err);
    let answer = whole.json();
    assert_eq!(
        answer["read_back_in_words"],
        "2 started, 1 scored, 1 lower bound, 0 not started"
    );
    assert_eq!(answer["state"]["closed"], true);
    // Source: the note of protocols/ir1_sub6.toml (derived arithmetic): 14.1 ends after 241.6 s, 480 m.
    assert_eq!(answer["state"]["lanes"][0]["misses"][0]["key"], "12.2");
    assert_eq!(
        answer["state"]["lanes"][0]["stop"]["completed"]["bouts"],
        13
    );
    let earlier = bench
        .run(&["day", "replay", "wave.jsonl", "--cue", "250", "--json"])
        .json();
    let status = |answer: &Value, lane: usize| answer["state"]["lanes"][lane]["status"].clone();
    assert_eq!(
        (status(&earlier, 0), status(&answer, 0)),
        (json!("running"), json!("stopped"))
    );
    assert_eq!(earlier["state"]["lanes"][0]["warning"]["count"], 1);
    let two = bench
        .run(&["day", "replay", "wave.jsonl", "--until", "2", "--json"])
        .json();
    assert_eq!(two["state"]["events"], 2);
    let words = bench.run(&["day", "replay", "wave.jsonl"]).out;
    assert!(words.contains("Ilo") && words.contains("14.2"), "{words}");
}

#[test]
fn a_log_that_is_none_says_which_line_and_why() {
    let bench = Bench::new();
    let good = log(&fingerprint(&bench));
    bench.put(
        "bad.jsonl",
        &good.replace("\"reason\":\"injury\"", "\"reason\":\"bored\""),
    );
    let refused = bench.run(&["day", "replay", "bad.jsonl"]);
    assert_eq!(refused.status, 2);
    assert!(
        refused
            .err
            .contains("bad.jsonl, line 5: this is not an event: unknown variant `bored`"),
        "{}",
        refused.err
    );
}
