//! The choice of the typical error, in the order: by hand, own pairs, study, default, none.

use plimsoll_interpret::reliability::{
    ErrorAnswer, ErrorChoice, ErrorOrigin, ErrorRequest, OwnPairs, choose_error,
};
use plimsoll_interpret::{Catalogue, Confidence, Level, Person, Sex, Size};

use crate::{catalogue, person};

fn request<'a>(test: &'a str, person: &'a Person) -> ErrorRequest<'a> {
    ErrorRequest {
        test,
        quantity: None,
        person,
        level: None,
        by_hand: None,
        own: None,
        from_memory: false,
    }
}

fn chosen(all: &Catalogue, request: &ErrorRequest<'_>) -> ErrorChoice {
    match choose_error(all, request).expect("an answer") {
        ErrorAnswer::Chosen(choice) => choice,
        ErrorAnswer::NoAdequateError { words } => panic!("{words}"),
    }
}

fn none(all: &Catalogue, request: &ErrorRequest<'_>) -> String {
    match choose_error(all, request).expect("an answer") {
        ErrorAnswer::NoAdequateError { words } => words,
        ErrorAnswer::Chosen(choice) => panic!("{}", choice.basis),
    }
}

#[test]
fn the_closest_study_is_named_with_its_reasons() {
    let all = catalogue();
    let man = person(Sex::Male, 24.0);
    let choice = chosen(&all, &request("ir1", &man));
    assert_eq!(choice.size, Size::Percent(4.9));
    assert_eq!(choice.confidence, Some(Confidence::SourceReadAbstract));
    assert!(matches!(&choice.origin, ErrorOrigin::Study { id, .. } if id == "krustrup2003"));
    assert!(choice.basis.starts_with(
        "typical error 4.9 % from the closest study: physically active men, men or boys, 18 y and \
         older, recreational, n 17; match "
    ));
    assert!(choice.basis.contains("for a male, 24 y, level not stated"));
}

#[test]
fn age_and_sex_decide_and_level_moves_the_choice() {
    let all = catalogue();
    let youth = person(Sex::Male, 16.8);
    let trained = ErrorRequest {
        level: Some(Level::Trained),
        ..request("ir1", &youth)
    };
    let choice = chosen(&all, &trained);
    assert_eq!(choice.size, Size::Percent(7.3), "{}", choice.basis);
    let elite = ErrorRequest {
        level: Some(Level::Elite),
        ..request("ir1", &youth)
    };
    let choice = chosen(&all, &elite);
    assert_eq!(choice.size, Size::Percent(7.5), "{}", choice.basis);
    assert!(choice.basis.contains("upper end of the reported 3 to 7.5"));
    // Two studies equally close: the larger error counts.
    let girl = person(Sex::Female, 10.0);
    assert_eq!(
        chosen(&all, &request("ir1c", &girl)).size,
        Size::Percent(11.5)
    );
    let player = ErrorRequest {
        level: Some(Level::Trained),
        ..request("ir1c", &girl)
    };
    assert_eq!(chosen(&all, &player).size, Size::Percent(10.1));
    let woman = person(Sex::Female, 24.0);
    let choice = chosen(&all, &request("int30_15_40", &woman));
    assert_eq!(choice.size, Size::Percent(1.8), "{}", choice.basis);
    let man = person(Sex::Male, 17.0);
    assert_eq!(
        chosen(&all, &request("int30_15_40", &man)).size,
        Size::InUnit(0.36)
    );
    let adult = person(Sex::Male, 30.0);
    let choice = chosen(&all, &request("msr20", &adult));
    assert_eq!(
        choice.size,
        Size::InUnit(6.0),
        "sex of the study is not stated: {}",
        choice.basis
    );
}

#[test]
fn no_study_of_women_gives_the_default_and_says_so() {
    let all = catalogue();
    let woman = person(Sex::Female, 24.0);
    let choice = chosen(&all, &request("ir1", &woman));
    assert_eq!(
        (choice.size, choice.origin),
        (Size::Percent(6.0), ErrorOrigin::Default)
    );
    assert_eq!(
        choice.basis,
        "default typical error 6 %, middle of 5 to 7 for adults, trained (ir1), because no study \
         fits; proposed from the reliability rows of the same test; midpoint used (derived \
         arithmetic)"
    );
}

#[test]
fn an_undescribed_person_gets_the_default_and_is_told_why() {
    let all = catalogue();
    let nobody = Person::default();
    let choice = chosen(&all, &request("ir1", &nobody));
    assert_eq!(choice.size, Size::Percent(6.0));
    assert!(choice.basis.contains("the person is not described"));
}

