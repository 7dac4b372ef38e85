//! Events from outside: read as written, refused with a reason, bounded.

use plimsoll_judge::{Event, EventFault, Role, StopReason, What};
use proptest::prelude::*;

use crate::support::Script;

fn line() -> String {
    let mut s = Script::of("ir1", 1).started();
    s.stop(1, 20, 2_000, StopReason::Injury);
    s.events.last().expect("a stop").to_line()
}

#[test]
fn an_event_comes_back_as_written() {
    let s = Script::of("ir1", 24).started();
    for event in &s.events {
        assert_eq!(Event::read(&event.to_line()).as_ref(), Ok(event));
    }
}

/// The form of version 1 as it is stored; it must stay readable for good.
#[test]
fn the_stored_form_of_version_1_is_read() {
    let text = r#"{"v":1,"id":"01930000-0000-7000-8000-000000000001","device":"phone-a","seq":3,
        "order":9,"at_ms":1795000000000,"cue_ms":241600,"cue_pm_ms":20,"role":"assessor",
        "by":"Rin","what":{"kind":"stop","lane":7,"reason":"misses"}}"#;
    let event = Event::read(text).expect("version 1");
    assert_eq!(event.role, Role::Assessor);
    assert_eq!(
        event.what,
        What::Stop {
            lane: 7,
            reason: StopReason::Misses
        }
    );
}

#[test]
fn what_is_wrong_is_named() {
    let wrong = |from: &str, to: &str| {
        let text = line();
        assert!(text.contains(from), "{text}");
        Event::read(&text.replace(from, to))
            .expect_err("refused")
            .to_string()
    };
    assert_eq!(
        wrong("\"lane\":1", "\"lane\":0"),
        "event field `lane`: found 0, allowed is 1 to 200"
    );
    assert_eq!(
        wrong("\"device\":\"phone-a\"", "\"device\":\"../x\""),
        "event field `device`: found ../x, allowed is 1 to 40 letters, digits, `-` or `_`"
    );
    assert_eq!(
        wrong("\"v\":1", "\"v\":2"),
        "the event has version 2 and this build reads up to 1; use the newer build"
    );
    assert!(
        wrong("\"reason\":\"injury\"", "\"reason\":\"bored\"").starts_with(
            "this is not an event: unknown variant `bored`, expected one of `exhaustion`"
        )
    );
    assert!(
        wrong("\"v\":1", "\"extra\":1,\"v\":1")
            .starts_with("this is not an event: unknown field `extra`")
    );
    assert!(matches!(
        Event::read(&" ".repeat(70_000)),
        Err(EventFault::TooLarge { found: 70_000, .. })
    ));
}

#[test]
fn a_newer_event_with_unknown_fields_is_called_newer() {
    let error = Event::read(r#"{"v":7,"who_knows":1}"#).expect_err("refused");
    assert_eq!(error, EventFault::Newer { found: 7, known: 1 });
}

proptest! {
    #[test]
    fn no_text_makes_the_reader_panic(text in "\\PC{0,300}") {
        let _ = Event::read(&text);
    }

    #[test]
    fn no_damaged_event_makes_the_reader_panic(at in 0usize..400, byte in any::<u8>()) {
        let mut bytes = line().into_bytes();
        let at = at % bytes.len();
        bytes[at] = byte;
        if let Ok(text) = String::from_utf8(bytes) {
            let _ = Event::read(&text);
        }
    }
}