#[test]
fn nothing_fits_is_an_answer() {
    let all = catalogue();
    let girl = person(Sex::Female, 16.0);
    assert_eq!(
        none(&all, &request("ir1", &girl)),
        "no adequate error estimate: no study or default fits ir1 for a female, 16 y, level not \
         stated; set one or collect 10 test-retest pairs"
    );
    let man = person(Sex::Male, 24.0);
    assert!(none(&all, &request("rsa_6x40s", &man)).contains("no study or default fits"));
    let child = person(Sex::Male, 10.0);
    assert!(none(&all, &request("ir2", &child)).contains("10 y"));
}

#[test]
fn memory_is_used_only_when_asked_for() {
    let all = catalogue();
    let boy = person(Sex::Male, 12.0);
    let plain = request("ir1", &boy);
    assert_eq!(chosen(&all, &plain).origin, ErrorOrigin::Default);
    let choice = chosen(
        &all,
        &ErrorRequest {
            from_memory: true,
            ..plain
        },
    );
    assert_eq!(choice.size, Size::Percent(17.3));
    assert_eq!(choice.confidence, Some(Confidence::FromMemory));
    assert!(choice.basis.ends_with("(from memory)"));
}

#[test]
fn own_pairs_take_over_at_ten() {
    let all = catalogue();
    let man = person(Sex::Male, 24.0);
    // Source: stat_test_vectors.json, retest_ir1_invented: CV 3.604896 %, df 9.
    let first = vec![
        1200.0, 1440.0, 1680.0, 1760.0, 1880.0, 2000.0, 2120.0, 2240.0, 2400.0, 2640.0,
    ];
    let second = vec![
        1320.0, 1400.0, 1800.0, 1720.0, 2040.0, 1960.0, 2240.0, 2360.0, 2320.0, 2760.0,
    ];
    let ten = OwnPairs {
        first: first.clone(),
        second: second.clone(),
    };
    let choice = chosen(
        &all,
        &ErrorRequest {
            own: Some(&ten),
            ..request("ir1", &man)
        },
    );
    let Size::Percent(cv) = choice.size else {
        panic!("a CV")
    };
    assert!((cv - 3.604896).abs() < 1e-6);
    assert_eq!(
        (choice.df, choice.origin),
        (Some(9.0), ErrorOrigin::OwnPairs { pairs: 10 })
    );
    assert_eq!(
        choice.basis,
        "typical error 3.6 % from 10 own test-retest pairs"
    );
    let nine = OwnPairs {
        first: first[..9].to_vec(),
        second: second[..9].to_vec(),
    };
    let choice = chosen(
        &all,
        &ErrorRequest {
            own: Some(&nine),
            ..request("ir1", &man)
        },
    );
    assert_eq!(choice.size, Size::Percent(4.9));
    assert!(
        choice
            .basis
            .ends_with("own test-retest data have 9 pairs, they count from 10 on")
    );
    let uneven = OwnPairs {
        first,
        second: second[..9].to_vec(),
    };
    let request = ErrorRequest {
        own: Some(&uneven),
        ..request("ir1", &man)
    };
    assert!(choose_error(&all, &request).is_err());
}

#[test]
fn a_value_set_by_hand_stands_before_all() {
    let all = catalogue();
    let man = person(Sex::Male, 24.0);
    let by_hand = |size| ErrorRequest {
        by_hand: Some(size),
        ..request("ir1", &man)
    };
    let choice = chosen(&all, &by_hand(Size::InUnit(120.0)));
    assert_eq!(choice.basis, "typical error 120 m set by hand");
    for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        let message = choose_error(&all, &by_hand(Size::Percent(bad))).expect_err("a fault");
        let want =
            format!("typical error is {bad}; allowed is a number above 0; correct the value");
        assert_eq!(message.to_string(), want);
    }
}

#[test]
fn another_quantity_can_be_asked_for() {
    let all = catalogue();
    let man = person(Sex::Male, 24.0);
    let vo2 = ErrorRequest {
        quantity: Some("vo2max"),
        ..request("msr20", &man)
    };
    let choice = chosen(&all, &vo2);
    assert!(
        matches!(choice.size, Size::InUnit(e) if (0.9..2.0).contains(&e)),
        "{}",
        choice.basis
    );
    let pulse = ErrorRequest {
        quantity: Some("d_prime"),
        ..request("cs_trials", &man)
    };
    assert!(matches!(chosen(&all, &pulse).size, Size::Percent(cv) if cv >= 9.0));
}
